"""The count of patterns comes to the spine by itself, after the start and after changes."""

import pytest

from servicedesk.window.quiet_count import AFTER_CHANGE_MS, AFTER_START_MS
from tests.window.pages import some_kinds


@pytest.fixture
def window(open_window, office):
    return open_window(office, some_kinds())


def test_it_waits_for_the_start_to_be_over_and_for_changes_to_end(window):
    count = window.windows.quiet_count
    assert not count.soon.isActive()

    count.begin()
    assert count.soon.interval() == AFTER_START_MS

    window.shell.bus.changed.emit(None)
    assert count.soon.interval() == AFTER_CHANGE_MS > AFTER_START_MS


def test_what_it_finds_stands_in_the_spine(window, office, qtbot):
    office.slow = lambda progress: 4
    window.windows.quiet_count.count()

    qtbot.waitUntil(lambda: office.waiting.get("patterns") == 4)


def test_a_try_that_a_later_one_overtook_is_dropped(window, office, qtbot):
    def slow(progress):
        while True:
            progress(0, 1)

    office.slow = slow
    window.windows.quiet_count.count()
    office.slow = lambda progress: 2
    window.windows.quiet_count.count()

    qtbot.waitUntil(lambda: office.waiting.get("patterns") == 2)
    qtbot.waitUntil(lambda: not window.shell.work.is_busy)
    assert office.waiting["patterns"] == 2


def test_where_nothing_is_known_nothing_is_shown(window, office, qtbot):
    office.slow = lambda progress: None
    window.windows.quiet_count.count()

    qtbot.waitUntil(lambda: not window.shell.work.is_busy)
    assert "patterns" not in office.waiting
