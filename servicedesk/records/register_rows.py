"""The register of papers that left: what went to whom, when, how, with which confirmation."""

from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session, aliased

from servicedesk.records.alike import BY_AND_BY, alike
from servicedesk.records.company import Technician
from servicedesk.records.papers_sent import PaperSent
from servicedesk.records.people import Authority
from servicedesk.records.sites import Site, System
from servicedesk.records.visits import Job, Visit


@dataclass(frozen=True, slots=True, kw_only=True)
class RegisterRow:
    """One paper. `corrects_number` is the number of the first one that it corrects."""

    paper_id: int
    revision: int
    number: int | None
    kind_of: str
    to_kind: str
    to_whom: str
    how: str
    sent_at: datetime
    confirmation: str
    signed_by: str
    sha256: str | None
    corrects_number: int | None
    job_id: int | None
    visit_id: int | None
    site_id: int | None
    address: str
    locality: str
    permit: str
    authority_id: int | None
    job_kind: str
    ordinal: int | None
    outcome: str
    could_not: str
    technician: str
    arrived_at: datetime | None
    window_from: date | None
    window_until: date | None


def register(
    session: Session,
    *,
    from_at: datetime,
    until_at: datetime,
    to_kind: str | None = None,
    by_visit: bool = False,
) -> list[RegisterRow]:
    """Papers sent in a span (until excluded), by day; with `by_visit` those of visits in it."""
    first = aliased(PaperSent)
    query = (
        select(
            PaperSent.id.label("paper_id"),
            PaperSent.revision,
            PaperSent.number,
            PaperSent.kind_of,
            PaperSent.to_kind,
            func.coalesce(PaperSent.to_whom, "").label("to_whom"),
            PaperSent.how,
            PaperSent.sent_at,
            PaperSent.confirmation,
            PaperSent.signed_by,
            PaperSent.sha256,
            first.number.label("corrects_number"),
            PaperSent.job_id,
            PaperSent.visit_id,
            func.coalesce(Visit.site_id, System.site_id).label("site_id"),
            func.coalesce(Site.address, "").label("address"),
            func.coalesce(Site.locality, "").label("locality"),
            func.coalesce(System.permit, "").label("permit"),
            System.authority_id,
            func.coalesce(Job.kind_of, "").label("job_kind"),
            Job.ordinal,
            func.coalesce(Job.outcome, "").label("outcome"),
            func.coalesce(Job.could_not, "").label("could_not"),
            func.coalesce(Technician.name, "").label("technician"),
            Visit.arrived_at,
            Job.window_from,
            Job.window_until,
        )
        .outerjoin(first, first.id == PaperSent.corrects_id)
        .outerjoin(Visit, Visit.id == PaperSent.visit_id)
        .outerjoin(Job, Job.id == PaperSent.job_id)
        .outerjoin(System, System.id == func.coalesce(PaperSent.system_id, Job.system_id))
        # an offer belongs to no visit: its site is that of its system
        .outerjoin(Site, Site.id == func.coalesce(Visit.site_id, System.site_id))
        .outerjoin(Technician, Technician.id == Visit.technician_id)
        .order_by(PaperSent.sent_at, PaperSent.id)
    )
    at = Visit.arrived_at if by_visit else PaperSent.sent_at
    query = query.where(at >= from_at, at < until_at)
    if to_kind is not None:
        query = query.where(PaperSent.to_kind == to_kind)
    same = alike()
    return [
        RegisterRow(**{name: same(value) for name, value in row._mapping.items()})
        for row in session.execute(query, execution_options=BY_AND_BY)
    ]


@dataclass(frozen=True, slots=True, kw_only=True)
class MonthJob:
    """A job done or tried in a month, with the papers that the authority has about it."""

    job_id: int
    visit_id: int
    site_id: int
    address: str
    locality: str
    permit: str
    authority_id: int | None
    kind: str
    ordinal: int | None
    outcome: str
    could_not: str
    technician: str
    arrived_at: datetime


def jobs_between(session: Session, from_at: datetime, until_at: datetime) -> list[MonthJob]:
    """Inspections and pump-outs done or tried in a span (until excluded), by day."""
    query = (
        select(
            Job.id.label("job_id"),
            Job.visit_id,
            Visit.site_id,
            Site.address,
            Site.locality,
            func.coalesce(System.permit, "").label("permit"),
            System.authority_id,
            Job.kind_of.label("kind"),
            Job.ordinal,
            Job.outcome,
            Job.could_not,
            func.coalesce(Technician.name, "").label("technician"),
            Visit.arrived_at,
        )
        .join(Visit, Visit.id == Job.visit_id)
        .join(Site, Site.id == Visit.site_id)
        .outerjoin(System, System.id == Job.system_id)
        .outerjoin(Technician, Technician.id == Visit.technician_id)
        .where(
            Job.kind_of.in_(("inspection", "pump-out")),
            Job.outcome.is_not(None),
            Visit.state == "done",
            Visit.arrived_at >= from_at,
            Visit.arrived_at < until_at,
        )
        .order_by(Visit.arrived_at, Job.id)
    )
    return [MonthJob(**row._mapping) for row in session.execute(query)]


def authorities(session: Session) -> dict[int, tuple[str, ...]]:
    """Authorities by key: name, office and address, line by line."""
    return {
        one.id: tuple(
            part for part in (one.name, one.office, *one.address.splitlines()) if part.strip()
        )
        for one in session.scalars(select(Authority).order_by(Authority.id))
    }
