"""One change in the making: what it touches is watched and written into the log with it."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, TypeVar

from sqlalchemy import insert, select
from sqlalchemy.dialects import sqlite
from sqlalchemy.orm import Session

from servicedesk.records import search
from servicedesk.records.base import Kind, Logged, Record, table_of
from servicedesk.records.changes import Change, ChangeItem, ChangeSecret, Counter
from servicedesk.records.errors import StaleEdit, store_trouble
from servicedesk.records.jsonable import columns_of
from servicedesk.records.log import Item, Watch
from servicedesk.words import say

R = TypeVar("R", bound=Record)


@dataclass(frozen=True, slots=True)
class Changed:
    """What a change touched: its id, and the keys of the touched rows by table name."""

    change_id: int
    rows: Mapping[str, frozenset[int]]

    def touches(self, *tables: str) -> bool:
        """Was a row of any of these tables touched?"""
        return any(table in self.rows for table in tables)


class Work:
    """One change in the making: a fresh session whose touched rows are being watched."""

    def __init__(self, session: Session, at: datetime) -> None:
        self.session = session
        self.at = at
        self.changed = Changed(0, {})
        # of an erasure: what must not stand in the log, not even as the value before
        self.scrub: Callable[[Item], Item] | None = None
        self._watch = Watch(session)
        self._watch.start()

    def add(self, record: R) -> R:
        """Add a new record and give it its key."""
        self.session.add(record)
        self.session.flush()
        return record

    def add_all(self, records: Sequence[Record]) -> None:
        """Add many new records at once."""
        self.session.add_all(records)
        self.session.flush()

    def get(self, model: type[R], row_id: int) -> R:
        """The record with this key. Raises Trouble if it is not there (any more)."""
        record = self.session.get(model, row_id, with_for_update=True)
        if record is None:
            raise store_trouble(
                say("That {what} is not in the store any more.", what=model.__tablename__),
                means=say("Somebody took back the change that made it."),
                do=say("Look under All changes; it can be done again there."),
            )
        return record

    def fresh(self, model: type[R], row_id: int, *, seen: int | None) -> R:
        """The record, if it still is at the revision that was shown (None: do not ask).

        Raises StaleEdit with the version that stands now.
        """
        record = self.get(model, row_id)
        if seen is not None and isinstance(record, Logged) and record.revision != seen:
            who, what = _last_hand(self.session, model.__tablename__, row_id)
            now = {name: getattr(record, name) for name in columns_of(model)}
            raise StaleEdit(model.__tablename__, row_id, now=now, by=who, changes=what)
        return record

    def remove(self, record: Record) -> None:
        """Take a row away. Only undo does this; everything else *ends* things."""
        self.session.delete(record)
        self.session.flush()

    def next_number(self, series: str) -> int:
        """The next number that people say aloud: site, contract, report. Never given twice."""
        insert_: Any = sqlite.insert
        if _is_postgresql(self.session):
            # a store in a file never needs it, and it takes a fiftieth of the start
            from sqlalchemy.dialects import postgresql

            insert_ = postgresql.insert
        # two seats may ask for the first number of a series at once
        first = insert_(table_of(Counter)).values(series=series, next_number=1)
        self.session.execute(first.on_conflict_do_nothing(index_elements=["series"]))
        counter = self.session.scalars(
            select(Counter).where(Counter.series == series).with_for_update()
        ).one()
        number = counter.next_number
        counter.next_number = number + 1
        self.session.flush()
        return number

    def items(self) -> list[Item]:
        """What was touched so far, in order of first touch."""
        self.session.flush()
        self._watch.refuse_edits_in_place()
        items = list(self._watch.items.values())
        return items if self.scrub is None else [self.scrub(item) for item in items]


def write_log(work: Work, who: str, what: str, kind: str, undoes: int | None) -> Changed:
    items = work.items()
    if not items and undoes is None:
        return Changed(0, {})
    session = work.session
    change = Change(at=work.at, who=who, what=what, kind_of=kind, undoes_id=undoes)
    session.add(change)
    session.flush()
    rows: dict[str, set[int]] = {}
    for item in items:
        rows.setdefault(item.model.__tablename__, set()).add(item.row_id)
    _insert_items(session, change.id, [i for i in items if i.model.kind is not Kind.SECRET])
    for item in items:
        if item.model.kind is Kind.SECRET:
            row = ChangeItem(**_columns_of_item(change.id, item) | {"before": None, "after": None})
            session.add(row)
            session.flush()
            session.add(ChangeSecret(item_id=row.id, before=item.before, after=item.after))
    session.flush()
    search.index_rows(session.connection(), rows)
    return Changed(change.id, {table: frozenset(ids) for table, ids in rows.items()})


def _columns_of_item(change_id: int, item: Item) -> dict[str, Any]:
    return {
        "change_id": change_id,
        "table_name": item.model.__tablename__,
        "row_id": item.row_id,
        "op": item.op,
        "before": item.before,
        "after": item.after,
    }


def _insert_items(session: Session, change_id: int, items: Sequence[Item]) -> None:
    if items:
        session.execute(insert(ChangeItem), [_columns_of_item(change_id, i) for i in items])


def _last_hand(session: Session, table: str, row_id: int) -> tuple[str, str]:
    row = session.execute(
        select(Change.who, Change.what)
        .join(ChangeItem, ChangeItem.change_id == Change.id)
        .where(ChangeItem.table_name == table, ChangeItem.row_id == row_id)
        .order_by(Change.id.desc())
        .limit(1)
    ).first()
    return (row.who, row.what) if row else (say("somebody"), "")


def _is_postgresql(session: Session) -> bool:
    return session.get_bind().dialect.name == "postgresql"
