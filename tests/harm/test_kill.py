"""SIGKILL in the middle of a change, 50 times each: the store opens, is sound, holds all or nothing.

A child is forked from this warmed process, opens the file and writes; it is killed after a time
spread over how long the change takes. The child says on a pipe when it begins and when it is done,
so that the test knows that kills did fall before, into and after the commit.
"""

import os
import random
import select as waiting
import shutil
import signal
import sys
import time
from pathlib import Path

import pytest
from sqlalchemy import func, select

from servicedesk.records.changes import Change, ChangeItem
from servicedesk.records.copying import check
from servicedesk.records.people import Customer, Phone
from servicedesk.records.rounds import Round
from servicedesk.records.sites import Site, System
from servicedesk.records.store import open_store
from servicedesk.records.undo import undo_change
from servicedesk.records.visits import Visit
from tests.records.rows import AT, a_round, a_site, many_sites
from tests.records.snapshot import snapshot

KILLS = 50
SITES = 300  # five rows each: 1,500

pytestmark = [
    pytest.mark.skipif(sys.platform == "win32", reason="no fork here; mend: run on Linux or macOS"),
    # the children open their own store, and no thread of this process matters to them
    pytest.mark.filterwarnings("ignore:.*fork:DeprecationWarning"),
]


def nobody_listens() -> None:
    """Whoever waits for the beginning is told here."""


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


def killed_after(seconds: float, work, place: str) -> str:
    """Do `work` in a child and kill it so many seconds after it began; what it said."""
    reader, writer = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            work(place, lambda: os.write(writer, b"b"))
            os.write(writer, b"d")
            signal.pause()
        finally:
            os._exit(1)
    os.close(writer)
    assert os.read(reader, 1) == b"b", "the child never came to write"
    time.sleep(seconds)
    os.kill(child, signal.SIGKILL)
    _, status = os.waitpid(child, 0)
    assert os.WTERMSIG(status) == signal.SIGKILL
    done = bool(waiting.select([reader], [], [], 0)[0]) and os.read(reader, 1) == b"d"
    os.close(reader)
    return "done" if done else "killed"


def how_long(work, template: Path, folder: Path) -> float:
    """Seconds from the beginning of the change to its end."""
    place = folder / "timed.store"
    shutil.copyfile(template, place)
    reader, writer = os.pipe()
    child = os.fork()
    if child == 0:
        work(str(place), lambda: os.write(writer, b"b"))
        os._exit(0)
    os.close(writer)
    os.read(reader, 1)
    begun = time.monotonic()
    os.waitpid(child, 0)
    os.close(reader)
    return time.monotonic() - begun


def kill_many_times(work, template: Path, folder: Path, holds) -> dict[str, int]:
    """Kill `work` at times spread over its length; count what the store held afterwards."""
    length = how_long(work, template, folder)
    chance = random.Random(4)
    held = {"all": 0, "nothing": 0}
    for n in range(KILLS):
        place = folder / f"{n}.store"
        shutil.copyfile(template, place)
        # most fall into the last third, where the log is written and the commit happens
        share = chance.uniform(0, 1) if n % 3 == 0 else chance.uniform(0.7, 1.15)
        said = killed_after(share * length, work, str(place))
        store = open_store(place)
        assert check(store).faults == ()
        what = holds(store)
        assert what in held, what
        assert not (said == "done" and what == "nothing"), "said done, and it is not there"
        held[what] += 1
        store.close()
        place.unlink()
    return held


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

    assert held["nothing"] > 10
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

    assert sum(held.values()) == KILLS
    assert held["nothing"] > 5
