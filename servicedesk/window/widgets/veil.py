"""A panel over a dimmed window: find box, all changes, keys, trouble. Esc puts it away.

Not a window of its own: no modal loop runs, and nothing can stand on top of it but another one.
"""

from PySide6.QtCore import QEvent, QObject, QRectF, QSize, Qt, Signal, Slot
from PySide6.QtGui import QColor, QKeyEvent, QMouseEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QApplication, QVBoxLayout, QWidget
from shiboken6 import isValid

from servicedesk.window.ink import Ink
from servicedesk.window.theme import Theme

_DIM = 0.35
_SHADOW = 0.18


class Veil(QWidget):
    """Covers `home`; `panel` lies in the middle, `width_px` by at most `height_px` at 100 %.

    Gives the focus back to where it was when it is put away.
    """

    put_away = Signal()

    def __init__(self, theme: Theme, home: QWidget, *, width_px: int, height_px: int) -> None:
        super().__init__(home)
        self.theme = theme
        self._home = home
        self._wanted = QSize(width_px, height_px)
        self._before: QWidget | None = None
        self._fits = False
        self.panel = _Panel(theme, self)
        self.column = QVBoxLayout(self.panel)
        self.column.setContentsMargins(0, 0, 0, 0)
        self.column.setSpacing(0)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.hide()
        home.installEventFilter(self)

    def open_with(self, focus: QWidget) -> None:
        """Show it and put the cursor in `focus`."""
        if not self.isVisible():
            self._before = QApplication.focusWidget()
        self._cover()
        self.show()
        self.raise_()
        focus.setFocus(Qt.FocusReason.OtherFocusReason)

    @Slot()
    def close_veil(self) -> None:
        """Put it away; the keys go back to where they were."""
        if not self.isVisible():
            return
        self.hide()
        if self._before is not None and isValid(self._before):
            self._before.setFocus(Qt.FocusReason.OtherFocusReason)
        self._before = None
        self.put_away.emit()

    def fit_height(self) -> None:
        """Be as high as the words need, at most as high as was asked for at first."""
        self._fits = True
        self.column.activate()  # layouts within keep their old sizes until then
        self._cover()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.Resize and self.isVisible():
            self._cover()
        return False

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.close_veil()
            return
        event.accept()  # keys do not reach the page below

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if not self.panel.geometry().contains(event.position().toPoint()):
            self.close_veil()

    def focusNextPrevChild(self, forward: bool) -> bool:
        """Tab stays within the panel."""
        stops = [w for w in self.panel.findChildren(QWidget) if _takes_tab(w)]
        if not stops:
            return True
        now = QApplication.focusWidget()
        at = stops.index(now) if now in stops else -1
        stops[(at + (1 if forward else -1)) % len(stops)].setFocus(Qt.FocusReason.TabFocusReason)
        return True

    def paintEvent(self, event: QPaintEvent) -> None:
        dim = QColor(self.theme.color("ink" if self.theme.name == "light" else "sunken"))
        shade = QColor(self.theme.color("ink" if self.theme.name == "light" else "sunken"))
        dim.setAlphaF(_DIM if self.theme.name == "light" else 2 * _DIM)
        shade.setAlphaF(_SHADOW)
        with QPainter(self) as painter:
            painter.fillRect(self.rect(), dim)
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(shade)
            painter.drawRoundedRect(QRectF(self.panel.geometry()).adjusted(-2, 0, 4, 7), 8, 8)

    def _cover(self) -> None:
        home = self._home
        self.setGeometry(home.rect())
        width = min(self.theme.px(self._wanted.width()), home.width() - 48)
        height = min(self.theme.px(self._wanted.height()), home.height() - 96)
        if self._fits:
            needed = self.column.heightForWidth(width)
            height = min(height, max(needed, self.column.minimumSize().height()))
        self.panel.setGeometry((home.width() - width) // 2, 71, width, height)


class _Panel(QWidget):
    def __init__(self, theme: Theme, parent: QWidget) -> None:
        super().__init__(parent)
        self._theme = theme

    def paintEvent(self, event: QPaintEvent) -> None:
        radius = self._theme.tokens.radius.sheet
        with QPainter(self) as painter:
            Ink(painter, self._theme).panel(
                QRectF(self.rect()), fill="sheet", edge="line", radius=radius
            )


def _takes_tab(widget: QWidget) -> bool:
    return (
        bool(widget.focusPolicy() & Qt.FocusPolicy.TabFocus)
        and widget.isVisible()
        and widget.isEnabled()
    )
