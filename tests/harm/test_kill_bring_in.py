"""SIGKILL in the middle of taking a list, 50 times: all of it is there or nothing.

The list was looked at before; the child only takes it.
"""

import shutil
import sys
from dataclasses import replace
from datetime import date
from functools import partial
from pathlib import Path

import pytest
from sqlalchemy import func, select

from servicedesk.desk.bring_in import look_at, take
from servicedesk.desk.office import desk_at
from servicedesk.exchange.understood import Answers
from servicedesk.records.changes import Change
from servicedesk.records.company import BroughtRow
from servicedesk.records.sites import Site
from servicedesk.records.store import open_store
from servicedesk.records.undo import undo_change
from tests.harm.killing import KILLS, kill_many_times, nobody_listens
from tests.records.snapshot import snapshot

SHEET = Path(__file__).resolve().parents[2] / "sample_db" / "sheets" / "office_list.xlsx"
TODAY = date(2026, 10, 14)

pytestmark = pytest.mark.skipif(
    sys.platform == "win32", reason="no such signal here; mend: run on Linux or macOS"
)


def bring_in(path: str, begun=nobody_listens, *, proposal) -> None:
    """Take the list into the store."""
    desk = replace(desk_at(open_store(path), today=TODAY), who="Ines")
    begun()
    take(desk, proposal)


def test_killed_while_a_list_is_taken_the_store_holds_all_or_nothing(file_store, tmp_path):
    answers = Answers(swap_latlon=True, area_code="802")
    proposal = look_at(desk_at(file_store, today=TODAY), SHEET, answers=answers)
    before = snapshot(file_store)
    file_store.close()
    place = Path(file_store.place)

    taken = tmp_path / "taken.store"
    shutil.copyfile(place, taken)
    bring_in(str(taken), proposal=proposal)
    store = open_store(taken)
    with store.read() as session:
        all_sites = session.scalar(select(func.count(Site.id)))
        all_brought = session.scalar(select(func.count(BroughtRow.id)))
    store.close()
    assert (all_sites, all_brought) == (20, 21)

    def holds(store) -> str:
        with store.read() as session:
            change = session.scalar(select(Change.id).where(Change.what.like("Brought in%")))
            n = session.scalar(select(func.count(Site.id)))
            brought = session.scalar(select(func.count(BroughtRow.id)))
        if change is None:
            return "nothing" if snapshot(store) == before else "other rows"
        if (n, brought) != (all_sites, all_brought):
            return f"{n} of {all_sites} sites"
        undo_change(store, change, who="Ines")
        return "all" if snapshot(store) == before else "undo gave something else"

    held = kill_many_times(partial(bring_in, proposal=proposal), place, tmp_path, holds)

    assert held["nothing"] > 5
    assert sum(held.values()) == KILLS
