"""What is open on the day itself: calls, promises, told customers, owed work, money, counters."""

from datetime import date, timedelta
from typing import Any

from sample_db.callbacks import Trouble, take_call
from sample_db.contracts import EARLY, Window
from sample_db.customers import STAR
from sample_db.fixes import Book
from sample_db.rows import Row, add_months
from sample_db.state import Plant, Setting

DAY = timedelta(days=1)


def make_today(s: Setting, book: Book, pending: list[Window]) -> None:
    """Everything that makes the day alive. `pending` are the inspections not yet done."""
    _open_calls(s)
    _star_owed(s)
    _owed_now(s, book)
    _planned(s, pending)
    _drafts(s)
    _money(s)
    _truth(s)
    for series, table in (("site", "site"), ("contract", "contract"), ("report", "paper_sent")):
        s.rows.add("counter", series=series, next_number=len(s.rows.tables[table]) + 1)


def _find(s: Setting, address: str) -> Plant | None:
    return next((p for p in s.plants if p.site["address"] == address and p.left is None), None)


def _open_calls(s: Setting) -> None:
    star = _find(s, STAR)
    chosen: list[tuple[Plant | None, str, int, str]] = [
        (star, "high-water-alarm", 422, "Alarm on since six, we silenced it."),
        (_find(s, "6 Larkrise Court"), "no-spray", 451, "No spray since Sunday, ground dry."),
    ]
    quiet = [p for p in s.plants if p.left is None and p.kind is None and "spray" in p.flags]
    for symptom, minute in (("air-alarm", 438), ("wet-area", 462)):
        chosen.append((s.rng.choice(quiet), symptom, minute, ""))
    for plant, symptom, minute, words in chosen:
        if plant is None:
            continue
        trouble = Trouble(plant, symptom, {"id": "", "proof": {}})
        call = take_call(s, trouble, s.today, minute)
        if words:
            call["own_words"] = words
        if plant is star:
            first = s.calendar.working(s.today)
            call["promised_by_at"] = s.calendar.at(first, 780)
            call["caller_phone"] = "+12015550142"
    # a caller in no book yet
    s.rows.add(
        "call", called_at=s.calendar.at(s.today, 470), caller="Mundy", caller_phone="+12015550177",
        where_said="new house past the ferry, gray roof", symptoms=["alarm-not-identified"],
        own_words="It beeps. We moved in last week.", taken_by="Ines R.",
        promised_by_at=s.calendar.at(s.calendar.working(s.today + 2 * DAY), 1020),
    )  # fmt: skip


def _star_owed(s: Setting) -> None:
    star = _find(s, STAR)
    if star is None:
        return
    unit = star.units["spray-heads"]
    unit["state"] = "patched"
    s.rows.add(
        "owed", site_id=star.site["id"], system_id=star.system["id"], unit_id=unit["id"],
        since_on=s.today - 359 * DAY, what="west spray head: riser and nozzle",
        workaround="west spray head tied up", needs="riser, nozzle",
        needs_parts=["swing-joint", "spray-nozzle-filter"], waits_for="day",
        by_on=s.today + 3 * DAY, minutes=30,
    )  # fmt: skip


def _owed_now(s: Setting, book: Book) -> None:
    """Some owed work falls due about today; some waits for an owner; one was declined."""
    still = [d.owed for d in book.debts if d.owed["state"] == "open"]
    still += _seen_lately(s, max(9, s.size.sites // 35) - len(still))
    still.sort(key=lambda o: (o["since_on"], o["id"]), reverse=True)
    due = max(3, s.size.sites // 130)
    for i, owed in enumerate(still[: due + 4]):
        if i < due:
            owed |= {"waits_for": "day", "by_on": s.today + (i % 4) * DAY}
        elif i < due + 3:
            owed |= {
                "waits_for": "approval", "estimate_minor": 18500 + 2500 * i, "answer": "",
                "estimate_sent_on": owed["since_on"] + DAY,
            }  # fmt: skip
        else:
            owed |= {
                "state": "declined", "answer": "declined", "answered_how": "phone",
                "answered_by": "owner", "settled_on": s.today - DAY, "waits_for": "",
                "estimate_minor": 31000, "estimate_sent_on": owed["since_on"],
            }  # fmt: skip
    still[-1] |= {"waits_for": "day", "by_on": s.today - 5 * DAY}


_SEEN: tuple[tuple[str, str, str, list[str], str, str], ...] = (
    ("lid hinge broken", "lid strapped down", "lid, screws", ["lid", "lid-screws"], "us", "part"),
    ("riser screw missing", "two screws left", "screws", ["lid-screws"], "us", "day"),
    ("conduit seal open", "stuffed with a rag", "sealing compound", ["conduit-seal"], "us", "day"),
    ("breaker loose in the house panel", "told to leave it on", "electrician", [],
     "electrician", "other firm"),
    ("toilet runs on", "dye seen in the tank", "owner mends it", [], "owner", ""),
    ("trash tank one third full", "nothing", "pump-out", [], "hauler", "other firm"),
    ("diffuser stone cleaned, not new", "cleaned", "stone", ["diffuser"], "us", "part"),
)  # fmt: skip


def _seen_lately(s: Setting, count: int) -> list[Row]:
    """Small things that inspections of the last weeks left owed."""
    days = {
        v["id"]: v["planned_on"]
        for v in s.rows.tables["visit"]
        if 4 <= (s.today - v["planned_on"]).days < 120
    }
    jobs = [
        j
        for j in s.rows.tables["job"]
        if j["visit_id"] in days and j["kind_of"] == "inspection" and j["outcome"] == "done"
    ]
    made = []
    for i, job in enumerate(s.rng.sample(jobs, max(0, min(count, len(jobs))))):
        what, workaround, needs, parts, debtor, waits = _SEEN[i % len(_SEEN)]
        since = days[job["visit_id"]]
        site = s.plants[job["system_id"] - 1].site
        made.append(
            s.rows.add(
                "owed",
                site_id=site["id"],
                system_id=job["system_id"],
                visit_id=job["visit_id"],
                since_on=since,
                what=what,
                workaround=workaround,
                needs=needs,
                needs_parts=parts,
                debtor=debtor,
                waits_for=waits,
                by_on=since + (30 + 15 * (i % 5)) * DAY,
                minutes=25,
            )
        )
    return made


def _planned(s: Setting, pending: list[Window]) -> None:
    """Visits that have a day already; the rest is for the planner."""
    days, day = [], s.calendar.working(s.today)
    for _ in range(10):
        days.append(day)
        day = s.calendar.working(day + DAY)
    near = sorted(
        (
            w
            for w in pending
            if w.begins - EARLY <= s.today < w.ends
            and w.limit > days[-1] + 2 * DAY
            and w.plants[0].left is None
            and not w.plants[0].closed_in_winter
        ),
        key=lambda w: (w.limit, w.plants[0].site["id"]),
    )
    count = max(3, s.size.technicians)
    drafts: dict[date, Row] = {}
    taken = iter(near)
    for i, on in enumerate(days):
        for k in range(count if i == 0 else max(1, count // 3)):
            window = next((w for w in taken if _fits(w, on)), None)
            if window is None:
                return
            _plan_visit(s, window, on, i, k, drafts)


def _fits(window: Window, on: date) -> bool:
    days = window.plants[0].site["visiting_days"]
    return (days is None or on.weekday() in days) and window.begins - EARLY <= on <= window.limit


def _plan_visit(
    s: Setting, window: Window, on: date, i: int, k: int, drafts: dict[date, Row]
) -> None:  # fmt: skip
    site = window.plants[0].site
    told = i == 0 or i % 3 != 2
    promise: dict[str, Any] = {}
    if told and (k == 0 or i == 0):
        begin = site["visiting_from_min"] or (540, 600, 780, 840)[(i + k) % 4]
        promise = {"promise_from_min": begin, "promise_until_min": begin + 120}
    visit = s.rows.add(
        "visit", site_id=site["id"], planned_on=on, state="planned", told=told, **promise
    )
    for plant in window.plants:
        s.rows.add(
            "job", visit_id=visit["id"], kind_of="inspection", system_id=plant.system["id"],
            contract_id=window.contract["id"], ordinal=window.ordinal, window_from=window.begins,
            window_until=window.ends,
        )  # fmt: skip
    if told:
        plant = window.plants[0]
        s.rows.add(
            "told", told_at=s.calendar.at(s.calendar.working_before(s.today), 900),
            whom=plant.caller, by_whom="Ines R.", how="phone", what="the day of the inspection",
            promised_on=on, site_id=site["id"], customer_id=plant.customer_id,
            visit_id=visit["id"],
        )  # fmt: skip
    if k == 0 and i in {0, 1, 3}:
        _hold(s, visit, on, drafts)


def _hold(s: Setting, visit: Row, on: date, drafts: dict[date, Row]) -> None:
    """Held by hand: this crew, this hour."""
    tech = s.techs[0].row
    if on not in drafts:
        drafts[on] = s.rows.add(
            "round", day=on, lead_id=tech["id"], truck_id=tech["truck_id"], state="draft"
        )
    begin = visit["promise_from_min"] or 600
    visit |= {
        "held": True, "round_id": drafts[on]["id"], "place": 1, "arrive_min": begin,
        "begin_min": begin, "leave_min": begin + 45,
    }  # fmt: skip


def _drafts(s: Setting) -> None:
    """The next contract is drafted where this one ends soon."""
    for plant in s.plants:
        if plant.left is not None or not plant.contracts:
            continue
        last = plant.contracts[-1]
        soon = s.today < last["until_on"] <= s.today + 45 * DAY and last["ended_on"] is None
        if not soon or plant.system["id"] % 3 == 0 or plant.system["label"]:
            continue
        contract = s.rows.add(
            "contract", number=len(s.rows.tables["contract"]) + 1, holder_id=plant.customer_id,
            from_on=last["until_on"], until_on=add_months(last["until_on"], 12), stage="draft",
            visits_a_year=last["visits_a_year"], counting=last["counting"], response_hours=48,
            longest_gap_months=last["longest_gap_months"], approval_limit_minor=15000,
            price_minor=round(last["price_minor"] * 1.03 / 100) * 100, follows_id=last["id"],
        )  # fmt: skip
        s.rows.add("contract_system", contract_id=contract["id"], system_id=plant.system["id"])


def _money(s: Setting) -> None:
    """Yearly prices and billable callbacks: to bill, billed, paid; two sites on hold."""
    held = 0
    sites = {p.system["id"]: p for p in s.plants}
    by_contract = {c["id"]: p for p in reversed(s.plants) for c in p.contracts}
    for contract in s.rows.tables["contract"]:
        plant = by_contract.get(contract["id"])
        if plant is None or contract["stage"] != "running" or contract["from_on"] < s.begin:
            continue
        line = _bill(
            s, plant, contract["from_on"], f"contract {contract['number']}", contract["price_minor"]
        )
        line["contract_id"] = contract["id"]
        old = 60 < (s.today - contract["from_on"]).days < 300
        if held < 2 and old and plant.left is None and plant.kind is None:
            line |= {"state": "billed", "paid_on": None, "amount_minor": 64000}
            plant.site["on_hold"] = True
            held += 1
    days = {v["id"]: v["planned_on"] for v in s.rows.tables["visit"]}
    for job in s.rows.tables["job"]:
        if job["billing"] == "billable" and job["outcome"] == "done":
            job["price_minor"] = 9500 + 100 * (job["minutes"] or 0)
            line = _bill(
                s, sites[job["system_id"]], days[job["visit_id"]], "callback", job["price_minor"]
            )
            line["job_id"] = job["id"]


def _bill(s: Setting, plant: Plant, since: date, text: str, amount: int) -> Row:
    line = s.rows.add(
        "bill_line", site_id=plant.site["id"], customer_id=plant.customer_id, text=text,
        amount_minor=amount, since_on=since,
    )  # fmt: skip
    billed, paid = since + 9 * DAY, since + s.rng.randrange(15, 70) * DAY
    if billed < s.today:
        line |= {"state": "billed", "billed_on": billed, "bill_number": f"B{line['id']}"}
    if paid < s.today:
        line |= {"state": "paid", "paid_on": paid}
    return line


def _truth(s: Setting) -> None:
    calls: dict[int, list[Row]] = {}
    for call in s.rows.tables["call"]:
        if call["system_id"] is not None:
            calls.setdefault(call["system_id"], []).append(call)
    for plant in s.plants:
        if plant.kind is None or plant.bad_on is None:
            continue
        kind = plant.kind
        own = [
            c["id"]
            for c in calls.get(plant.system["id"], [])
            if set(c["symptoms"]) & {kind["symptom"], kind["sibling"]}
            and c["called_at"].date() >= plant.bad_on
        ]
        s.truth.recurring.append({
            "site_id": plant.site["id"], "system_id": plant.system["id"],
            "site_number": plant.site["number"], "address": plant.site["address"],
            "kind": kind["id"], "cause": kind["cause"], "component": kind["component"],
            "symptom": kind["symptom"], "bad_on": plant.bad_on, "call_ids": own,
            "never": list(kind["never"]), "never_items": list(kind["never_items"]),
        })  # fmt: skip
