"""The site a caller talks of: address, chips, owner, contract, and which of its systems."""

from PySide6.QtCore import QRectF, QSize, Qt, Signal, Slot
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QButtonGroup, QHBoxLayout, QLayoutItem, QVBoxLayout, QWidget

from servicedesk.desk.intake import CallerHit
from servicedesk.window.ink import Ink
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.label import Chip, OneLine, Words
from servicedesk.words import say

_LOOKS = {
    "hold": ("clay", "warn"),
    "dog": ("clay", "dog"),
    "gate": ("ink2", "gate"),
    "lid": ("ochre", "lid"),
    "key": ("ink2", "key"),
    "clock": ("ink2", "clock"),
    "contract": ("moss", "note"),
    "kind": ("ink2", "panel"),
}


class Flow(QWidget):
    """Chips side by side, as many lines as the width asks for."""

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme = theme
        self.chips: list[Chip] = []

    def show_chips(self, chips: list[Chip]) -> None:
        """Other chips."""
        for old in self.chips:
            old.hide()
            old.deleteLater()
        self.chips = chips
        for chip in chips:
            chip.setParent(self)
            chip.show()
        self._lay()

    def resizeEvent(self, event: object) -> None:
        self._lay()

    def sizeHint(self) -> QSize:
        return QSize(300, self._theme.px(24))

    def _lay(self) -> None:
        x = y = 0
        gap = 6
        height = self._theme.px(24)
        for chip in self.chips:
            width = min(chip.sizeHint().width(), max(60, self.width()))
            if x and x + width > self.width():
                x, y = 0, y + height + gap
            chip.setGeometry(x, y, width, height)
            x += width + gap
        self.setFixedHeight(y + height if self.chips else 0)


class SiteCard(QWidget):
    """Hidden until a site is chosen. `system_chosen` carries a system's id."""

    system_chosen = Signal(int)

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme = theme
        column = QVBoxLayout(self)
        column.setContentsMargins(16, 9, 12, 10)
        column.setSpacing(5)
        self.address = Words(theme, role="row_lead_alone")
        self.line = OneLine(theme, color="ink2")
        self.chips = Flow(theme)
        self._systems = QHBoxLayout()
        self._systems.setSpacing(6)
        self.systems = QButtonGroup(self)
        self.systems.idClicked.connect(self._chosen)
        column.addWidget(self.address)
        column.addWidget(self.line)
        column.addWidget(self.chips)
        column.addLayout(self._systems)
        self.hide()

    def show_hit(self, hit: CallerHit | None, system_id: int | None = None) -> None:
        """The chosen site, None for none."""
        self.setVisible(hit is not None)
        if hit is None:
            return
        place = f"{hit.address}, {hit.locality}" if hit.locality else hit.address
        self.address.setText(place)
        self.line.set_text(hit.line)
        chips = []
        for chip in hit.chips:
            tone, icon = _LOOKS.get(chip.kind, ("ink2", ""))
            if chip.kind == "contract" and hit.contract_last_on is None:
                tone = "ochre"
            chips.append(Chip(self._theme, chip.text, tone, icon))
        self.chips.show_chips(chips)
        self._show_systems(hit, system_id)
        spoken = [place, hit.line, *(chip.text for chip in hit.chips)]
        self.setAccessibleName(". ".join(spoken))

    def paintEvent(self, event: QPaintEvent) -> None:
        box = QRectF(self.rect())
        with QPainter(self) as painter:
            ink = Ink(painter, self._theme)
            outlined = self._theme.outlined
            ink.panel(
                box,
                fill="sheet" if outlined else "soft.water",
                edge="water" if outlined else None,
                radius=3,
            )
            ink.panel(QRectF(0, 0, 4, box.height()), fill="water", radius=2)

    def _show_systems(self, hit: CallerHit, system_id: int | None) -> None:
        for button in self.systems.buttons():
            self.systems.removeButton(button)
            button.hide()
            button.deleteLater()
        _empty(self._systems)
        if len(hit.systems) < 2:
            return
        words = Words(self._theme, say("Which system?"), role="second", weight=600)
        self._systems.addWidget(words)
        for key, label in hit.systems:
            button = Button(self._theme, label or say("unnamed"), kind="pill")
            button.setChecked(key == system_id)
            self.systems.addButton(button, key)
            self._systems.addWidget(button, 0, Qt.AlignmentFlag.AlignVCenter)
        self._systems.addStretch(1)

    @Slot(int)
    def _chosen(self, system_id: int) -> None:
        self.system_chosen.emit(system_id)


def _empty(layout: QHBoxLayout) -> None:
    item: QLayoutItem | None
    while (item := layout.takeAt(0)) is not None:
        widget = item.widget()
        if widget is not None:
            widget.hide()
            widget.deleteLater()
