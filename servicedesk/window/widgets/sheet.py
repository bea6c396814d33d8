"""A white sheet with a hairline: title, one line of explanation, room at the right, a body."""

from PySide6.QtCore import QRectF, Qt, Slot
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QFrame, QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from servicedesk.window.ink import Ink
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.label import Words

_STRIPE = 5


class Sheet(QFrame):
    """Add to `body`; put buttons or links at the end of `head`.

    `stripe` names a color for an upright at the left edge (something stands out);
    `bar` one for a bar on top (something went wrong).
    """

    def __init__(
        self,
        theme: Theme,
        title: str = "",
        hint: str = "",
        *,
        stripe: str = "",
        bar: str = "",
        title_color: str = "ink",
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._theme, self._stripe, self._bar = theme, stripe, bar
        self._outer = QVBoxLayout(self)
        self.head = QHBoxLayout()
        self.body = QVBoxLayout()
        self.title_label = Words(theme, title, role="sheet_title", color=title_color)
        self.hint_label = Words(theme, hint, role="second", color="ink2")
        self.hint_label.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self.head.addWidget(self.title_label, 0, Qt.AlignmentFlag.AlignBaseline)
        self.head.addWidget(self.hint_label, 1, Qt.AlignmentFlag.AlignBaseline)
        self._outer.addLayout(self.head)
        self._outer.addLayout(self.body, 1)
        self.title_label.setVisible(bool(title))
        self.hint_label.setVisible(bool(hint))
        self.setAccessibleName(title)
        self._dress()
        theme.changed.connect(self._dress)

    def set_title(self, title: str, hint: str = "") -> None:
        """Another title and line of explanation."""
        self.title_label.setText(title)
        self.hint_label.setText(hint)
        self.title_label.setVisible(bool(title))
        self.hint_label.setVisible(bool(hint))
        self.setAccessibleName(title)

    def set_stripe(self, color: str) -> None:
        """Let the sheet stand out in `color`, or not at all ("")."""
        self._stripe = color
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        box = QRectF(self.rect())
        radius = self._theme.tokens.radius.sheet
        with QPainter(self) as painter:
            ink = Ink(painter, self._theme)
            ink.panel(box, fill="sheet", edge="line", radius=radius)
            if self._stripe:
                edge = QRectF(0, 0, _STRIPE, box.height())
                ink.panel(edge, fill=self._stripe, radius=2)
            if self._bar:
                ink.panel(QRectF(0, 0, box.width(), _STRIPE), fill=self._bar, radius=2)

    @Slot()
    def _dress(self) -> None:
        pad = self._theme.tokens.space.sheet_padding
        grid = self._theme.tokens.space.grid
        self._outer.setContentsMargins(pad, pad - grid, pad, pad - grid)
        self._outer.setSpacing(2 * grid)
        self.head.setSpacing(2 * grid + 2)
        self.body.setSpacing(2 * grid)
        self.update()


class Hairline(QWidget):
    """A level hairline between rows."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme
        self.setFixedHeight(1)
        theme.changed.connect(self.update)

    def paintEvent(self, event: QPaintEvent) -> None:
        with QPainter(self) as painter:
            painter.fillRect(self.rect(), self._theme.color("line"))


class Ground(QWidget):
    """A plain area of one color of the look."""

    def __init__(self, theme: Theme, color: str = "ground", parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme, self._color = theme, color
        theme.changed.connect(self.update)

    def paintEvent(self, event: QPaintEvent) -> None:
        with QPainter(self) as painter:
            painter.fillRect(self.rect(), self._theme.color(self._color))
