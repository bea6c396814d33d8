"""What is asked about one stop beside the map: held until it is taken, left, or its day changes."""

from PySide6.QtCore import QObject, Signal, Slot

from servicedesk.desk.demand import Wanted
from servicedesk.desk.office import Desk
from servicedesk.desk.rounds_page import RoundsPage
from servicedesk.window.shell import Shell
from servicedesk.window.work import Job


class StopAsked(QObject):
    """Base: a subclass asks in `_ask` for an answer, and forgets it in `_forget`."""

    shown = Signal()  # the sheet came or went
    written = Signal(object)  # the job that writes

    def __init__(self, shell: Shell, parent: QObject) -> None:
        super().__init__(parent)
        self._shell = shell
        self._desk: Desk | None = None
        self._stop: Wanted | None = None
        self._asking: Job | None = None

    @property
    def is_open(self) -> bool:
        """Is the sheet shown?"""
        return self._stop is not None

    @property
    def is_asking(self) -> bool:
        """Is an answer under way?"""
        return self._asking is not None

    def day_is(self, page: RoundsPage) -> None:
        """The day was read anew: what is shown is asked anew, or goes with its stop."""
        stop = self._stop
        if stop is None:
            return
        now = page.case.wanted.get(stop.id)
        if now is None or now.site_id != stop.site_id:
            self.away()
            return
        self._stop = now
        self._ask()

    @Slot()
    def away(self) -> None:
        """Close it."""
        was_open = self.is_open
        self._stop = self._asking = None
        self._forget()
        if was_open:
            self.shown.emit()

    def _ask(self) -> None:
        raise NotImplementedError

    def _forget(self) -> None:
        raise NotImplementedError

    @Slot()
    def _ended(self) -> None:
        if self.sender() is self._asking:
            self._asking = None
