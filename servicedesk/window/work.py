"""Long work away from the window: the only place with threads.

One worker carries everything that touches the store, so that such work is serial; a second pool
carries work without it. Work gets values, opens its own session and touches no widget.
"""

import inspect
import sys
import time
from collections.abc import Callable
from concurrent.futures import CancelledError, Future, ThreadPoolExecutor
from dataclasses import dataclass
from threading import Event
from typing import Any

from PySide6.QtCore import QObject, Qt, Signal, Slot

from servicedesk.values.trouble import Stopped, Trouble

TOLD_EVERY_S = 0.1


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
        self._future: Future[Any] | None = None

    def cancel(self) -> None:
        """Ask the work to stop at its next step; work that has not begun never begins."""
        self._stop.set()
        if self._future is not None:
            self._future.cancel()

    @property
    def is_cancelled(self) -> bool:
        """Whether somebody asked it to stop."""
        return self._stop.is_set()


class _Told:
    """The progress that work is given: throttled, and the place where a stop is noticed."""

    def __init__(self, job: Job, send: Callable[[object], None]) -> None:
        self._job = job
        self._send = send
        self._last_s = 0.0

    def __call__(self, done: int, total: int, note: str = "") -> None:
        if self._job.is_cancelled:
            raise Stopped
        now_s = time.monotonic()
        if done >= total or now_s - self._last_s >= TOLD_EVERY_S:
            self._last_s = now_s
            self._send((self._job, Step(done, total, note)))


class Work(QObject):
    """Starts jobs and brings their results home. Lives in the window's thread.

    `began` is sent for jobs with a title: the change line shows them when they take long.
    """

    began = Signal(object)  # Job
    _told = Signal(object)  # (Job, Step), from a worker's thread
    _landed = Signal(object)  # (Job, Future), from a worker's thread

    def __init__(self, parent: QObject | None = None, *, n_apart: int = 2) -> None:
        super().__init__(parent)
        self._store = ThreadPoolExecutor(1, thread_name_prefix="store")
        self._apart = ThreadPoolExecutor(n_apart, thread_name_prefix="apart")
        self._jobs: set[Job] = set()
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
        for job in self._jobs:
            job.cancel()
        self._store.shutdown(wait=True, cancel_futures=True)
        self._apart.shutdown(wait=True, cancel_futures=True)
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
        self._jobs.add(job)
        if _takes_progress(function):
            more = {**more, "progress": _Told(job, self._told.emit)}
        future = pool.submit(function, *args, **more)
        job._future = future
        future.add_done_callback(_Landing(job, self._landed.emit))
        if title:
            self.began.emit(job)
        return job

    @Slot(object)
    def _tell(self, what: tuple[Job, Step]) -> None:
        job, step = what
        if job in self._jobs and not self._closed:
            job.progressed.emit(step)

    @Slot(object)
    def _land(self, what: tuple[Job, Future[Any]]) -> None:
        job, future = what
        if job not in self._jobs or self._closed:
            return
        self._jobs.discard(job)
        _tell_end(job, future)
        job.ended.emit()
        job.deleteLater()


class _Landing:
    """Called by a future in the worker's thread: sends job and future home."""

    def __init__(self, job: Job, send: Callable[[object], None]) -> None:
        self._job = job
        self._send = send

    def __call__(self, future: Future[Any]) -> None:
        self._send((self._job, future))


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
