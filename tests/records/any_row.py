"""Makes a valid row of any table, and another value for any column: for tests that walk all of them."""

from datetime import UTC, date, datetime, timedelta
from typing import Any

from sqlalchemy import JSON, Boolean, Date, DateTime, Float, Integer, LargeBinary, Text

from servicedesk.records.base import Record, UtcInstant
from servicedesk.records.store import Work
from servicedesk.records.tables import model_of

DAY = date(2024, 2, 29)


def value_for(column: Any, n: int) -> Any:
    """The n-th distinct value of a column's type."""
    kind = column.type
    if isinstance(kind, UtcInstant):
        return datetime(2024, 2, 29, 12, tzinfo=UTC) + timedelta(days=n)
    if isinstance(kind, DateTime):  # of a table read from the database
        return datetime(2024, 2, 29, 12, n % 60)
    if isinstance(kind, Date):
        return DAY + timedelta(days=n)
    if isinstance(kind, Boolean):
        return n % 2 == 0
    if isinstance(kind, Float):
        return 1.5 + n
    if isinstance(kind, Integer):
        return 100 + n
    if isinstance(kind, JSON):
        wants_list = "list" in str(column.info) or (
            column.default is not None and column.default.arg.__name__ == "list"
        )
        return [n, f"é{n}"] if wants_list else {"n": n, "word": f"é{n}"}
    if isinstance(kind, LargeBinary):
        return bytes([n])
    assert isinstance(kind, Text), kind
    return f"{column.name} {n}"


def make(work: Work, model: type[Record], n: int = 0) -> Record:
    """A row of `model` with every column filled, and the rows it points to."""
    values: dict[str, Any] = {}
    for column in model.__table__.columns:
        if column.name in {"id", "revision", "erased_at"}:
            continue  # an erased person is another matter
        if column.foreign_keys:
            target = next(iter(column.foreign_keys)).column.table.name
            if not column.nullable:
                n_same = sum(
                    target == k.column.table.name
                    for c in model.__table__.columns
                    if c.name in values
                    for k in c.foreign_keys
                )
                values[column.name] = make(work, model_of(target), n + 10 * n_same).id
            continue
        values[column.name] = value_for(column, n)
    return work.add(model(**values))
