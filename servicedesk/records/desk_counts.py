"""Counts that ask for action, for the spine, the opening page and the morning."""

from datetime import date, datetime

from sqlalchemy import and_, func, or_, select
from sqlalchemy.orm import Session

from servicedesk.records.alerts import Alert
from servicedesk.records.calls import Call
from servicedesk.records.owed import Owed
from servicedesk.records.papers_sent import PaperSent
from servicedesk.records.sites import Site
from servicedesk.records.visits import Job, Visit


def unsent_reports(session: Session) -> tuple[int, date | None]:
    """Inspections written up here whose report was never sent: how many, the oldest's day.

    Visits brought in from an old list have no time of leaving: their reports are not our memory.
    """
    sent = select(PaperSent.id).where(
        PaperSent.job_id == Job.id, PaperSent.kind_of == "inspection report"
    )
    query = (
        select(func.count(Job.id), func.min(Visit.planned_on))
        .join(Visit, Visit.id == Job.visit_id)
        .where(
            Job.kind_of == "inspection",
            Job.outcome == "done",
            Visit.left_at.is_not(None),
            ~sent.exists(),
        )
    )
    n, oldest = session.execute(query).one()
    return n, oldest


def open_calls(session: Session) -> int:
    """Calls that wait for an answer."""
    return session.scalar(select(func.count(Call.id)).where(Call.state == "open")) or 0


def late_calls(session: Session, now: datetime) -> int:
    """Calls that wait for an answer although it was promised by now."""
    query = select(func.count(Call.id)).where(Call.state == "open", Call.promised_by_at < now)
    return session.scalar(query) or 0


def open_alerts(session: Session, today: date, *, level: str | None = None) -> int:
    """Repeat alerts that stand open: never dealt with, or put off till a day that has come."""
    query = select(func.count(Alert.id)).where(
        Alert.kind_of == "repeat",
        or_(
            Alert.state == "open",
            and_(
                Alert.state == "put off",
                or_(Alert.put_off_until.is_(None), Alert.put_off_until <= today),
            ),
        ),
    )
    if level is not None:
        query = query.where(Alert.level == level)
    return session.scalar(query) or 0


def open_owed(session: Session) -> int:
    """Work still owed by anybody."""
    return session.scalar(select(func.count(Owed.id)).where(Owed.state == "open")) or 0


def sites(session: Session) -> int:
    """Sites that we look after."""
    return session.scalar(select(func.count(Site.id)).where(Site.ended_on.is_(None))) or 0
