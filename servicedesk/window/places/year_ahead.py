"""Inspections of the year and the months to come: read when first looked at, written on wish."""

from PySide6.QtCore import QObject, Signal, Slot
from PySide6.QtWidgets import QWidget

from servicedesk.desk.held_work import HeldWork
from servicedesk.desk.office import Desk
from servicedesk.desk.year_figures import counts_words
from servicedesk.desk.year_inspections import YearInspections, year_inspections
from servicedesk.desk.year_outlook import Outlook, outlook_of
from servicedesk.window.places.year_papers import YearPapers
from servicedesk.window.shell import Shell
from servicedesk.window.widgets.year_ahead import InspectionsView, OutlookView
from servicedesk.window.widgets.year_head import INSPECTIONS, OUTLOOK
from servicedesk.words import say


class YearAhead(QObject):
    """Keeps what was read until `forget`. `arrived`: something can be shown and written."""

    arrived = Signal()

    def __init__(self, shell: Shell, parent: QObject) -> None:
        super().__init__(parent)
        self._shell = shell
        self.inspections, self.outlook = InspectionsView(shell.theme), OutlookView(shell.theme)
        self._inspected: YearInspections | None = None
        self._seen: Outlook | None = None

    @property
    def _desk(self) -> Desk:
        found: Desk = self._shell.office.desk  # type: ignore[attr-defined]
        return found

    def view(self, sheet: str) -> QWidget | None:
        """The view of a sheet, None where it is not one of these."""
        return {INSPECTIONS: self.inspections, OUTLOOK: self.outlook}.get(sheet)

    def list_of(self, sheet: str) -> QWidget | None:
        """The list of a sheet, which takes the keys."""
        found = {INSPECTIONS: self.inspections.late.list, OUTLOOK: self.outlook.list.list}
        return found.get(sheet)

    def is_known(self, sheet: str) -> bool:
        """Was the sheet read already?"""
        return {INSPECTIONS: self._inspected, OUTLOOK: self._seen}.get(sheet) is not None

    def forget(self) -> None:
        """What they rest on has changed: read anew when looked at."""
        self._inspected = self._seen = None

    def read(self, sheet: str, work: HeldWork) -> None:
        """Read a sheet that is not known yet."""
        if self.is_known(sheet):
            return
        if sheet == INSPECTIONS:
            first = self._desk.today.replace(month=1, day=1)
            job = self._shell.ask(
                year_inspections, self._desk, first=first,
                until=first.replace(year=first.year + 1), title=say("Counting inspections"),
            )  # fmt: skip
            job.done.connect(self._inspections_arrived)
        elif sheet == OUTLOOK:
            title = say("Reckoning the months to come")
            job = self._shell.ask(outlook_of, self._desk, work, title=title)
            job.done.connect(self._outlook_arrived)

    def title(self, sheet: str) -> str:
        """What the sheet is called; "" where it is not one of these."""
        titles = {
            INSPECTIONS: say("Inspections of {year}", year=self._desk.today.year),
            OUTLOOK: say("The months to come"),
        }
        return titles.get(sheet, "")

    def line(self, sheet: str) -> str:
        """One line about the sheet, once it is known."""
        if sheet == INSPECTIONS and self._inspected is not None:
            return counts_words(self._inspected.total)
        if sheet == OUTLOOK and self._seen is not None:
            f, months = self._desk.formats, self._seen.months
            return say("{first} to {last}", first=f.month(months[0].month),
                       last=f.month(months[-1].month))  # fmt: skip
        return ""

    def write(self, sheet: str, papers: YearPapers) -> None:
        """Write the papers of a sheet that is known."""
        if sheet == INSPECTIONS and self._inspected is not None:
            papers.write_inspections(self._desk, self._inspected)
        elif sheet == OUTLOOK and self._seen is not None:
            papers.write_outlook(self._desk, self._seen)

    @Slot(object)
    def _inspections_arrived(self, found: YearInspections) -> None:
        self._inspected = found
        self.inspections.show_year(self._desk, found)
        self.arrived.emit()

    @Slot(object)
    def _outlook_arrived(self, found: Outlook) -> None:
        self._seen = found
        self.outlook.show_outlook(self._desk, found)
        self.arrived.emit()
