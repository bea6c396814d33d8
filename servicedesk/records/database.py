"""Opens the database behind a store: a SQLite file or PostgreSQL."""

import os
import sqlite3
import stat
from contextlib import closing, suppress
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event, make_url
from sqlalchemy.engine import URL
from sqlalchemy.exc import ArgumentError

from servicedesk.records.errors import file_trouble, sqlite_trouble, store_trouble
from servicedesk.values.trouble import Trouble
from servicedesk.words import say

APPLICATION_ID = 0x53_44_53_4B  # stands in the header of our SQLite files
BUSY_MS = 5000


def is_url(place: str) -> bool:
    """Does `place` name a database server rather than a file?"""
    return "://" in place


def database_url(place: str | Path) -> URL:
    """The address of the database. Raises Trouble for one that cannot be understood."""
    text = str(place)
    if not is_url(text):
        return URL.create("sqlite+pysqlite", database=text)
    try:
        url = make_url(text)
    except ArgumentError as error:
        raise store_trouble(
            say("{place} is not the address of a store.", place=text),
            do=say("Write a file name, or postgresql://user@host/name."),
        ) from error
    if url.get_backend_name() != "postgresql":
        raise store_trouble(
            say("A store cannot live in {kind}.", kind=url.get_backend_name()),
            do=say("Use a file, or PostgreSQL for several seats."),
        )
    return url.set(drivername="postgresql+psycopg")


def open_database(place: str | Path) -> Engine:
    """The engine for a store, with the settings both databases need. Opens no connection yet."""
    url = database_url(place)
    if url.get_backend_name() == "postgresql":
        try:
            return create_engine(url, pool_pre_ping=True)
        except ModuleNotFoundError as error:
            raise store_trouble(
                say("Several seats need a library that is not installed."),
                do=say("Install it with: pip install 'servicedesk[seats]'"),
            ) from error
    database = create_engine(url, connect_args={"check_same_thread": False})
    event.listen(database, "connect", _on_sqlite_connect)
    event.listen(database, "begin", _on_sqlite_begin)
    return database


def _on_sqlite_connect(connection: sqlite3.Connection, _record: Any) -> None:
    connection.isolation_level = None  # we say BEGIN ourselves
    connection.execute(f"PRAGMA busy_timeout = {BUSY_MS}")
    connection.execute("PRAGMA foreign_keys = ON")
    connection.execute("PRAGMA journal_mode = WAL")
    # an office writes little, and storms are this trade's weather
    connection.execute("PRAGMA synchronous = FULL")


def _on_sqlite_begin(connection: Connection) -> None:
    # a transaction that reads first and writes later fails at once when another one wrote
    # in between; a change therefore takes the lock before it reads
    write = connection.get_execution_options().get("write", False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if write else "BEGIN")


def look_at_file(path: Path) -> str:
    """What stands at `path`: "nothing", "empty", "store" or "other". Touches nothing.

    Raises Trouble for a folder and for a file that cannot be read.
    """
    try:
        seen = path.stat()
    except (FileNotFoundError, NotADirectoryError):
        return "nothing"
    except OSError as error:
        raise _unreadable(path) from error
    if stat.S_ISDIR(seen.st_mode):
        raise store_trouble(
            say("{path} is a folder, not a store.", path=path),
            do=say("Name a file in it."),
        )
    if not seen.st_size:
        return "empty"
    return "store" if _application_of(path) == APPLICATION_ID else "other"


def _application_of(path: Path) -> int | None:
    """Which program a database file names in its head; None for a file that is no database.

    The database library reads it. Where a file of ours is open in this process already, closing
    it after a look of our own would drop the locks that stand on it (POSIX counts locks by file
    and process), and another process could then take its log away under the open one.
    """
    try:
        with closing(sqlite3.connect(f"{path.resolve().as_uri()}?immutable=1", uri=True)) as looks:
            return int(looks.execute("PRAGMA application_id").fetchone()[0])
    except sqlite3.OperationalError as error:
        raise _unreadable(path) from error
    except sqlite3.DatabaseError:
        return None


def _unreadable(path: Path) -> Trouble:
    return store_trouble(
        say("{path} cannot be read.", path=path),
        do=say("Give yourself the right to read it and its folder."),
    )


def remove_part(part: Path) -> None:
    """Remove a file that was not finished, and what the database keeps beside it."""
    for end in ("", "-wal", "-shm", "-journal"):
        Path(f"{part}{end}").unlink(missing_ok=True)


def copy_sqlite(source: Path, target: Path) -> None:
    """A consistent copy of a store that may be in use, whole or not at all (VACUUM INTO)."""
    part = target.with_name(target.name + ".part")
    try:
        remove_part(part)
        with closing(_for_reading(source)) as connection:
            connection.execute("VACUUM INTO ?", (str(part),))
        with part.open("rb+") as file:
            os.fsync(file.fileno())
        part.replace(target)
    except sqlite3.Error as error:
        raise sqlite_trouble(error, str(target)) or error from error
    except OSError as error:
        raise file_trouble(error, target) from error
    finally:
        with suppress(OSError):
            remove_part(part)


def _for_reading(path: Path) -> sqlite3.Connection:
    """A connection that writes nothing, also where neither file nor folder may be written."""
    address = path.resolve().as_uri()
    connection = sqlite3.connect(f"{address}?mode=ro", uri=True)
    try:
        connection.execute("SELECT 1 FROM sqlite_master").fetchone()
    except sqlite3.OperationalError:
        connection.close()
        if Path(f"{path}-wal").exists():
            raise
        # kept in WAL mode on a medium that cannot hold the lock file: nobody can be writing
        connection = sqlite3.connect(f"{address}?mode=ro&immutable=1", uri=True)
    return connection
