"""What a simulated year rests on: how long work took, what was driven, who was off."""

from dataclasses import dataclass
from datetime import date

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from servicedesk.records.company import DayOff
from servicedesk.records.visits import Job, Visit


@dataclass(frozen=True, slots=True)
class JobMinutes:
    """Done jobs of a kind: how many, their sum of minutes, their sum of squares."""

    n: int
    total: float
    squares: float


def job_minutes(session: Session, kind: str, since: date) -> JobMinutes:
    """Minutes of done jobs of a kind since a day."""
    query = (
        select(func.count(Job.id), func.sum(Job.minutes), func.sum(Job.minutes * Job.minutes))
        .join(Visit, Visit.id == Job.visit_id)
        .where(
            Job.kind_of == kind,
            Job.outcome == "done",
            Job.minutes.is_not(None),
            Visit.planned_on >= since,
        )
    )
    n, total, squares = session.execute(query).one()
    return JobMinutes(n or 0, float(total or 0), float(squares or 0))


def mean_drive_min(session: Session, since: date) -> tuple[int, float]:
    """How many drives to a stop were written down since a day, and their mean minutes."""
    query = select(func.count(Visit.id), func.avg(Visit.travel_min)).where(
        Visit.travel_min.is_not(None), Visit.state == "done", Visit.planned_on >= since
    )
    n, mean = session.execute(query).one()
    return n or 0, float(mean or 0)


def stops_a_day(session: Session, since: date, until: date) -> float:
    """Mean number of stops on a round of a span (until excluded); 0 without rounds."""
    query = (
        select(func.count(Visit.id), func.count(Visit.round_id.distinct()))
        .where(Visit.round_id.is_not(None), Visit.planned_on >= since, Visit.planned_on < until)
    )  # fmt: skip
    n, rounds = session.execute(query).one()
    return n / rounds if rounds else 0.0


def days_off_since(session: Session, since: date, until: date) -> int:
    """Calendar days off of all technicians within a span (until excluded)."""
    query = select(DayOff.from_on, DayOff.until_on).where(
        DayOff.from_on < until, DayOff.until_on > since
    )
    return sum(
        (min(row.until_on, until) - max(row.from_on, since)).days for row in session.execute(query)
    )
