"""The ring round the widget that the keys act on: drawn by us, alike everywhere.

A widget that shows its own focus (a list with its current row, a painted strip) sets the
property `ownFocus` to true and gets no ring.
"""

from PySide6.QtCore import QEvent, QObject, QRectF, Qt, Slot
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QAbstractItemView, QApplication, QScrollArea, QWidget
from shiboken6 import isValid

from servicedesk.window.ink import Ink
from servicedesk.window.theme import Theme


class FocusRings(QObject):
    """Watches the focus of one application and keeps one ring in the right place."""

    def __init__(self, app: QApplication, theme: Theme) -> None:
        super().__init__(app)
        self._theme = theme
        self._ring: _Ring | None = None
        self._round: QWidget | None = None
        app.focusChanged.connect(self._moved)

    @Slot(QWidget, QWidget)
    def _moved(self, old: QWidget | None, now: QWidget | None) -> None:
        if self._round is not None and isValid(self._round):
            self._round.removeEventFilter(self)
        if self._ring is not None and isValid(self._ring):
            self._ring.hide()
        self._round = None
        if now is None or not _wants_ring(now) or now.parentWidget() is None:
            return
        self._round = now
        now.installEventFilter(self)
        self._place()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if watched is self._round and event.type() in (
            QEvent.Type.Move,
            QEvent.Type.Resize,
            QEvent.Type.Show,
        ):
            self._place()
        return False

    def _place(self) -> None:
        widget = self._round
        home = widget.parentWidget() if widget is not None else None
        if widget is None or home is None:
            return
        if self._ring is None or not isValid(self._ring):
            self._ring = _Ring(self._theme, home)
        elif self._ring.parentWidget() is not home:
            self._ring.setParent(home)
        space = self._theme.tokens.space.focus_gap + round(self._theme.tokens.stroke.focus)
        self._ring.setGeometry(widget.geometry().adjusted(-space, -space, space, space))
        self._ring.show()
        self._ring.raise_()


class _Ring(QWidget):
    def __init__(self, theme: Theme, parent: QWidget) -> None:
        super().__init__(parent)
        self._theme = theme
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)

    def paintEvent(self, event: QPaintEvent) -> None:
        radius = self._theme.tokens.radius.control + self._theme.tokens.space.focus_gap
        with QPainter(self) as painter:
            Ink(painter, self._theme).focus_ring(QRectF(self.rect()), radius)


def _wants_ring(widget: QWidget) -> bool:
    shows_its_own = isinstance(widget, QAbstractItemView | QScrollArea)
    return not shows_its_own and not widget.property("ownFocus") and not widget.isWindow()
