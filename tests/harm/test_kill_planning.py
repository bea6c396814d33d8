"""SIGKILL while the weeks are being planned: proposing writes nothing, so the store is untouched."""

import os
import shutil
import signal
import sys
import time
from datetime import date
from pathlib import Path

import pytest

from servicedesk.desk.office import open_desk
from servicedesk.desk.period import propose, take
from servicedesk.records.copying import check
from servicedesk.records.store import open_store
from tests.records.snapshot import snapshot

ROOT = Path(__file__).parents[2]
TODAY = date(2026, 10, 14)
KILLS = 4

pytestmark = [
    pytest.mark.skipif(sys.platform == "win32", reason="no fork here; mend: run on Linux or macOS"),
    pytest.mark.filterwarnings("ignore:.*fork:DeprecationWarning"),
]


def plan(place: str, begun, *, takes: bool) -> None:
    """Plan six weeks for a long time; `begun` is told when the search has found something."""
    desk = open_desk(place, today=TODAY)
    seconds = 0.5 if takes else 60.0
    draft = propose(desk, 6, seconds=seconds, better=lambda _: begun())
    if takes:
        take(desk, draft)


def killed_while_planning(place: str, seconds: float) -> None:
    """Plan in a child and kill it so many seconds after the search found its first plan."""
    reader, writer = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            plan(place, lambda: os.write(writer, b"b"), takes=False)
        finally:
            os._exit(1)
    os.close(writer)
    assert os.read(reader, 1) == b"b", "the child never came to plan"
    time.sleep(seconds)
    os.kill(child, signal.SIGKILL)
    _, status = os.waitpid(child, 0)
    assert os.WTERMSIG(status) == signal.SIGKILL
    os.close(reader)


def test_killed_while_planning_the_store_is_untouched(tmp_path):
    template = tmp_path / "template.store"
    shutil.copyfile(ROOT / "sample_db" / "small-60.store", template)
    store = open_store(template)
    before = snapshot(store)
    store.close()
    for n in range(KILLS):
        place = tmp_path / f"{n}.store"
        shutil.copyfile(template, place)
        killed_while_planning(str(place), 0.2 * n)
        store = open_store(place)
        assert check(store).faults == ()
        assert snapshot(store) == before
        store.close()


def test_the_snapshot_sees_a_plan_that_was_taken(tmp_path):
    place = tmp_path / "taken.store"
    shutil.copyfile(ROOT / "sample_db" / "small-60.store", place)
    store = open_store(place)
    before = snapshot(store)
    store.close()
    plan(str(place), lambda: None, takes=True)
    store = open_store(place)
    assert snapshot(store) != before
    store.close()
