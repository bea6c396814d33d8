"""Whole stores of rows at once: the fast way in, for the sample and for moves."""

import hashlib
import json
from collections.abc import Mapping, Sequence
from typing import Any

from sqlalchemy import Connection, func, insert, select, text

from servicedesk.records import search
from servicedesk.records.base import Logged, Record
from servicedesk.records.changes import Change, ChangeItem
from servicedesk.records.errors import store_trouble
from servicedesk.records.jsonable import to_json
from servicedesk.records.tables import models
from servicedesk.words import say

Rows = Mapping[str, Sequence[Mapping[str, Any]]]


def load_rows(connection: Connection, rows: Rows) -> dict[str, list[Any]]:
    """Put plain rows by table name into an empty store; the answer is [count, hash] by table."""
    counts: dict[str, list[Any]] = {}
    for model in models():
        some = rows.get(model.__tablename__)
        if some:
            connection.execute(insert(model), [_with_revision(model, r) for r in some])
            counts[model.__tablename__] = [len(some), content_hash(some)]
    search.rebuild(connection)
    reset_sequences(connection)
    return counts


def refuse_not_empty(connection: Connection, name: str) -> None:
    """Raise Trouble if the store holds any change: whole stores go only into empty ones."""
    if connection.execute(select(Change.id).limit(1)).first():
        raise store_trouble(
            say("{place} is not empty.", place=name),
            do=say("Use a new, empty store."),
        )


def _with_revision(model: type[Record], row: Mapping[str, Any]) -> Mapping[str, Any]:
    if issubclass(model, Logged) and "revision" not in row:
        return {**row, "revision": 1}
    return row


def content_hash(rows: Sequence[Mapping[str, Any]]) -> str:
    """A hash over rows of plain values, for the log of a load."""
    digest = hashlib.sha256()
    for row in rows:
        plain = {name: to_json(value) for name, value in row.items()}
        digest.update(json.dumps(plain, sort_keys=True, default=str).encode())
    return digest.hexdigest()


def reset_sequences(connection: Connection) -> None:
    """After rows came with their keys: the next key follows the highest one ever given out.

    The log tells of rows that are gone; their keys are not given out again.
    """
    gone = select(ChangeItem.table_name, func.max(ChangeItem.row_id)).group_by(
        ChangeItem.table_name
    )
    ever = {str(name): int(highest) for name, highest in connection.execute(gone)}
    for model in models():
        table = model.__tablename__
        highest = connection.execute(select(func.max(model.id))).scalar() or 0
        highest = max(highest, ever.get(table, 0))
        if highest:
            _set_sequence(connection, table, highest)


def _set_sequence(connection: Connection, table: str, highest: int) -> None:
    values = {"t": table, "n": highest}
    if connection.dialect.name == "postgresql":
        quoted = {"t": f'"{table}"', "n": highest}
        connection.execute(text("SELECT setval(pg_get_serial_sequence(:t, 'id'), :n)"), quoted)
        return
    moved = connection.execute(text("UPDATE sqlite_sequence SET seq = :n WHERE name = :t"), values)
    if not moved.rowcount:
        connection.execute(text("INSERT INTO sqlite_sequence (name, seq) VALUES (:t, :n)"), values)
