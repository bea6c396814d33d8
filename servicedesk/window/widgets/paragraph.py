"""A longer text that wraps, for pages with many of them: measured once for each width.

A wrapped QLabel measures its text anew whenever a layout asks; a page of sixty of them took 0.2 s.
"""

from PySide6.QtCore import QRect, QSize, Qt, Slot
from PySide6.QtGui import QFontMetrics, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from servicedesk.window.theme import Theme

_FLAGS = Qt.TextFlag.TextWordWrap | Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop
_USUAL_PX, _LEAST_PX, _ENDLESS = 320, 200, 100_000


class Paragraph(QWidget):
    """Plain words in a role and color of the look, `indent` pixels from the left."""

    def __init__(
        self,
        theme: Theme,
        text: str,
        *,
        role: str = "text",
        color: str = "ink",
        weight: int = 0,
        indent: int = 0,
    ) -> None:
        super().__init__()
        self._theme, self._text, self._role = theme, text, role
        self._color, self._weight, self._indent = color, weight, indent
        self._heights: dict[int, int] = {}
        policy = QSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Minimum)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)
        self.setAccessibleName(text)
        theme.changed.connect(self._dress)

    def text(self) -> str:
        """What stands there."""
        return self._text

    def sizeHint(self) -> QSize:
        # layouts ask `heightForWidth` for the height; measuring here too would double the work
        line = round(self._theme.metrics(self._role).height())
        return QSize(self._theme.px(_USUAL_PX), line)

    def minimumSizeHint(self) -> QSize:
        return QSize(self._theme.px(_LEAST_PX), 0)

    def heightForWidth(self, width: int) -> int:
        height = self._heights.get(width)
        if height is None:
            room = QRect(0, 0, max(1, width - self._indent), _ENDLESS)
            font = self._theme.font(self._role, weight=self._weight)
            height = QFontMetrics(font).boundingRect(room, _FLAGS, self._text).height() + 1
            self._heights[width] = height
        return height

    def paintEvent(self, event: QPaintEvent) -> None:
        with QPainter(self) as painter:
            painter.setFont(self._theme.font(self._role, weight=self._weight))
            painter.setPen(self._theme.color(self._color))
            painter.drawText(self.rect().adjusted(self._indent, 0, 0, 0), _FLAGS, self._text)

    @Slot()
    def _dress(self) -> None:
        self._heights.clear()
        self.updateGeometry()
        self.update()
