"""What the write-up of a visit asks: the visit, its jobs, and how things were the times before."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import or_, select
from sqlalchemy.orm import Session

from servicedesk.records.company import Technician
from servicedesk.records.owed import Owed
from servicedesk.records.planning_rows import VisitRow, with_jobs
from servicedesk.records.rounds import Round
from servicedesk.records.sheet_rows import OwedRow
from servicedesk.records.sites import System
from servicedesk.records.told import Told
from servicedesk.records.visits import ItemResult, Job, PartLine, ReadingRow, Visit
from servicedesk.values.reading import Qualifier, Reading, ReadingState

N_BEFORE = 5  # earlier readings shown beside a new one


@dataclass(frozen=True, slots=True, kw_only=True)
class WrittenVisit:
    """A visit with what was written of it so far."""

    visit: VisitRow
    technician_id: int | None
    travel_min: int | None
    weather: str
    leaving: dict[str, Any]
    as_left: str
    note: str


@dataclass(frozen=True, slots=True)
class ItemRow:
    """What was said of an inspection item: its grade, which answer, a note."""

    grade: str
    answer: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class WrittenJob:
    """What was written of a job."""

    id: int
    revision: int
    kind: str
    system_id: int | None
    outcome: str | None
    could_not: str
    found: str
    did: str
    minutes: int | None
    fix: str
    no_fault_found: bool
    cause_id: str | None
    cause_known_by: str
    told_whom: str
    note_left: bool
    items: dict[str, ItemRow]  # by item id
    readings: dict[str, Reading]  # by number id


@dataclass(frozen=True, slots=True)
class EarlierReading:
    """A reading of an earlier visit."""

    on: date
    item_id: str
    value: str
    unit: str
    qualifier: str


def written_visit(session: Session, visit_id: int) -> WrittenVisit | None:
    """One visit as it stands, None if there is none."""
    visit = session.get(Visit, visit_id)
    if visit is None:
        return None
    row = with_jobs(session, [visit])[0]
    lead = session.get(Round, visit.round_id) if visit.round_id else None
    return WrittenVisit(
        visit=row,
        technician_id=visit.technician_id or (lead.lead_id if lead else None),
        travel_min=visit.travel_min,
        weather=visit.weather,
        leaving=visit.leaving,
        as_left=visit.as_left,
        note=visit.note,
    )


def written_jobs(session: Session, visit_id: int) -> list[WrittenJob]:
    """The jobs of a visit with their item results and readings."""
    jobs = session.scalars(select(Job).where(Job.visit_id == visit_id).order_by(Job.id)).all()
    ids = [job.id for job in jobs]
    items: dict[int, dict[str, ItemRow]] = {}
    for item in session.scalars(select(ItemResult).where(ItemResult.job_id.in_(ids))):
        said = ItemRow(item.grade, item.answer, item.note)
        items.setdefault(item.job_id, {})[item.item_id] = said
    readings: dict[int, dict[str, Reading]] = {}
    for r in session.scalars(select(ReadingRow).where(ReadingRow.job_id.in_(ids))):
        readings.setdefault(r.job_id, {})[r.item_id] = Reading(
            value=r.value,
            unit=r.unit,
            qualifier=Qualifier(r.qualifier),
            state=ReadingState(r.state),
        )
    return [
        WrittenJob(
            id=job.id,
            revision=job.revision,
            kind=job.kind_of,
            system_id=job.system_id,
            outcome=job.outcome,
            could_not=job.could_not,
            found=job.found,
            did=job.did,
            minutes=job.minutes,
            fix=job.fix,
            no_fault_found=job.no_fault_found,
            cause_id=job.cause_id,
            cause_known_by=job.cause_known_by,
            told_whom=job.told_whom,
            note_left=job.note_left,
            items=items.get(job.id, {}),
            readings=readings.get(job.id, {}),
        )
        for job in jobs
    ]


def earlier_readings(
    session: Session, system_ids: Iterable[int], *, before: datetime
) -> dict[tuple[int, str], list[EarlierReading]]:
    """The last readings of each item at each system before an instant, newest first."""
    query = (
        select(
            Job.system_id,
            Visit.planned_on,
            ReadingRow.item_id,
            ReadingRow.value,
            ReadingRow.unit,
            ReadingRow.qualifier,
        )
        .join(Job, Job.id == ReadingRow.job_id)
        .join(Visit, Visit.id == Job.visit_id)
        .where(
            Job.system_id.in_(sorted(set(system_ids))),
            ReadingRow.state == "measured",
            Visit.arrived_at < before,
        )
        .order_by(Visit.arrived_at.desc(), ReadingRow.id.desc())
    )
    found: dict[tuple[int, str], list[EarlierReading]] = {}
    for system_id, on, item_id, value, unit, qualifier in session.execute(query):
        some = found.setdefault((system_id or 0, item_id), [])
        if on is not None and len(some) < N_BEFORE:
            some.append(EarlierReading(on, item_id, value, unit, qualifier))
    return found


def technician_names(session: Session) -> dict[int, str]:
    """All technicians, also those who left."""
    return {t.id: t.name for t in session.scalars(select(Technician))}


def other_visits_left(session: Session, round_id: int, visit_id: int) -> int:
    """How many other visits of a round are not written up yet."""
    query = select(Visit.id).where(
        Visit.round_id == round_id, Visit.id != visit_id, Visit.state == "planned"
    )
    return len(session.scalars(query).all())


def item_results(session: Session, job_id: int) -> list[ItemResult]:
    """The item results of a job, to be changed inside a piece of work."""
    return list(session.scalars(select(ItemResult).where(ItemResult.job_id == job_id)))


def reading_rows(session: Session, job_id: int) -> list[ReadingRow]:
    """The readings of a job, to be changed inside a piece of work."""
    return list(session.scalars(select(ReadingRow).where(ReadingRow.job_id == job_id)))


def part_lines(session: Session, visit_id: int) -> list[PartLine]:
    """The parts of a visit, to be changed inside a piece of work."""
    query = select(PartLine).where(PartLine.visit_id == visit_id).order_by(PartLine.id)
    return list(session.scalars(query))


def rule_id_of(session: Session, system_id: int | None) -> str | None:
    """The service rule of a system."""
    system = session.get(System, system_id) if system_id is not None else None
    return system.rule_id if system else None


@dataclass(frozen=True, slots=True, kw_only=True)
class OwedBegun:
    """What a write-up of a visit said is still owed."""

    id: int
    what: str
    workaround: str
    needs: str
    by_on: date | None
    debtor: str
    waits_for: str


def owed_begun_at(session: Session, visit_id: int) -> list[Owed]:
    """Owed work that began at a visit, to be changed inside a piece of work."""
    return list(session.scalars(select(Owed).where(Owed.visit_id == visit_id).order_by(Owed.id)))


def owed_begun_rows(session: Session, visit_id: int) -> list[OwedBegun]:
    """Owed work that began at a visit, as rows."""
    names = OwedBegun.__dataclass_fields__
    found = owed_begun_at(session, visit_id)
    return [OwedBegun(**{name: getattr(owed, name) for name in names}) for owed in found]


def owed_of_jobs(session: Session, visit_id: int) -> set[int]:
    """Owed work that a job of the visit is about."""
    query = select(Job.owed_id).where(Job.visit_id == visit_id, Job.owed_id.is_not(None))
    return {owed_id for owed_id in session.scalars(query) if owed_id is not None}


def owed_settled_by(session: Session, visit_id: int) -> set[int]:
    """Owed work that a visit settled."""
    return set(session.scalars(select(Owed.id).where(Owed.settled_visit_id == visit_id)))


def owed_open_or_settled_by(session: Session, site_id: int, visit_id: int) -> list[OwedRow]:
    """Owed work of a site that is open or was settled by this visit, oldest first."""
    query = select(Owed).where(
        Owed.site_id == site_id,
        or_(Owed.state == "open", Owed.settled_visit_id == visit_id),
    )
    return [
        OwedRow(
            id=owed.id,
            what=owed.what,
            needs=owed.needs,
            since_on=owed.since_on,
            by_on=owed.by_on,
            waits_for=owed.waits_for,
        )
        for owed in session.scalars(query.order_by(Owed.since_on, Owed.id))
    ]


def is_owed_in_use(session: Session, owed_id: int) -> bool:
    """Does a job or a word to a customer name this owed work?"""
    for model in (Job, Told):
        if session.scalars(select(model.id).where(model.owed_id == owed_id).limit(1)).first():
            return True
    return False


def systems_of(session: Session, visit_id: int) -> set[int | None]:
    """The systems of the jobs of a visit."""
    return set(session.scalars(select(Job.system_id).where(Job.visit_id == visit_id)))


def equipment_of(session: Session, system_ids: Iterable[int]) -> dict[int, frozenset[str]]:
    """Equipment flags by system, with how it disperses; empty where nothing is known."""
    query = select(System).where(System.id.in_(sorted(set(system_ids))))
    return {
        system.id: frozenset((*system.equipment, system.dispersal)) if system.equipment else _NONE
        for system in session.scalars(query)
    }


_NONE: frozenset[str] = frozenset()
