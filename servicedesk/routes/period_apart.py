"""The search for some weeks in a process of its own, so that a window keeps answering.

The search leaves the interpreter free while it improves rounds, not while it reads a table of
roads, weighs what it found or mends it: a thread beside a window held it up to 370 ms at a time.
The process gets values and sends values; it opens no file. It ends when whoever began it is gone.
"""

import os
from collections.abc import Callable, Mapping
from contextlib import suppress
from multiprocessing import get_context
from multiprocessing.connection import Connection
from threading import Lock
from typing import Any

from servicedesk.routes.period import Glimpse, Tried, plan_weeks
from servicedesk.routes.period_plan import Orders, PeriodLeftOut, PeriodPlan
from servicedesk.routes.period_problem import PeriodProblem
from servicedesk.routes.plan import CrewDay, Planner
from servicedesk.values.progress import Progress, quiet
from servicedesk.values.trouble import Stopped

_LOOK_EVERY_S = 0.05
_USUAL = Tried()
_LESS_PRESSING = 5  # the window comes first where cores are few
_Found = tuple[Mapping[str, CrewDay], tuple[PeriodLeftOut, ...], Planner, bool]


def plan_weeks_apart(
    problem: PeriodProblem,
    tried: Tried = _USUAL,
    *,
    start: Orders | None = None,
    progress: Progress = quiet,
    keep_best: bool = True,
    better: Callable[[Glimpse], None] | None = None,
) -> PeriodPlan:
    """As `routes.period.plan_weeks`, in another process; `progress` and `better` are called here.

    Where no process can be started, it is searched here. Raises ChildProcessError if the process
    died without an answer.
    """
    context = get_context("spawn")
    ours, theirs = context.Pipe()
    try:
        plainly = None if start is None else {i: tuple(order) for i, order in start.items()}
        child = context.Process(
            target=_work, args=(theirs, problem, tried, plainly), daemon=True, name="weeks"
        )
        child.start()
    except OSError:  # a machine without room for one more
        return plan_weeks(
            problem, tried, start=start, progress=progress, keep_best=keep_best, better=better
        )
    finally:
        theirs.close()
    try:
        days, left_out, planner, was_stopped = _answer(ours, progress, better, keep_best=keep_best)
        return PeriodPlan(
            problem=problem, days=days, left_out=left_out, planner=planner, was_stopped=was_stopped
        )
    finally:
        ours.close()  # a process that still searches notices it and ends
        child.join(timeout=0.2)
        if child.is_alive():
            child.kill()
            child.join()


def _answer(
    ours: Connection,
    progress: Progress,
    better: Callable[[Glimpse], None] | None,
    *,
    keep_best: bool,
) -> _Found:
    """Listen until the plan comes; hand on what is told meanwhile."""
    step, asked = (0, 100, ""), False
    while True:
        try:
            heard: tuple[str, Any] = ours.recv() if ours.poll(_LOOK_EVERY_S) else ("step", step)
        except (EOFError, OSError) as broken:
            raise ChildProcessError("the search for the weeks died") from broken
        kind, what = heard
        if kind == "plan":
            return what  # type: ignore[no-any-return]
        if kind == "failed":
            raise what
        if kind == "better" and better is not None:
            better(what)
        if kind == "step" and not asked:
            step = what
            try:
                progress(*step)
            except Stopped:
                if not keep_best:
                    raise
                asked = True
                with suppress(OSError):  # it has just ended: the answer is on its way
                    ours.send("take it as it is")


def _work(pipe: Connection, problem: PeriodProblem, tried: Tried, start: Orders | None) -> None:
    """What the process does."""
    with suppress(AttributeError, OSError):  # not every system has it
        os.nice(_LESS_PRESSING)
    one_at_a_time = Lock()  # two searches tell through one pipe

    def send(kind: str, what: Any) -> None:
        with one_at_a_time:
            pipe.send((kind, what))

    def told(done: int, total: int, note: str = "") -> None:
        if pipe.poll():
            pipe.recv()  # EOFError: nobody waits any more
            raise Stopped
        send("step", (done, total, note))

    try:
        plan = plan_weeks(
            problem,
            tried,
            start=start,
            progress=told,
            better=lambda glimpse: send("better", glimpse),
        )
        found: _Found = (plan.days, plan.left_out, plan.planner, plan.was_stopped)
        send("plan", found)
    except (EOFError, BrokenPipeError):
        return
    except Exception as mistake:  # noqa: BLE001 - it is raised again where it is waited for
        with suppress(OSError):
            send("failed", mistake)
