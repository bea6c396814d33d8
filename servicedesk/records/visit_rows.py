"""Questions about visits: the last one, the next one, all of a site."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from servicedesk.records.company import Technician
from servicedesk.records.equipment import Unit
from servicedesk.records.rounds import Round
from servicedesk.records.visits import Finding, Job, PartLine, ReadingRow, Visit


@dataclass(frozen=True, slots=True, kw_only=True)
class JobRow:
    """One thing to do or done at a visit."""

    id: int
    visit_id: int
    kind_of: str
    system_id: int | None
    contract_id: int | None
    ordinal: int | None
    window_from: date | None
    window_until: date | None
    call_id: int | None
    owed_id: int | None
    outcome: str | None
    could_not: str
    found: str
    did: str
    cause_id: str | None
    no_fault_found: bool
    fix: str
    minutes: int | None
    told_whom: str


@dataclass(frozen=True, slots=True, kw_only=True)
class VisitRow:
    """One stop, planned or done, with its jobs. Minutes count from local midnight."""

    id: int
    revision: int
    site_id: int
    state: str
    planned_on: date | None
    round_id: int | None
    round_state: str | None
    technician: str
    arrive_min: int | None
    begin_min: int | None
    held: bool
    held_at_min: int | None
    told: bool
    promise_from_min: int | None
    promise_until_min: int | None
    arrived_at: datetime | None
    left_at: datetime | None
    weather: str
    note: str
    as_left: str
    jobs: tuple[JobRow, ...] = ()


def last_visits(session: Session, site_ids: Iterable[int]) -> dict[int, datetime]:
    """When somebody last was at each site."""
    query = (
        select(Visit.site_id, func.max(Visit.arrived_at))
        .where(
            Visit.site_id.in_(list(site_ids)),
            Visit.state == "done",
            Visit.arrived_at.is_not(None),
        )
        .group_by(Visit.site_id)
    )
    return {row[0]: row[1] for row in session.execute(query) if row[1] is not None}


def jobs_of(session: Session, visit_ids: Iterable[int]) -> dict[int, tuple[JobRow, ...]]:
    """Jobs by visit, in the order written."""
    query = select(Job).where(Job.visit_id.in_(list(visit_ids))).order_by(Job.visit_id, Job.id)
    found: dict[int, tuple[JobRow, ...]] = {}
    for job in session.scalars(query):
        row = JobRow(**{name: getattr(job, name) for name in JobRow.__dataclass_fields__})
        found[job.visit_id] = (*found.get(job.visit_id, ()), row)
    return found


def visits_of(
    session: Session, site_ids: Iterable[int], *, coming_from: date | None = None
) -> list[VisitRow]:
    """Visits of these sites with their jobs, oldest first, those without a day last (two queries).

    With `coming_from` only planned ones, on that day or later or without a day.
    """
    query = (
        select(Visit, Round.state, Technician.name)
        .outerjoin(Round, Round.id == Visit.round_id)
        .outerjoin(Technician, Technician.id == func.coalesce(Visit.technician_id, Round.lead_id))
        .where(Visit.site_id.in_(list(site_ids)))
        .order_by(Visit.planned_on.nulls_last(), Visit.arrive_min.nulls_last(), Visit.id)
    )
    if coming_from is not None:
        later = Visit.planned_on.is_(None) | (Visit.planned_on >= coming_from)
        query = query.where(Visit.state == "planned", later)
    found = session.execute(query).all()
    jobs = jobs_of(session, [visit.id for visit, _, _ in found])
    return [_visit_row(v, state, name, jobs.get(v.id, ())) for v, state, name in found]


def _visit_row(
    visit: Visit, round_state: str | None, technician: str | None, jobs: tuple[JobRow, ...]
) -> VisitRow:
    return VisitRow(
        id=visit.id,
        revision=visit.revision,
        site_id=visit.site_id,
        state=visit.state,
        planned_on=visit.planned_on,
        round_id=visit.round_id,
        round_state=round_state,
        technician=technician or "",
        arrive_min=visit.arrive_min,
        begin_min=visit.begin_min,
        held=visit.held,
        held_at_min=visit.held_at_min,
        told=visit.told,
        promise_from_min=visit.promise_from_min,
        promise_until_min=visit.promise_until_min,
        arrived_at=visit.arrived_at,
        left_at=visit.left_at,
        weather=visit.weather,
        note=visit.note,
        as_left=visit.as_left,
        jobs=jobs,
    )


def next_stops(session: Session, site_ids: Iterable[int], day: date) -> dict[int, VisitRow]:
    """The next planned stop at each site from `day` on; one without a day if that is all."""
    found: dict[int, VisitRow] = {}
    for visit in visits_of(session, site_ids, coming_from=day):
        found.setdefault(visit.site_id, visit)
    return found


@dataclass(frozen=True, slots=True)
class LookRow:
    """Somebody looked at a component: which, when, by which check, with which result."""

    visit_id: int | None
    unit_id: int | None
    component: str | None
    check_id: str
    result_id: str | None
    found_at: datetime
    found_by: str
    note: str


def looks_at(session: Session, system_ids: Iterable[int]) -> list[LookRow]:
    """Findings at these systems, oldest first."""
    query = (
        select(Finding, Unit.component)
        .outerjoin(Unit, Unit.id == Finding.unit_id)
        .where(Finding.system_id.in_(list(system_ids)))
        .order_by(Finding.found_at, Finding.id)
    )
    return [
        LookRow(
            f.visit_id, f.unit_id, part, f.check_id, f.result_id, f.found_at, f.found_by, f.note
        )
        for f, part in session.execute(query)
    ]


def parts_used(session: Session, visit_ids: Iterable[int]) -> dict[int, tuple[str, ...]]:
    """Parts used by visit, as written."""
    query = (
        select(PartLine.visit_id, PartLine.quantity, PartLine.text)
        .where(PartLine.visit_id.in_(list(visit_ids)))
        .order_by(PartLine.id)
    )
    found: dict[int, tuple[str, ...]] = {}
    for visit_id, quantity, text in session.execute(query):
        line = text if quantity == 1 else f"{quantity} × {text}"
        found[visit_id] = (*found.get(visit_id, ()), line)
    return found


@dataclass(frozen=True, slots=True)
class ReadingLine:
    """A reading as it was taken."""

    visit_id: int
    item_id: str
    value: str
    unit: str
    qualifier: str
    state: str


def readings_of(session: Session, visit_ids: Iterable[int]) -> dict[int, tuple[ReadingLine, ...]]:
    """Readings by visit, in the order written."""
    query = (
        select(Job.visit_id, ReadingRow)
        .join(Job, Job.id == ReadingRow.job_id)
        .where(Job.visit_id.in_(list(visit_ids)))
        .order_by(ReadingRow.id)
    )
    found: dict[int, tuple[ReadingLine, ...]] = {}
    for visit_id, r in session.execute(query):
        line = ReadingLine(visit_id, r.item_id, r.value, r.unit, r.qualifier, r.state)
        found[visit_id] = (*found.get(visit_id, ()), line)
    return found
