"""Counts for the spine that take long: worked out when the start is over and nothing changes."""

from PySide6.QtCore import QObject, QTimer, Signal, Slot

from servicedesk.window.office import Office
from servicedesk.window.shell import Bus
from servicedesk.window.work import Job, Work

AFTER_START_MS = 10_000
AFTER_CHANGE_MS = 300_000  # five minutes without a change: nobody is in the middle of something


class QuietCount(QObject):
    """Asks the office once after the start, and again when it has been quiet after changes."""

    known = Signal()

    def __init__(self, office: Office, work: Work, bus: Bus, parent: QObject) -> None:
        super().__init__(parent)
        self._office, self._work = office, work
        self._job: Job | None = None
        self.soon = QTimer(self)
        self.soon.setSingleShot(True)
        self.soon.timeout.connect(self.count)
        bus.changed.connect(self._changed)

    @Slot()
    def begin(self) -> None:
        """The first page stands: count in a while."""
        self.soon.start(AFTER_START_MS)

    @Slot(object)
    def _changed(self, _touched: object) -> None:
        self.soon.start(AFTER_CHANGE_MS)

    @Slot()
    def count(self) -> None:
        """Count now, beside everything else; an earlier try is dropped."""
        if self._job is not None:
            self._job.cancel()
            self._job = None
        slow = self._office.slow_count()
        if slow is not None:
            self._job = self._work.start_apart(slow)
            self._job.done.connect(self._counted)
            self._job.ended.connect(self._ended)

    @Slot(object)
    def _counted(self, n: int | None) -> None:
        if self.sender() is self._job and n is not None:
            self._office.take_slow_count(n)
            self.known.emit()

    @Slot()
    def _ended(self) -> None:
        if self.sender() is self._job:
            self._job = None
