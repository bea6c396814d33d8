"""A process of its own answers as this one would: value, trouble, mistake, stop."""

import os
import subprocess

import pytest

from servicedesk.desk import apart
from servicedesk.desk.pattern_seen import patterns_seen
from servicedesk.desk.patterns import worked_out
from servicedesk.values.trouble import Stopped, Trouble
from tests.desk import apart_work
from tests.desk.test_patterns import a_fleet


@pytest.fixture
def far(file_desk, monkeypatch):
    monkeypatch.setattr(apart, "MANY_SITES", 0)
    apart.work_apart(file_desk.store)
    return file_desk


@pytest.fixture
def begun(monkeypatch):
    found = []

    class Noted(subprocess.Popen):
        def __init__(self, *args, **more):
            super().__init__(*args, **more)
            found.append(self)

    monkeypatch.setattr(subprocess, "Popen", Noted)
    return found


def test_another_process_works_at_the_same_store_as_the_same_person(far, begun):
    steps = []

    def progress(*step):
        steps.append(step)

    found = apart.apart(
        far.seated("Ines"), apart_work.who_and_where, "a", more="b", progress=progress
    )

    who, where, day, said = found
    assert (who, day, dict(said)) == ("Ines", far.today, {"a": "b"})
    assert where != os.getpid()
    assert (1, 2, "half") in steps
    assert begun[0].poll() is not None


def test_few_sites_or_a_command_of_the_shell_are_worked_out_here(file_desk):
    for _ in ("a command", "the window"):
        _, where, _, _ = apart.apart(
            file_desk, apart_work.who_and_where, "a", progress=lambda *_: None
        )
        assert where == os.getpid()
        apart.work_apart(file_desk.store)


def test_where_no_process_can_be_started_it_is_worked_out_here(far, monkeypatch):
    def no_room(*_args, **_more):
        raise BlockingIOError

    monkeypatch.setattr(subprocess, "Popen", no_room)
    _, where, _, _ = apart.apart(far, apart_work.who_and_where, "a", progress=lambda *_: None)
    assert where == os.getpid()


def test_trouble_says_the_same_sentences(far):
    with pytest.raises(Trouble) as raised:
        apart.apart(far, apart_work.in_trouble)
    told = raised.value
    assert (told.what, told.means, told.do, told.exit_code) == (
        "No roads.", "Times are guessed.", "Build them.", 3,
    )  # fmt: skip
    assert str(told) == "No roads. Times are guessed. Build them."


def test_a_mistake_of_ours_stays_one(far):
    with pytest.raises(KeyError, match="nothing"):
        apart.apart(far, apart_work.mistaken)


def test_a_process_that_ends_without_an_answer_is_told_in_a_sentence(far):
    with pytest.raises(Trouble, match="ended before it was done"):
        apart.apart(far, apart_work.gone)


def test_a_stop_ends_the_other_process_at_once(far, begun):
    def stop(_done, _total, note=""):
        if note == "begun":
            raise Stopped

    with pytest.raises(Stopped):
        apart.apart(far, apart_work.for_ever, progress=stop)
    assert begun[0].poll() is not None


def test_patterns_from_another_process_are_those_worked_out_here(far, begun):
    a_fleet(far)
    there = worked_out(far)
    assert len(begun) == 1
    assert patterns_seen(far).page is there.page  # kept, and not asked for twice
    assert len(begun) == 1

    far.store.conclusions.clear()
    apart._kept_free.discard(far.store)
    here = worked_out(far)

    assert here.page.patterns
    assert repr(here) == repr(there)
