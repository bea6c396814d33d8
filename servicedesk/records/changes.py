"""The change log: the history of every record and the undo stack in one."""

from datetime import datetime
from typing import Any

from sqlalchemy import Index
from sqlalchemy.orm import Mapped, mapped_column

from servicedesk.records.base import Kind, Record, ref


class Change(Record):
    """One transaction in words."""

    __tablename__ = "change"
    kind = Kind.LOG
    at: Mapped[datetime] = mapped_column(index=True)
    who: Mapped[str] = mapped_column(index=True)
    what: Mapped[str]
    kind_of: Mapped[str] = mapped_column(default="edit")  # edit, undo, redo, load, upgrade
    undoes_id: Mapped[int | None] = ref("change", optional=True)
    counts: Mapped[dict[str, Any] | None]  # of a load: table: [rows, content hash]


class ChangeItem(Record):
    """One touched row: the changed columns before and after."""

    __tablename__ = "change_item"
    kind = Kind.LOG
    change_id: Mapped[int] = ref("change")
    table_name: Mapped[str]
    row_id: Mapped[int]
    op: Mapped[str]  # made, changed, removed
    before: Mapped[dict[str, Any] | None]
    after: Mapped[dict[str, Any] | None]
    # the history of one record is asked for by both
    __table_args__ = (
        Index("ix_change_item_row", "table_name", "row_id"),
        {"sqlite_autoincrement": True},
    )


class ChangeSecret(Record):
    """The values of a secret before and after, apart from the log that everybody reads."""

    __tablename__ = "change_secret"
    kind = Kind.LOG
    item_id: Mapped[int] = ref("change_item")
    before: Mapped[dict[str, Any] | None]
    after: Mapped[dict[str, Any] | None]


class Counter(Record):
    """The next number of a series that people say aloud. Never goes back."""

    __tablename__ = "counter"
    kind = Kind.LOG
    series: Mapped[str] = mapped_column(unique=True)
    next_number: Mapped[int]
