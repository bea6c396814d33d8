"""A stop carried over the days of the header: where it would land, and the wish when let go."""

from datetime import date

from PySide6.QtCore import QObject, QPoint, Signal, Slot

from servicedesk.desk.carry import DayPlace, best_on
from servicedesk.desk.office import Desk
from servicedesk.desk.rounds_page import RoundsPage
from servicedesk.window.shell import Shell
from servicedesk.window.widgets.day_header import DayHeader
from servicedesk.window.work import Job
from servicedesk.words import say, say_n
from servicedesk.words.formats import Formats


class DayDrop(QObject):
    """Knows over which day the hand is, and what the stop's best place there would do."""

    noted = Signal(str)  # the effect in words, as soon as it is known

    def __init__(self, shell: Shell, header: DayHeader, parent: QObject) -> None:
        super().__init__(parent)
        self._shell, self._header = shell, header
        self._notes: dict[tuple[str, date], str] = {}
        self._asked: dict[Job, tuple[str, date]] = {}
        self._formats = Formats()
        self.day: date | None = None  # the day under the hand, None for none
        self.note = ""

    def over(self, desk: Desk, page: RoundsPage, stop_id: str, at: QPoint) -> date | None:
        """The day under the hand at `at` (of the screen); its effect is looked for."""
        day = self._header.day_at(at)
        if day == page.case.day:
            day = None
        if day != self.day:
            self.day = day
            self._header.show_target(day)
        key = (stop_id, day) if day is not None else None
        self.note = self._notes.get(key, "") if key is not None else ""
        if key is not None and key not in self._notes:
            self._notes[key] = self.note = say("looking for its place")
            self._formats = desk.formats
            job = self._shell.ask(best_on, desk, page.case, *key)
            self._asked[job] = key
            job.done.connect(self._found)
            job.ended.connect(self._ended)
        return day

    def end(self) -> date | None:
        """The hand let go or put back: the day it was over, and nothing is kept."""
        day, self.day = self.day, None
        self._header.show_target(None)
        self._notes.clear()
        self._asked.clear()
        self.note = ""
        return day

    @Slot(object)
    def _found(self, place: DayPlace | None) -> None:
        key = self._asked.get(self.sender())  # type: ignore[call-overload]
        if key is None:
            return
        self._notes[key] = day_words(place, self._formats)
        if key[1] == self.day:
            self.note = self._notes[key]
            self.noted.emit(self.note)

    @Slot()
    def _ended(self) -> None:
        self._asked.pop(self.sender(), None)  # type: ignore[call-overload]


def day_words(found: DayPlace | None, formats: Formats) -> str:
    """The best place on a day: with whom, when, how much road, who would be late."""
    if found is None:
        return say("no room that day")
    place, lead = found.place, found.case.technicians[found.place.crew_id]
    words = say(
        "{who}, {time}, {road} road",
        who=lead.short_name or lead.name.split()[0],
        time=formats.time(place.begin_min),
        road=formats.signed_minutes(place.extra_road_min),
    )
    if place.promises_broken:
        words += ", " + say_n("{n} late", "{n} late", len(place.promises_broken))
    return words
