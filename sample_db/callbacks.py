"""Calls on the phone and what the visits after them did."""

from dataclasses import dataclass
from datetime import date, timedelta
from heapq import heappush
from typing import Any

from sample_db.equipment import follows_practice
from sample_db.fixes import COMPONENT_OF_PART, Book, Stop, mend, owe, replace_unit, use_part
from sample_db.rows import Row
from sample_db.state import Plant, Setting, truth_table, weighted

DAY = timedelta(days=1)

# beginnings of check ids and the component they look at
_LOOKS_AT = (
    ("alarm-float", "alarm-float"), ("pump-float", "pump-floats"), ("splice", "splices-box"),
    ("box", "splices-box"), ("run-line", "splices-box"), ("compressor", "air-compressor"),
    ("air-filter", "air-compressor"), ("housing", "air-compressor"), ("bubbles", "diffuser"),
    ("line-pressure", "air-compressor"), ("timer", "timer"), ("spray", "spray-heads"),
    ("head", "spray-heads"), ("drip-filter", "drip-filter"), ("check-valve", "check-valve"),
    ("tablet-tube", "tablet-chlorinator"), ("tube-seat", "tablet-chlorinator"),
    ("uv", "uv-unit"), ("bleach", "liquid-chlorinator"), ("run-in-hand", "effluent-pump"),
    ("pump-", "effluent-pump"), ("winding", "effluent-pump"), ("drawdown", "effluent-pump"),
    ("impeller", "effluent-pump"), ("panel", "control-panel"), ("selector", "control-panel"),
    ("relay", "control-panel"), ("fuse", "control-panel"), ("low-air", "alarm-circuit"),
    ("alarm-test", "alarm-circuit"), ("alarm-leads", "alarm-circuit"),
)  # fmt: skip


@dataclass(slots=True, eq=False)
class Trouble:
    """What is really wrong, and the call it made."""

    plant: Plant
    symptom: str
    cause: dict[str, Any]
    component: str = ""  # where a unit failed
    recurring: bool = False
    storm: bool = False
    tries: int = 0
    turn: int = 0  # which call of a recurring trouble
    call: Row | None = None
    due: date = date.min


def component_of(check: str) -> str:
    """The component a check looks at, or nothing."""
    return next((c for start, c in _LOOKS_AT if check.startswith(start)), "")


def take_call(s: Setting, trouble: Trouble, day: date, minute: int) -> Row:
    """The call as the office wrote it, with its promise."""
    rng, plant = s.rng, trouble.plant
    customer_id, caller, number = plant.person(day)
    urgent = trouble.symptom in {"slow-drains", "lid-hazard", "high-water-alarm", "breaker-trips"}
    promise = day + 2 * DAY
    late = not s.calendar.works(promise)
    promise = s.calendar.working(promise)
    answers = {}
    if rng.random() < 0.5:
        answers["ask-recent-rain"] = "heavy" if trouble.storm or rng.random() < 0.2 else "little"
        answers["ask-water-use"] = rng.choice(["usual", "usual", "heavy"])
    call = s.rows.add(
        "call", called_at=s.calendar.at(day, minute), site_id=plant.site["id"],
        system_id=plant.system["id"], customer_id=customer_id, caller=caller,
        caller_phone=number, symptoms=[trouble.symptom], answers=answers,
        own_words=rng.choice(truth_table()["said"][trouble.symptom]),
        priority="danger" if trouble.symptom == "lid-hazard" else "urgent" if urgent else "normal",
        promised_by_at=s.calendar.at(promise, 1020 if late else min(minute, 1020)),
        taken_by=rng.choice(["Ines R.", "Ines R.", "Maud Sallows"]),
    )  # fmt: skip
    trouble.call = call
    trouble.due = s.calendar.working(day + (1 if urgent else rng.randrange(1, 4)) * DAY)
    return call


def answer(s: Setting, book: Book, trouble: Trouble, stop: Stop) -> Trouble | None:
    """What the visit did. The answer is the same trouble where it will come back, else None."""
    plant, call = trouble.plant, trouble.call
    job = s.rows.add(
        "job", visit_id=stop.visit["id"], kind_of="callback", system_id=plant.system["id"],
        contract_id=_contract_on(plant, stop.day), call_id=call["id"] if call else None,
        outcome="done", billing="contract" if s.rng.random() < 0.75 else "billable",
    )  # fmt: skip
    trouble.tries += 1
    if trouble.recurring:
        _no_luck(s, book, trouble, stop, job)
        return None
    chance = truth_table()["calls"]["right_first_time"] + 0.15 * (trouble.tries - 1)
    proof_allowed = not plant.never & set(trouble.cause["proof"])
    found = trouble.storm or (s.rng.random() < chance and proof_allowed)
    checks = dict(truth_table()["looks"][trouble.symptom])
    if found:
        checks |= trouble.cause["proof"]
    _write_checks(s, trouble, stop, job, checks)
    if not found:
        job |= {
            "no_fault_found": True, "found": "no fault found",
            "did": "alarm reset, watched a cycle",
            "fix": s.rng.choice(["", "reset only"]),
        }  # fmt: skip
        return trouble
    job["cause_id"] = trouble.cause["id"]
    job["cause_known_by"] = "a direct check"
    job["found"] = trouble.cause["id"].replace("-", " ")
    _fix(s, book, trouble, stop, job)
    return None


def _contract_on(plant: Plant, day: date) -> int | None:
    return next((c["id"] for c in plant.contracts if c["from_on"] <= day < c["until_on"]), None)


def _fix(s: Setting, book: Book, trouble: Trouble, stop: Stop, job: Row) -> None:
    cause = trouble.cause
    if trouble.component:
        if s.rng.random() < truth_table()["calls"]["patched"]:
            owe(s, book, trouble.plant, stop, job, trouble.component, cause)
            job["did"] = "patched, lasting fix owed"
        else:
            mend(s, book, trouble.plant, stop, job, trouble.component, cause)
            job["did"] = f"{cause['part'].replace('-', ' ')} renewed"
        return
    job["did"], job["fix"] = cause["did"], "fixed"
    if cause.get("part"):
        job["parts_changed"] = [cause["part"]]
        use_part(s, book, stop, job, cause["part"])


def _no_luck(s: Setting, book: Book, trouble: Trouble, stop: Stop, job: Row) -> None:
    """A seeded trouble: everything is looked at but the guilty part."""
    rng, plant = s.rng, trouble.plant
    kind = plant.kind or {}
    checks = dict(truth_table()["looks"][trouble.symptom])
    if trouble.symptom == "high-water-alarm":
        checks["pump-tank-level"] = "pumped-down"
        checks["lamp-against-water"] = "on-without-high-water"
    checks |= dict(list(kind["also"].items())[trouble.turn % 2 :: 2])
    if "splice-look" in checks and follows_practice(plant.units["splices-box"]):
        checks["splice-look"] = "tape-only-dry"
    _write_checks(s, trouble, stop, job, checks)
    outcome = weighted(rng, truth_table()["recurring"]["outcomes"])
    part = rng.choice(kind["wrong_parts"])
    if trouble.cause.get("part"):  # the pictured site: float, relay, float again
        outcome, part = "wrong part", trouble.cause["part"]
    if outcome == "wrong part":
        component = COMPONENT_OF_PART.get(part, "")
        new = None
        if component:
            new = replace_unit(
                s, book, plant, stop, component, failed=False, why="changed on suspicion"
            )
        use_part(s, book, stop, job, part, new=new)
        job |= {
            "found": "fault not seen, part suspected", "did": f"{part.replace('-', ' ')} changed",
            "parts_changed": [part], "fix": "fixed", "cause_known_by": "presumed",
        }  # fmt: skip
        return
    job |= {
        "no_fault_found": outcome == "no fault found",
        "found": outcome if outcome == "no fault found" else "alarm on, nothing wrong seen",
        "did": "alarm reset, pump run in hand", "fix": "reset only",
    }  # fmt: skip


def _write_checks(
    s: Setting, trouble: Trouble, stop: Stop, job: Row, checks: dict[str, str]
) -> None:
    plant = trouble.plant
    done = [c for c in checks if c not in plant.never and not c.startswith("ask-")]
    job["checks_done"] = done
    for check in done:
        unit = plant.units.get(component_of(check))
        s.rows.add(
            "finding", visit_id=stop.visit["id"], system_id=plant.system["id"], check_id=check,
            unit_id=unit["id"] if unit else None, result_id=checks[check],
            found_by=stop.tech.row["short_name"],
            found_at=s.calendar.at(stop.day, stop.minute + 5), weather=stop.visit["weather"],
        )  # fmt: skip
    s.rows.add(
        "finding", call_id=trouble.call["id"] if trouble.call else None,
        system_id=plant.system["id"], check_id="ask-power-event", result_id="no",
        found_by="Ines R.", found_at=s.calendar.at(stop.day, stop.minute),
    )  # fmt: skip


def recurring_days(s: Setting, plant: Plant, *, star: bool) -> list[date]:
    """The days on which a seeded trouble calls, before today."""
    if plant.bad_on is None:
        return []
    if star:  # as in the pictures: four calls in fourteen months, the last one today
        return [s.today - d * DAY for d in (412, 269, 128)]
    mean = 365.25 / truth_table()["recurring"]["calls_a_year"]
    best: list[date] = []
    for _ in range(20):
        days, day = [], plant.bad_on
        while True:
            day += max(20, round(s.rng.gammavariate(2, mean / 2))) * DAY
            if day >= s.today:
                break
            days.append(day)
        best = max(best, days, key=len)
        if len(days) >= 3:
            return days
    return best


def seed_events(s: Setting, heap: list[tuple[date, int, Trouble]]) -> None:
    """All troubles known before the days begin: recurring ones and those no unit's age explains."""
    found: list[tuple[date, Trouble]] = []
    for plant in s.plants:
        star = plant.site["address"] == "118 Dry Hollow Lane"
        if plant.kind is not None:
            found += _recurring(s, plant, plant.kind, star=star)
        if not star:
            found += _nuisances(s, plant)
    for i, (day, trouble) in enumerate(found):
        heappush(heap, (day, -len(found) + i, trouble))


def _recurring(
    s: Setting, plant: Plant, kind: dict[str, Any], *, star: bool
) -> list[tuple[date, Trouble]]:
    found = []
    for i, day in enumerate(recurring_days(s, plant, star=star)):
        other = not star and s.rng.random() < truth_table()["recurring"]["other_symptom"]
        cause = {"id": kind["cause"], "proof": {}}
        if star:
            cause["part"] = kind["wrong_parts"][i % 2]
        symptom = kind["sibling" if other else "symptom"]
        found.append((day, Trouble(plant, symptom, cause, recurring=True, turn=i)))
    return found


def _nuisances(s: Setting, plant: Plant) -> list[tuple[date, Trouble]]:
    years, factor = s.size.years, truth_table()["calls"]["nuisance_factor"]
    found = []
    for cause in truth_table()["nuisances"]:
        if cause.get("needs") and cause["needs"] not in plant.flags:
            continue
        chance = cause["rate"] * factor * plant.multiplier * years
        while s.rng.random() < chance:
            chance -= 1
            day = s.begin + s.rng.randrange(years * 365) * DAY
            if plant.joined <= day < (plant.left or s.today):
                found.append((day, Trouble(plant, weighted(s.rng, cause["symptoms"]), cause)))
    return found


def storm_day(s: Setting) -> date:
    """The day of the one storm night: some months ago."""
    return s.today - (140 if s.size.years > 1 else 60) * DAY
