"""What the plan of some weeks asks, beyond what a day asks."""

from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from servicedesk.records.calls import Call
from servicedesk.records.company import DayOff, Technician
from servicedesk.records.planning_rows import RoundRow, VisitRow, round_rows, with_jobs
from servicedesk.records.rounds import Round
from servicedesk.records.visits import Visit


@dataclass(frozen=True, slots=True)
class OffRow:
    """Days on which a technician does not work (until excluded)."""

    technician_id: int
    from_on: date
    until_on: date
    why: str


def visits_between(session: Session, first: date, until: date) -> list[VisitRow]:
    """Visits still to be made on days of a span (until excluded), by day, round and place."""
    query = select(Visit).where(
        Visit.planned_on >= first,
        Visit.planned_on < until,
        Visit.state == "planned",
        Visit.arrived_at.is_(None),
    )
    order = query.order_by(Visit.planned_on, Visit.round_id, Visit.place, Visit.id)
    return with_jobs(session, session.scalars(order))


def visits_on_rounds(session: Session, first: date, until: date) -> list[VisitRow]:
    """Visits on the rounds of a span (until excluded), made ones too, by day, round and place."""
    query = select(Visit).where(
        Visit.planned_on >= first,
        Visit.planned_on < until,
        Visit.round_id.is_not(None),
        Visit.state != "dropped",
    )
    order = query.order_by(Visit.planned_on, Visit.round_id, Visit.place, Visit.id)
    return with_jobs(session, session.scalars(order))


def rounds_between(session: Session, first: date, until: date) -> list[RoundRow]:
    """The rounds of a span (until excluded), by day and key."""
    query = select(Round).where(Round.day >= first, Round.day < until)
    return round_rows(session, query.order_by(Round.day, Round.id))


def days_off_between(session: Session, first: date, until: date) -> list[OffRow]:
    """Days off that meet a span (until excluded)."""
    query = select(DayOff).where(DayOff.from_on < until, DayOff.until_on > first)
    return [
        OffRow(row.technician_id, row.from_on, row.until_on, row.why)
        for row in session.scalars(query.order_by(DayOff.id))
    ]


def everybody(session: Session) -> list[Technician]:
    """All technicians ever, by name; `from_on` and `until_on` say when they are here."""
    return list(session.scalars(select(Technician).order_by(Technician.name, Technician.id)))


def n_calls_since(session: Session, since_at: datetime) -> int:
    """Calls at known sites since an instant, but those of an event (a storm says nothing)."""
    query = select(func.count(Call.id)).where(
        Call.called_at >= since_at, Call.site_id.is_not(None), Call.event_id.is_(None)
    )
    return session.scalar(query) or 0


def first_call_at(session: Session) -> datetime | None:
    """When the first call was written, None before that."""
    return session.scalar(select(func.min(Call.called_at)))
