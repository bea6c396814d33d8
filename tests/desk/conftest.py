"""A desk on both databases: Wednesday, October 14, 2026, 10:46 am at the office."""

from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from dataclasses import replace
from zoneinfo import ZoneInfo

import pytest
from sqlalchemy import event

from servicedesk.desk.office import Desk, desk_at
from servicedesk.records.store import Store
from servicedesk.values.clock import Clock
from tests.builders import TIME_ZONE, a_company
from tests.conftest import NOW


@pytest.fixture
def desk(store: Store) -> Desk:
    """Ines at a store that knows the company and nothing else."""
    return _seated(store)


@pytest.fixture
def file_desk(file_store: Store) -> Desk:
    """The same on the file store alone, for what only reads and was read on both already."""
    return _seated(file_store)


def _seated(store: Store) -> Desk:
    a_company(store)
    clock = Clock(ZoneInfo(TIME_ZONE), now_utc=lambda: NOW)
    return replace(desk_at(store), clock=clock)


@pytest.fixture
def count_queries() -> Callable[[Store], AbstractContextManager[list[str]]]:
    """``with count_queries(desk.store) as seen:`` collects the statements sent to the database."""

    @contextmanager
    def counting(store: Store) -> Iterator[list[str]]:
        seen: list[str] = []

        def note(_connection, _cursor, statement, _parameters, _context, _many) -> None:
            seen.append(statement)

        event.listen(store.database, "before_cursor_execute", note)
        try:
            yield seen
        finally:
            event.remove(store.database, "before_cursor_execute", note)

    return counting
