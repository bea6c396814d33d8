"""A customer asks for another day: the form, three places at once, one taken."""

from PySide6.QtCore import QObject, Slot

from servicedesk.desk.another_day import OtherPlaces, Wish, other_places, take_other
from servicedesk.desk.demand import Wanted
from servicedesk.desk.office import Desk
from servicedesk.desk.rounds_page import RoundsPage
from servicedesk.window.places.rounds_asked import StopAsked
from servicedesk.window.places.rounds_squeeze import way_line
from servicedesk.window.shell import Shell
from servicedesk.window.widgets.another_day_sheet import AnotherDaySheet
from servicedesk.words import say


class AnotherDayAsker(StopAsked):
    """Holds what is asked for one stop until a place is taken or it is left."""

    def __init__(self, shell: Shell, sheet: AnotherDaySheet, parent: QObject) -> None:
        super().__init__(shell, parent)
        self._sheet = sheet
        self._wish = Wish(wishes=sheet.wish.wishes)
        self._offer: OtherPlaces | None = None
        sheet.edited.connect(self._ask)
        sheet.taken.connect(self.take)
        sheet.left.connect(self.away)

    @property
    def offer(self) -> OtherPlaces | None:
        """The places shown."""
        return self._offer

    def begin(self, desk: Desk, page: RoundsPage, stop_id: str) -> None:
        """Open the form for a stop of the day; other days are offered at once."""
        self.begin_stop(desk, page.case.wanted[stop_id], page.names[stop_id])

    def begin_stop(self, desk: Desk, stop: Wanted, address: str) -> None:
        """Open the form for any stop; other days are offered at once."""
        self._desk, self._stop = desk, stop
        self._sheet.begin(say("Another day for {address}", address=address))
        self._ask()
        self.shown.emit()

    @Slot(int)
    def take(self, number: int) -> None:
        """Take a place (0 is the first), or -1: free the visit, it waits for a day."""
        offer, desk = self._offer, self._desk
        if offer is None or desk is None or number >= len(offer.places):
            return
        way = offer.places[number] if number >= 0 else None
        job = self._shell.change(take_other, desk, offer, self._wish, way)
        self.away()
        self.written.emit(job)

    @Slot()
    def _ask(self) -> None:
        if self._stop is None or self._desk is None:
            return
        self._offer, self._wish = None, self._sheet.wish
        self._asking = self._shell.ask(other_places, self._desk, self._stop, self._wish)
        self._asking.done.connect(self._found)
        self._asking.ended.connect(self._ended)

    @Slot(object)
    def _found(self, offer: OtherPlaces) -> None:
        if self.sender() is not self._asking or self._desk is None:
            return
        self._asking = None
        self._offer = offer
        formats = self._desk.formats
        lines = [way_line(n, way, formats) for n, way in enumerate(offer.places)]
        self._sheet.show_places(lines, offer.why_none or offer.asked)

    def _forget(self) -> None:
        self._offer = None
