"""Somebody is away for the day, or leaves: worked out on the worker, shown, written if wanted."""

from datetime import date

from PySide6.QtCore import QObject, Signal, Slot

from servicedesk.desk.absence import Absence, ill, leaves, take_absence
from servicedesk.desk.absence_cli import absence_title
from servicedesk.desk.office import Desk
from servicedesk.window.models.row_list import Row
from servicedesk.window.shell import Shell
from servicedesk.window.widgets.away_sheet import AwaySheet
from servicedesk.window.work import Job
from servicedesk.words import say, say_n


class AwayAsker(QObject):
    """Holds what an absence would do until it is written or left."""

    shown = Signal()
    written = Signal(object)  # the job that writes

    def __init__(self, shell: Shell, sheet: AwaySheet, parent: QObject) -> None:
        super().__init__(parent)
        self._shell, self._sheet = shell, sheet
        self._desk: Desk | None = None
        self._asking: Job | None = None
        self._found: Absence | None = None
        self.is_open = False
        sheet.taken.connect(self.take)
        sheet.left.connect(self.away)

    @property
    def is_asking(self) -> bool:
        """Is an answer under way?"""
        return self._asking is not None

    @property
    def found(self) -> Absence | None:
        """What is shown."""
        return self._found

    def begin(
        self, desk: Desk, technician_id: int, name: str, day: date, *, for_good: bool
    ) -> None:
        """Work out what it would do if this technician was not there on a day, or from it on."""
        self._drop()
        self._desk, self.is_open = desk, True
        shown = desk.formats.weekday(day)
        title = (
            say("{name} leaves on {day}", name=name, day=shown)
            if for_good
            else say("{name} away on {day}", name=name, day=shown)
        )
        self._sheet.show_asking(title)
        verb = leaves if for_good else ill
        job = self._shell.ask(verb, desk, technician_id, day, title=title)
        self._asking = job
        job.done.connect(self._done)
        job.ended.connect(self._ended)
        self.shown.emit()

    def day_is(self) -> None:
        """Something was changed: what is shown may no longer be so."""
        if self._found is not None:
            self.away()

    @Slot()
    def away(self) -> None:
        """Close it; what is under way is stopped."""
        was_open, self.is_open = self.is_open, False
        self._drop()
        if was_open:
            self.shown.emit()

    @Slot()
    def take(self) -> None:
        """Write it."""
        found, desk = self._found, self._desk
        if found is None or desk is None:
            return
        job = self._shell.change(take_absence, desk, found)
        self.away()
        self.written.emit(job)

    def _drop(self) -> None:
        job, self._asking = self._asking, None
        if job is not None:
            job.cancel()
        self._found = None

    @Slot(object)
    def _done(self, found: Absence) -> None:
        if self.sender() is not self._asking or self._desk is None:
            return
        self._asking, self._found = None, found
        title = absence_title(found, self._desk)
        head, _, words = title.partition(": ")
        n = sum(one.is_to_tell for one in found.stops)
        if n:
            words += ". " + say_n("{n} customer is to be told", "{n} customers are to be told", n)
        self._sheet.show_rows(head, words, away_rows(found, self._desk))
        self._sheet.focus_take()

    @Slot()
    def _ended(self) -> None:
        if self.sender() is self._asking:
            self._asking = None
            self.away()


def away_rows(found: Absence, desk: Desk) -> list[Row]:
    """A row for each stop, then what else hangs on who leaves."""
    f = desk.formats
    rows = []
    for one in sorted(found.stops, key=lambda s: s.to_day is not None):
        if one.to_day is None or one.begins is None:
            rows.append(Row(title=one.address, second=say("no place found, waits for a day"),
                            right=f.weekday(one.was_on), right_color="clay"))  # fmt: skip
            continue
        day = "" if one.to_day == one.was_on else f.weekday(one.to_day) + ", "
        tell = ", " + say("to be told") if one.is_to_tell else ""
        rows.append(
            Row(title=one.address, second=f"{day}{f.time(one.begins)}{tell}",
                right=one.to_technician, right_color="ink2")
        )  # fmt: skip
    holds = found.holds
    rows += [
        Row(title=k.address, second=say("key: {label}", label=k.label), right=say("to hand back"),
            right_color="ochre")
        for k in holds.keys
    ]  # fmt: skip
    rows += [
        Row(title=name, second=say("on {truck}", truck=holds.truck), right=str(n),
            right_color="ink2")
        for name, n in holds.parts
    ]  # fmt: skip
    rows += [Row(title=address, second=say("wants this technician")) for address in holds.wanted_at]
    return rows
