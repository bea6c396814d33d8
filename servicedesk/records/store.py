"""The store: one database, read and changed in whole pieces of work."""

import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, insert, inspect, text
from sqlalchemy.orm import Session

from servicedesk.records import schema, search
from servicedesk.records.changes import Change
from servicedesk.records.content import Content, content_of
from servicedesk.records.database import (
    APPLICATION_ID,
    copy_sqlite,
    is_url,
    look_at_file,
    open_database,
    remove_part,
)
from servicedesk.records.errors import file_trouble, store_trouble, translated
from servicedesk.records.loading import Rows, load_rows, refuse_not_empty
from servicedesk.records.where import refuse_network_share
from servicedesk.records.work import Changed, Work, write_log
from servicedesk.words import say

__all__ = ["Changed", "Store", "Work", "create_store", "open_store"]


class Store:
    """An open store. Every piece of work gets a fresh session; threads never share one."""

    def __init__(self, place: str | Path, *, now: Callable[[], datetime] | None = None) -> None:
        self.place = str(place)
        self.now = now or (lambda: datetime.now(UTC))
        # what the desk concluded from the store as it stood at a change; see desk.cached
        self.conclusions: dict[tuple[object, ...], tuple[object, Any]] = {}
        self.database: Engine = open_database(place)
        self._writing = self.database.execution_options(write=True)
        # PostgreSQL would otherwise show each statement another picture; SQLite never does
        reading = {} if self.is_file else {"isolation_level": "REPEATABLE READ"}
        self._reading = self.database.execution_options(**reading)

    @property
    def is_file(self) -> bool:
        """Is this store a file of its own?"""
        return not is_url(self.place)

    @property
    def name(self) -> str:
        """How people call it: the file's name or the database's."""
        return Path(self.place).name if self.is_file else str(self.database.url.database)

    @property
    def shown(self) -> str:
        """Where it is, as people may see it: without a password."""
        return self.place if self.is_file else str(self.database.url)

    @property
    def content(self) -> Content:
        """Where the bytes of papers and photos are kept."""
        return content_of(self.place if self.is_file else None, self.database)

    @contextmanager
    def read(self) -> Iterator[Session]:
        """A session for reading one consistent picture."""
        with translated(self.shown), Session(self._reading, expire_on_commit=False) as session:
            yield session

    @contextmanager
    def change(
        self, who: str, what: str, *, kind: str = "edit", undoes: int | None = None
    ) -> Iterator[Work]:
        """One transaction in words. All or nothing; what it touched is logged with it.

        Nothing is written if nothing was touched. After the block `work.changed` tells what was.
        """
        with (
            translated(self.shown),
            Session(self._writing, expire_on_commit=False) as session,
            session.begin(),
        ):
            work = Work(session, self.now())
            yield work
            work.changed = write_log(work, who, what, kind, undoes)

    def load(self, who: str, what: str, rows: Rows) -> None:
        """Put many rows into an empty store, fast: one change of kind *load*, not undoable.

        `rows` holds plain values by column, by table name; keys are given. Revisions start at 1.
        """
        with translated(self.shown), self._writing.begin() as connection:
            refuse_not_empty(connection, self.name)
            counts = load_rows(connection, rows)
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
    if is_url(str(place)):
        return _create_in_database(str(place), **options)
    path = Path(place)
    refuse_taken(path)
    refuse_network_share(path)
    # made beside and put in place when it is whole: a crash leaves no half store behind
    part = path.with_name(path.name + ".part")
    try:
        remove_part(part)
        store = Store(part)
        try:
            with translated(str(path)), store._writing.begin() as connection:
                schema.upgrade(connection)
                connection.exec_driver_sql(f"PRAGMA application_id = {APPLICATION_ID}")
        finally:
            store.close()
        part.replace(path)
    except OSError as error:
        raise file_trouble(error, path) from error
    finally:
        with suppress(OSError):
            remove_part(part)
    return Store(path, **options)


def refuse_taken(path: Path) -> None:
    """Raise Trouble if something stands at `path`, or if its folder is not there."""
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


def _create_in_database(place: str, **options: Any) -> Store:
    store = Store(place, **options)
    try:
        with translated(store.shown), store._writing.begin() as connection:
            _refuse_taken_database(connection, store.name)
            schema.upgrade(connection)
    except BaseException:
        store.close()
        raise
    return store


def _refuse_taken_database(connection: Connection, name: str) -> None:
    if schema.version_of(connection) is not None:
        raise store_trouble(
            say("{place} already holds a store.", place=name),
            do=say("Choose another database, or open that one."),
        )
    if inspect(connection).get_table_names():
        raise store_trouble(
            say("{place} already holds something else.", place=name),
            means=say("It was not touched."),
            do=say("Choose an empty database."),
        )


def open_store(place: str | Path, **options: Any) -> Store:
    """An existing store, brought up to date if it is older (its data is kept aside first).

    Raises Trouble for no store, an empty file, a file of something else, a newer store, a file
    on a network share.
    """
    if not is_url(str(place)):
        refuse_what_is_no_store(Path(place))
        refuse_network_share(place)
        _refuse_read_only(Path(place))
    store = Store(place, **options)
    try:
        with translated(store.shown), store.database.connect() as connection:
            version = schema.version_of(connection)
        _refuse_unknown(store, version)
        if version != schema.HEAD:
            _upgrade(store, str(version))
    except BaseException:
        store.close()
        raise
    return store


def _refuse_unknown(store: Store, version: str | None) -> None:
    if version is None:
        raise store_trouble(
            say("{place} holds no store of this program.", place=store.name),
            means=say("It was not touched."),
            do=say("Make one with: servicedesk store new"),
        )
    if version not in schema.known_versions():
        raise store_trouble(
            say("{place} was written by a newer version of this program.", place=store.name),
            means=say("It was not touched."),
            do=say("Install the newer version to open it."),
        )


def _upgrade(store: Store, version: str) -> None:
    stamp = f"{store.now():%Y%m%d-%H%M%S}"
    if store.is_file:
        copy_sqlite(Path(store.place), _free_name(f"{store.place}.before-{version}-{stamp}"))
    with translated(store.shown), store._writing.connect() as connection:
        # a step that makes a table anew would take the rows that point to it along; the switch
        # works only outside a transaction
        _foreign_keys(connection, on=False)
        try:
            with connection.begin():
                if schema.version_of(connection) != version:
                    return  # another seat was faster
                if not store.is_file:
                    _keep_aside(connection, f"before_{version}_{stamp}".replace("-", "_"))
                schema.upgrade(connection)
                _refuse_orphans(connection)
                search.rebuild(connection)
        finally:
            _foreign_keys(connection, on=True)


def _free_name(name: str) -> Path:
    path, n = Path(name), 1
    while path.exists():
        n += 1
        path = Path(f"{name}-{n}")
    return path


def _foreign_keys(connection: Connection, *, on: bool) -> None:
    if connection.dialect.name == "sqlite":
        driver: Any = connection.connection.driver_connection
        driver.execute(f"PRAGMA foreign_keys = {'ON' if on else 'OFF'}")


def _refuse_orphans(connection: Connection) -> None:
    if connection.dialect.name == "sqlite":
        orphans = connection.exec_driver_sql("PRAGMA foreign_key_check").all()
        if orphans:
            raise AssertionError(f"the upgrade left rows that point to nothing: {orphans[:5]}")


def _keep_aside(connection: Connection, schema_name: str) -> None:
    """Copy every table into a schema of its own, in the transaction that upgrades them."""
    # one seat upgrades at a time; the others wait here and then see the new version
    connection.execute(text("LOCK TABLE alembic_version IN ACCESS EXCLUSIVE MODE"))
    connection.execute(text(f'CREATE SCHEMA "{schema_name}"'))
    for table in inspect(connection).get_table_names():
        copied = f'CREATE TABLE "{schema_name}"."{table}" AS TABLE "{table}"'
        connection.execute(text(copied))


def _refuse_read_only(path: Path) -> None:
    # the folder too: the database keeps its journal beside the file
    for which in (path, path.resolve().parent):
        if not os.access(which, os.W_OK):
            raise store_trouble(
                say("{path} may only be read.", path=which),
                do=say("Give yourself the right to write to it and to its folder."),
            )


def refuse_what_is_no_store(path: Path) -> None:
    """Raise Trouble if no store of ours lies at `path`. Touches nothing."""
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
