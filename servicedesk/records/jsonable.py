"""Column values as JSON for the change log, and back."""

from datetime import date, datetime
from functools import cache
from typing import Any

from sqlalchemy import Date
from sqlalchemy.orm import InstrumentedAttribute

from servicedesk.records.base import Record, UtcInstant


@cache
def columns_of(model: type[Record]) -> dict[str, InstrumentedAttribute[Any]]:
    """The mapped columns of a model by name, the key first."""
    return {attr.key: getattr(model, attr.key) for attr in model.__mapper__.column_attrs}


def to_json(value: Any) -> Any:
    """A column value as plain JSON."""
    if isinstance(value, datetime | date):
        return value.isoformat()
    return value


def from_json(model: type[Record], column: str, value: Any) -> Any:
    """A value of the log as the column wants it."""
    if value is None:
        return None
    kind = model.__table__.c[column].type
    if isinstance(kind, UtcInstant):
        return datetime.fromisoformat(value)
    if isinstance(kind, Date):
        return date.fromisoformat(value)
    return value


def row_as_json(record: Record) -> dict[str, Any]:
    """The columns of a record as plain JSON. The key and what is empty (None) are left out."""
    values = {name: getattr(record, name) for name in columns_of(type(record)) if name != "id"}
    return {name: to_json(value) for name, value in values.items() if value is not None}
