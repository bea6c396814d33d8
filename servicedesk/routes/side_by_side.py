"""Searches side by side. The search leaves the interpreter free, so two of them use two cores."""

import os
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor, wait
from threading import Event
from typing import TypeVar

from servicedesk.values.progress import Progress
from servicedesk.values.trouble import Stopped

T = TypeVar("T")
AT_ONCE = 2
_LOOK_EVERY_S = 0.03


def n_at_once() -> int:
    """How many searches this machine carries at once without slowing one another down, 1 or 2."""
    try:
        cores = len(os.sched_getaffinity(0))
    except AttributeError:  # only some systems tell which cores are ours
        cores = os.cpu_count() or 1
    return min(AT_ONCE, cores)


def side_by_side(
    works: Sequence[Callable[[Progress], T]], progress: Progress, *, keep_best: bool
) -> tuple[list[T], bool]:
    """The answers of all works in their order, and whether `progress` asked to stop.

    Each work is handed a progress of its own, which raises Stopped once the caller's did; the
    caller's is called in its own thread only. Without `keep_best` a stop is passed on.
    """
    stop = Event()
    shares = [0.0] * len(works)

    def part(number: int) -> Progress:
        def tell(done: int, total: int, note: str = "") -> None:  # noqa: ARG001
            if stop.is_set():
                raise Stopped
            shares[number] = done / max(total, 1)

        return tell

    with ThreadPoolExecutor(AT_ONCE, thread_name_prefix="search") as pool:
        futures = [pool.submit(work, part(n)) for n, work in enumerate(works)]
        waiting = set(futures)
        try:
            while waiting:
                _, waiting = wait(waiting, timeout=_LOOK_EVERY_S)
                if not stop.is_set():
                    _look(progress, sum(shares) / len(works), stop)
        except BaseException:
            stop.set()  # nobody waits for the answers any more
            raise
    if stop.is_set() and not keep_best:
        raise Stopped
    return [future.result() for future in futures], stop.is_set()


def _look(progress: Progress, share: float, stop: Event) -> None:
    try:
        progress(int(share * 100), 100)
    except Stopped:
        stop.set()
