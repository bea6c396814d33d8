import gc
import sys
import threading
import time
import weakref

import pytest
from PySide6.QtCore import QCoreApplication, QEvent
from shiboken6 import isValid

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
        return [[n] for n in range(200_000)]

    gc.enable()
    collector = HomeCollector()
    Ring()
    held = []  # lists that go again would not count, and nothing would be due
    job = work.start(allocate)
    job.done.connect(held.extend)
    with qtbot.waitSignal(job.ended):
        pass
    assert died_in == []
    assert len(held) == 200_000

    collector.look()
    collector.stop()
    assert died_in == [threading.main_thread()]
    assert gc.isenabled()


def test_what_work_was_given_is_let_go_in_the_window_s_own_thread(qtbot, work):
    """The last holder of a widget must never be a worker: widgets die at home only."""
    let_go_in = []

    class Given:
        def __del__(self):
            let_go_in.append(threading.current_thread())

    def look_at(given):
        return given is not None

    jobs = [work.start(look_at, Given()) for _ in range(200)]
    jobs += [work.start_apart(look_at, Given()) for _ in range(200)]
    qtbot.waitUntil(lambda: not work.is_busy)

    assert let_go_in == [threading.main_thread()] * len(jobs)


def test_a_job_that_has_ended_leaves_no_ring_behind(qtbot, work):
    """A ring of job, future and callback would wait for a collector, on whichever thread."""
    job = work.start(lambda: None)
    future = weakref.ref(job._future)
    with qtbot.waitSignal(job.ended):
        pass
    qtbot.waitUntil(lambda: future() is None)  # with collecting off, by its last holder alone


def test_closing_deletes_the_jobs_that_never_came_home(qtbot, work):
    gate = threading.Event()
    first = work.start(gate.wait, 2)
    waits = [work.start(lambda: None) for _ in range(5)]
    gate.set()
    work.close()
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)

    assert not any(isValid(job) for job in [first, *waits])


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
