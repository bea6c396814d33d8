"""The papers of a day, written on the worker; the page says where they lie."""

from datetime import date

from PySide6.QtCore import QObject, QUrl, Signal, Slot
from PySide6.QtGui import QDesktopServices

from servicedesk.desk.office import Desk
from servicedesk.desk.rounds_page import write_day_papers
from servicedesk.window.shell import Shell
from servicedesk.window.widgets.notice import Notice
from servicedesk.words import say, say_n


class DayPapers(QObject):
    """Writes, tells, and opens the folder if that is wished."""

    told = Signal()

    def __init__(self, shell: Shell, notice: Notice, parent: QObject) -> None:
        super().__init__(parent)
        self._shell, self._notice = shell, notice
        self._folder = ""
        notice.asked.connect(self._open_folder)

    def write(self, desk: Desk, day: date) -> None:
        """Write all papers of a day beside the store."""
        title = say("Writing the route sheets")
        job = self._shell.ask(write_day_papers, desk, day, title=title)
        job.done.connect(self._written)

    @Slot(object)
    def _written(self, written: tuple[str, tuple[str, ...]]) -> None:
        self._folder, names = written
        words = say_n(
            "{n} paper lies in {folder}",
            "{n} papers lie in {folder}",
            len(names),
            folder=self._folder,
        )
        self._notice.button.show()
        self._notice.tell(words, ", ".join(names))
        self.told.emit()

    @Slot()
    def _open_folder(self) -> None:
        QDesktopServices.openUrl(QUrl.fromLocalFile(self._folder))
