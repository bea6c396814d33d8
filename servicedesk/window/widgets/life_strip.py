"""The life strip of a site: painted, walked with the keys, read aloud, and as a list of text."""

from PySide6.QtCore import QEvent, QPointF, QRectF, QSize, Qt, Signal, Slot
from PySide6.QtGui import (
    QHelpEvent,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QResizeEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import QSizePolicy, QToolTip, QWidget

from servicedesk.window.ink import Ink
from servicedesk.window.paint_shapes import ScreenMeasure, paint_shapes, rect_of
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.life_strip_axis import Life, LifeFigure, LifeMark, View
from servicedesk.window.widgets.life_strip_shapes import life_figure
from servicedesk.words import say

_STEP = 1.25


class LifeStrip(QWidget):
    """Arrows walk the marks, Enter opens one. `opened` carries the key of its history entry."""

    opened = Signal(object)
    told = Signal(str)  # the mark in words, when another is stood on
    stood = Signal(object)  # the key of its history entry, None where it has none

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme = theme
        self._life: Life | None = None
        self._view = View()
        self._figure: LifeFigure | None = None
        self._mark: LifeMark | None = None
        self._dragged_from: float | None = None
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setProperty("ownFocus", True)
        self.setMouseTracking(True)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAccessibleName(say("Life strip"))
        theme.changed.connect(self._anew)

    def show_life(self, life: Life) -> None:
        """Show a site's life; who stands on a mark that is still there stays on it."""
        words = self._mark.words if self._mark is not None else None
        self._life, self._mark = life, None
        self._anew()
        if words is not None and self.figure is not None:
            self._mark = next((m for m in self.figure.marks if m.words == words), None)

    @property
    def figure(self) -> LifeFigure | None:
        """Geometry of what is shown."""
        if self._figure is None and self._life is not None:
            measure = ScreenMeasure(self._theme)
            self._figure = life_figure(
                self._life, self.width(), self._view, measure, scale=self._theme.scale
            )
        return self._figure

    @property
    def view(self) -> View:
        """The part of the axis that is shown."""
        return self._view

    @property
    def mark(self) -> LifeMark | None:
        """The mark stood on."""
        return self._mark

    def lines(self) -> tuple[tuple[str, str], ...]:
        """The strip as text: name of the row and one line for each of its marks."""
        figure, life = self.figure, self._life
        if figure is None or life is None:
            return ()
        whole = life_figure(life, 4000, View(), ScreenMeasure(self._theme))
        names = (say("Calls"), say("Visits"), *(row.name for row in life.rows))
        return tuple((name, mark.words) for n, name in enumerate(names) for mark in whole.in_row(n))

    def sizeHint(self) -> QSize:
        figure = self.figure
        return QSize(900, round(figure.height) if figure is not None else 200)

    def minimumSizeHint(self) -> QSize:
        return QSize(560, self.sizeHint().height())

    def resizeEvent(self, event: QResizeEvent) -> None:
        self._figure = None

    def paintEvent(self, event: QPaintEvent) -> None:
        figure = self.figure
        if figure is None:
            return
        with QPainter(self) as painter:
            ink = Ink(painter, self._theme)
            paint_shapes(ink, figure.shapes)
            slack = 12.0
            room = QRectF(figure.axis.x - slack, 0, figure.axis.width + 2 * slack, self.height())
            with ink.clipped(room):
                paint_shapes(ink, figure.clipped)
            paint_shapes(ink, figure.front)
            if self._mark is not None and self.hasFocus():
                box = rect_of(self._mark.box).adjusted(-4, -4, 4, 4)
                ink.focus_ring(box.intersected(room), 5)
            elif self.hasFocus():
                ink.focus_ring(QRectF(self.rect()), 5)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        shift = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
        match event.key():
            case Qt.Key.Key_Left | Qt.Key.Key_Right if shift:
                wide = self._view.right - self._view.left
                by = wide / 8 * (-1 if event.key() == Qt.Key.Key_Left else 1)
                self._look(self._view.moved(by))
            case Qt.Key.Key_Up | Qt.Key.Key_Down if shift:
                closer = event.key() == Qt.Key.Key_Up
                middle = (self._view.left + self._view.right) / 2
                self._look(self._view.stretched(_STEP if closer else 1 / _STEP, middle))
            case Qt.Key.Key_Left:
                self._walk(-1)
            case Qt.Key.Key_Right:
                self._walk(1)
            case Qt.Key.Key_Up:
                self._climb(-1)
            case Qt.Key.Key_Down:
                self._climb(1)
            case Qt.Key.Key_Home:
                self._look(View())
            case Qt.Key.Key_End:
                self._look_last_year()
            case Qt.Key.Key_Return | Qt.Key.Key_Enter:
                self._open()
            case _:
                super().keyPressEvent(event)

    def wheelEvent(self, event: QWheelEvent) -> None:
        if not event.modifiers() & Qt.KeyboardModifier.ShiftModifier or self.figure is None:
            event.ignore()  # the page scrolls
            return
        turn = event.angleDelta().y() or event.angleDelta().x()
        axis = self.figure.axis
        at = (event.position().x() - axis.x) / axis.width
        around = self._view.left + at * (self._view.right - self._view.left)
        self._look(self._view.stretched(_STEP if turn > 0 else 1 / _STEP, around))

    def mousePressEvent(self, event: QMouseEvent) -> None:
        self.setFocus(Qt.FocusReason.MouseFocusReason)
        at = event.position()
        found = self.figure.mark_at(at.x(), at.y()) if self.figure is not None else None
        if found is not None:
            self._stand_on(found)
        self._dragged_from = at.x()

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        self._open()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if self._dragged_from is None or self.figure is None:
            return
        moved = event.position().x() - self._dragged_from
        if event.buttons() & Qt.MouseButton.LeftButton and abs(moved) > 3:
            wide = self._view.right - self._view.left
            self._look(self._view.moved(-moved / self.figure.axis.width * wide))
            self._dragged_from = event.position().x()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        self._dragged_from = None

    def event(self, event: QEvent) -> bool:
        if event.type() == QEvent.Type.ToolTip and isinstance(event, QHelpEvent):
            at = QPointF(event.pos())
            found = self.figure.mark_at(at.x(), at.y()) if self.figure is not None else None
            QToolTip.showText(event.globalPos(), found.words if found is not None else "", self)
            return True
        return super().event(event)

    # walking

    def _walk(self, by: int) -> None:
        figure = self.figure
        if figure is None or not figure.marks:
            return
        if self._mark is None:
            first = min(mark.row for mark in figure.marks)
            self._stand_on(figure.in_row(first)[-1])
            return
        row = figure.in_row(self._mark.row)
        at = next((n for n, m in enumerate(row) if m.words == self._mark.words), 0)
        self._stand_on(row[min(max(at + by, 0), len(row) - 1)])

    def _climb(self, by: int) -> None:
        figure = self.figure
        if figure is None or self._mark is None:
            self._walk(0)
            return
        rows = sorted({mark.row for mark in figure.marks})
        beyond = [r for r in rows if (r > self._mark.row if by > 0 else r < self._mark.row)]
        if beyond:
            row = figure.in_row(beyond[0] if by > 0 else beyond[-1])
            here = self._mark.box.center[0]
            self._stand_on(min(row, key=lambda m: abs(m.box.center[0] - here)))

    def _stand_on(self, mark: LifeMark) -> None:
        self._mark = mark
        self.setAccessibleDescription(mark.words)
        self.told.emit(mark.words)
        self.stood.emit(mark.key)
        self.update()

    def _open(self) -> None:
        if self._mark is not None and self._mark.key is not None:
            self.opened.emit(self._mark.key)

    def _look_last_year(self) -> None:
        if self.figure is not None and self._life is not None:
            axis = self.figure.axis
            left = axis.share(self._life.today.replace(day=1, year=self._life.today.year - 1))
            self._look(View(left, 1.0))

    def _look(self, view: View) -> None:
        self._view, self._figure = view, None
        if self._mark is not None and self.figure is not None:
            words = self._mark.words
            self._mark = next((m for m in self.figure.marks if m.words == words), None)
        self.update()

    @Slot()
    def _anew(self) -> None:
        self._figure = None
        self.updateGeometry()
        if self._life is not None:
            self.setMinimumHeight(self.sizeHint().height())
        self.update()
