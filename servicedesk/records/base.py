"""What all tables have in common: keys, kinds of tables, column types, names of constraints."""

from collections.abc import Mapping
from datetime import UTC, date, datetime
from enum import StrEnum
from typing import Annotated, Any, ClassVar
from uuid import uuid4

from sqlalchemy import (
    JSON,
    Date,
    DateTime,
    Dialect,
    Float,
    ForeignKey,
    Integer,
    MetaData,
    Table,
    Text,
    TypeDecorator,
)
from sqlalchemy.orm import DeclarativeBase, Mapped, declared_attr, mapped_column

NAMES = {
    "ix": "ix_%(table_name)s_%(column_0_N_name)s",
    "uq": "uq_%(table_name)s_%(column_0_N_name)s",
    "ck": "ck_%(table_name)s_%(constraint_name)s",
    "fk": "fk_%(table_name)s_%(column_0_N_name)s",
    "pk": "pk_%(table_name)s",
}


class Kind(StrEnum):
    """How the change log treats a table."""

    LOGGED = "logged"  # every change before and after, can be undone
    LEDGER = "ledger"  # append only; its undo is the opposite row
    SECRET = "secret"  # noqa: S105 - the log says *changed*, never the value
    LOG = "log"  # the log itself, and counters that never go back
    CONTENT = "content"  # bytes by their hash; never changed, only added
    DERIVED = "derived"  # can be dropped and rebuilt from the rest


class UtcInstant(TypeDecorator[datetime]):
    """An aware instant, always UTC. A naive one is refused."""

    impl = DateTime
    cache_ok = True

    def load_dialect_impl(self, dialect: Dialect) -> Any:
        """A zoned column where the database has one, plain UTC text where it has not."""
        return dialect.type_descriptor(DateTime(timezone=dialect.name == "postgresql"))

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """What is stored. Raises ValueError for a naive instant."""
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError(f"{value} has no time zone")
        utc = value.astimezone(UTC)
        return utc if dialect.name == "postgresql" else utc.replace(tzinfo=None)

    def process_result_value(
        self,
        value: datetime | None,
        dialect: Dialect,  # noqa: ARG002 (SQLAlchemy calls it so)
    ) -> datetime | None:
        """The instant in UTC, whatever the database returned."""
        if value is None:
            return None
        return value.replace(tzinfo=UTC) if value.tzinfo is None else value.astimezone(UTC)


Uid = Annotated[str, mapped_column(Text, unique=True, default=lambda: uuid4().hex)]


def ref(target: str, *, optional: bool = False, index: bool = True) -> Mapped[Any]:
    """A column that points to ``target.id``; nothing that is pointed to can be removed."""
    column: Mapped[Any] = mapped_column(
        Integer, ForeignKey(f"{target}.id", ondelete="RESTRICT"), index=index, nullable=optional
    )
    return column


def personal(*, optional: bool = True) -> Mapped[Any]:
    """A text about a person: erasing that person clears it here and in the log."""
    column: Mapped[Any] = mapped_column(Text, nullable=optional, info={"personal": True})
    return column


class Record(DeclarativeBase):
    """Base of all tables."""

    __abstract__ = True
    metadata = MetaData(naming_convention=NAMES)
    type_annotation_map: Mapping[Any, Any] = {
        datetime: UtcInstant,
        date: Date,
        str: Text,
        float: Float,
        dict[str, Any]: JSON(none_as_null=True),
        list[Any]: JSON(none_as_null=True),
    }
    kind: ClassVar[Kind]
    # keys are never given out twice, also after the newest row went
    __table_args__: Any = {"sqlite_autoincrement": True}  # noqa: RUF012 (SQLAlchemy reads it so)

    id: Mapped[int] = mapped_column(primary_key=True, sort_order=-10)


class Logged(Record):
    """A record whose every change is kept and can be undone.

    `revision` goes up with each change; a form brings back the one it showed.
    """

    __abstract__ = True
    kind = Kind.LOGGED
    revision: Mapped[int] = mapped_column(sort_order=-9)

    @declared_attr.directive
    def __mapper_args__(cls) -> dict[str, Any]:  # noqa: N805 (SQLAlchemy calls it on the class)
        # records.store counts revisions itself: also a row put back by undo must go up
        return {"version_id_col": cls.revision, "version_id_generator": False}


def table_of(model: type[Record]) -> Table:
    """The table of a mapped class, for statements below the object layer."""
    table = model.__table__
    if not isinstance(table, Table):
        raise TypeError(f"{model} is not mapped to a table")
    return table
