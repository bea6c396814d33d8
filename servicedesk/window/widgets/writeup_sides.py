"""The sheets at the side of the form: jobs, how it was left, what is owed, parts used."""

from PySide6.QtCore import Slot
from PySide6.QtWidgets import QWidget

from servicedesk.desk.office import Desk
from servicedesk.desk.writeup_form import VisitForm
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.choice import Tick
from servicedesk.window.widgets.label import Words
from servicedesk.window.widgets.sheet import Hairline, Sheet
from servicedesk.window.widgets.writeup_columns import show_key
from servicedesk.window.widgets.writeup_job import JobPanel
from servicedesk.window.widgets.writeup_left import LeavingList
from servicedesk.window.widgets.writeup_lines import OwedLines
from servicedesk.window.widgets.writeup_parts import PartsUsed
from servicedesk.words import say


class FormSides(QWidget):
    """Makes the sheets; what is entered in them is read by the form."""

    _theme: Theme
    _desk: Desk
    form: VisitForm
    panels: list[JobPanel]
    letters: dict[str, str]

    @Slot()
    def _panel_edited(self) -> None:
        """What is shown is ahead of the entry."""
        raise NotImplementedError

    @Slot()
    def _left_parts(self) -> None:
        """The keys go back to the rows."""
        raise NotImplementedError

    @Slot(bool)
    def _toggled(self, on: bool) -> None:
        self._panel_edited()

    @Slot()
    def tick_all(self) -> None:
        """Every line of the leaving list is so."""
        self.leaving.tick_all()

    def _jobs(self) -> Sheet:
        title = say("Job") if len(self.panels) == 1 else say("Jobs")
        sheet = Sheet(self._theme, title)
        if len(self.panels) > 1:
            show_key(self._theme, sheet, say("next job"), self.letters["next_job"])
        for n, panel in enumerate(self.panels):
            if n:
                sheet.body.addWidget(Hairline(self._theme))
            sheet.body.addWidget(panel)
        return sheet

    def _left(self) -> Sheet:
        sheet = Sheet(self._theme, say("As left"))
        self.leaving = LeavingList(self._theme)
        every = Button(
            self._theme,
            say("All ticked"),
            key=self.letters["all_ticked"],
            shows_only=True,
            small=True,
        )
        every.clicked.connect(self.tick_all)
        sheet.head.addStretch(1)
        sheet.head.addWidget(every)
        sheet.body.addWidget(self.leaving)
        self.leaving.edited.connect(self._panel_edited)
        return sheet

    def _owed(self) -> Sheet:
        sheet = Sheet(self._theme, say("Owed"))
        show_key(self._theme, sheet, say("one more"), self.letters["owed"])
        self.settled: dict[int, Tick] = {}
        if self.form.owed:
            settled = say("Settled on this visit")
            sheet.body.addWidget(Words(self._theme, settled, role="second", color="ink2"))
        for one in self.form.owed:
            since = self._desk.formats.day(one.since_on, near=self._desk.today)
            tick = Tick(self._theme, say("{what}, since {day}", what=one.what, day=since))
            tick.setToolTip(tick.text())
            tick.toggled.connect(self._toggled)
            self.settled[one.id] = tick
            sheet.body.addWidget(tick)
        self.owed = OwedLines(self._theme)
        self.owed.edited.connect(self._panel_edited)
        sheet.body.addWidget(self.owed)
        return sheet

    def _parts(self) -> Sheet:
        here = self.form.parts
        place = here.places.get(here.truck_place_id or 0)
        hint = say("from {place}", place=place.name) if place is not None else ""
        sheet = Sheet(self._theme, say("Parts used"), hint)
        show_key(self._theme, sheet, say("one more"), self.letters["part"])
        self.parts = PartsUsed(self._theme, self._desk, self.form)
        self.parts.edited.connect(self._panel_edited)
        self.parts.left.connect(self._left_parts)
        sheet.body.addWidget(self.parts)
        return sheet
