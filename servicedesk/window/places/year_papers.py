"""What leaves the year's page: written on the worker, told where it lies."""

from typing import Any

from PySide6.QtCore import Slot

from servicedesk.desk.office import Desk
from servicedesk.desk.renewals import RenewalPage
from servicedesk.desk.year_files import (
    send_and_write,
    write_draft_letters,
    write_inspections,
    write_outlook,
    write_renewals,
)
from servicedesk.desk.year_inspections import YearInspections
from servicedesk.desk.year_outlook import Outlook
from servicedesk.window.places.rounds_papers import FilesWritten
from servicedesk.window.places.year_asks import AskedLetters
from servicedesk.words import say


class YearPapers(FilesWritten):
    """The renewals sheet, and letters that only are looked at or that leave."""

    def write_sheet(self, desk: Desk, page: RenewalPage) -> None:
        """The workbook, CSV and JSON."""
        self.write(write_renewals, desk, page, title=say("Writing the renewals sheet"))

    def write_outlook(self, desk: Desk, seen: Outlook) -> None:
        """Figures of the months to come, and the hauler's list."""
        self.write(write_outlook, desk, seen, title=say("Writing the outlook"))

    def write_inspections(self, desk: Desk, year: YearInspections) -> None:
        """Lists of the year's inspections."""
        self.write(write_inspections, desk, year, title=say("Writing the inspections"))

    def write_letters(self, desk: Desk, page: RenewalPage, asked: AskedLetters) -> None:
        """Drafts, or letters that go into the register."""
        title = say("Writing the letters")
        if not asked.sends:
            job = self._shell.ask(
                write_draft_letters, desk, page, asked.ids, kind=asked.kind, title=title
            )
            self.is_paper = True
            job.done.connect(self._written)
            return
        self.is_paper = True
        job = self._shell.ask(
            send_and_write, desk, page, asked.ids, how=asked.how, kind=asked.kind, title=title
        )
        job.done.connect(self._sent)

    @Slot(object)
    def _sent(self, sent: tuple[Any, ...]) -> None:
        files, changed = sent
        self._shell.bus.changed.emit(changed)
        self._written(files)
