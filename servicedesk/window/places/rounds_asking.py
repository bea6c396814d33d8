"""What is asked beside the map of the rounds page: all ways, another day, somebody away."""

from PySide6.QtCore import QObject, QPoint, Qt, Slot
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QMenu

from servicedesk.window.places.rounds_moving import MovesByHand
from servicedesk.window.places.rounds_side import Side
from servicedesk.words import say


class AsksBeside(MovesByHand):
    """Opens the sheets at the right of the map, for the chosen stop or for a technician."""

    side: Side

    def show_ways(self) -> None:
        """All ways for the chosen stop over the next days, each with its effect."""
        if self._page is not None and self.stop in self._page.stops:
            self.side.show_ways(self.desk, self._page, self.stop)

    def ask_another_day(self) -> None:
        """The customer of the chosen stop asks for another day or hour."""
        if self._page is not None and self.stop in self._page.stops:
            self.side.show_another_day(self.desk, self._page, self.stop)

    def ask_absent(self, crew_id: str, *, for_good: bool = False) -> None:
        """What it would do if a technician was away this day, or left on it."""
        if self._page is not None and crew_id in self._page.names:
            self.side.show_absent(self.desk, self._page, crew_id, for_good=for_good)

    @Slot(bool)
    def _side_turned(self, is_open: bool) -> None:
        if not is_open:
            (self.tray.list if self.tray.stop else self.bench).setFocus()
        self.keys.refresh()

    @Slot(str, QPoint)
    def _crew_menu(self, crew_id: str, at: QPoint) -> None:
        """The menu on the name of a ribbon."""
        menu = QMenu(self)
        menu.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        for action in self._crew_actions(crew_id, menu):
            menu.addAction(action)
        menu.popup(at)

    def _crew_actions(self, crew_id: str, owner: QObject) -> list[QAction]:
        """What can be done with one technician's day."""
        page = self._page
        if page is None or crew_id not in page.names:
            return []
        name = page.names[crew_id]
        away = QAction(say("{name} is away this day", name=name), owner)
        leaves = QAction(say("{name} leaves on this day", name=name), owner)
        for action, slot in ((away, self._away_chosen), (leaves, self._leaves_chosen)):
            action.setData(crew_id)
            action.triggered.connect(slot)
        return [away, leaves]

    @Slot()
    def _away_chosen(self) -> None:
        self.ask_absent(_data_of(self.sender()))

    @Slot()
    def _leaves_chosen(self) -> None:
        self.ask_absent(_data_of(self.sender()), for_good=True)


def _data_of(action: QObject) -> str:
    return str(action.data()) if isinstance(action, QAction) else ""
