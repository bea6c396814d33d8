"""Long work away from the window: the only place with threads.

One worker carries everything that touches the store, so that such work is serial; a second pool
carries work without it. Work gets values, opens its own session and touches no widget.

A worker never holds an object of Qt but the sender of its news, and no object of Python crosses
in a signal: it sends the number of a job, and what belongs to the number is looked up at home.
So nothing of Qt can lose its last holder, and die, on a worker's thread.
"""

import inspect
import sys
import time
from collections import deque
from collections.abc import Callable
from concurrent.futures import CancelledError, Future, ThreadPoolExecutor
from dataclasses import dataclass
from threading import Event
from typing import Any

from PySide6.QtCore import QObject, Qt, Signal, Slot

from servicedesk.values.trouble import Stopped, Trouble

TOLD_EVERY_S = 0.1
_LONG_S = 0.5  # work that takes so long leaves much behind


@dataclass(frozen=True, slots=True)
class Step:
    """How far a job is: `done` of `total` steps, and what it is at, in words."""

    done: int
    total: int
    note: str = ""


class Job(QObject):
    """One piece of work on its way. Its signals arrive in the window's own thread.

    Exactly one of `done`, `failed`, `stopped`, `crashed` is sent, then `ended`.
    """

    progressed = Signal(object)  # Step, at most ten a second, the last one always
    done = Signal(object)  # what the work returned
    failed = Signal(object)  # the Trouble a person can act on
    stopped = Signal()  # the person stopped it, nothing was changed
    crashed = Signal()  # a mistake of ours; the exception hook has been told
    ended = Signal()

    def __init__(self, parent: QObject, title: str) -> None:
        super().__init__(parent)
        self.title = title
        self._stop = Event()
        self._watchers: list[object] = []
        self._piece: _Piece | None = None
        self._steps: deque[Step] = deque()  # sent by a worker, not told yet
        self._future: Future[Any] | None = None

    def cancel(self) -> None:
        """Ask the work to stop at its next step; work that has not begun never begins."""
        self._stop.set()
        if self._future is not None:
            self._future.cancel()

    def keep(self, watcher: object) -> None:
        """Hold somebody who listens and belongs to nobody else, until the job is gone."""
        self._watchers.append(watcher)

    @property
    def is_cancelled(self) -> bool:
        """Whether somebody asked it to stop."""
        return self._stop.is_set()

    def _let_go(self) -> Future[Any] | None:
        """Drop what was to be done, here at home, and hand over what came of it."""
        future, self._future = self._future, None
        if self._piece is not None:
            self._piece.drop()
            self._piece = None
        return future


class _Piece:
    """What a worker calls. It alone holds function and arguments, and is emptied at home."""

    def __init__(
        self, function: Callable[..., Any], args: tuple[Any, ...], more: dict[str, Any]
    ) -> None:
        self._held: tuple[Callable[..., Any], tuple[Any, ...], dict[str, Any]] | None
        self._held = (function, args, more)

    def __call__(self) -> Any:
        if self._held is None:  # let go before it began
            raise Stopped
        function, args, more = self._held
        begin_s = time.monotonic()
        try:
            return function(*args, **more)
        finally:
            if time.monotonic() - begin_s > _LONG_S:
                from servicedesk.window.memory import give_back  # most starts need it never

                give_back()

    def drop(self) -> None:
        """Hold nothing any more."""
        self._held = None


class _Told:
    """The progress that work is given: throttled, and the place where a stop is noticed."""

    def __init__(
        self, key: int, stop: Event, steps: deque[Step], send: Callable[[int], None]
    ) -> None:
        self._key, self._stop, self._steps, self._send = key, stop, steps, send
        self._last_s = 0.0

    def __call__(self, done: int, total: int, note: str = "") -> None:
        if self._stop.is_set():
            raise Stopped
        now_s = time.monotonic()
        if done >= total or now_s - self._last_s >= TOLD_EVERY_S:
            self._last_s = now_s
            self._steps.append(Step(done, total, note))
            self._send(self._key)


class Work(QObject):
    """Starts jobs and brings their results home. Lives in the window's thread.

    `began` is sent for jobs with a title: the change line shows them when they take long.
    `still` is sent when the last job has landed.
    """

    began = Signal(object)  # Job
    still = Signal()
    _told = Signal(int)  # a job's number, from a worker's thread: one step more
    _landed = Signal(int)  # a job's number, from a worker's thread

    def __init__(self, parent: QObject | None = None, *, n_apart: int = 2) -> None:
        super().__init__(parent)
        self._store = ThreadPoolExecutor(1, thread_name_prefix="store")
        self._apart = ThreadPoolExecutor(n_apart, thread_name_prefix="apart")
        self._jobs: dict[int, Job] = {}
        self._n_started = 0
        self._closed = False
        queued = Qt.ConnectionType.QueuedConnection
        self._told.connect(self._tell, queued)
        self._landed.connect(self._land, queued)

    def start(
        self, function: Callable[..., Any], /, *args: Any, title: str = "", **more: Any
    ) -> Job:
        """Run `function(*args, **more)` on the store's worker and return its job.

        `progress=` is handed over if the function takes it. With a `title` the job is shown in
        the change line once it has taken longer than a moment.
        """
        return self._start(self._store, function, args, more, title)

    def start_apart(
        self, function: Callable[..., Any], /, *args: Any, title: str = "", **more: Any
    ) -> Job:
        """Like `start`, for work that never touches the store: it runs beside store work."""
        return self._start(self._apart, function, args, more, title)

    @property
    def is_busy(self) -> bool:
        """Whether any job has not landed yet."""
        return bool(self._jobs)

    def close(self) -> None:
        """Cancel everything and wait for the workers to leave. Nothing is sent afterwards."""
        self._closed = True
        for job in self._jobs.values():
            job.cancel()
        self._store.shutdown(wait=True, cancel_futures=True)
        self._apart.shutdown(wait=True, cancel_futures=True)
        for job in self._jobs.values():
            job._let_go()
            job.deleteLater()
        self._jobs.clear()

    def _start(
        self,
        pool: ThreadPoolExecutor,
        function: Callable[..., Any],
        args: tuple[Any, ...],
        more: dict[str, Any],
        title: str,
    ) -> Job:
        job = Job(self, title)
        self._n_started += 1
        key = self._n_started
        self._jobs[key] = job
        if _takes_progress(function):
            told = _Told(key, job._stop, job._steps, self._told.emit)
            more = {**more, "progress": told}
        job._piece = _Piece(function, args, more)
        job._future = pool.submit(job._piece)
        job._future.add_done_callback(_Landing(key, self._landed.emit))
        if title:
            self.began.emit(job)
        return job

    @Slot(int)
    def _tell(self, key: int) -> None:
        job = self._jobs.get(key)
        if job is not None and not self._closed:
            job.progressed.emit(job._steps.popleft())

    @Slot(int)
    def _land(self, key: int) -> None:
        job = self._jobs.pop(key, None)
        if job is None or self._closed:
            return
        future = job._let_go()
        if future is not None:
            _tell_end(job, future)
        job.ended.emit()
        job.deleteLater()
        if not self._jobs:
            self.still.emit()


class _Landing:
    """Called by a future in the worker's thread: sends the job's number home."""

    def __init__(self, key: int, send: Callable[[int], None]) -> None:
        self._key = key
        self._send = send

    def __call__(self, future: Future[Any]) -> None:
        self._send(self._key)


def _tell_end(job: Job, future: Future[Any]) -> None:
    try:
        trouble = future.exception()
    except CancelledError:
        trouble = Stopped()
    match trouble:
        case None if job.is_cancelled:
            job.stopped.emit()  # it had finished, but nobody wants the answer any more
        case None:
            job.done.emit(future.result())
        case Stopped():
            job.stopped.emit()
        case Trouble():
            job.failed.emit(trouble)
        case _:
            sys.excepthook(type(trouble), trouble, trouble.__traceback__)
            job.crashed.emit()


def _takes_progress(function: Callable[..., Any]) -> bool:
    try:
        return "progress" in inspect.signature(function).parameters
    except (TypeError, ValueError):  # a function written in C tells nothing about itself
        return False
