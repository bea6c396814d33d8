"""What leaves the page of patterns, and the form of what its savings rest on."""

from functools import partial
from typing import Any

from PySide6.QtCore import QObject, QUrl, Slot
from PySide6.QtGui import QDesktopServices

from servicedesk.desk.office import Desk
from servicedesk.desk.pattern_money import Assumptions, write_pattern_costs
from servicedesk.desk.pattern_page import PatternPage
from servicedesk.desk.pattern_papers import write_pattern_sheet, write_pattern_wall
from servicedesk.desk.pattern_tried import Key, Tried
from servicedesk.values.money import Money
from servicedesk.window.shell import Shell
from servicedesk.window.widgets.notice import Notice
from servicedesk.window.widgets.setup_fields import FieldSpec
from servicedesk.window.widgets.setup_form import Forms
from servicedesk.words import say


class PatternPapers(QObject):
    """Writes on the worker, tells where it lies, and opens the folder if that is wished."""

    def __init__(self, shell: Shell, notice: Notice, parent: QObject) -> None:
        super().__init__(parent)
        self._shell, self._notice = shell, notice
        self._folder = ""
        notice.asked.connect(self._open_folder)

    def write_sheet(self, desk: Desk, page: PatternPage, *, everything: bool) -> None:
        """The rows as a spreadsheet."""
        title = say("Writing the sheet")
        job = self._shell.ask(write_pattern_sheet, desk, page, everything=everything, title=title)
        job.done.connect(self._written)

    def write_wall(self, desk: Desk, page: PatternPage, tried: dict[Key, Tried]) -> None:
        """The paper for the shop wall."""
        title = say("Writing the paper for the wall")
        job = self._shell.ask(write_pattern_wall, desk, page, tried, title=title)
        job.done.connect(self._written)

    @Slot(object)
    def _written(self, written: tuple[str, str]) -> None:
        self._folder, name = written
        self._notice.tell(say("{name} is written", name=name), self._folder)

    @Slot()
    def _open_folder(self) -> None:
        QDesktopServices.openUrl(QUrl.fromLocalFile(self._folder))


def ask_costs(forms: Forms, desk: Desk, assumed: Assumptions) -> None:
    """The form for what an hour and a callback cost, and how many years are counted."""
    money = partial(FieldSpec, kind="money", currency=assumed.currency)
    fields = (
        money(name="hour", label=say("An hour of work or driving")),
        money(name="call", label=say("A callback, without parts")),
        FieldSpec(name="years", label=say("Years that savings are counted over"), kind="number"),
    )
    values = {"hour": assumed.hour_minor, "call": assumed.call_minor, "years": assumed.years}
    forms.form(desk).open_form(
        say("What savings rest on"),
        fields,
        values,
        partial(_write_costs, desk),
        button=say("Write these figures"),
        hint=say("Your own figures go before what is counted or assumed."),
        only_changed=True,
    )


def _write_costs(desk: Desk, values: dict[str, Any], _seen: int | None) -> object:
    """On the worker: the figures that were changed."""
    currency = desk.company.currency
    hour, call = values.get("hour"), values.get("call")
    return write_pattern_costs(
        desk,
        hour=None if hour is None else Money(hour, currency),
        call=None if call is None else Money(call, currency),
        years=values.get("years"),
    )
