"""Filling the weeks: read on the store's worker, searched apart from it, shown as it grows."""

from collections.abc import Sequence
from datetime import timedelta

from PySide6.QtCore import QObject, Signal, Slot

from servicedesk.desk.office import Desk
from servicedesk.desk.period import BestSoFar, Draft, first_day, propose_for
from servicedesk.desk.period_case import PeriodCase, period_case
from servicedesk.values.progress import Progress, quiet
from servicedesk.values.trouble import Stopped, Trouble
from servicedesk.window.shell import Shell
from servicedesk.window.work import Job
from servicedesk.words import say


class Search:
    """One search for better weeks. It touches no store and runs apart from the window.

    `best` is the best so far, None before anything was found; it is only ever replaced whole, so
    that the window may look at it at any time. After `end_as_is` the search ends with it.
    """

    def __init__(
        self, desk: Desk, case: PeriodCase, seconds: float, iterations: int | None
    ) -> None:
        self._desk, self.case = desk, case
        self._seconds, self._iterations = seconds, iterations
        self.best: BestSoFar | None = None
        self._ends = False

    def end_as_is(self) -> None:
        """Take it as it is."""
        self._ends = True

    def run(self, progress: Progress = quiet) -> Draft:
        """The draft. Raises Trouble where nobody works."""

        def told(done: int, total: int, note: str = "") -> None:
            progress(done, total, note)
            if self._ends:
                raise Stopped

        return propose_for(
            self._desk,
            self.case,
            seconds=self._seconds,
            iterations=self._iterations,
            progress=told,
            better=self._heard,
            apart=self._iterations is None,
        )

    def _heard(self, best: BestSoFar) -> None:
        self.best = best


class WeeksPlanner(QObject):
    """One search at a time. `stepped` carries a Step, `found` the draft."""

    began = Signal()
    stepped = Signal(object)
    improved = Signal(object)  # the Search whose best is another now
    found = Signal(object)
    ended = Signal()  # without a draft

    def __init__(self, shell: Shell, parent: QObject) -> None:
        super().__init__(parent)
        self._shell = shell
        self._desk: Desk | None = None
        self._job: Job | None = None
        self._search: Search | None = None
        self._shown: BestSoFar | None = None
        self._seconds = 0.0
        self.iterations: int | None = None  # instead of seconds, where the same must come out

    @property
    def is_busy(self) -> bool:
        """Is something being read or searched?"""
        return self._job is not None

    @property
    def has_something(self) -> bool:
        """Is there a best so far that may be taken as it is?"""
        return self._search is not None and self._search.best is not None

    def begin(
        self, desk: Desk, weeks: int, technicians: Sequence[int] | None, seconds: float
    ) -> None:
        """Read the weeks, then look for the best rounds; nothing is written."""
        self.stop()
        self._desk, self._seconds = desk, seconds
        first = first_day(desk)
        last = first + timedelta(days=7 * weeks - 1)
        job = self._shell.ask(period_case, desk, first, last, technicians)
        self._watch(job)
        job.done.connect(self._read)
        self.began.emit()

    def end_as_is(self) -> None:
        """Take it as it is: the best so far becomes the draft."""
        if self._search is not None:
            self._search.end_as_is()

    def stop(self) -> None:
        """Stop, change nothing: what was found is forgotten."""
        job, self._job, self._search = self._job, None, None
        if job is not None:
            job.cancel()
            self.ended.emit()

    def _watch(self, job: Job) -> None:
        self._job = job
        job.failed.connect(self._over)
        job.stopped.connect(self._over)
        job.crashed.connect(self._over)

    @Slot(object)
    def _read(self, case: PeriodCase) -> None:
        if self.sender() is not self._job or self._desk is None:
            return
        self._shown = None
        self._search = Search(self._desk, case, self._seconds, self.iterations)
        job = self._shell.work.start_apart(self._search.run, title=say("Filling the weeks"))
        self._watch(job)
        job.failed.connect(self._failed)
        job.progressed.connect(self._progressed)
        job.done.connect(self._done)

    @Slot(object)
    def _progressed(self, step: object) -> None:
        if self.sender() is not self._job or self._search is None:
            return
        self.stepped.emit(step)
        if self._search.best is not self._shown:
            self._shown = self._search.best
            self.improved.emit(self._search)

    @Slot(object)
    def _done(self, draft: Draft) -> None:
        if self.sender() is not self._job:
            return
        self._job = self._search = None
        self.found.emit(draft)

    @Slot(object)
    def _failed(self, trouble: Trouble) -> None:
        if self.sender() is self._job or self._job is None:
            self._shell.show_trouble(trouble)

    @Slot()
    def _over(self) -> None:
        if self.sender() is self._job:
            self._job = self._search = None
            self.ended.emit()
