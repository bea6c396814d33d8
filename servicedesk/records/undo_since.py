"""Does everything stand as a change left it? If not, which later change came between."""

from collections.abc import Iterable, Iterator
from functools import cache

from sqlalchemy import select
from sqlalchemy.orm import Session

from servicedesk.records.base import Kind, Record
from servicedesk.records.changes import Change, ChangeItem
from servicedesk.records.errors import store_trouble
from servicedesk.records.jsonable import columns_of, to_json
from servicedesk.records.tables import model_of, models
from servicedesk.values.trouble import Trouble
from servicedesk.words import say


def _batches_of(items: list[ChangeItem], op: str | None = None) -> Iterator[tuple[str, list[int]]]:
    """Table by table the keys of the items, at most 500 at a time (a statement's bound)."""
    by_table: dict[str, list[int]] = {}
    for item in items:
        if op is None or item.op == op:
            by_table.setdefault(item.table_name, []).append(item.row_id)
    for table, ids in by_table.items():
        for some in batched(ids):
            yield table, some


def batched(ids: list[int], size: int = 500) -> Iterator[list[int]]:
    """The keys in pieces that one statement may carry."""
    for start in range(0, len(ids), size):
        yield ids[start : start + size]


def refuse_if_moved(
    session: Session, change: Change, items: list[ChangeItem]
) -> dict[tuple[str, int], Record]:
    """The rows as they stand, by table and key, locked until the end of the change.

    Raises Trouble, naming the later change, if one of them is not as the change left it.
    """
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
    _refuse_if_points_to_nothing(session, change, items)
    let_go = _pointers_let_go(items)
    for table, ids in _batches_of(items, "made"):
        if model_of(table).kind is not Kind.LEDGER:
            _refuse_if_pointed_at(session, change, table, ids, let_go)
    return standing


def _pointers_let_go(items: list[ChangeItem]) -> set[tuple[str, int, str]]:
    """(table, row, column) of what the inverse takes away or sets back by itself."""
    return {
        (item.table_name, item.row_id, name) for item in items for name in _touched_columns(item)
    }


def _touched_columns(item: ChangeItem) -> Iterable[str]:
    return columns_of(model_of(item.table_name)) if item.op == "made" else item.after or {}


def _stands_as_left(record: Record | None, item: ChangeItem) -> bool:
    if record is None:
        return False
    left = item.after or {}
    if item.op == "made":
        # what was empty when the row was made is not in the log; a column that may not be empty
        # came with a later version of the tables
        empty = (c.key for c in record.__table__.columns if c.nullable and c.key not in left)
        if any(getattr(record, name) is not None for name in empty):
            return False
    return all(
        to_json(getattr(record, name)) == value
        for name, value in left.items()
        if name != "revision"
    )


def _moved_since(session: Session, change: Change, item: ChangeItem) -> Trouble:
    later = _last_change_of(session, item.table_name, item.row_id, change.id)
    return _not_taken_back(
        change,
        means=say("The same record was changed since: “{later}” by {who}.", **_later_words(later)),
    )


def _last_change_of(session: Session, table: str, row_id: int, after: int) -> Change | None:
    return session.scalars(
        select(Change)
        .join(ChangeItem, ChangeItem.change_id == Change.id)
        .where(ChangeItem.table_name == table, ChangeItem.row_id == row_id, Change.id > after)
        .order_by(Change.id.desc())
        .limit(1)
    ).first()


def _not_taken_back(change: Change, *, means: str, do: str = "") -> Trouble:
    return store_trouble(
        say("“{what}” was not taken back.", what=change.what),
        means=means,
        do=do or say("Take back the later change first."),
    )


def _later_words(later: Change | None) -> dict[str, str]:
    return {
        "later": later.what if later else say("unknown"),
        "who": later.who if later else say("somebody"),
    }


@cache
def _references() -> tuple[tuple[type[Record], str, str], ...]:
    """All (table, column, table it points to) among the records that people change."""
    return tuple(
        (model, column.key, key.column.table.name)
        for model in models(Kind.LOGGED, Kind.SECRET, Kind.LEDGER)
        for column in model.__table__.columns
        for key in column.foreign_keys
    )


def _refuse_if_pointed_at(
    session: Session,
    change: Change,
    table: str,
    ids: list[int],
    let_go: set[tuple[str, int, str]],
) -> None:
    for model, column, target in _references():
        if target != table:
            continue
        query = select(model.id).where(getattr(model, column).in_(ids))
        pointing = session.scalars(query.order_by(model.id)).all()
        stays = model.kind is Kind.LEDGER  # the ledger forgets no move, also none made with it
        for row_id in pointing:
            if stays:
                raise _not_taken_back(
                    change,
                    means=say("Parts were moved for what it made, and moves stay on the ledger."),
                    do=say("Take the moves back by hand and end the record instead."),
                )
            if (model.__tablename__, row_id, column) not in let_go:
                later = _last_change_of(session, model.__tablename__, row_id, change.id)
                raise _not_taken_back(
                    change,
                    means=say(
                        "What it made was used since: “{later}” by {who}.", **_later_words(later)
                    ),
                )


def _refuse_if_points_to_nothing(session: Session, change: Change, items: list[ChangeItem]) -> None:
    """What a row pointed to before may have been taken back since."""
    comes_back = {(i.table_name, i.row_id) for i in items if i.op == "removed"}
    wanted: dict[str, set[int]] = {}
    targets = {(model.__tablename__, column): target for model, column, target in _references()}
    for item in items:
        for name, value in (item.before or {}).items():
            target = targets.get((item.table_name, name))
            if target and value is not None and (target, value) not in comes_back:
                wanted.setdefault(target, set()).add(value)
    for target, ids in wanted.items():
        model = model_of(target)
        for some in batched(sorted(ids)):
            there = set(session.scalars(select(model.id).where(model.id.in_(some))))
            for row_id in some:
                if row_id not in there:
                    later = _last_change_of(session, target, row_id, change.id)
                    raise _not_taken_back(
                        change,
                        means=say(
                            "What it pointed to is gone since: “{later}” by {who}.",
                            **_later_words(later),
                        ),
                    )
