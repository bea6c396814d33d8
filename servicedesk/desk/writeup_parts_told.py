"""The parts of a visit in words: where from, how many are left there, who bears them and why."""

from collections.abc import Mapping
from dataclasses import dataclass

from servicedesk.desk.office import Desk
from servicedesk.desk.writeup_entry import VisitEntry
from servicedesk.desk.writeup_part_entry import (
    PartEntry,
    UnitEntry,
    money_text,
    part_notes,
    understood,
)
from servicedesk.desk.writeup_parts import (
    PartsHere,
    billing_for,
    job_for,
    needs_approval,
    unit_to_replace,
    value_of,
    warranty_behind,
)
from servicedesk.desk.writeup_parts_wrong import over_limit_text
from servicedesk.trade.components import components
from servicedesk.words import say
from servicedesk.words.reasons import reason_text


@dataclass(frozen=True, slots=True, kw_only=True)
class PartToldAs:
    """A part: who bears it and why, what it comes to, what it replaced; `left` there after it."""

    text: str
    number: str
    quantity: int
    taken_from: str
    billing: str
    why: str
    value: str
    replaced: str
    claim_owed: bool
    left: int | None


def causes_typed(entry: VisitEntry) -> dict[int, str | None]:
    """The cause that each job of the form names so far."""
    return {
        job.job_id: None if job.outcome == "could not" else job.cause_id or None
        for job in entry.jobs
    }


def parts_told(desk: Desk, here: PartsHere, entry: VisitEntry) -> tuple[PartToldAs, ...]:
    """The parts of a visit as they stand in its form."""
    causes = causes_typed(entry)
    return tuple(part_told(desk, here, one, causes) for one in entry.parts)


def part_told(
    desk: Desk, here: PartsHere, entry: PartEntry, causes: Mapping[int, str | None]
) -> PartToldAs:
    """One line of the form: what it means as far as it is typed."""
    note = understood(here, entry)
    part = here.catalogue.get(note.part_id or 0)
    worked_out = billing_for(here, note, causes)
    place = here.places.get(note.place_id or here.truck_place_id or 0)
    job_id = job_for(here, note, causes)
    until = warranty_behind(here, note, job_id, causes.get(job_id or 0))
    claimed = note.unit is not None and until is not None and here.day < until
    return PartToldAs(
        text=note.text,
        number=part.number if part is not None else "",
        quantity=note.quantity,
        taken_from=place.name if place is not None and part is not None else "",
        billing=note.billing or worked_out.billing,
        why=say("set by hand") if note.billing else reason_text(worked_out.why, desk.formats),
        value=money_text(desk, value_of(here, note), here.currency),
        replaced=components()[note.unit.component].name if note.unit is not None else "",
        claim_owed=claimed,
        left=here.left(part.id, place.id) - note.quantity if part and place else None,
    )


def approval_asked(desk: Desk, here: PartsHere, entry: VisitEntry) -> str:
    """What has to be answered about parts over the contract's limit, "" where nothing."""
    notes = part_notes(here, entry.parts, [])
    return over_limit_text(desk, here, needs_approval(here, notes, causes_typed(entry)))


@dataclass(frozen=True, slots=True)
class UnitOffer:
    """A unit that a part may take the place of, in words, and what is asked of it."""

    words: str
    entry: UnitEntry


def unit_offer(
    desk: Desk, here: PartsHere, entry: PartEntry, causes: Mapping[int, str | None]
) -> UnitOffer | None:
    """The unit that a part may replace, None for a part that is no unit by itself."""
    note = understood(here, entry)
    said = entry.unit
    if said is not None:
        component, old = said.component, here.units.get(said.old_unit_id or 0)
    else:
        found = unit_to_replace(here, note.part_id, job_for(here, note, causes))
        if found is None:
            return None
        component, old = found
    name = components()[component].name
    if old is None:
        return UnitOffer(say("New unit: {name}", name=name), UnitEntry(component=component, why=""))
    facts = [old.model, say("serial {serial}", serial=old.serial) if old.serial else ""]
    if old.installed_on is not None:
        facts.append(say("in since {month}", month=desk.formats.month(old.installed_on)))
    about = ", ".join(fact for fact in facts if fact)
    words = say("Replaces: {name}", name=f"{name} ({about})" if about else name)
    return UnitOffer(words, UnitEntry(component=component, old_unit_id=old.id))
