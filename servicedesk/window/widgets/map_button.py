"""A small button on a map: one sign or word on a sheet."""

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QAbstractButton, QWidget

from servicedesk.window.ink import Ink
from servicedesk.window.theme import Theme

_SIDE_PX = 28


class MapButton(QAbstractButton):
    """Says `name` to screen readers and in its tip. The map itself has the keys."""

    def __init__(self, theme: Theme, text: str, name: str, parent: QWidget) -> None:
        super().__init__(parent)
        self._theme = theme
        self.setText(text)
        self.setAccessibleName(name)
        self.setToolTip(name)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setAttribute(Qt.WidgetAttribute.WA_Hover)

    def sizeHint(self) -> QSize:
        side = self._theme.px(_SIDE_PX)
        words = round(self._theme.metrics("chip").horizontalAdvance(self.text()))
        return QSize(max(side, words + self._theme.px(18)), side)

    def paintEvent(self, event: QPaintEvent) -> None:
        with QPainter(self) as painter:
            ink = Ink(painter, self._theme)
            box = QRectF(self.rect())
            fill = "sunken" if self.isDown() else "soft.water" if self.underMouse() else "sheet"
            ink.panel(box, fill=fill, edge="edge", radius=self._theme.tokens.radius.control)
            middle, half = box.center(), self._theme.px(5)
            if len(self.text()) > 1:
                ink.text(box, self.text(), role="chip", align="center", weight=600)
                return
            across = QPointF(half, 0)
            ink.line(middle - across, middle + across, "ink", width=2)
            if self.text() == "+":
                up = QPointF(0, half)
                ink.line(middle - up, middle + up, "ink", width=2)
