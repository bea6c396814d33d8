"""The change line and *All changes*: what was written last, taken back, done again."""

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from servicedesk.desk.office import Desk
from servicedesk.records import undo as log
from servicedesk.records.store import Changed, Store, Work
from servicedesk.values.trouble import Trouble
from servicedesk.words import say


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeLine:
    """One change in words. `when` is written for today: "10:42 am", "Oct 13", "yesterday"."""

    id: int
    at: datetime
    when: str
    who: str
    what: str
    kind: str
    undone: bool
    can_undo: bool


def _line(desk: Desk, row: log.ChangeRow) -> ChangeLine:
    return ChangeLine(
        id=row.id,
        at=row.at,
        when=when_text(desk, row.at),
        who=row.who,
        what=row.what,
        kind=row.kind,
        undone=row.undone,
        can_undo=row.can_undo,
    )


def when_text(desk: Desk, at: datetime) -> str:
    """An instant as the change line says it: the time today, the day before that."""
    day = desk.clock.day_of(at)
    if day == desk.today:
        return desk.formats.time(desk.clock.minute_of(at))
    if (desk.today - day).days == 1:
        return say("yesterday")
    return desk.formats.day(day, near=desk.today)


def last_change(desk: Desk) -> ChangeLine | None:
    """What stands in the change line: the latest change of anybody, None in a new store."""
    lines = all_changes(desk, limit=1)
    return lines[0] if lines else None


def all_changes(
    desk: Desk, *, before: int | None = None, limit: int = 200
) -> tuple[ChangeLine, ...]:
    """Changes, newest first; `before` is the key of the last one shown, for the next page."""
    with desk.store.read() as session:
        found = log.changes_since(session, limit=limit, before=before)
    return tuple(_line(desk, row) for row in found)


def undo(desk: Desk, change_id: int | None = None) -> Changed:
    """Take back one change, or this person's latest one. Taking back an undo does it again.

    Raises Trouble, changing nothing, where there is none or something stands in the way.
    """
    if change_id is None:
        with desk.store.read() as session:
            change = log.last_undoable(session, desk.who)
            if change is None:
                raise Trouble(
                    say("There is nothing of yours to take back."),
                    do=say("What others wrote can be taken back under All changes."),
                )
            change_id = change.id
    return log.undo_change(desk.store, change_id, who=desk.who)


def redo(desk: Desk) -> Changed:
    """Do again what this person took back last, if they changed nothing since.

    Raises Trouble, changing nothing, where there is nothing or something stands in the way.
    """
    with desk.store.read() as session:
        change = log.last_redoable(session, desk.who)
        if change is None:
            raise Trouble(say("There is nothing of yours to do again."))
        change_id = change.id
    return log.undo_change(desk.store, change_id, who=desk.who)


def undo_text(desk: Desk) -> str | None:
    """What Ctrl Z would take back, in words; None if nothing."""
    with desk.store.read() as session:
        change = log.last_undoable(session, desk.who)
        return change.what if change is not None else None


def redo_text(desk: Desk) -> str | None:
    """What Ctrl Shift Z would do again, in words; None if nothing."""
    with desk.store.read() as session:
        change = log.last_redoable(session, desk.who)
        return change.what if change is not None else None


class _TriedOut(Exception):
    """Ends a trial: nothing of it is written."""


class _Trial(Store):
    """An open store on which changes are made and rolled back."""

    def __init__(self, store: Store) -> None:
        self.__dict__.update(store.__dict__)

    @contextmanager
    def change(
        self, who: str, what: str, *, kind: str = "edit", undoes: int | None = None
    ) -> Iterator[Work]:
        """As `Store.change`, but it ends with `_TriedOut` and everything is as before."""
        with super().change(who, what, kind=kind, undoes=undoes) as work:
            yield work
            work.items()  # what the database would refuse, it refuses now
            raise _TriedOut


def why_not(desk: Desk, change_id: int) -> Trouble | None:
    """What stands in the way of taking a change back, with the way out; None if nothing does.

    It is tried on the spot and rolled back.
    """
    try:
        log.undo_change(_Trial(desk.store), change_id, who=desk.who)
    except _TriedOut:
        return None
    except Trouble as trouble:
        return trouble
    raise AssertionError("a trial ended without its end")


@dataclass(frozen=True, slots=True)
class RecordChange:
    """How one record changed once: the columns before and after, and in which change."""

    line: ChangeLine
    op: str
    before: Mapping[str, Any]
    after: Mapping[str, Any]


def record_changes(desk: Desk, table: str, row_id: int) -> tuple[RecordChange, ...]:
    """How a record came to be as it is, newest first. Secrets say only that they changed."""
    with desk.store.read() as session:
        found = log.history_of(session, table, row_id)
    return tuple(
        RecordChange(_line(desk, row), item.op, dict(item.before or {}), dict(item.after or {}))
        for row, item in found
    )
