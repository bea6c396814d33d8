"""Who sits here? Asked before anything is written in somebody's name."""

from PySide6.QtCore import Qt, Slot
from PySide6.QtGui import QKeyEvent, QMouseEvent
from PySide6.QtWidgets import QScrollArea, QVBoxLayout, QWidget

from servicedesk.window.office import SeatsSeen
from servicedesk.window.seats import sit_here
from servicedesk.window.shell import Shell
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.label import Words
from servicedesk.window.widgets.site_rows import emptied
from servicedesk.window.widgets.veil import Veil
from servicedesk.words import say

_KEYS = 9


class SeatSheet(Veil):
    """One button a seat, the first nine with a digit. It stays until somebody sits down."""

    def __init__(self, shell: Shell, home: QWidget) -> None:
        theme = shell.theme
        super().__init__(theme, home, width_px=460, height_px=560)
        self._shell = shell
        self._must = False
        self.buttons: dict[int, Button] = {}
        self.title = Words(theme, say("Who sits here?"), role="sheet_title")
        self.why = Words(theme, color="ink2", wraps=True)
        inside = QWidget()
        self.rows = QVBoxLayout(inside)
        self.rows.setContentsMargins(0, 0, 8, 0)
        self.rows.setSpacing(8)
        self.area = QScrollArea()
        self.area.setWidgetResizable(True)
        self.area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.area.setWidget(inside)
        inner = QVBoxLayout()
        inner.setContentsMargins(20, 16, 20, 20)
        inner.setSpacing(12)
        for widget in (self.title, self.why):
            inner.addWidget(widget)
        inner.addWidget(self.area, 1)
        self.column.addLayout(inner, 1)
        self.panel.setAccessibleName(self.title.text())

    def show_seat(self, name: str) -> None:
        """Who sits here now; where nobody does it is asked, and cannot be put off."""
        self._must = not name
        if self._must:
            self.ask_who()

    def ask_who(self) -> None:
        """Ask, as soon as it is known who may sit here."""
        if not self.isVisible():
            self._shell.ask(self._shell.office.seats).done.connect(self._show)

    @Slot(object)
    def _show(self, seen: SeatsSeen | None) -> None:
        if seen is None or not seen.seats:
            return
        left = ""
        if seen.before and all(seat.name != seen.before for seat in seen.seats):
            left = say("{name}, who sat here last, no longer has a seat.", name=seen.before)
        kept = say("Your name stands at everything you write. This computer keeps it.")
        self.why.setText(f"{left} {kept}".strip())
        emptied(self.rows)
        self.buttons = {}
        for number, seat in enumerate(seen.seats, start=1):
            words = f"{seat.name} · {seat.kind}" if seat.kind else seat.name
            key = str(number) if number <= _KEYS else ""
            button = Button(self.theme, words, icon_name="person", key=key, wide=True)
            button.setObjectName(str(seat.id))
            button.clicked.connect(self._pressed)
            self.rows.addWidget(button)
            self.buttons[seat.id] = button
        self.rows.addStretch(1)
        row = self.theme.height("control") + 8
        self.area.setMinimumHeight(min(len(self.buttons), 8) * row)
        first = self.buttons.get(seen.now or 0) or next(iter(self.buttons.values()))
        self.open_with(first)
        self.fit_height()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Down, Qt.Key.Key_Up):
            self.focusNextPrevChild(event.key() == Qt.Key.Key_Down)
            return
        if event.key() == Qt.Key.Key_Escape and self._must:
            return
        super().keyPressEvent(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if not self._must:
            super().mousePressEvent(event)

    @Slot()
    def _pressed(self) -> None:
        self.close_veil()
        seat_id = int(self.sender().objectName())
        self._shell.change(sit_here, self._shell.office, seat_id)
