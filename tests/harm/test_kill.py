"""SIGKILL in the middle of a change, 50 times each: the store opens, is sound, holds all or nothing.

The kills fall before statements spread over the whole change and around its commit (`killing.py`).
"""

import shutil
import sys
from pathlib import Path

import pytest
from sqlalchemy import func, select

from servicedesk.records.changes import Change, ChangeItem
from servicedesk.records.people import Customer, Phone
from servicedesk.records.rounds import Round
from servicedesk.records.sites import Site, System
from servicedesk.records.store import open_store
from servicedesk.records.undo import undo_change
from servicedesk.records.visits import Visit
from tests.harm.killing import KILLS, kill_many_times, nobody_listens
from tests.records.rows import AT, a_round, a_site, many_sites
from tests.records.snapshot import snapshot

SITES = 300  # five rows each: 1,500

pytestmark = pytest.mark.skipif(
    sys.platform == "win32", reason="no such signal here; mend: run on Linux or macOS"
)


def bring_in(place: str, begun=nobody_listens) -> None:
    """1,500 rows in one change, as a list that is brought in makes them."""
    store = open_store(place)
    begun()
    with store.change("Ines", "Brought in a list") as work:
        many_sites(work, SITES, first=1000)


def save_the_round(place: str, begun=nobody_listens) -> None:
    """Nine stops put in another order and handed out, as saving a round does."""
    store = open_store(place)
    begun()
    with store.change("Ines", "Saved the round") as work:
        visits = work.session.scalars(select(Visit).order_by(Visit.id)).all()
        for place_, visit in enumerate(reversed(visits), 1):
            work.fresh(Visit, visit.id, seen=visit.revision)
            visit.place, visit.arrive_min, visit.held = place_, 480 + 30 * place_, True
            work.session.flush()
        round_ = work.session.scalars(select(Round)).one()
        round_.state, round_.handed_out_at, round_.road_min = "handed out", AT, 97


@pytest.fixture
def template(file_store, tmp_path):
    """A store with a planned round of nine, closed, in one file."""
    with file_store.change("Ines", "Planned visits") as work:
        sites = [a_site(work, n) for n in range(1, 10)]
        visits = [work.add(Visit(site_id=site.id)).id for site in sites]
    a_round(file_store, *visits)
    before = snapshot(file_store)
    file_store.close()
    assert not Path(f"{file_store.place}-wal").exists()
    return Path(file_store.place), before


def test_killed_in_the_middle_of_a_bring_in_the_store_holds_all_or_nothing(template, tmp_path):
    place, before = template

    def holds(store):
        with store.read() as session:
            rows = {
                model: session.scalar(select(func.count(model.id)).where(model.id > least))
                for model, least in ((Site, 9), (Customer, 0), (Phone, 0), (System, 0))
            }
            change = session.scalar(select(Change.id).where(Change.what == "Brought in a list"))
            items = select(func.count(ChangeItem.id)).where(ChangeItem.change_id == change)
            n_items = session.scalar(items)
        if change is None and set(rows.values()) == {0}:
            return "nothing" if snapshot(store) == before else "other rows"
        return "all" if set(rows.values()) == {SITES} and n_items == 5 * SITES else f"{rows}"

    held = kill_many_times(bring_in, place, tmp_path, holds)

    assert held["nothing"] > 5
    assert sum(held.values()) == KILLS


def test_killed_while_a_round_is_saved_the_store_holds_the_old_or_the_new(template, tmp_path):
    place, before = template
    saved = tmp_path / "saved.store"
    shutil.copyfile(place, saved)
    save_the_round(str(saved))
    store = open_store(saved)
    after = snapshot(store)
    store.close()
    assert after != before

    def holds(store):
        with store.read() as session:
            change = session.scalar(select(Change.id).where(Change.what == "Saved the round"))
        if change is None:
            return "nothing" if snapshot(store) == before else "half a round"
        if snapshot(store) != after:
            return "half a round"
        undo_change(store, change, who="Ines")
        return "all" if snapshot(store) == before else "undo gave something else"

    held = kill_many_times(save_the_round, place, tmp_path, holds)

    assert held["nothing"] > 5
    assert sum(held.values()) == KILLS
