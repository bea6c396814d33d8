"""Questions about calls: which wait, which came before, what the visits for them did."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from servicedesk.records.calls import Call
from servicedesk.records.company import OnCall, Technician
from servicedesk.records.rounds import Round
from servicedesk.records.sites import Site
from servicedesk.records.visits import Job, Visit


@dataclass(frozen=True, slots=True, kw_only=True)
class CallRow:
    """A call with its site, where it has one. Instants are UTC."""

    id: int
    revision: int
    uid: str
    called_at: datetime
    site_id: int | None
    system_id: int | None
    customer_id: int | None
    caller: str | None
    caller_phone: str | None
    where_said: str | None
    symptoms: tuple[str, ...]
    own_words: str | None
    answers: dict[str, Any]
    priority: str
    promised_by_at: datetime | None
    state: str
    answered_at: datetime | None
    taken_by: str
    event_id: int | None
    address: str | None = None
    locality: str | None = None


def _row(call: Call, address: str | None, locality: str | None) -> CallRow:
    names = set(CallRow.__dataclass_fields__) - {"address", "locality", "symptoms"}
    values = {name: getattr(call, name) for name in names}
    return CallRow(
        address=address, locality=locality, symptoms=tuple(call.symptoms or ()), **values
    )


def calls(
    session: Session,
    *,
    site_ids: Iterable[int] | None = None,
    call_ids: Iterable[int] | None = None,
    states: Iterable[str] | None = None,
    since: datetime | None = None,
    newest_first: bool = True,
    limit: int | None = None,
) -> list[CallRow]:
    """Calls that meet all the conditions given, by the time of the call (one query)."""
    query = select(Call, Site.address, Site.locality).outerjoin(Site, Site.id == Call.site_id)
    if site_ids is not None:
        query = query.where(Call.site_id.in_(list(site_ids)))
    if call_ids is not None:
        query = query.where(Call.id.in_(list(call_ids)))
    if states is not None:
        query = query.where(Call.state.in_(list(states)))
    if since is not None:
        query = query.where(Call.called_at >= since)
    order = (Call.called_at.desc(), Call.id.desc()) if newest_first else (Call.called_at, Call.id)
    query = query.order_by(*order)
    if limit is not None:
        query = query.limit(limit)
    return [_row(*found) for found in session.execute(query)]


def waiting(session: Session) -> list[CallRow]:
    """Open calls, the oldest promise first, then those without one."""
    query = (
        select(Call, Site.address, Site.locality)
        .outerjoin(Site, Site.id == Call.site_id)
        .where(Call.state == "open")
        .order_by(Call.promised_by_at.nulls_last(), Call.called_at, Call.id)
    )
    return [_row(*found) for found in session.execute(query)]


@dataclass(frozen=True, slots=True)
class CallMark:
    """A call as a mark on a small axis."""

    call_id: int
    called_at: datetime
    symptom: str


def marks(
    session: Session, site_ids: Iterable[int], since: datetime
) -> dict[int, tuple[CallMark, ...]]:
    """Calls since an instant by site, oldest first, with the first symptom of each."""
    query = (
        select(Call.site_id, Call.id, Call.called_at, Call.symptoms)
        .where(Call.site_id.in_(list(site_ids)), Call.called_at >= since, Call.state != "dropped")
        .order_by(Call.called_at, Call.id)
    )
    found: dict[int, tuple[CallMark, ...]] = {}
    for site_id, call_id, called_at, symptoms in session.execute(query):
        mark = CallMark(call_id, called_at, symptoms[0] if symptoms else "")
        found[site_id] = (*found.get(site_id, ()), mark)
    return found


def counts(session: Session, site_ids: Iterable[int]) -> dict[int, int]:
    """How often each site ever called."""
    query = (
        select(Call.site_id, func.count(Call.id))
        .where(Call.site_id.in_(list(site_ids)), Call.state != "dropped")
        .group_by(Call.site_id)
    )
    return {row[0]: row[1] for row in session.execute(query) if row[0] is not None}


@dataclass(frozen=True, slots=True, kw_only=True)
class CallVisit:
    """What one visit did, or is to do, about a call."""

    call_id: int
    visit_id: int
    visit_revision: int
    job_id: int
    state: str
    planned_on: date | None
    arrive_min: int | None
    told: bool
    arrived_at: datetime | None
    technician: str
    round_state: str | None
    outcome: str | None
    could_not: str
    found: str
    did: str
    fix: str
    no_fault_found: bool


def visits_for(session: Session, call_ids: Iterable[int]) -> dict[int, tuple[CallVisit, ...]]:
    """Visits by call, in the order they took place; dropped ones are left out."""
    query = (
        select(Job, Visit, Round.state, Technician.name)
        .join(Visit, Visit.id == Job.visit_id)
        .outerjoin(Round, Round.id == Visit.round_id)
        .outerjoin(Technician, Technician.id == func.coalesce(Visit.technician_id, Round.lead_id))
        .where(Job.call_id.in_(list(call_ids)), Visit.state != "dropped")
        .order_by(Visit.arrived_at.nulls_last(), Visit.planned_on.nulls_last(), Visit.id, Job.id)
    )
    found: dict[int, tuple[CallVisit, ...]] = {}
    for job, visit, round_state, technician in session.execute(query):
        call_id = job.call_id or 0  # never 0: the query asks for these calls
        row = CallVisit(
            call_id=call_id,
            visit_id=visit.id,
            visit_revision=visit.revision,
            job_id=job.id,
            state=visit.state,
            planned_on=visit.planned_on,
            arrive_min=visit.arrive_min,
            told=visit.told,
            arrived_at=visit.arrived_at,
            technician=technician or "",
            round_state=round_state,
            outcome=job.outcome,
            could_not=job.could_not,
            found=job.found,
            did=job.did,
            fix=job.fix,
            no_fault_found=job.no_fault_found,
        )
        found[call_id] = (*found.get(call_id, ()), row)
    return found


def call_of_uid(session: Session, uid: str) -> int | None:
    """The call with this uid, None if there is none."""
    return session.scalar(select(Call.id).where(Call.uid == uid))


def known_uids(session: Session, uids: Iterable[str]) -> set[str]:
    """Those of `uids` that calls in the store bear."""
    return set(session.scalars(select(Call.uid).where(Call.uid.in_(list(uids)))))


def somebody_on_call(session: Session, day: date) -> bool:
    """Does somebody answer the phone outside working hours on `day`?"""
    query = select(OnCall.id).where(OnCall.from_on <= day, OnCall.until_on > day).limit(1)
    return session.scalar(query) is not None


def stop_to_join(session: Session, site_id: int, day: date) -> int | None:
    """The planned stop at a site on `day` that may take one more job, None if there is none."""
    query = (
        select(Visit.id)
        .where(
            Visit.site_id == site_id,
            Visit.planned_on == day,
            Visit.state == "planned",
            Visit.kept_apart.is_(False),
        )
        .order_by(Visit.id)
    )
    return session.scalars(query).first()


def planned_jobs(session: Session, call_id: int) -> list[tuple[int, int, bool]]:
    """Planned stops for a call: visit, job, and whether the stop has no other job."""
    others = (
        select(func.count(Job.id)).where(Job.visit_id == Visit.id).correlate(Visit)
    ).scalar_subquery()
    query = (
        select(Visit.id, Job.id, others)
        .join(Job, Job.visit_id == Visit.id)
        .where(Job.call_id == call_id, Visit.state == "planned", Job.outcome.is_(None))
        .order_by(Visit.id, Job.id)
    )
    return [(row[0], row[1], row[2] == 1) for row in session.execute(query)]
