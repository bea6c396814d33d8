"""What stands at the right of the map: the tray, or one of the sheets that ask something."""

from PySide6.QtCore import QObject, Qt, Signal, Slot

from servicedesk.desk.office import Desk
from servicedesk.desk.rounds_page import RoundsPage
from servicedesk.window.places.rounds_another_day import AnotherDayAsker
from servicedesk.window.places.rounds_away import AwayAsker
from servicedesk.window.places.rounds_squeeze import Squeezer
from servicedesk.window.shell import Shell
from servicedesk.window.widgets.rounds_view import RoundsView


class Side(QObject):
    """One of them at a time; closed, the tray stands there again."""

    turned = Signal(bool)  # is one of them open?
    written = Signal(object)  # the job that writes what was taken

    def __init__(self, shell: Shell, view: RoundsView, parent: QObject) -> None:
        super().__init__(parent)
        self._view = view
        self.squeezer = Squeezer(shell, view.ways, self)
        self.another_day = AnotherDayAsker(shell, view.another_day, self)
        self.absent = AwayAsker(shell, view.away, self)
        for one in (self.squeezer, self.another_day, self.absent):
            one.shown.connect(self._shown)
            one.written.connect(self.written)

    @property
    def is_asking(self) -> bool:
        """Is an answer under way?"""
        return self.squeezer.is_asking or self.another_day.is_asking or self.absent.is_asking

    def show_ways(self, desk: Desk, page: RoundsPage, stop_id: str) -> None:
        """All ways for a stop."""
        self.another_day.away()
        self.absent.away()
        self.squeezer.begin(desk, page, stop_id)
        self._view.ways.list.setFocus()

    def show_another_day(self, desk: Desk, page: RoundsPage, stop_id: str) -> None:
        """The form for another day of a stop."""
        self.squeezer.away()
        self.absent.away()
        self.another_day.begin(desk, page, stop_id)
        self._view.another_day.days[0].setFocus()

    def show_absent(self, desk: Desk, page: RoundsPage, crew_id: str, *, for_good: bool) -> None:
        """What it would do if a technician was away."""
        self.squeezer.away()
        self.another_day.away()
        name = page.names[crew_id]
        self.absent.begin(desk, int(crew_id), name, page.case.day, for_good=for_good)

    def follow(self, desk: Desk, page: RoundsPage, stop_id: str) -> None:
        """Another stop was chosen: ways and form are for that one now."""
        if self.squeezer.is_open:
            self.squeezer.begin(desk, page, stop_id)
        elif self.another_day.is_open:
            self.another_day.begin(desk, page, stop_id)

    def day_is(self, page: RoundsPage) -> None:
        """The day was read anew."""
        self.squeezer.day_is(page)
        self.another_day.day_is(page)
        self.absent.day_is()

    def away(self) -> None:
        """The tray stands there again."""
        self.squeezer.away()
        self.another_day.away()
        self.absent.away()

    @Slot()
    def _shown(self) -> None:
        view = self._view
        sheet = (
            view.ways if self.squeezer.is_open
            else view.another_day if self.another_day.is_open
            else view.away if self.absent.is_open
            else view.tray
        )  # fmt: skip
        if sheet is view.tray:
            # before the sheet with the keys hides: Qt would tab on and choose another stop
            view.bench.setFocus(Qt.FocusReason.OtherFocusReason)
        view.show_side(sheet)
        self.turned.emit(sheet is not view.tray)
