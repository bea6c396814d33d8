"""The verbs of the write-up that go straight on to the form that is open."""

from collections.abc import Callable

from servicedesk.window.places.base import Place
from servicedesk.window.widgets.writeup_head import VisitHead
from servicedesk.window.widgets.writeup_sheet import FormSheets
from servicedesk.words import say


class FormVerbs(Place):
    """A place with one form, or none yet."""

    sheets: FormSheets | None
    head: VisitHead

    def as_usual(self) -> None:
        """Every item of the inspections here as usual."""
        self._with_sheets(FormSheets.take_as_usual)

    def grade(self, grade: str) -> None:
        """The grade of the row in hand."""
        if self.sheets is not None:
            self.sheets.grade(grade)

    def answer(self, n: object) -> None:
        """The nth result of the check in hand."""
        if self.sheets is not None and isinstance(n, int):
            self.sheets.answer(n)

    def to_behind(self) -> None:
        """What was behind the trouble."""
        self._with_sheets(FormSheets.to_behind)

    def open_known(self) -> None:
        """What is known about the cause or the check in hand: in a window beside."""
        if self.sheets is not None:
            self.sheets.trouble.ask_more()

    def show_known(self, kind: str, entry_id: str) -> None:
        """Open what is known about it beside; the form stays."""
        self.shell.go("knowledge", kind, entry_id, beside=True)

    def to_work(self) -> None:
        """What was found and done."""
        self._with_sheets(FormSheets.to_work)

    def to_weather(self) -> None:
        """The weather of the visit."""
        self._with_sheets(FormSheets.to_weather)

    def set_outcome(self, outcome: str) -> None:
        """The outcome of the job in hand."""
        if self.sheets is not None:
            self.sheets.set_outcome(outcome)

    def all_ticked(self) -> None:
        """The whole leaving list."""
        self._with_sheets(FormSheets.tick_all)

    def to_times(self) -> None:
        """The two times, the first one marked to be written over."""
        field = self.head.times["arrived"]
        field.setFocus()
        field.selectAll()

    def next_reading(self) -> None:
        """The next row with a reading."""
        self._with_sheets(FormSheets.next_reading)

    def next_job(self) -> None:
        """The next job."""
        self._with_sheets(FormSheets.next_job)

    def to_part(self) -> None:
        """A part used."""
        self._with_sheets(FormSheets.to_part)

    def take_part(self, n: object) -> None:
        """The nth part that is offered."""
        if self.sheets is not None and isinstance(n, int):
            self.sheets.take_part(n)

    def to_owed(self) -> None:
        """What is still owed."""
        self._with_sheets(FormSheets.to_owed)

    def to_note(self) -> None:
        """How it was left."""
        self._with_sheets(FormSheets.to_note)

    def why_no_form(self) -> str | None:
        """Why nothing can be written now."""
        return None if self.sheets is not None else say("Choose a stop first.")

    def why_no_items(self) -> str | None:
        """Why no item can be graded now."""
        if self.sheets is None:
            return say("Choose a stop first.")
        return None if self.sheets.rows else say("There is no inspection at this stop.")

    def why_no_checks(self) -> str | None:
        """Why no check can be answered now."""
        if self.sheets is None:
            return say("Choose a stop first.")
        return None if self.sheets.trouble.rows else say("Nothing at this stop is a trouble.")

    def why_no_rows(self) -> str | None:
        """Why neither an item nor a check can be answered now."""
        return self.why_no_items() and self.why_no_checks()

    def _with_sheets(self, do: Callable[[FormSheets], None]) -> None:
        if self.sheets is not None:
            do(self.sheets)
