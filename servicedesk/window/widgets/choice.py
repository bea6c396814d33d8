"""A list to choose from and a box to tick, drawn by us so that they look alike in both themes."""

from PySide6.QtCore import QPoint, QRectF, QSize, Slot
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QCheckBox, QComboBox, QWidget

from servicedesk.window.ink import Ink
from servicedesk.window.theme import Theme


class Choice(QComboBox):
    """A QComboBox with our arrow. `label` is what a screen reader says before the value."""

    def __init__(self, theme: Theme, label: str = "", parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self.setAccessibleName(label)
        theme.changed.connect(self.update)

    def paintEvent(self, event: QPaintEvent) -> None:
        super().paintEvent(event)
        side = self._theme.px(14)
        box = QRectF(self.width() - side - 9, 0, side, self.height())
        with QPainter(self) as painter:
            Ink(painter, self._theme).icon("down", box, "ink2" if self.isEnabled() else "ink3")


class Tick(QCheckBox):
    """A QCheckBox with our check."""

    def __init__(self, theme: Theme, text: str, parent: QWidget | None = None) -> None:
        super().__init__(text, parent)
        self._theme = theme
        self.setAccessibleName(text)
        self._dress()
        theme.changed.connect(self._dress)

    def sizeHint(self) -> QSize:
        theme = self._theme
        width = theme.px(26) + theme.metrics("text").horizontalAdvance(self.text()) + 4
        return QSize(round(width), max(theme.px(24), theme.tokens.space.hit_min))

    def minimumSizeHint(self) -> QSize:
        return self.sizeHint()

    def paintEvent(self, event: QPaintEvent) -> None:
        theme = self._theme
        side = theme.px(17)
        box = QRectF(1, (self.height() - side) / 2, side, side)
        with QPainter(self) as painter:
            ink = Ink(painter, theme)
            is_on = self.isChecked()
            fill, edge = ("water", "water") if is_on else ("sheet", "edge")
            if not self.isEnabled():
                fill, edge = "sunken", "line"
            ink.panel(box, fill=fill, edge=edge, radius=4)
            if is_on:
                color = "on_water" if self.isEnabled() else "ink3"
                ink.icon("check", box.adjusted(2, 2, -2, -2), color)
            words = QRectF(self.rect()).adjusted(theme.px(26), 0, 0, 0)
            ink.text(words, self.text(), color="ink" if self.isEnabled() else "ink3")

    def hitButton(self, pos: QPoint) -> bool:
        return self.rect().contains(pos)

    @Slot()
    def _dress(self) -> None:
        self.setFont(self._theme.font("text"))
        self.updateGeometry()
        self.update()
