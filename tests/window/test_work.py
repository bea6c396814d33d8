import gc
import sys
import threading
import time

import pytest

from servicedesk.values.trouble import Trouble
from servicedesk.window.collect import HomeCollector
from servicedesk.window.work import Step


def test_an_answer_comes_home_in_the_window_s_own_thread(qtbot, work):
    where = []
    job = work.start(lambda a, b: (a + b, threading.current_thread().name), 2, b=3)
    job.done.connect(lambda answer: where.append((answer, threading.current_thread())))

    with qtbot.waitSignal(job.ended):
        pass

    ((answer, thread),) = where
    assert answer == (5, "store_0")
    assert thread is threading.main_thread()
    assert not work.is_busy


def test_store_work_is_serial_and_keeps_its_order(qtbot, work):
    seen = []

    def slow(name, seconds):
        seen.append(f"{name} begins")
        time.sleep(seconds)
        seen.append(f"{name} ends")

    work.start(slow, "first", 0.05)
    last = work.start(slow, "second", 0)
    with qtbot.waitSignal(last.ended):
        pass

    assert seen == ["first begins", "first ends", "second begins", "second ends"]


def test_trouble_is_told_as_a_sentence_and_nothing_else_is(qtbot, work):
    def refuse():
        raise Trouble("Nobody works that day.")

    job = work.start(refuse)
    with qtbot.waitSignal(job.failed) as told:
        pass

    assert told.args[0].what == "Nobody works that day."


def test_a_mistake_of_ours_goes_to_the_exception_hook(qtbot, work, monkeypatch):
    heard = []
    monkeypatch.setattr(sys, "excepthook", lambda *what: heard.append(what))
    failed = []
    job = work.start(lambda: 1 / 0)
    job.failed.connect(failed.append)

    with qtbot.waitSignal(job.ended):
        pass

    assert [kind for kind, _, _ in heard] == [ZeroDivisionError]
    assert failed == []


def test_stopped_work_stops_at_its_next_step_and_changes_nothing(qtbot, work):
    started, finished = threading.Event(), []

    def count(*, progress):
        for done in range(10_000):
            progress(done, 10_000)
            started.set()
            time.sleep(0.001)
        finished.append(True)

    job = work.start(count)
    assert started.wait(2)
    with qtbot.waitSignal(job.stopped):
        job.cancel()

    assert finished == []


def test_work_that_waits_never_begins_once_cancelled(qtbot, work):
    gate, begun = threading.Event(), []
    work.start(gate.wait, 2)
    job = work.start(begun.append, 1)

    with qtbot.waitSignal(job.stopped):
        job.cancel()
        gate.set()

    assert begun == []


def test_progress_is_told_at_most_ten_times_a_second_and_the_last_one_always(qtbot, work):
    def count(*, progress):
        until = time.monotonic() + 0.35
        done = 0
        while time.monotonic() < until:
            done += 1
            progress(done, 10**9)
        progress(10**9, 10**9, "there")

    told = []
    job = work.start(count)
    job.progressed.connect(told.append)
    with qtbot.waitSignal(job.ended):
        pass

    assert told[-1] == Step(10**9, 10**9, "there")
    assert 2 <= len(told) <= 6


def test_closing_stops_what_runs_and_tells_nothing_afterwards(qtbot, work):
    told = []

    def forever(*, progress):
        while True:
            progress(1, 2)
            time.sleep(0.001)

    job = work.start(forever)
    job.ended.connect(lambda: told.append("ended"))
    work.close()
    qtbot.wait(20)

    assert told == []


def test_garbage_dies_in_the_window_s_own_thread_whoever_allocates(qtbot, work):
    died_in = []

    class Ring:
        def __init__(self):
            self.me = self

        def __del__(self):
            died_in.append(threading.current_thread())

    def allocate():
        return len([[n] for n in range(200_000)])

    gc.enable()
    collector = HomeCollector()
    Ring()
    job = work.start(allocate)
    with qtbot.waitSignal(job.ended):
        pass
    assert died_in == []

    collector.look()
    collector.stop()
    assert died_in == [threading.main_thread()]
    assert gc.isenabled()


@pytest.mark.parametrize("apart", [False, True])
def test_work_without_the_store_runs_beside_store_work(qtbot, work, apart):
    gate = threading.Event()
    work.start(gate.wait, 2)
    other = (work.start_apart if apart else work.start)(lambda: "here")
    seen = []
    other.done.connect(seen.append)

    if apart:
        with qtbot.waitSignal(other.ended):
            pass
        assert seen == ["here"]
        gate.set()
    else:
        qtbot.wait(50)
        assert seen == []
        gate.set()
        with qtbot.waitSignal(other.ended):
            pass
