"""Watches one transaction and writes what it touched into the change log."""

import json
from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cache
from typing import Any

from sqlalchemy import JSON, event, inspect
from sqlalchemy.orm import ORMExecuteState, Session, UOWTransaction
from sqlalchemy.orm.attributes import set_committed_value

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
    # the JSON values of every record as they were read or written: an edit in place is no change
    # to the session, and would be lost without a word
    _as_read: dict[Record, dict[str, str]] = field(default_factory=dict)

    def start(self) -> None:
        """Listen to the session from now on."""
        self.session.info[Watch] = self
        event.listen(self.session, "before_flush", self._before_flush)
        event.listen(self.session, "after_flush", self._collect)
        event.listen(self.session, "do_orm_execute", _refuse_bulk)

    def remember(self, record: Record) -> None:
        """Keep the text of the record's JSON values as they are now."""
        values = inspect(record).dict
        names = [name for name in json_columns(type(record)) if name in values]
        if names:
            self._as_read[record] = {name: json.dumps(values[name]) for name in names}

    def refuse_edits_in_place(self) -> None:
        """Raise AssertionError if a JSON value was edited where it stands, not replaced."""
        self._refuse_edits(record for record in self._as_read if not _is_gone(record))

    def _refuse_edits(self, records: Iterable[Record]) -> None:
        for record in records:
            self._refuse_edits_of(record)

    def _refuse_edits_of(self, record: Record) -> None:
        state: Any = inspect(record)
        for name, text in self._as_read.get(record, {}).items():
            history = state.attrs[name].history
            read = history.deleted or history.unchanged
            if read and json.dumps(read[0]) != text:
                raise AssertionError(
                    f"{type(record).__tablename__}.{name} was edited in place: replace the value"
                )

    def _before_flush(self, session: Session, flush: UOWTransaction, instances: object) -> None:
        # what is not dirty yet is looked at once, at the end
        self._refuse_edits(r for r in session.dirty if isinstance(r, Record))
        self._count_revisions(session, flush, instances)

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
            _know_all_columns(record)
            self._merge(Item(type(record), record.id, "made", None, row_as_json(record)))
        for record in _records(session.dirty):
            before, after = _differences(record)
            if after:
                self._merge(Item(type(record), record.id, "changed", before, after))
        for record in _records(session.deleted):
            self._merge(Item(type(record), record.id, "removed", _as_it_stood(record), None))
        for record in _records([*session.new, *session.dirty]):
            self.remember(record)

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


def _is_gone(record: Record) -> bool:
    state = inspect(record)
    return state.deleted or state.detached


def _know_all_columns(record: Record) -> None:
    """A column never given is None; known as such, a value set later has its *before*."""
    known = inspect(record).dict
    for name in columns_of(type(record)):
        if name not in known:
            set_committed_value(record, name, None)


@cache
def json_columns(model: type[Record]) -> tuple[str, ...]:
    """The columns of a model that hold JSON."""
    return tuple(c.key for c in model.__table__.columns if isinstance(c.type, JSON))


def _on_read(record: Record, context: Any, *_names: object) -> None:
    watch = context.session.info.get(Watch) if context is not None else None
    if watch is not None:
        watch.remember(record)


event.listen(Logged, "load", _on_read, propagate=True)
event.listen(Logged, "refresh", _on_read, propagate=True)


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


def _as_it_stood(record: Record) -> dict[str, Any]:
    """The row of a record that goes, without what was set on it just before."""
    before, _ = _differences(record)
    stood = row_as_json(record) | before
    return {name: value for name, value in stood.items() if value is not None}


def _refuse_bulk(state: ORMExecuteState) -> None:
    if state.is_update or state.is_delete:
        raise AssertionError("update() and delete() statements escape the change log")
