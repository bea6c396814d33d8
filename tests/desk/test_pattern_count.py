"""The count of patterns by a process of its own is the count of the page."""

import pytest

from servicedesk.desk.front import FrontOffice
from servicedesk.desk.pattern_count import patterns_waiting_apart
from servicedesk.desk.pattern_seen import patterns_seen
from servicedesk.values.trouble import Stopped
from tests.desk.test_patterns import a_fleet


def test_another_process_counts_what_the_page_shows_and_the_spine_tells_it(file_desk):
    a_fleet(file_desk)
    office = FrontOffice(file_desk)
    n = patterns_seen(file_desk).n_waiting
    assert n > 0
    assert "patterns" not in office.counts()

    found = office.slow_count()()

    assert found == n
    office.take_slow_count(found)
    assert office.counts()["patterns"] == n


def test_it_can_be_stopped_and_leaves_no_process(file_desk, monkeypatch):
    import subprocess

    begun = []

    class Noted(subprocess.Popen):
        def __init__(self, *args, **more):
            super().__init__(*args, **more)
            begun.append(self)

    monkeypatch.setattr(subprocess, "Popen", Noted)

    def stop(done, total, note=""):
        raise Stopped

    with pytest.raises(Stopped):
        patterns_waiting_apart(file_desk.store.place, file_desk.today, stop)
    assert begun[0].poll() is not None


def test_a_store_that_is_not_there_gives_no_number(tmp_path):
    assert patterns_waiting_apart(str(tmp_path / "none.store"), None) is None
