"""Working off “Where is this?”: address, map and the chosen site brought together."""

from collections.abc import Callable
from functools import partial

from PySide6.QtCore import QObject, Slot

from servicedesk.desk.office import Desk
from servicedesk.desk.sites import set_position
from servicedesk.desk.where_is import Whereabouts, where_is
from servicedesk.values.position import Position, PositionSource
from servicedesk.window.shell import Shell
from servicedesk.window.widgets.site_list_page import SiteListPage
from servicedesk.words import say

_CLOSE_M_PER_PX = 4.0  # single houses and lanes can be told apart


class Placing(QObject):
    """Answers what the bar asks, and writes where the chosen site is."""

    def __init__(self, shell: Shell, page: SiteListPage, desk: Callable[[], Desk]) -> None:
        super().__init__(page)
        self._shell, self._page, self._desk = shell, page, desk
        bar = page.place_bar
        bar.asked.connect(self._ask)
        bar.proposed.connect(self._look_at)
        bar.pointing.connect(self._point)
        bar.placed.connect(self._place)
        page.map.pointed.connect(bar.show_pointed)

    @Slot(str)
    def _ask(self, text: str) -> None:
        job = self._shell.ask(where_is, self._desk(), text)
        job.done.connect(partial(self._found, text))

    def _found(self, text: str, found: tuple[Whereabouts, ...]) -> None:
        self._page.place_bar.show_found(text, found)

    @Slot(object)
    def _look_at(self, position: Position | None) -> None:
        self._page.map.show_pin(position)
        if position is not None:
            self._page.map.look_at(position, _CLOSE_M_PER_PX)

    @Slot(bool)
    def _point(self, asks: bool) -> None:
        self._page.map.ask_for_place(asks=asks)
        if asks:
            self._page.map.setFocus()

    @Slot(object, object, str)
    def _place(self, place: Position, source: PositionSource, found: str) -> None:
        row = self._page.row(self._page.table.current_id)
        if row is None:
            return
        job = self._shell.change(
            set_position, self._desk(), row.id, place, source, seen=row.revision, found=found
        )
        job.done.connect(partial(self._placed, row.address, place))

    def _placed(self, address: str, place: Position, _touched: object) -> None:
        self._page.map.show_pin(None)
        self._page.map.show_all()
        self._page.place_bar.done(
            say(
                "{address} is at {lat}, {lon} now.",
                address=address,
                lat=f"{place.lat_deg:.5f}",
                lon=f"{place.lon_deg:.5f}",
            )
        )
