"""What the planner of a day asks: who works, what waits where, how long jobs took."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any

from sqlalchemy import Select, func, or_, select
from sqlalchemy.orm import Session

from servicedesk.records.calls import Call
from servicedesk.records.contracts import Contract, ContractSystem
from servicedesk.records.owed import Owed
from servicedesk.records.people import Customer, SiteRole
from servicedesk.records.rounds import Round, RoundCrew
from servicedesk.records.sites import ClosedSpan, Site, System
from servicedesk.records.visits import Job, Visit

BATCH = 500  # keys in one IN list


@dataclass(frozen=True, slots=True, kw_only=True)
class JobRow:
    """One thing to do at a planned visit."""

    id: int
    kind: str
    system_id: int | None
    contract_id: int | None
    ordinal: int | None
    window_until: date | None
    call_id: int | None
    owed_id: int | None
    outcome: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class VisitRow:
    """A visit as the planner sees it."""

    id: int
    uid: str
    revision: int
    site_id: int
    state: str
    planned_on: date | None
    round_id: int | None
    lead_id: int | None
    place: int | None
    arrive_min: int | None
    begin_min: int | None
    leave_min: int | None
    drive_min: int | None
    held: bool
    held_crew_id: int | None
    held_at_min: int | None
    told: bool
    promise_from_min: int | None
    promise_until_min: int | None
    service_min: int | None
    kept_apart: bool
    arrived_at: datetime | None
    left_at: datetime | None
    jobs: tuple[JobRow, ...]
    wishes: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class SitePlace:
    """Where a site lies and when it may be visited."""

    id: int
    number: int
    address: str
    locality: str
    postcode: str
    lat_deg: float | None
    lon_deg: float | None
    position_source: str | None
    visiting_from_min: int | None
    visiting_until_min: int | None
    visiting_days: tuple[int, ...] | None
    wanted_technician_id: int | None
    owner: str
    is_ended: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class RoundRow:
    """A round: one crew's day."""

    id: int
    uid: str
    revision: int
    day: date
    lead_id: int
    crew: tuple[int, ...]
    truck_id: int | None
    state: str
    handed_out_at: datetime | None
    changed_since: bool
    leave_min: int | None
    home_min: int | None
    road_min: int | None
    break_at_min: int | None
    planner: str


def rounds_on(session: Session, day: date) -> list[RoundRow]:
    """The rounds of a day, by key."""
    return round_rows(session, select(Round).where(Round.day == day).order_by(Round.id))


def round_rows(session: Session, query: Select[Round]) -> list[RoundRow]:
    """The rounds of a query in its order, with their crews."""
    rounds = session.scalars(query).all()
    crew: dict[int, list[int]] = {}
    riders = select(RoundCrew.round_id, RoundCrew.technician_id).order_by(RoundCrew.id)
    for row in session.execute(riders.where(RoundCrew.round_id.in_([r.id for r in rounds]))):
        crew.setdefault(row.round_id, []).append(row.technician_id)
    return [
        RoundRow(
            id=r.id,
            uid=r.uid,
            revision=r.revision,
            day=r.day,
            lead_id=r.lead_id,
            crew=tuple(crew.get(r.id, ())),
            truck_id=r.truck_id,
            state=r.state,
            handed_out_at=r.handed_out_at,
            changed_since=r.changed_since,
            leave_min=r.leave_min,
            home_min=r.home_min,
            road_min=r.road_min,
            break_at_min=r.break_at_min,
            planner=r.planner,
        )
        for r in rounds
    ]


def days_with_rounds(session: Session, first: date, until: date) -> dict[date, list[str]]:
    """The states of the rounds of each day in a span (until excluded)."""
    query = select(Round.day, Round.state).where(Round.day >= first, Round.day < until)
    found: dict[date, list[str]] = {}
    for row in session.execute(query.order_by(Round.day, Round.id)):
        found.setdefault(row.day, []).append(row.state)
    return found


def visits_of_day(session: Session, day: date) -> list[VisitRow]:
    """Every visit of a day that was not dropped, with its jobs, in the order of the rounds."""
    query = select(Visit).where(Visit.planned_on == day, Visit.state != "dropped")
    return with_jobs(
        session, session.scalars(query.order_by(Visit.round_id, Visit.place, Visit.id))
    )


def visits_without_day(session: Session) -> list[VisitRow]:
    """Planned visits that have no day yet."""
    query = select(Visit).where(Visit.planned_on.is_(None), Visit.state == "planned")
    return with_jobs(session, session.scalars(query.order_by(Visit.id)))


def with_jobs(session: Session, visits: Iterable[Visit]) -> list[VisitRow]:
    """Visits as rows, with their jobs and who leads the round: three queries for any number."""
    found = list(visits)
    jobs: dict[int, list[JobRow]] = {}
    for ids in batches([v.id for v in found]):
        for job in session.scalars(select(Job).where(Job.visit_id.in_(ids)).order_by(Job.id)):
            jobs.setdefault(job.visit_id, []).append(_job_row(job))
    rounds = sorted({v.round_id for v in found if v.round_id is not None})
    leads: dict[int, int] = {}
    for ids in batches(rounds):
        query = select(Round.id, Round.lead_id).where(Round.id.in_(ids))
        leads |= {row.id: row.lead_id for row in session.execute(query)}
    return [_visit_row(visit, tuple(jobs.get(visit.id, ())), leads) for visit in found]


def _job_row(job: Job) -> JobRow:
    return JobRow(
        id=job.id,
        kind=job.kind_of,
        system_id=job.system_id,
        contract_id=job.contract_id,
        ordinal=job.ordinal,
        window_until=job.window_until,
        call_id=job.call_id,
        owed_id=job.owed_id,
        outcome=job.outcome,
    )


def _visit_row(visit: Visit, jobs: tuple[JobRow, ...], leads: dict[int, int]) -> VisitRow:
    return VisitRow(
        id=visit.id,
        uid=visit.uid,
        revision=visit.revision,
        site_id=visit.site_id,
        state=visit.state,
        planned_on=visit.planned_on,
        round_id=visit.round_id,
        lead_id=leads.get(visit.round_id or 0),
        place=visit.place,
        arrive_min=visit.arrive_min,
        begin_min=visit.begin_min,
        leave_min=visit.leave_min,
        drive_min=visit.drive_min,
        held=visit.held,
        held_crew_id=visit.held_crew_id,
        held_at_min=visit.held_at_min,
        told=visit.told,
        promise_from_min=visit.promise_from_min,
        promise_until_min=visit.promise_until_min,
        service_min=visit.service_min,
        kept_apart=visit.kept_apart,
        arrived_at=visit.arrived_at,
        left_at=visit.left_at,
        jobs=jobs,
        wishes=visit.wishes or {},
    )


def site_places(session: Session, ids: Iterable[int] | None = None) -> dict[int, SitePlace]:
    """Places of the given sites (None: of all that have not ended), by key, with the owner."""
    found: dict[int, SitePlace] = {}
    if ids is None:
        owners = _owners(session, None)
        for site in session.execute(select(*_PLACE).where(Site.ended_on.is_(None))):
            found[site.id] = _site_place(site, owners)
        return found
    for some in batches(sorted(set(ids))):
        owners = _owners(session, some)
        for site in session.execute(select(*_PLACE).where(Site.id.in_(some))):
            found[site.id] = _site_place(site, owners)
    return found


def _owners(session: Session, ids: list[int] | None) -> dict[int, str]:
    query = (
        select(SiteRole.site_id, Customer.name)
        .join(Customer, Customer.id == SiteRole.customer_id)
        .where(SiteRole.role == "owner", SiteRole.until_on.is_(None))
        .order_by(SiteRole.id)
    )
    if ids is not None:
        query = query.where(SiteRole.site_id.in_(ids))
    return {row.site_id: row.name for row in session.execute(query)}


_PLACE = (
    Site.id, Site.number, Site.address, Site.locality, Site.postcode, Site.lat_deg, Site.lon_deg,
    Site.position_source, Site.visiting_from_min, Site.visiting_until_min, Site.visiting_days,
    Site.wanted_technician_id, Site.ended_on,
)  # fmt: skip


def _site_place(site: Any, owners: dict[int, str]) -> SitePlace:
    days: list[Any] | None = site.visiting_days
    return SitePlace(
        id=site.id,
        number=site.number,
        address=site.address,
        locality=site.locality,
        postcode=site.postcode,
        lat_deg=site.lat_deg,
        lon_deg=site.lon_deg,
        position_source=site.position_source,
        visiting_from_min=site.visiting_from_min,
        visiting_until_min=site.visiting_until_min,
        visiting_days=None if days is None else tuple(days),
        wanted_technician_id=site.wanted_technician_id,
        owner=owners.get(site.id, ""),
        is_ended=site.ended_on is not None,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class ClosedRow:
    """Days on which a site cannot be visited."""

    site_id: int
    from_on: date
    until_on: date
    every_year: bool
    why: str


def closed_spans(session: Session, site_id: int | None = None) -> dict[int, list[ClosedRow]]:
    """Closed spans by site."""
    query = select(ClosedSpan).order_by(ClosedSpan.id)
    if site_id is not None:
        query = query.where(ClosedSpan.site_id == site_id)
    found: dict[int, list[ClosedRow]] = {}
    for span in session.scalars(query):
        row = ClosedRow(
            site_id=span.site_id,
            from_on=span.from_on,
            until_on=span.until_on,
            every_year=span.every_year,
            why=span.why,
        )
        found.setdefault(span.site_id, []).append(row)
    return found


@dataclass(frozen=True, slots=True, kw_only=True)
class CoveredSystem:
    """A system under a contract, as the windows are counted for it."""

    contract_id: int
    contract_number: int
    system_id: int
    site_id: int
    from_on: date
    until_on: date
    visits_a_year: int
    counting: str
    tolerance_days: int
    longest_gap_months: int | None
    ended_on: date | None
    rule_id: str | None
    permit_visits: int | None
    started_on: date | None
    single_family: bool


def covered_systems(
    session: Session, *, day: date, site_id: int | None = None, past: bool = False
) -> list[CoveredSystem]:
    """Systems under a contract that runs on `day` (with `past`: or ran before), by keys."""
    query = (
        select(
            ContractSystem.contract_id,
            Contract.number.label("contract_number"),
            ContractSystem.system_id,
            System.site_id,
            Contract.from_on,
            Contract.until_on,
            Contract.visits_a_year,
            Contract.counting,
            Contract.tolerance_days,
            Contract.longest_gap_months,
            Contract.ended_on,
            System.rule_id,
            System.permit_visits,
            System.started_on,
            System.single_family,
        )
        .join(Contract, Contract.id == ContractSystem.contract_id)
        .join(System, System.id == ContractSystem.system_id)
        .join(Site, Site.id == System.site_id)
        .where(
            Contract.stage != "draft",
            Contract.from_on <= day,
            System.ended_on.is_(None),
            Site.ended_on.is_(None),
        )
        .order_by(ContractSystem.system_id, Contract.from_on, Contract.id)
    )
    if not past:
        query = query.where(
            Contract.until_on > day, or_(Contract.ended_on.is_(None), Contract.ended_on > day)
        )
    if site_id is not None:
        query = query.where(System.site_id == site_id)
    return [CoveredSystem(**row._mapping) for row in session.execute(query)]


@dataclass(frozen=True, slots=True, kw_only=True)
class InspectionRow:
    """An inspection job that was done, tried, or is planned."""

    job_id: int
    visit_id: int
    system_id: int
    contract_id: int | None
    ordinal: int | None
    outcome: str | None
    could_not: str
    visit_state: str
    on: date | None  # day of the visit: as done, else as planned
    arrived_at: datetime | None


def inspections(
    session: Session, *, since: date | None = None, site_id: int | None = None
) -> list[InspectionRow]:
    """Inspection jobs by day, whose visit was not dropped. `since` leaves older ones away."""
    query = (
        select(
            Job.id,
            Job.visit_id,
            Job.system_id,
            Job.contract_id,
            Job.ordinal,
            Job.outcome,
            Job.could_not,
            Visit.state,
            Visit.planned_on,
            Visit.arrived_at,
        )
        .join(Visit, Visit.id == Job.visit_id)
        .where(Job.kind_of == "inspection", Visit.state != "dropped", Job.system_id.is_not(None))
        .order_by(Visit.planned_on, Job.id)
    )
    if since is not None:
        query = query.where(or_(Visit.planned_on.is_(None), Visit.planned_on >= since))
    if site_id is not None:
        query = query.where(Visit.site_id == site_id)
    return [
        InspectionRow(
            job_id=row.id,
            visit_id=row.visit_id,
            system_id=row.system_id,
            contract_id=row.contract_id,
            ordinal=row.ordinal,
            outcome=row.outcome,
            could_not=row.could_not,
            visit_state=row.state,
            on=row.planned_on,
            arrived_at=row.arrived_at,
        )
        for row in session.execute(query)
    ]


@dataclass(frozen=True, slots=True, kw_only=True)
class WaitingCall:
    """A call that nobody has a visit planned for."""

    id: int
    site_id: int
    system_id: int | None
    called_at: datetime
    priority: str
    promised_by_at: datetime | None
    symptoms: tuple[str, ...]
    own_words: str


def waiting_calls(session: Session) -> list[WaitingCall]:
    """Open calls at known sites without a planned visit, oldest promise first."""
    planned = (
        select(Job.call_id)
        .join(Visit, Visit.id == Job.visit_id)
        .where(Job.call_id.is_not(None), Visit.state == "planned")
    )
    query = (
        select(Call)
        .where(Call.state == "open", Call.site_id.is_not(None), Call.id.not_in(planned))
        .order_by(Call.promised_by_at.nulls_last(), Call.id)
    )
    return [_waiting(call) for call in session.scalars(query)]


def calls_of(session: Session, ids: Iterable[int]) -> dict[int, WaitingCall]:
    """Open calls by key, whether a visit is planned for them or not."""
    found: dict[int, WaitingCall] = {}
    for some in batches(sorted(set(ids))):
        query = select(Call).where(Call.id.in_(some), Call.state == "open")
        found |= {call.id: _waiting(call) for call in session.scalars(query)}
    return found


def _waiting(call: Call) -> WaitingCall:
    return WaitingCall(
        id=call.id,
        site_id=call.site_id or 0,
        system_id=call.system_id,
        called_at=call.called_at,
        priority=call.priority,
        promised_by_at=call.promised_by_at,
        symptoms=tuple(call.symptoms),
        own_words=call.own_words or "",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class WaitingOwed:
    """Owed work with the minutes it takes there, where somebody said so."""

    id: int
    site_id: int
    system_id: int | None
    since_on: date
    by_on: date | None
    what: str
    needs: str
    minutes: int | None


def waiting_owed(session: Session) -> list[WaitingOwed]:
    """Open work that we owe and that waits for nothing but a day, soonest last day first."""
    planned = (
        select(Job.owed_id)
        .join(Visit, Visit.id == Job.visit_id)
        .where(Job.owed_id.is_not(None), Visit.state == "planned")
    )
    query = (
        select(Owed)
        .where(
            Owed.state == "open",
            Owed.debtor == "us",
            Owed.waits_for.in_(("", "day")),
            Owed.id.not_in(planned),
        )
        .order_by(Owed.by_on.nulls_last(), Owed.id)
    )
    return [_waiting_owed(owed) for owed in session.scalars(query)]


def owed_of(session: Session, ids: Iterable[int]) -> dict[int, WaitingOwed]:
    """Owed work by key, whether a visit is planned for it or not."""
    found: dict[int, WaitingOwed] = {}
    for some in batches(sorted(set(ids))):
        query = select(Owed).where(Owed.id.in_(some))
        found |= {owed.id: _waiting_owed(owed) for owed in session.scalars(query)}
    return found


def _waiting_owed(owed: Owed) -> WaitingOwed:
    return WaitingOwed(
        id=owed.id,
        site_id=owed.site_id,
        system_id=owed.system_id,
        since_on=owed.since_on,
        by_on=owed.by_on,
        what=owed.what,
        needs=owed.needs,
        minutes=owed.minutes,
    )


def job_times(session: Session) -> dict[str, dict[int, tuple[int, float, float]]]:
    """Past minutes of done jobs: by kind, by site: how many, their sum, their sum of squares."""
    query = (
        select(
            Job.kind_of,
            Visit.site_id,
            func.count(Job.id),
            func.sum(Job.minutes),
            func.sum(Job.minutes * Job.minutes),
        )
        .join(Visit, Visit.id == Job.visit_id)
        .where(Job.outcome == "done", Job.minutes.is_not(None))
        .group_by(Job.kind_of, Visit.site_id)
    )
    found: dict[str, dict[int, tuple[int, float, float]]] = {}
    for kind, site_id, n, total, squares in session.execute(query):
        found.setdefault(kind, {})[site_id] = (n, float(total or 0), float(squares or 0))
    return found


def batches(ids: list[int], size: int = BATCH) -> Iterable[list[int]]:
    """Keys in lists short enough for one statement."""
    for start in range(0, len(ids), size):
        yield ids[start : start + size]
