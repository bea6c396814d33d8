"""Undo and redo: the inverse of a change, written as a new change."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from itertools import groupby
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from servicedesk.records.base import Kind, Logged, Record
from servicedesk.records.changes import Change, ChangeItem, ChangeSecret
from servicedesk.records.errors import store_trouble
from servicedesk.records.jsonable import columns_of, from_json, to_json
from servicedesk.records.parts import StockMove
from servicedesk.records.store import Changed, Store, Work
from servicedesk.records.tables import model_of, models
from servicedesk.records.undo_guards import GUARDS
from servicedesk.words import say

UNDOABLE = ("edit", "undo", "redo")


@dataclass(frozen=True, slots=True)
class ChangeRow:
    """A line of *All changes*."""

    id: int
    at: datetime
    who: str
    what: str
    kind: str
    undone: bool
    can_undo: bool


def changes_since(
    session: Session, *, limit: int = 200, before: int | None = None
) -> list[ChangeRow]:
    """The latest changes, newest first. Undos stand as what they are; loads cannot be undone."""
    query = select(Change).order_by(Change.id.desc()).limit(limit)
    if before is not None:
        query = query.where(Change.id < before)
    changes = session.scalars(query).all()
    undone = _undone(session, [c.id for c in changes])
    return [
        ChangeRow(
            id=c.id,
            at=c.at,
            who=c.who,
            what=c.what,
            kind=c.kind_of,
            undone=c.id in undone,
            can_undo=c.kind_of in UNDOABLE and c.id not in undone,
        )
        for c in changes
    ]


def _undone(session: Session, ids: list[int]) -> set[int]:
    """Those of `ids` whose effect was taken back (and not done again)."""
    if not ids:
        return set()
    by_target: dict[int, list[int]] = {}
    query = select(Change.id, Change.undoes_id).where(Change.undoes_id >= min(ids))
    for row in session.execute(query):
        by_target.setdefault(row.undoes_id, []).append(row.id)

    def in_effect(change_id: int) -> bool:
        return not any(in_effect(u) for u in by_target.get(change_id, []))

    return {i for i in ids if not in_effect(i)}


def last_undoable(session: Session, who: str) -> Change | None:
    """What Ctrl Z takes back: this person's latest edit or redo that is still in effect."""
    return _latest(session, who, ("edit", "redo"))


def last_redoable(session: Session, who: str) -> Change | None:
    """What Ctrl Shift Z does again: this person's latest undo, if no edit came after it."""
    undo = _latest(session, who, ("undo",))
    if undo is None:
        return None
    later = select(Change.id).where(
        Change.who == who, Change.kind_of == "edit", Change.id > undo.id
    )
    return None if session.scalar(later.limit(1)) else undo


def _latest(session: Session, who: str, kinds: tuple[str, ...]) -> Change | None:
    query = select(Change).where(Change.who == who, Change.kind_of.in_(kinds))
    for change in session.scalars(query.order_by(Change.id.desc()).limit(500)):
        if change.id not in _undone(session, [change.id]):
            return change
    return None


def undo_change(store: Store, change_id: int, *, who: str) -> Changed:
    """Take back one change (an undo taken back is a redo), as a new change.

    Raises Trouble, changing nothing, if a touched row has moved since or a rule of meaning
    stands in the way; the sentence says which and what helps.
    """
    with store.read() as session:
        change = session.get(Change, change_id)
        if change is None:
            raise store_trouble(say("There is no such change."))
        what, kind = change.what, change.kind_of
    redo = kind == "undo"
    words = (
        say("Did again: {what}", what=_bare(what))
        if redo
        else say("Took back: {what}", what=_bare(what))
    )
    with store.change(who, words, kind="redo" if redo else "undo", undoes=change_id) as work:
        change = work.get(Change, change_id)
        _refuse_if_not_undoable(work.session, change)
        items = _items_of(work.session, change_id)
        for guard in GUARDS:
            guard(work.session, change, items)
        _refuse_if_moved(work.session, change, items)
        for _, some in groupby(sorted(items, key=_order_of_inverse), key=_flush_group):
            for item in some:
                _take_back(work, item)
            work.session.flush()
    return work.changed


def _bare(what: str) -> str:
    """The words of the first change, without the "Took back:" put before them since."""
    for lead in (say("Took back: {what}", what=""), say("Did again: {what}", what="")):
        what = what.removeprefix(lead)
    return what


def _refuse_if_not_undoable(session: Session, change: Change) -> None:
    if change.kind_of not in UNDOABLE:
        raise store_trouble(
            say("“{what}” cannot be taken back.", what=change.what),
            means=say("It filled the store in one go."),
            do=say("Restore a backup made before it."),
        )
    if change.id in _undone(session, [change.id]):
        raise store_trouble(say("“{what}” was already taken back.", what=change.what))


def _items_of(session: Session, change_id: int) -> list[ChangeItem]:
    query = select(ChangeItem).where(ChangeItem.change_id == change_id).order_by(ChangeItem.id)
    items = list(session.scalars(query))
    for item in items:
        if model_of(item.table_name).kind is Kind.SECRET:
            secret = session.scalar(select(ChangeSecret).where(ChangeSecret.item_id == item.id))
            session.expunge(item)  # the values are for this transaction only, not for the log
            if secret is not None:
                item.before, item.after = secret.before, secret.after
    return items


_DEPTH = {model.__tablename__: depth for depth, model in enumerate(models())}


def _order_of_inverse(item: ChangeItem) -> tuple[int, int, int]:
    """Rows to put back come first, parents before children; rows to take away last, reversed."""
    depth = _DEPTH[item.table_name]
    if item.op == "made":
        return (2, -depth, -item.row_id)
    return (0 if item.op == "removed" else 1, depth, item.row_id)


def _flush_group(item: ChangeItem) -> tuple[int, int, int]:
    """Rows that may go to the database in one go: never two of a table that points to itself."""
    op, depth, row = _order_of_inverse(item)
    return (op, depth, row if item.table_name in _SELF_POINTING else 0)


_SELF_POINTING = {
    model.__tablename__
    for model in models()
    if any(key.column.table is model.__table__ for key in model.__table__.foreign_keys)
}


def _batches_of(items: list[ChangeItem], op: str | None = None) -> Iterator[tuple[str, list[int]]]:
    """Table by table the keys of the items, at most 500 at a time (a statement's bound)."""
    by_table: dict[str, list[int]] = {}
    for item in items:
        if op is None or item.op == op:
            by_table.setdefault(item.table_name, []).append(item.row_id)
    for table, ids in by_table.items():
        for start in range(0, len(ids), 500):
            yield table, ids[start : start + 500]


def _refuse_if_moved(session: Session, change: Change, items: list[ChangeItem]) -> None:
    standing: dict[tuple[str, int], Record] = {}
    for table, ids in _batches_of(items):
        model = model_of(table)
        query = select(model).where(model.id.in_(ids)).with_for_update()
        standing |= {(table, record.id): record for record in session.scalars(query)}
    for item in items:
        if model_of(item.table_name).kind is Kind.LEDGER:
            continue
        record = standing.get((item.table_name, item.row_id))
        moved = record is not None if item.op == "removed" else not _stands_as_left(record, item)
        if moved:
            raise _moved_since(session, change, item)
    made = {(i.table_name, i.row_id) for i in items if i.op == "made"}
    for table, ids in _batches_of(items, "made"):
        if model_of(table).kind is not Kind.LEDGER:
            _refuse_if_pointed_at(session, change, table, ids, made)


def _stands_as_left(record: Record | None, item: ChangeItem) -> bool:
    if record is None:
        return False
    return all(
        to_json(getattr(record, name)) == value
        for name, value in (item.after or {}).items()
        if name != "revision"
    )


def _moved_since(session: Session, change: Change, item: ChangeItem) -> Exception:
    later = session.scalars(
        select(Change)
        .join(ChangeItem, ChangeItem.change_id == Change.id)
        .where(
            ChangeItem.table_name == item.table_name,
            ChangeItem.row_id == item.row_id,
            Change.id > change.id,
        )
        .order_by(Change.id.desc())
        .limit(1)
    ).first()
    return store_trouble(
        say("“{what}” was not taken back.", what=change.what),
        means=say(
            "The same record was changed since: “{later}” by {who}.",
            later=later.what if later else say("unknown"),
            who=later.who if later else say("somebody"),
        ),
        do=say("Take back the later change first."),
    )


def _refuse_if_pointed_at(
    session: Session, change: Change, table: str, ids: list[int], made: set[tuple[str, int]]
) -> None:
    for model in models(Kind.LOGGED, Kind.SECRET, Kind.LEDGER):
        for column in model.__table__.columns:
            if not any(key.column.table.name == table for key in column.foreign_keys):
                continue
            pointing = session.scalars(select(model.id).where(column.in_(ids))).all()
            if any((model.__tablename__, row_id) not in made for row_id in pointing):
                raise store_trouble(
                    say("“{what}” was not taken back.", what=change.what),
                    means=say(
                        "A later {thing} belongs to what it made.",
                        thing=model.__tablename__.replace("_", " "),
                    ),
                    do=say("Take back the later change first."),
                )


def _take_back(work: Work, item: ChangeItem) -> None:
    model = model_of(item.table_name)
    if model is StockMove:
        _opposite_move(work, item)
    elif item.op == "made":
        work.session.delete(work.session.get_one(model, item.row_id))
    elif item.op == "removed":
        _put_back(work, model, item)
    else:
        record = work.session.get_one(model, item.row_id)
        for name, value in (item.before or {}).items():
            setattr(record, name, from_json(model, name, value))


def _put_back(work: Work, model: type[Record], item: ChangeItem) -> None:
    before: dict[str, Any] = item.before or {}
    values = {name: from_json(model, name, value) for name, value in before.items()}
    if issubclass(model, Logged):
        values["revision"] = values["revision"] + 1
    work.session.add(model(**{name: values.get(name) for name in columns_of(model)}))


def _opposite_move(work: Work, item: ChangeItem) -> None:
    move = work.get(StockMove, item.row_id)
    work.add(
        StockMove(
            part_id=move.part_id,
            why="undone",
            quantity=move.quantity,
            from_place_id=move.to_place_id,
            to_place_id=move.from_place_id,
            visit_id=move.visit_id,
            unit_cost_minor=move.unit_cost_minor,
            moved_on=move.moved_on,
            written_at=work.at,
            reverses_id=move.id,
        )
    )


def history_of(session: Session, table: str, row_id: int) -> list[tuple[ChangeRow, ChangeItem]]:
    """How one record came to be as it is, newest first."""
    query = (
        select(Change, ChangeItem)
        .join(ChangeItem, ChangeItem.change_id == Change.id)
        .where(ChangeItem.table_name == table, ChangeItem.row_id == row_id)
        .order_by(Change.id.desc())
    )
    found = session.execute(query).all()
    undone = _undone(session, [change.id for change, _ in found])
    return [
        (
            ChangeRow(c.id, c.at, c.who, c.what, c.kind_of, c.id in undone, c.id not in undone),
            item,
        )
        for c, item in found
    ]


def n_changes(session: Session) -> int:
    """How many changes the log holds."""
    return session.scalar(select(func.count(Change.id))) or 0
