"""What a visit changes: parts used, units replaced, work owed and settled."""

from dataclasses import dataclass, field
from datetime import date, timedelta
from heapq import heappush
from typing import Any

from sample_db.equipment import life_days
from sample_db.rows import Row
from sample_db.state import Plant, Setting, Tech

DAY = timedelta(days=1)

COMPONENT_OF_PART = {
    "float-switch-signal": "alarm-float", "float-switch-pump": "pump-floats",
    "effluent-pump": "effluent-pump", "compressor": "air-compressor",
    "sealed-splice-kit": "splices-box", "diffuser": "diffuser", "spray-head": "spray-heads",
    "timer-clock": "timer", "check-valve": "check-valve", "tablet-tube": "tablet-chlorinator",
    "uv-lamp": "uv-unit", "bleach-feed-kit": "liquid-chlorinator",
    "drip-filter-element": "drip-filter",
}  # fmt: skip

PATCHES = {
    "spray-heads": "spray head tied up", "splices-box": "splice taped",
    "alarm-float": "float leads taken off and insulated", "timer": "timer bypassed by hand",
    "tablet-chlorinator": "chlorine fed by hand", "air-compressor": "old diaphragm turned",
    "diffuser": "diffuser stone cleaned, not new", "alarm-circuit": "horn taped, light works",
    "control-panel": "relay cleaned, to be renewed", "effluent-pump": "pump freed, to be renewed",
    "drip-filter": "filter rinsed, element worn", "check-valve": "check valve rinsed",
}  # fmt: skip


@dataclass(slots=True, eq=False)
class Debt:
    """Owed work and the day on which it will be settled."""

    owed: Row
    plant: Plant
    component: str
    cause: dict[str, Any]
    settle_on: date


@dataclass(slots=True, eq=False)
class Stop:
    """One visit as the makers of rows see it."""

    visit: Row
    day: date
    minute: int  # after midnight, when they stand there
    tech: Tech


@dataclass(slots=True, eq=False)
class Book:
    """What accumulates over the days."""

    part_of_kind: dict[str, int] = field(default_factory=dict)
    used: list[tuple[date, int, int, int, int]] = field(default_factory=list)
    debts: list[Debt] = field(default_factory=list)
    failures: list[tuple[date, int, str]] = field(default_factory=list)  # heap
    waiting: dict[int, dict[str, dict[str, Any]]] = field(default_factory=dict)
    reports: list[tuple[Row, Plant, date]] = field(default_factory=list)


def use_part(
    s: Setting,
    book: Book,
    stop: Stop,
    job: Row,
    kind: str,
    *,
    quantity: int = 1,
    new: Row | None = None,
) -> None:
    """A part taken from the truck and left at the site."""
    if not kind or kind not in book.part_of_kind:
        return
    part = s.rows.tables["part"][book.part_of_kind[kind] - 1]
    s.rows.add(
        "part_line", visit_id=stop.visit["id"], job_id=job["id"], part_id=part["id"],
        text=part["name"], quantity=quantity, billing=job["billing"],
        new_unit_id=new["id"] if new else None,
    )  # fmt: skip
    place = 1 + stop.tech.row["id"]
    book.used.append((stop.day, place, part["id"], quantity, stop.visit["id"]))


def replace_unit(
    s: Setting, book: Book, plant: Plant, stop: Stop, component: str, *, failed: bool, why: str
) -> Row:
    """Take the unit out and put a new one in; its life begins anew."""
    old = plant.units[component]
    old |= {"state": "removed", "removed_on": stop.day, "removed_why": why}
    attributes = dict(old["attributes"])
    if component == "splices-box" and failed:
        attributes = {"splice": "box", "sealing": "gel"}
    new = s.rows.add(
        "unit", system_id=plant.system["id"], component=component, model_id=old["model_id"],
        installed_on=stop.day, installed_by=stop.tech.row["short_name"],
        predecessor_id=old["id"], attributes=attributes,
        warranty_until=stop.day + 730 * DAY,
    )  # fmt: skip
    plant.units[component] = new
    fail_later(s, book, plant, component, stop.day)
    return new


def fail_later(s: Setting, book: Book, plant: Plant, component: str, since: date) -> None:
    """Draw the next failure of a unit that works from `since` on."""
    if plant.kind is not None and plant.kind["component"] == component:
        return  # the seeded trouble alone speaks for this unit
    day = since + life_days(s, plant.units[component]) * DAY
    if day < s.today:
        heappush(book.failures, (day, plant.system["id"] - 1, component))


def mend(
    s: Setting,
    book: Book,
    plant: Plant,
    stop: Stop,
    job: Row,
    component: str,
    cause: dict[str, Any],
) -> None:
    """The lasting fix of a known cause."""
    job["fix"] = "fixed"
    part = cause.get("part", "")
    new = None
    if cause.get("renews") and component:
        new = replace_unit(
            s, book, plant, stop, component, failed=True, why=f"failed: {cause['id']}"
        )
    elif component:
        fail_later(s, book, plant, component, stop.day)
    if part:
        job["parts_changed"] = [part]
        use_part(s, book, stop, job, part, new=new)


def owe(
    s: Setting,
    book: Book,
    plant: Plant,
    stop: Stop,
    job: Row,
    component: str,
    cause: dict[str, Any],
) -> None:
    """Only patched: the lasting fix is owed."""
    rng = s.rng
    job["fix"] = "patched"
    unit = plant.units[component]
    unit["state"] = "patched"
    patch = PATCHES.get(component, "patched for now")
    waits = rng.choices(["part", "approval", "day", "weather"], [40, 30, 22, 8])[0]
    owed = s.rows.add(
        "owed", site_id=plant.site["id"], system_id=plant.system["id"], unit_id=unit["id"],
        visit_id=stop.visit["id"], since_on=stop.day,
        what=f"lasting fix: {cause['id'].replace('-', ' ')}",
        workaround=patch, needs=cause.get("part", "").replace("-", " "),
        needs_parts=[cause["part"]] if cause.get("part") else [], waits_for=waits,
        by_on=stop.day + rng.choice([30, 60, 90]) * DAY, minutes=rng.choice([30, 40, 60]),
    )  # fmt: skip
    settle = stop.day + round(20 + rng.expovariate(1 / 100)) * DAY
    if waits == "approval":
        _estimate(s, owed, plant, stop.day)
    if owed["state"] == "open":
        book.debts.append(Debt(owed, plant, component, cause, settle))


def _estimate(s: Setting, owed: Row, plant: Plant, day: date) -> None:
    owed |= {"estimate_minor": s.rng.randrange(40, 160) * 500, "estimate_sent_on": day + 3 * DAY}
    answered = day + s.rng.randrange(5, 40) * DAY
    if answered >= s.today:
        if day + 3 * DAY >= s.today:
            owed["estimate_sent_on"] = None
        return
    chance = s.rng.random()
    if chance < 0.65:
        owed |= {"answer": "approved", "waits_for": "day"}
    elif chance < 0.85:
        owed |= {"answer": "declined", "state": "declined", "settled_on": answered}
    else:
        return
    owed |= {"answered_by": plant.person(answered)[1], "answered_how": "phone"}


def settle(s: Setting, book: Book, debt: Debt, stop: Stop, job: Row) -> None:
    """Owed work done."""
    job |= {
        "owed_id": debt.owed["id"], "did": f"{debt.owed['what']} done",
        "cause_id": debt.cause["id"], "cause_known_by": "known before",
    }  # fmt: skip
    mend(s, book, debt.plant, stop, job, debt.component, debt.cause)
    debt.owed |= {
        "state": "settled", "settled_on": stop.day, "settled_visit_id": stop.visit["id"],
        "waits_for": "",
    }  # fmt: skip
