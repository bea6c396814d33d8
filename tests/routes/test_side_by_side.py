import threading
import warnings

import pytest

from servicedesk.routes.side_by_side import side_by_side
from servicedesk.routes.solver import Budget, Model, Task, Vehicle, is_here
from servicedesk.routes.twice import search_twice
from servicedesk.values.progress import quiet
from servicedesk.values.trouble import Stopped


def test_answers_come_in_the_order_of_the_works():
    first_may_end = threading.Event()

    def first(progress):
        assert first_may_end.wait(10)  # only if the second runs beside it
        return 1

    def second(progress):
        first_may_end.set()
        return 2

    assert side_by_side([first, second], quiet, keep_best=False) == ([1, 2], False)


def until_stopped(progress):
    for n in range(1_000_000):
        try:
            progress(n, 1_000_000)
        except Stopped:
            return n
        threading.Event().wait(0.001)
    return -1


def stop_at_once(done, total, note=""):
    raise Stopped


def test_a_stop_reaches_every_work_and_keeps_what_they_have():
    answers, was_stopped = side_by_side([until_stopped] * 3, stop_at_once, keep_best=True)

    assert was_stopped
    assert all(answer >= 0 for answer in answers)


def test_a_stop_is_passed_on_where_nothing_is_kept():
    with pytest.raises(Stopped):
        side_by_side([until_stopped] * 2, stop_at_once, keep_best=False)


def test_progress_is_told_in_the_thread_that_asked_and_never_falls():
    heard = []

    def hear(done, total, note=""):
        heard.append((threading.get_ident(), done))

    def work(progress):
        for n in range(10):
            progress(n, 10)
            threading.Event().wait(0.01)

    side_by_side([work, work], hear, keep_best=False)

    assert {ident for ident, _ in heard} == {threading.get_ident()}
    assert [done for _, done in heard] == sorted(done for _, done in heard)


def test_a_mistake_in_a_work_is_not_lost():
    with pytest.raises(ZeroDivisionError):
        side_by_side([lambda progress: 1 / 0, until_soon], quiet, keep_best=True)


def until_soon(progress):
    return None


def test_searches_side_by_side_leave_the_warnings_as_they_were():
    assert is_here()  # loading the library sets filters of its own
    before = list(warnings.filters)
    tasks = tuple(Task(place=1, service_min=5, from_min=0, by_min=3, prize=9) for _ in range(4))
    vehicle = Vehicle(start_place=0, end_place=0, from_min=0, until_min=50)
    table = [[0, 5], [5, 0]]
    model = Model(tasks=tasks, vehicles=(vehicle,), cost=table, minutes=table)

    found = search_twice(model, Budget(iterations=400))

    assert found.cost == 36  # nobody can be reached in time
    assert warnings.filters == before
