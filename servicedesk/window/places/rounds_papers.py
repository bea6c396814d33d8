"""Papers and files, written on the worker; the page says where they lie."""

from collections.abc import Callable
from datetime import date
from typing import Any

from PySide6.QtCore import QObject, QUrl, Signal, Slot
from PySide6.QtGui import QDesktopServices

from servicedesk.desk.office import Desk
from servicedesk.desk.out_files import write_day_files, write_week_page
from servicedesk.desk.rounds_page import write_day_papers
from servicedesk.window.shell import Shell
from servicedesk.window.widgets.notice import Notice
from servicedesk.words import say, say_n


class FilesWritten(QObject):
    """Writes, tells, and opens the folder if that is wished."""

    told = Signal()

    def __init__(self, shell: Shell, notice: Notice, parent: QObject) -> None:
        super().__init__(parent)
        self._shell, self._notice = shell, notice
        self._folder = ""
        self.is_paper = False  # what was written last
        notice.asked.connect(self._open_folder)

    def write(
        self, function: Callable[..., object], /, *args: Any, title: str = "", paper: bool = False
    ) -> None:
        """Let `function` write on the worker; it answers with the folder, the files' names, and
        perhaps what is worth knowing about them.
        """
        self.is_paper = paper
        job = self._shell.ask(function, *args, title=title)
        job.done.connect(self._written)

    @Slot(object)
    def _written(self, written: tuple[Any, ...]) -> None:
        self._folder, names, *notes = written
        n, folder = len(names), self._folder
        if not names:
            words = say("Nothing was written: no round of the day has a stop.")
        elif self.is_paper:
            words = say_n(
                "{n} paper lies in {folder}", "{n} papers lie in {folder}", n, folder=folder
            )
        else:
            words = say_n(
                "{n} file lies in {folder}", "{n} files lie in {folder}", n, folder=folder
            )
        self._notice.button.setVisible(bool(names))
        self._notice.tell(words, " · ".join(one for one in (*notes, ", ".join(names)) if one))
        self.told.emit()

    @Slot()
    def _open_folder(self) -> None:
        QDesktopServices.openUrl(QUrl.fromLocalFile(self._folder))


class DayPapers(FilesWritten):
    """What goes out of a day: route sheets, open files, and the page of its week."""

    def write_sheets(self, desk: Desk, day: date) -> None:
        """Write all papers of a day beside the store."""
        self.write(write_day_papers, desk, day, title=say("Writing the route sheets"), paper=True)

    def write_files(self, desk: Desk, day: date) -> None:
        """Write the rounds of a day as GPX, GeoJSON and calendars beside the store."""
        self.write(write_day_files, desk, day, title=say("Writing the rounds"))

    def write_week(self, desk: Desk, day: date) -> None:
        """Write the page of the week of a day beside the store."""
        self.write(write_week_page, desk, day, title=say("Writing the week"), paper=True)
