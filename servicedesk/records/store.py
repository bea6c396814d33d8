"""The store: one database, read and changed in whole pieces of work."""

import hashlib
import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, TypeVar

from sqlalchemy import Connection, Engine, func, insert, select, text
from sqlalchemy.orm import Session

from servicedesk.records import schema, search
from servicedesk.records.base import Kind, Logged, Record
from servicedesk.records.changes import Change, ChangeItem, ChangeSecret, Counter
from servicedesk.records.content import Content, content_of
from servicedesk.records.database import (
    APPLICATION_ID,
    copy_sqlite,
    is_url,
    look_at_file,
    open_database,
)
from servicedesk.records.errors import StaleEdit, store_trouble, translated
from servicedesk.records.jsonable import columns_of, to_json
from servicedesk.records.log import Item, Watch
from servicedesk.records.tables import models
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
        counter = self.session.scalar(
            select(Counter).where(Counter.series == series).with_for_update()
        )
        if counter is None:
            counter = Counter(series=series, next_number=1)
            self.session.add(counter)
        number = counter.next_number
        counter.next_number = number + 1
        self.session.flush()
        return number

    def items(self) -> list[Item]:
        """What was touched so far, in order of first touch."""
        self.session.flush()
        return list(self._watch.items.values())


class Store:
    """An open store. Every piece of work gets a fresh session; threads never share one."""

    def __init__(self, place: str | Path, *, now: Callable[[], datetime] | None = None) -> None:
        self.place = str(place)
        self.now = now or (lambda: datetime.now(UTC))
        self.database: Engine = open_database(place)
        self._writing = self.database.execution_options(write=True)

    @property
    def is_file(self) -> bool:
        """Is this store a file of its own?"""
        return not is_url(self.place)

    @property
    def name(self) -> str:
        """How people call it: the file's name or the database's."""
        return Path(self.place).name if self.is_file else str(self.database.url.database)

    @property
    def content(self) -> Content:
        """Where the bytes of papers and photos are kept."""
        return content_of(self.place if self.is_file else None, self.database)

    @contextmanager
    def read(self) -> Iterator[Session]:
        """A session for reading one consistent picture."""
        with translated(self.place), Session(self.database, expire_on_commit=False) as session:
            yield session

    @contextmanager
    def change(
        self, who: str, what: str, *, kind: str = "edit", undoes: int | None = None
    ) -> Iterator[Work]:
        """One transaction in words. All or nothing; what it touched is logged with it.

        Nothing is written if nothing was touched. After the block `work.changed` tells what was.
        """
        with (
            translated(self.place),
            Session(self._writing, expire_on_commit=False) as session,
            session.begin(),
        ):
            work = Work(session, self.now())
            yield work
            work.changed = _write_log(work, who, what, kind, undoes)

    def load(self, who: str, what: str, rows: Mapping[str, Sequence[Mapping[str, Any]]]) -> None:
        """Put many rows into an empty store, fast: one change of kind *load*, not undoable.

        `rows` holds plain values by column, by table name; keys are given. Revisions start at 1.
        """
        with translated(self.place), self._writing.begin() as connection:
            counts = {}
            for model in models():
                some = rows.get(model.__tablename__)
                if some:
                    connection.execute(insert(model), [_with_revision(model, r) for r in some])
                    counts[model.__tablename__] = [len(some), content_hash(some)]
            search.rebuild(connection)
            reset_sequences(connection)
            connection.execute(
                insert(Change).values(
                    at=self.now(), who=who, what=what, kind_of="load", counts=counts
                )
            )

    def close(self) -> None:
        """Let go of the database."""
        self.database.dispose()


def create_store(place: str | Path, **options: Any) -> Store:
    """A new, empty store. Raises Trouble if something stands there already."""
    if not is_url(str(place)):
        path = Path(place)
        if look_at_file(path) not in {"nothing", "empty"}:
            raise store_trouble(
                say("{path} already exists and was left as it is.", path=path),
                do=say("Choose another name, or open that one."),
            )
        if not path.parent.is_dir():
            raise store_trouble(
                say("The folder {folder} does not exist.", folder=path.parent),
                do=say("Make it first, or choose another place."),
            )
    store = Store(place, **options)
    with translated(store.place), store._writing.begin() as connection:
        if schema.version_of(connection) is not None:
            raise store_trouble(
                say("{place} already holds a store.", place=store.name),
                do=say("Choose another database, or open that one."),
            )
        schema.upgrade(connection)
        if store.is_file:
            connection.exec_driver_sql(f"PRAGMA application_id = {APPLICATION_ID}")
    return store


def open_store(place: str | Path, **options: Any) -> Store:
    """An existing store, brought up to date if it is older (its file is copied aside first).

    Raises Trouble for no store, an empty file, a file of something else, a newer store.
    """
    if not is_url(str(place)):
        _refuse_what_is_no_store(Path(place))
    store = Store(place, **options)
    with translated(store.place), store.database.connect() as connection:
        version = schema.version_of(connection)
    if version == schema.HEAD:
        return store
    if version is None:
        store.close()
        raise store_trouble(
            say("{place} holds no store of this program.", place=store.name),
            means=say("It was not touched."),
            do=say("Make one with: servicedesk store new"),
        )
    if version not in schema.known_versions():
        store.close()
        raise store_trouble(
            say("{place} was written by a newer version of this program.", place=store.name),
            means=say("It was not touched."),
            do=say("Install the newer version to open it."),
        )
    _upgrade(store, version)
    return store


def _upgrade(store: Store, version: str) -> None:
    if store.is_file:
        aside = Path(f"{store.place}.before-{version}-{store.now():%Y%m%d-%H%M%S}")
        copy_sqlite(Path(store.place), aside)
    with translated(store.place), store._writing.connect() as connection, connection.begin():
        schema.upgrade(connection)
        search.rebuild(connection)


def _refuse_what_is_no_store(path: Path) -> None:
    match look_at_file(path):
        case "nothing":
            raise store_trouble(
                say("There is no store at {path}.", path=path),
                do=say("Make one with: servicedesk store new --store {path}", path=path),
            )
        case "empty":
            raise store_trouble(
                say("{path} is an empty file.", path=path),
                do=say("Make a store of it with: servicedesk store new --store {path}", path=path),
            )
        case "other":
            raise store_trouble(
                say("{path} is not a store of this program.", path=path),
                means=say("It was not touched."),
                do=say("Open another file, or bring a list in with: servicedesk bring-in"),
            )


def _write_log(work: Work, who: str, what: str, kind: str, undoes: int | None) -> Changed:
    items = work.items()
    if not items and undoes is None:
        return Changed(0, {})
    session = work.session
    change = Change(at=work.at, who=who, what=what, kind_of=kind, undoes_id=undoes)
    session.add(change)
    session.flush()
    rows: dict[str, set[int]] = {}
    for item in items:
        secret = item.model.kind is Kind.SECRET
        row = ChangeItem(
            change_id=change.id,
            table_name=item.model.__tablename__,
            row_id=item.row_id,
            op=item.op,
            before=None if secret else item.before,
            after=None if secret else item.after,
        )
        session.add(row)
        if secret:
            session.flush()
            session.add(ChangeSecret(item_id=row.id, before=item.before, after=item.after))
        rows.setdefault(row.table_name, set()).add(item.row_id)
    session.flush()
    search.index_rows(session.connection(), rows)
    return Changed(change.id, {table: frozenset(ids) for table, ids in rows.items()})


def _last_hand(session: Session, table: str, row_id: int) -> tuple[str, str]:
    row = session.execute(
        select(Change.who, Change.what)
        .join(ChangeItem, ChangeItem.change_id == Change.id)
        .where(ChangeItem.table_name == table, ChangeItem.row_id == row_id)
        .order_by(Change.id.desc())
        .limit(1)
    ).first()
    return (row.who, row.what) if row else (say("somebody"), "")


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
    """After rows came with their keys: let the next key follow the highest one (PostgreSQL)."""
    if connection.dialect.name != "postgresql":
        return
    for model in models():
        table = model.__tablename__
        highest = connection.execute(select(func.max(model.id))).scalar()
        if highest:
            connection.execute(
                text("SELECT setval(pg_get_serial_sequence(:t, 'id'), :n)"),
                {"t": f'"{table}"', "n": highest},
            )
