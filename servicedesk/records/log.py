"""Watches one transaction and writes what it touched into the change log."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

from sqlalchemy import event, inspect
from sqlalchemy.orm import ORMExecuteState, Session, UOWTransaction

from servicedesk.records.base import Kind, Logged, Record
from servicedesk.records.jsonable import columns_of, row_as_json, to_json

WATCHED = (Kind.LOGGED, Kind.LEDGER, Kind.SECRET)


@dataclass
class Item:
    """One touched row: the changed columns before and after, as JSON."""

    model: type[Record]
    row_id: int
    op: str  # made, changed, removed
    before: dict[str, Any] | None
    after: dict[str, Any] | None


@dataclass
class Watch:
    """Collects the touched rows of a session, one item a row, in the order of first touch."""

    session: Session
    items: dict[tuple[str, int], Item] = field(default_factory=dict)

    def start(self) -> None:
        """Listen to the session from now on."""
        event.listen(self.session, "before_flush", self._count_revisions)
        event.listen(self.session, "after_flush", self._collect)
        event.listen(self.session, "do_orm_execute", _refuse_bulk)

    @staticmethod
    def _count_revisions(session: Session, _flush: UOWTransaction, _instances: object) -> None:
        for record in session.new:
            if isinstance(record, Logged) and record.revision is None:
                record.revision = 1
        for record in session.dirty:
            if isinstance(record, Logged) and session.is_modified(record):
                record.revision += 1

    def _collect(self, session: Session, _flush: UOWTransaction) -> None:
        for record in _records(session.new):
            self._merge(Item(type(record), record.id, "made", None, row_as_json(record)))
        for record in _records(session.dirty):
            before, after = _differences(record)
            if after:
                self._merge(Item(type(record), record.id, "changed", before, after))
        for record in _records(session.deleted):
            self._merge(Item(type(record), record.id, "removed", row_as_json(record), None))

    def _merge(self, item: Item) -> None:
        key = (item.model.__tablename__, item.row_id)
        first = self.items.get(key)
        if first is None:
            self.items[key] = item
        elif item.op == "removed":
            del self.items[key]
            if first.op != "made":
                whole = {**(item.before or {}), **(first.before or {})}
                self.items[key] = Item(item.model, item.row_id, "removed", whole, None)
        else:
            first.after = {**(first.after or {}), **(item.after or {})}
            if first.op == "changed":
                first.before = {**(item.before or {}), **(first.before or {})}


def _records(objects: Iterable[object]) -> list[Record]:
    kept = [o for o in objects if isinstance(o, Record) and o.kind in WATCHED]
    return sorted(kept, key=lambda r: (r.__tablename__, r.id))


def _differences(record: Record) -> tuple[dict[str, Any], dict[str, Any]]:
    """The changed columns of a record before and after, `revision` left out."""
    before: dict[str, Any] = {}
    after: dict[str, Any] = {}
    state: Any = inspect(record)
    for name in columns_of(type(record)):
        history = state.attrs[name].history
        if name == "revision" or not history.has_changes():
            continue
        if not history.deleted:
            # a value set on a column that was not loaded has no *before*: a mistake of ours
            raise AssertionError(f"{type(record).__tablename__}.{name} was set without being read")
        before[name] = to_json(history.deleted[0])
        after[name] = to_json(history.added[0])
    return before, after


def _refuse_bulk(state: ORMExecuteState) -> None:
    if state.is_update or state.is_delete:
        raise AssertionError("update() and delete() statements escape the change log")
