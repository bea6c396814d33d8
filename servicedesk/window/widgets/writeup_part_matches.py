"""The parts that fit what is being typed: a painted list under the field, which keeps the keys."""

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QRectF, QSize, Qt, Signal
from PySide6.QtGui import QMouseEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from servicedesk.window.ink import Ink
from servicedesk.window.theme import Theme
from servicedesk.words import say


@dataclass(frozen=True, slots=True)
class Match:
    """A part that fits: its key, name, and what stands at the right."""

    part_id: int
    name: str
    right: str


class MatchList(QWidget):
    """`chosen` with the key of the part taken. The one in hand is the first until it is moved."""

    chosen = Signal(int)

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme = theme
        self.matches: tuple[Match, ...] = ()
        self._at = 0
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)
        self.setAccessibleName(say("Parts that fit"))
        self.hide()

    def show_matches(self, matches: Sequence[Match]) -> None:
        """Show these; none hides the list."""
        self.matches, self._at = tuple(matches), 0
        self.setVisible(bool(matches))
        self.updateGeometry()
        self._tell()

    def move_by(self, by: int) -> None:
        """The next one, or the one before."""
        self._at = min(max(self._at + by, 0), len(self.matches) - 1)
        self._tell()

    def take(self) -> bool:
        """Take the one in hand; whether there was one."""
        if self.isHidden() or not self.matches:
            return False
        self.chosen.emit(self.matches[self._at].part_id)
        return True

    def sizeHint(self) -> QSize:
        return QSize(self._theme.px(200), round(len(self.matches) * self._row() + 2))

    def minimumSizeHint(self) -> QSize:
        return QSize(self._theme.px(120), self.sizeHint().height())

    def mousePressEvent(self, event: QMouseEvent) -> None:
        n = int((event.position().y() - 1) // self._row())
        if 0 <= n < len(self.matches):
            self._at = n
            self.take()

    def paintEvent(self, event: QPaintEvent) -> None:
        theme, row = self._theme, self._row()
        with QPainter(self) as painter:
            ink = Ink(painter, theme)
            ink.panel(QRectF(self.rect()), fill="sheet", edge="edge", radius=4)
            for n, one in enumerate(self.matches):
                box = QRectF(1, 1 + n * row, self.width() - 2, row)
                if n == self._at:
                    plain = theme.outlined
                    ink.panel(box.adjusted(2, 1, -2, -1), fill="sheet" if plain else "soft.water",
                              edge="water" if plain else None, radius=3)  # fmt: skip
                inner = box.adjusted(10, 0, -10, 0)
                right = theme.metrics("second").horizontalAdvance(one.right) + 10
                ink.text(inner, one.right, role="second", color="ink2", align="right")
                weight = 600 if n == self._at else 0
                ink.text(inner.adjusted(0, 0, -right, 0), one.name, weight=weight)

    def _row(self) -> float:
        return float(max(self._theme.metrics("text").height() + 8, self._theme.px(26)))

    def _tell(self) -> None:
        if self.matches:
            one = self.matches[self._at]
            self.setAccessibleDescription(f"{one.name}, {one.right}")
        self.update()
