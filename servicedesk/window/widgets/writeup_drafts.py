"""Keeps what is being written: in the draft file within half a second of the last key."""

from collections.abc import Callable

from PySide6.QtCore import QObject, QTimer, Slot

from servicedesk.values.trouble import Trouble
from servicedesk.window.shell import Shell
from servicedesk.window.work import Job

SAVE_AFTER_MS = 200


class DraftKeeper(QObject):
    """One write of the file at a time, the latest one last; it never waits for the store."""

    def __init__(self, shell: Shell, parent: QObject) -> None:
        super().__init__(parent)
        self._shell = shell
        self._make: Callable[[], Callable[[], object]] | None = None
        self._queue: list[Callable[[], object]] = []
        self._job: Job | None = None
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(SAVE_AFTER_MS)
        self._timer.timeout.connect(self.save_draft)

    @property
    def is_busy(self) -> bool:
        """Whether anything is still to be written."""
        return self._timer.isActive() or self._job is not None or bool(self._queue)

    def keep(self, make: Callable[[], Callable[[], object]]) -> None:
        """A key was pressed: `make` gives the write of what stands then."""
        self._make = make
        self._timer.start()

    @Slot()
    def save_draft(self) -> None:
        """Write now what was not written yet."""
        self._timer.stop()
        if self._make is not None:
            write, self._make = self._make(), None
            self._queue.append(write)
            self._next()

    def save_here(self) -> None:
        """Write at once, without a worker: the window goes, and its workers with it."""
        self._timer.stop()
        if self._make is not None:
            self._queue.append(self._make())
            self._make = None
        while self._queue:
            try:
                self._queue.pop(0)()
            except Trouble as trouble:
                self._shell.show_trouble(trouble)

    def drop_draft(self, remove: Callable[[], object]) -> None:
        """The record is written: forget the draft, and what was about to be kept of it."""
        self._timer.stop()
        self._make = None
        self._queue.clear()
        self._queue.append(remove)
        self._next()

    @Slot()
    def _next(self) -> None:
        if self._job is not None or not self._queue:
            return
        self._job = self._shell.work.start_apart(self._queue.pop(0))
        self._job.failed.connect(self._shell.show_trouble)
        self._job.ended.connect(self._landed)

    @Slot()
    def _landed(self) -> None:
        self._job = None
        self._next()
