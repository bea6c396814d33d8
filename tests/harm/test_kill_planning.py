"""SIGKILL while the weeks are being planned: proposing writes nothing, so the store is untouched."""

import shutil
import sys
from datetime import date
from pathlib import Path

import pytest

from servicedesk.desk.office import open_desk
from servicedesk.desk.period import propose, take
from servicedesk.records.copying import check
from servicedesk.records.store import open_store
from tests.harm.killing import killed_after
from tests.records.snapshot import snapshot

ROOT = Path(__file__).parents[2]
TODAY = date(2026, 10, 14)
KILLS = 4

pytestmark = pytest.mark.skipif(
    sys.platform == "win32", reason="no such signal here; mend: run on Linux or macOS"
)


def plan(place: str, begun, *, takes: bool = False) -> None:
    """Plan six weeks for a long time; `begun` is told when the search has found something."""
    desk = open_desk(place, today=TODAY)
    seconds = 0.5 if takes else 60.0
    draft = propose(desk, 6, seconds=seconds, better=lambda _: begun())
    if takes:
        take(desk, draft)


def test_killed_while_planning_the_store_is_untouched(tmp_path):
    template = tmp_path / "template.store"
    shutil.copyfile(ROOT / "sample_db" / "small-60.store", template)
    store = open_store(template)
    before = snapshot(store)
    store.close()
    for n in range(KILLS):
        place = tmp_path / f"{n}.store"
        shutil.copyfile(template, place)
        killed_after(0.2 * n, plan, place)
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
