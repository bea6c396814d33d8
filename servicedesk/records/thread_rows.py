"""What threads are made of: calls, what every visit for them tried, the words of people.

All questions are asked for some sites or for all (`site_ids` None), one query each unless said.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import func, or_, select
from sqlalchemy.orm import Session

from servicedesk.records.calls import Call, ThreadMark
from servicedesk.records.company import Technician
from servicedesk.records.owed import Owed
from servicedesk.records.rounds import Round
from servicedesk.records.sites import Site, System
from servicedesk.records.visits import Finding, Job, PartLine, Visit

SiteIds = Iterable[int] | None
Columns = tuple[Any, ...]


@dataclass(frozen=True, slots=True)
class CallOfSite:
    """A call at a site. `system_id` None: nobody said which."""

    id: int
    site_id: int
    system_id: int | None
    called_at: datetime
    symptoms: tuple[str, ...]
    own_words: str
    event_id: int | None
    state: str
    address: str


def calls(session: Session, site_ids: SiteIds = None) -> list[CallOfSite]:
    """Calls of sites, oldest first. Dropped ones are left out."""
    query = (
        select(
            Call.id,
            Call.site_id,
            Call.system_id,
            Call.called_at,
            Call.symptoms,
            Call.own_words,
            Call.event_id,
            Call.state,
            Site.address,
        )
        .join(Site, Site.id == Call.site_id)
        .where(Call.site_id.is_not(None), Call.state != "dropped")
        .order_by(Call.called_at, Call.id)
    )
    return [
        CallOfSite(
            one, site, system, at, tuple(symptoms or ()), words or "", event, state, address or ""
        )
        for one, site, system, at, symptoms, words, event, state, address in session.execute(
            _at(query, Call.site_id, site_ids)
        )
    ]


def site_of_call(session: Session, call_id: int) -> int | None:
    """The site of a call, None if it has none or is not there."""
    return session.scalar(select(Call.site_id).where(Call.id == call_id))


def systems(session: Session, site_ids: SiteIds = None) -> dict[int, tuple[int, ...]]:
    """Systems by site."""
    query = _at(select(System.site_id, System.id).order_by(System.id), System.site_id, site_ids)
    found: dict[int, tuple[int, ...]] = {}
    for site_id, system_id in session.execute(query):
        found[site_id] = (*found.get(site_id, ()), system_id)
    return found


@dataclass(frozen=True, slots=True, kw_only=True)
class VisitTried:
    """What a visit that took place did about a call; `checks`: those it said the result of.

    `parts`: as written, and part kinds of old papers. `is_owed`: it settled what was left there.
    """

    call_id: int
    visit_id: int
    arrived_at: datetime | None
    planned_on: date | None
    technician: str
    outcome: str | None
    could_not: str
    found: str
    did: str
    fix: str
    no_fault_found: bool
    cause_id: str
    cause_known_by: str
    checks: tuple[str, ...]
    parts: tuple[str, ...]
    is_owed: bool = False


def visits(
    session: Session, site_ids: SiteIds = None, *, details: bool = True
) -> dict[int, tuple[VisitTried, ...]]:
    """Visits that took place by call, in their order (four queries).

    A visit that settled what a visit for the call had left owed counts as one for the call.
    Without `details` there are no words, checks and parts (two queries).
    """
    ids = None if site_ids is None else list(site_ids)
    checks = _checks(session, ids) if details else {}
    parts = _parts(session, ids) if details else {}
    columns = (*_OUTCOME, *_DETAILS) if details else _OUTCOME
    jobs = [(row, row.call_id, False) for row in _for_calls(session, ids, columns)]
    jobs += [(row, row.first_call_id, True) for row in _settling(session, ids, columns)]
    found: dict[int, tuple[VisitTried, ...]] = {}
    for job, call_id, is_owed in sorted(jobs, key=lambda one: _order(one[0])):
        told = job._mapping
        said = (*told.get("checks_done", ()), *checks.get(job.id, ()))
        row = VisitTried(
            call_id=call_id,
            visit_id=job.id,
            arrived_at=job.arrived_at,
            planned_on=job.planned_on,
            technician=job.name or "",
            outcome=job.outcome,
            could_not=told.get("could_not", ""),
            found=told.get("found", ""),
            did=told.get("did", ""),
            fix=job.fix,
            no_fault_found=job.no_fault_found,
            cause_id=job.cause_id or "",
            cause_known_by=job.cause_known_by,
            checks=tuple(dict.fromkeys(str(one) for one in said)),
            parts=(*(str(part) for part in told.get("parts_changed", ())), *parts.get(job.id, ())),
            is_owed=is_owed,
        )
        found[call_id] = (*found.get(call_id, ()), row)
    return found


_OUTCOME = (
    Job.call_id,
    Job.outcome,
    Job.fix,
    Job.no_fault_found,
    Job.cause_id,
    Job.cause_known_by,
)
_DETAILS = (Job.could_not, Job.found, Job.did, Job.checks_done, Job.parts_changed)


def _order(job: Any) -> tuple[str, int]:
    at = job.arrived_at.isoformat() if job.arrived_at is not None else str(job.planned_on or "")
    return at, job.id


def _jobs_done(columns: Columns) -> Any:
    return (
        select(*columns, Visit.id, Visit.arrived_at, Visit.planned_on, Technician.name)
        .select_from(Job)
        .join(Visit, Visit.id == Job.visit_id)
        .outerjoin(Round, Round.id == Visit.round_id)
        .outerjoin(Technician, Technician.id == func.coalesce(Visit.technician_id, Round.lead_id))
        .where(Visit.state == "done", Job.outcome.is_not(None))
    )


def _for_calls(session: Session, ids: list[int] | None, columns: Columns) -> Iterable[Any]:
    query = _jobs_done(columns).where(Job.call_id.is_not(None))
    return session.execute(_at(query, Visit.site_id, ids)).all()


def _settling(session: Session, ids: list[int] | None, columns: Columns) -> Iterable[Any]:
    """Jobs that settled what a visit for a call had left."""
    first = (
        select(Job.visit_id, Job.call_id.label("first_call_id"))
        .where(Job.call_id.is_not(None))
        .subquery()
    )
    query = (
        _jobs_done(columns)
        .add_columns(first.c.first_call_id)
        .join(Owed, Owed.id == Job.owed_id)
        .join(first, first.c.visit_id == Owed.visit_id)
        .where(Job.call_id.is_(None), Owed.visit_id != Job.visit_id)
    )
    return session.execute(_at(query, Visit.site_id, ids)).all()


def _checks(session: Session, ids: list[int] | None) -> dict[int, tuple[str, ...]]:
    """Checks with a result, by visit."""
    query = (
        select(Finding.visit_id, Finding.check_id)
        .join(Visit, Visit.id == Finding.visit_id)
        .where(Finding.result_id.is_not(None), Visit.id.in_(_visits_for_calls()))
        .order_by(Finding.id)
    )
    return _by_visit(session, _at(query, Visit.site_id, ids))


def _parts(session: Session, ids: list[int] | None) -> dict[int, tuple[str, ...]]:
    """Parts used, as written, by visit."""
    query = (
        select(PartLine.visit_id, PartLine.text)
        .join(Visit, Visit.id == PartLine.visit_id)
        .where(Visit.id.in_(_visits_for_calls()))
        .order_by(PartLine.id)
    )
    return _by_visit(session, _at(query, Visit.site_id, ids))


def _visits_for_calls() -> Any:
    return select(Job.visit_id).where(or_(Job.call_id.is_not(None), Job.owed_id.is_not(None)))


def _by_visit(session: Session, query: Any) -> dict[int, tuple[str, ...]]:
    found: dict[int, tuple[str, ...]] = {}
    for visit_id, text in session.execute(query):
        found[visit_id] = (*found.get(visit_id, ()), text)
    return found


@dataclass(frozen=True, slots=True)
class MarkRow:
    """A person's word about two calls, in the order in which they were said."""

    id: int
    call_id: int
    other_call_id: int
    joined: bool
    why: str


def marks(session: Session, site_ids: SiteIds = None) -> list[MarkRow]:
    """What people said about calls of these sites, the oldest first."""
    query = select(ThreadMark).join(Call, Call.id == ThreadMark.call_id).order_by(ThreadMark.id)
    return [
        MarkRow(m.id, m.call_id, m.other_call_id, m.joined, m.why)
        for m in session.scalars(_at(query, Call.site_id, site_ids))
    ]


def _at(query: Any, column: Any, site_ids: SiteIds) -> Any:
    """A select kept to some sites."""
    return query if site_ids is None else query.where(column.in_(list(site_ids)))
