"""What was never tested: a dashed frame with a question mark, two lines in it."""

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QFrame, QHBoxLayout, QVBoxLayout

from servicedesk.window.ink import Ink
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.label import IconSign, Words


class DashedNote(QFrame):
    """Hidden while there is nothing to say."""

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme = theme
        row = QHBoxLayout(self)
        row.setContentsMargins(theme.px(12), theme.px(8), theme.px(12), theme.px(8))
        row.setSpacing(theme.px(10))
        row.addWidget(IconSign(theme, "ask", "plum", 16), 0, Qt.AlignmentFlag.AlignTop)
        column = QVBoxLayout()
        column.setSpacing(2)
        self.title = Words(theme, color="plum", weight=600, wraps=True)
        self.second = Words(theme, role="second", color="ink2", wraps=True)
        column.addWidget(self.title)
        column.addWidget(self.second)
        row.addLayout(column, 1)
        self.hide()

    def tell(self, title: str, second: str) -> None:
        """Say something else; nothing hides it."""
        self.title.setText(title)
        self.second.setText(second)
        self.second.setVisible(bool(second))
        self.setVisible(bool(title))

    def paintEvent(self, event: QPaintEvent) -> None:
        with QPainter(self) as painter:
            ink = Ink(painter, self._theme)
            fill = "sheet" if self._theme.outlined else "soft.plum"
            ink.panel(QRectF(self.rect()), fill=fill, edge="plum", radius=4, width=1.6, dashed=True)
