"""Undo and redo: the inverse of a change, written as a new change."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from functools import cache
from itertools import groupby
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.exc import IntegrityError
from sqlalchemy.orm import Session

from servicedesk.records.base import Kind, Logged, Record
from servicedesk.records.changes import Change, ChangeItem, ChangeSecret
from servicedesk.records.errors import store_trouble
from servicedesk.records.jsonable import from_json
from servicedesk.records.parts import StockMove
from servicedesk.records.store import Changed, Store, Work
from servicedesk.records.tables import model_of, models
from servicedesk.records.undo_guards import GUARDS
from servicedesk.records.undo_since import batched, refuse_if_moved
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
    query = select(Change.id, Change.undoes_id).where(Change.undoes_id >= min(ids))
    undone: set[int] = set()
    # an undo is younger than what it undoes: from the newest back, each is settled in its turn
    for undo_id, target in session.execute(query.order_by(Change.id.desc())):
        if undo_id not in undone and target is not None:
            undone.add(target)
    return undone & set(ids)


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
    before: int | None = None
    while True:
        older = query if before is None else query.where(Change.id < before)
        some = session.scalars(older.order_by(Change.id.desc()).limit(100)).all()
        undone = _undone(session, [c.id for c in some])
        for change in some:
            if change.id not in undone:
                return change
        if not some:
            return None
        before = some[-1].id


def undo_change(store: Store, change_id: int, *, who: str) -> Changed:
    """Take back one change (an undo taken back is a redo), as a new change.

    Raises Trouble, changing nothing, if a touched row has moved since or a rule of meaning
    stands in the way; the sentence says which and what helps.
    """
    with store.read() as session:
        change = session.get(Change, change_id)
        if change is None:
            raise store_trouble(
                say("There is no such change."), do=say("Choose one under All changes.")
            )
        what, kind = change.what, change.kind_of
    redo = kind == "undo"
    words = (
        say("Did again: {what}", what=_bare(what))
        if redo
        else say("Took back: {what}", what=_bare(what))
    )
    kind = "redo" if redo else "undo"
    try:
        with store.change(who, words, kind=kind, undoes=change_id) as work:
            _apply_inverse(work, change_id)
    except IntegrityError as error:
        # references were looked at before: what is left is a number or name that must be unique
        raise store_trouble(
            say("“{what}” was not taken back.", what=what),
            means=say("Another record holds the same number or name by now."),
            do=say("Change that one first."),
        ) from error
    return work.changed


def _apply_inverse(work: Work, change_id: int) -> None:
    change = work.get(Change, change_id)
    _refuse_if_not_undoable(work.session, change)
    items = _items_of(work.session, change_id)
    for guard in GUARDS:
        guard(work.session, change, items)
    standing = refuse_if_moved(work.session, change, items)
    for some in _in_flushes(items):
        for item in some:
            _take_back(work, item, standing)
        work.session.flush()


def _bare(what: str) -> str:
    """The words of the first change, without the "Took back:" put before them since."""
    for lead in (say("Took back: {what}", what=""), say("Did again: {what}", what="")):
        what = what.removeprefix(lead)
    return what


def _refuse_if_not_undoable(session: Session, change: Change) -> None:
    if change.kind_of not in UNDOABLE:
        means, do = {
            "load": (
                say("It filled the store in one go."),
                say("Restore a backup made before it."),
            ),
            "erase": (
                say("What was erased stays erased."),
                say("Write the person anew if they wish it."),
            ),
        }.get(change.kind_of, ("", ""))
        raise store_trouble(
            say("“{what}” cannot be taken back.", what=change.what), means=means, do=do
        )
    if change.id in _undone(session, [change.id]):
        raise store_trouble(
            say("“{what}” was already taken back.", what=change.what),
            do=say("It can be done again under All changes."),
        )


def _items_of(session: Session, change_id: int) -> list[ChangeItem]:
    query = select(ChangeItem).where(ChangeItem.change_id == change_id).order_by(ChangeItem.id)
    items = list(session.scalars(query))
    secret = [i for i in items if model_of(i.table_name).kind is Kind.SECRET]
    for some in batched([i.id for i in secret]):
        kept = session.scalars(select(ChangeSecret).where(ChangeSecret.item_id.in_(some)))
        values = {row.item_id: row for row in kept}
        for item in secret:
            if item.id in values:
                session.expunge(item)  # the values are for this transaction only, not for the log
                item.before, item.after = values[item.id].before, values[item.id].after
    return items


_DEPTH = {model.__tablename__: depth for depth, model in enumerate(models())}


def _order_of_inverse(item: ChangeItem) -> tuple[int, int, int]:
    """Rows to put back come first, parents before children; rows to take away last, reversed."""
    depth = _DEPTH[item.table_name]
    if item.op == "made":
        return (2, -depth, -item.row_id)
    return (0 if item.op == "removed" else 1, depth, item.row_id)


def _in_flushes(items: list[ChangeItem]) -> Iterator[list[ChangeItem]]:
    """The items in order, in groups that may go to the database in one go.

    Rows of one table that point to each other go one by one.
    """
    chained = _chained(items)

    def group(item: ChangeItem) -> tuple[int, int, int]:
        op, depth, row = _order_of_inverse(item)
        return (op, depth, row if item.table_name in chained else 0)

    for _, some in groupby(sorted(items, key=_order_of_inverse), key=group):
        yield list(some)


def _chained(items: list[ChangeItem]) -> set[str]:
    """The tables of which one of these rows points to another of them."""
    keys = {(item.table_name, item.row_id) for item in items}
    return {
        item.table_name
        for item in items
        for column in _own_pointers(item.table_name)
        for side in (item.before, item.after)
        if side and (item.table_name, side.get(column)) in keys
    }


@cache
def _own_pointers(table_name: str) -> tuple[str, ...]:
    table = model_of(table_name).__table__
    return tuple(k.parent.key for k in table.foreign_keys if k.column.table is table)


def _take_back(work: Work, item: ChangeItem, standing: dict[tuple[str, int], Record]) -> None:
    model = model_of(item.table_name)
    key = (item.table_name, item.row_id)
    if model is StockMove:
        _opposite_move(work, item)
    elif item.op == "made":
        work.session.delete(standing[key])
    elif item.op == "removed":
        _put_back(work, model, item)
    else:
        for name, value in (item.before or {}).items():
            setattr(standing[key], name, from_json(model, name, value))


def _put_back(work: Work, model: type[Record], item: ChangeItem) -> None:
    before: dict[str, Any] = item.before or {}
    values = {name: from_json(model, name, value) for name, value in before.items()}
    values["id"] = item.row_id
    if issubclass(model, Logged):
        values["revision"] = values["revision"] + 1
    # what was empty is not in the log; a column that came later takes its default
    empty = {c.key: None for c in model.__table__.columns if c.nullable}
    work.session.add(model(**(empty | values)))


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


def latest_change_id(session: Session) -> int:
    """The key of the latest change, 0 in a new store."""
    return session.scalar(select(func.max(Change.id))) or 0


def latest_touch_of(session: Session, table: str) -> tuple[int, int]:
    """What grows with every change to a row of `table`: the latest logged one, the latest load."""
    item = select(func.max(ChangeItem.id)).where(ChangeItem.table_name == table)
    load = select(func.max(Change.id)).where(Change.kind_of == "load")
    return (session.scalar(item) or 0, session.scalar(load) or 0)


def n_changes(session: Session) -> int:
    """How many changes the log holds."""
    return session.scalar(select(func.count(Change.id))) or 0
