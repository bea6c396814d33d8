"""What tells one state of a store from another: the latest line of its log."""

from sqlalchemy import select
from sqlalchemy.orm import Session

from servicedesk.records.changes import Change

Mark = tuple[int, str, str, str]
"""Number, instant, person and words of a change. Another store has another."""

NO_CHANGE: Mark = (0, "", "", "")


def latest_mark(session: Session) -> Mark:
    """The mark of the latest change of anybody."""
    return _mark(session.scalar(select(Change).order_by(Change.id.desc()).limit(1)))


def has_mark(session: Session, mark: Mark) -> bool:
    """Whether this store ever stood at this change: what it says now came later."""
    return mark == NO_CHANGE or _mark(session.get(Change, mark[0])) == mark


def _mark(change: Change | None) -> Mark:
    if change is None:
        return NO_CHANGE
    return change.id, change.at.isoformat(), change.who, change.what
