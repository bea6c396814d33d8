"""Contracts over the years, and the inspections they ask for."""

from dataclasses import dataclass
from datetime import date, timedelta

from sample_db.rows import Row, add_months
from sample_db.state import Plant, Setting, truth_table

DAY = timedelta(days=1)
REACH = timedelta(days=14)  # windows closing so soon are counted out for today's picture


@dataclass(slots=True, eq=False)
class Window:
    """One inspection that a contract asks for, of all systems the contract covers."""

    plants: list[Plant]
    contract: Row
    ordinal: int
    begins: date
    ends: date  # excluded
    target: date
    again: bool = False  # the gate was locked before: goes out in any week
    locked_on: date | None = None  # seeded: the gate will be locked that day


def make_contracts(s: Setting) -> list[Window]:
    """All contracts up to today, and their inspection windows since the history began."""
    by_site: dict[int, list[Plant]] = {}
    for plant in s.plants:
        by_site.setdefault(plant.site["id"], []).append(plant)
    windows: list[Window] = []
    for plants in by_site.values():
        windows += _of_site(s, plants)
    _set_todays_picture(s, windows)
    return [w for w in windows if w.target >= s.begin]


def _of_site(s: Setting, plants: list[Plant]) -> list[Window]:
    rng, first = s.rng, plants[0]
    anchor = first.joined
    first_policy = first.system["started_on"] == first.joined
    if not first_policy:
        kind = rng.random()
        anchor = anchor.replace(month=1, day=1) if kind < 0.3 else anchor
        anchor = anchor.replace(day=1) if 0.3 <= kind < 0.6 else anchor
    seeded = any(p.kind for p in plants)
    fate = 1.0 if seeded else rng.random()
    visits = 2 if "drip" in first.flags and rng.random() < 0.3 else 3
    counting = "rolling" if rng.random() < truth_table()["inspections"]["rolling"] else "fixed"
    price = rng.randrange(57, 84) * 500
    phase, windows, previous = rng.uniform(0.3, 0.75), [], None
    months = 0
    while True:
        start = add_months(anchor, months)
        length = 24 if first_policy and months == 0 else 12
        until = add_months(anchor, months + length)
        months += length
        if start > s.today or (fate < 0.045 and until > s.today and previous is not None):
            _lapsed(plants, start, s.today)
            break
        if until <= s.begin:
            continue
        price = round(price * (1 + 0.001 * rng.randrange(5, 45)) / 100) * 100
        contract = _contract(s, plants, start, until, previous)
        contract |= {
            "visits_a_year": visits, "counting": counting, "price_minor": price,
            "is_first_policy": length == 24, "longest_gap_months": 4 if visits == 3 else None,
        }  # fmt: skip
        previous = contract
        windows += _windows(s, plants, contract, length * visits // 12, phase)
        if 0.045 <= fate < 0.075 and until > s.today - 400 * DAY:
            _moved_away(s, plants, contract)
            break
    return windows


def _contract(
    s: Setting, plants: list[Plant], start: date, until: date, previous: Row | None
) -> Row:
    first = plants[0]
    n = len(s.rows.tables["contract"])
    contract = s.rows.add(
        "contract", number=n + 1, holder_id=first.customer_id, from_on=start, until_on=until,
        response_hours=24 if s.rng.random() < 0.05 else 48, approval_limit_minor=15000,
        follows_id=previous["id"] if previous else None, tolerance_days=14,
        own_number=f"K{start.year}-{n + 1}" if s.rng.random() < 0.5 else None,
        copy_sent_on=start - 20 * DAY if s.rng.random() < 0.94 else None,
    )  # fmt: skip
    for plant in plants:
        plant.contracts.append(contract)
        s.rows.add("contract_system", contract_id=contract["id"], system_id=plant.system["id"])
    return contract


def _lapsed(plants: list[Plant], start: date, today: date) -> None:
    if start <= today:
        for plant in plants:
            plant.left = start


def _moved_away(s: Setting, plants: list[Plant], contract: Row) -> None:
    """The customer went to another firm, or sold: the contract and the site end."""
    last = min(s.today - 5 * DAY, contract["until_on"])
    day = max(contract["from_on"] + 20 * DAY, last - s.rng.randrange(1, 250) * DAY)
    if day >= s.today:
        return
    why = s.rng.choice(["went to another firm", "sold, buyer did not want it", "sewer came"])
    contract |= {"ended_on": day, "ended_why": why}
    plants[0].site |= {"ended_on": day, "ended_why": why}
    for plant in plants:
        plant.left = day
        plant.system |= {"ended_on": day, "ended_why": why}


def _windows(s: Setting, plants: list[Plant], contract: Row, n: int, phase: float) -> list[Window]:
    rng, table = s.rng, truth_table()["inspections"]
    start, until = contract["from_on"], contract["until_on"]
    months = (until.year - start.year) * 12 + until.month - start.month
    found = []
    for k in range(n):
        if contract["counting"] == "rolling" and k:
            break  # the next one is made when this one is done
        begins = add_months(start, k * months // n)
        ends = add_months(start, (k + 1) * months // n)
        length = (ends - begins).days
        target = begins + round(phase * length + rng.gauss(0, 6)) * DAY
        target = min(max(target, begins - 8 * DAY), ends - 4 * DAY)
        chance = rng.random()
        if chance < table["late"]:
            target = ends + rng.randrange(3, 25) * DAY
        elif chance > 1 - table["missed"] and ends < s.today - 60 * DAY:
            continue
        found.append(Window(plants, contract, k + 1, begins, ends, _open_day(plants, target)))
    return found


def _open_day(plants: list[Plant], target: date) -> date:
    """Out of a closed winter: the sites' closed spans are December 15 to March 1."""
    if not plants[0].closed_in_winter:
        return target
    if target.month == 12 and target.day >= 15:
        return target.replace(day=14)
    if target.month <= 2:
        return target.replace(month=3, day=2)
    return target


def next_rolling(s: Setting, window: Window, done: date) -> Window | None:
    """The window after a done inspection where the contract counts from the last visit."""
    contract = window.contract
    if contract["counting"] != "rolling":
        return None
    middle = add_months(done, 12 // contract["visits_a_year"])
    if middle >= contract["until_on"] or window.ordinal >= contract["visits_a_year"] * 2:
        return None
    target = middle + round(s.rng.gauss(-5, 4)) * DAY
    return Window(
        window.plants, contract, window.ordinal + 1, middle - REACH, middle + REACH,
        _open_day(window.plants, target),
    )  # fmt: skip


def _set_todays_picture(s: Setting, windows: list[Window]) -> None:
    """So many late, so many closing within a week, the rest of the near ones done in time."""
    n, today = s.size.sites, s.today
    live = [w for w in windows if w.plants[0].left is None and w.contract["counting"] == "fixed"]
    wanted: tuple[tuple[date, date, int, list[int]], ...] = (
        (today - 30 * DAY, today, max(2, round(n * 0.012)), s.truth.late_system_ids),
        (today, today + 7 * DAY, max(3, round(n * 0.024)), s.truth.closing_system_ids),
        (today + 7 * DAY, today + REACH + DAY, max(3, round(n * 0.02)), []),
    )
    for first, last, count, ids in wanted:
        near = [w for w in live if first < w.ends <= last and w.begins > s.begin]
        chosen = s.rng.sample(near, min(count, len(near)))
        for window in chosen:
            window.target = today + 3 * DAY
            ids += [p.system["id"] for p in window.plants]
        for window in near:
            if window.target > today - 17 * DAY and window not in chosen:
                window.target = today - 17 * DAY
    closing = [w for w in live if today < w.ends <= today + 7 * DAY and w.target > today]
    for window in closing[: max(2, n // 140)]:
        window.locked_on = s.calendar.working_before(today - 4 * DAY)
