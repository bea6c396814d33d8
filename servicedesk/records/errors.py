"""The database's errors by code, made into sentences in one place."""

import errno
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy.exc import DBAPIError, OperationalError
from sqlalchemy.orm.exc import StaleDataError

from servicedesk.values.trouble import Trouble
from servicedesk.words import say

STORE_TROUBLE = 3


class StaleEdit(Trouble):
    """Somebody else changed the row since it was shown. Carries both versions."""

    def __init__(
        self, table: str, row_id: int, *, now: dict[str, object], by: str, changes: str
    ) -> None:
        super().__init__(
            say("Not written: {who} changed this first ({what}).", who=by, what=changes),
            means=say("Your entry is kept here; nothing was lost."),
            do=say("Look at both versions and write yours again, or keep theirs."),
            exit_code=STORE_TROUBLE,
        )
        self.table = table
        self.row_id = row_id
        self.now = now


def store_trouble(what: str, *, means: str = "", do: str = "") -> Trouble:
    """Trouble with the store, exit code 3."""
    return Trouble(what, means=means, do=do, exit_code=STORE_TROUBLE)


@contextmanager
def translated(place: str) -> Iterator[None]:
    """Inside, errors of the world become `Trouble`; `place` names the store. Ours pass through."""
    try:
        yield
    except StaleDataError as error:
        raise store_trouble(
            say("Not written: somebody else changed the same record a moment ago."),
            means=say("Your entry is kept here; nothing was lost."),
            do=say("Open it again to see their version, then write yours."),
        ) from error
    except DBAPIError as error:
        known = _known(error, place)
        if known is None:
            raise
        raise known from error


def _known(error: DBAPIError, place: str) -> Trouble | None:
    original = error.orig
    if isinstance(original, sqlite3.Error):
        return sqlite_trouble(original, place)
    state = getattr(original, "sqlstate", None) or ""
    known = postgresql_trouble(state, place) if state else None
    if known is None and (error.connection_invalidated or isinstance(error, OperationalError)):
        return _connection_lost(place)
    return known


def _connection_lost(place: str) -> Trouble:
    return store_trouble(
        say("The store {place} cannot be reached.", place=place),
        means=say("The last change was not written."),
        # while connecting, the client library gives no code: all causes get one advice
        do=say("Check the network, the server, and the names and password in the address."),
    )


def postgresql_trouble(state: str, place: str) -> Trouble | None:
    """The sentence for an SQLSTATE of PostgreSQL (its manual, appendix A), or None if ours."""
    match state:
        case "40001" | "40P01" | "55P03":  # serialization, deadlock, lock not available
            return store_trouble(
                say("Not written: somebody else wrote to {place} in the same moment.", place=place),
                do=say("Try again."),
            )
        case "53100":  # disk full
            return _disk_full(place)
        case "25006" | "42501":  # read-only transaction, insufficient privilege
            return store_trouble(
                say("Not written: {place} may only be read.", place=place),
                do=say("Ask whoever looks after the database for the right to write to it."),
            )
    # 08: connection, 53: resources, 57: operator (the server is going down)
    return _connection_lost(place) if state[:2] in {"08", "53", "57"} else None


def _disk_full(place: str) -> Trouble:
    return store_trouble(
        say("Not written: the disk of {place} is full.", place=place),
        means=say("Nothing written earlier was harmed."),
        do=say("Free some space and try again."),
    )


def file_trouble(error: OSError, path: object) -> Trouble:
    """The sentence for a file that could not be written or read."""
    if error.errno in {errno.ENOSPC, errno.EDQUOT}:
        return _disk_full(str(path))
    return store_trouble(
        say("{path} cannot be written.", path=path),
        do=say("Choose a folder that you may write to and that has room."),
    )


def sqlite_trouble(error: sqlite3.Error, place: str) -> Trouble | None:
    """The sentence for an error of the SQLite library, or None if it is a mistake of ours."""
    code = getattr(error, "sqlite_errorcode", None)
    primary = None if code is None else code & 0xFF
    match primary:
        case sqlite3.SQLITE_FULL:
            return _disk_full(place)
        case sqlite3.SQLITE_BUSY | sqlite3.SQLITE_LOCKED:
            return store_trouble(
                say("Not written: another program is using {place}.", place=place),
                do=say("Close the other program or wait a moment, then try again."),
            )
        case sqlite3.SQLITE_READONLY | sqlite3.SQLITE_PERM:
            return store_trouble(
                say("Not written: {place} may only be read.", place=place),
                do=say("Give yourself the right to write to it and to its folder."),
            )
        case sqlite3.SQLITE_CANTOPEN | sqlite3.SQLITE_IOERR:
            return store_trouble(
                say("{place} cannot be opened or read.", place=place),
                do=say("Check that its folder is reachable, may be written, and has room."),
            )
        case sqlite3.SQLITE_CORRUPT | sqlite3.SQLITE_NOTADB:
            return store_trouble(
                say("{place} is damaged or is not a store of this program.", place=place),
                means=say("It was not touched."),
                do=say("Restore the latest backup with: servicedesk store restore"),
            )
    return None
