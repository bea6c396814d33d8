"""Painted figures of the Patterns place: one that only shows, and rows that keys walk."""

from collections.abc import Callable, Sequence

from PySide6.QtCore import QPoint, Qt, Signal, Slot
from PySide6.QtGui import (
    QAccessibleInterface,
    QFocusEvent,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QResizeEvent,
)
from PySide6.QtWidgets import QScrollArea, QSizePolicy, QWidget

from servicedesk.papers.pattern_figures import PlacedRow, chosen_shapes
from servicedesk.papers.pattern_text import line_height, text_block
from servicedesk.values.shapes import Box, Family, Font, Icon, Measure, Shape
from servicedesk.window.ink import Ink
from servicedesk.window.paint_shapes import ScreenMeasure, paint_shapes, rect_of
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.list_accessible import ListAccessible, Painted, install

Drawn = tuple[Sequence[Shape], float]
Draw = Callable[[float, Measure, float], Drawn]
_PAGE = 8
_ENTER = (Qt.Key.Key_Return, Qt.Key.Key_Enter)


class FigureView(QWidget):
    """Shows what `draw(width, measure, scale)` gives, as high as that is."""

    def __init__(self, theme: Theme, name: str) -> None:
        super().__init__()
        self._theme = theme
        self._draw: Draw | None = None
        self._drawn: Drawn = ((), 0.0)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        self.setAccessibleName(name)
        theme.changed.connect(self.redraw)

    @property
    def shapes(self) -> Sequence[Shape]:
        """What is shown."""
        return self._drawn[0]

    def show_figure(self, draw: Draw, said: str = "") -> None:
        """Show another figure; `said` is what a screen reader says of it."""
        self._draw = draw
        self.setAccessibleDescription(said)
        self.redraw()

    @Slot()
    def redraw(self) -> None:
        """Lay it out anew for the width there is."""
        if self._draw is not None and self.width() > 0:
            measure = ScreenMeasure(self._theme)
            self._drawn = self._draw(float(self.width()), measure, self._theme.scale)
            self.setFixedHeight(max(1, round(self._drawn[1] + 0.5)))
        self.update()

    def resizeEvent(self, event: QResizeEvent) -> None:
        if event.size().width() != event.oldSize().width():
            self.redraw()

    def paintEvent(self, event: QPaintEvent) -> None:
        with QPainter(self) as painter:
            paint_shapes(Ink(painter, self._theme), self._drawn[0])


class TextView(FigureView):
    """Words over as many lines as they need, with icons before them if `icon` is named.

    Its height is settled by its width alone: nothing of a text is ever cut off.
    """

    def __init__(
        self,
        theme: Theme,
        *,
        role: str = "text",
        color: str = "ink",
        weight: int = 0,
        icon: str = "",
    ) -> None:
        super().__init__(theme, "")
        self._texts: tuple[str, ...] = ()
        self._role, self._color, self._weight, self._icon = role, color, weight, icon

    def text(self) -> str:
        """What stands there."""
        return "\n".join(self._texts)

    def set_text(self, *texts: str, color: str = "") -> None:
        """Say something else, each text from a new line; nothing hides it."""
        self._texts = tuple(text for text in texts if text)
        self._color = color or self._color
        self.setAccessibleName(self.text())
        self.setVisible(bool(self._texts))
        self.show_figure(self._lay_out)

    def _lay_out(self, width: float, measure: Measure, scale: float) -> Drawn:
        kind = getattr(self._theme.tokens.type, self._role)
        family: Family = "title" if self._role.endswith("title") else "text"
        font = Font(kind.px * scale, self._weight or kind.weight, family)
        left = 1.6 * font.size + 4 * scale if self._icon else 0.0
        shapes: list[Shape] = []
        y = 0.0
        for n, text in enumerate(self._texts):
            y += 4 * scale if n and self._icon else 0.0
            room = Box(left, y, width - left, 0)
            lines, high = text_block(text, font, room, measure, color=self._color, key="text")
            if self._icon:
                side = 1.25 * font.size
                box = Box(0, y + (line_height(font) - side) / 2, side, side)
                shapes.append(Icon(self._icon, box, "clay"))
            shapes += lines
            y += high
        return shapes, y


class PaintedRows(QWidget):
    """Rows that arrows walk. `stood` carries a key, `opened` key and whether beside, `turned` a key
    that Space was pressed on.

    A subclass gives the figure: its height, its rows, its shapes.
    """

    stood = Signal(str)
    opened = Signal(str, bool)
    turned = Signal(str)

    def __init__(self, theme: Theme, name: str) -> None:
        super().__init__()
        self._theme = theme
        self.current = ""
        self.pinned = 0.0  # height at the top that something else covers
        self._shapes: Sequence[Shape] = ()
        self._placed: tuple[PlacedRow, ...] = ()
        self._accessible: ListAccessible | None = None
        install(PaintedRows)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setProperty("ownFocus", True)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        self.setAccessibleName(name)
        theme.changed.connect(self.redraw)

    # for subclasses

    def figure_at(
        self, width: float, measure: Measure, scale: float
    ) -> tuple[Sequence[Shape], tuple[PlacedRow, ...], float]:
        """Shapes, rows and height for a width."""
        raise NotImplementedError

    # what is shown

    def accessible(self) -> QAccessibleInterface:
        """How a screen reader sees it."""
        if self._accessible is None:
            painted = Painted(
                boxes=lambda: [(row.key, row.box) for row in self.placed],
                key_at=lambda at: row.key if (row := self.row_at(at.y())) is not None else "",
                current=lambda: self.current,
                spoken=self.spoken,
            )
            self._accessible = ListAccessible(self, painted)
        return self._accessible

    @property
    def placed(self) -> tuple[PlacedRow, ...]:
        """The rows from top to bottom."""
        return self._placed

    @property
    def shapes(self) -> Sequence[Shape]:
        """Everything drawn but the choice."""
        return self._shapes

    def spoken(self, key: str) -> str:
        """How a row is read aloud."""
        return next((row.spoken for row in self._placed if row.key == key), "")

    def row_at(self, y: float) -> PlacedRow | None:
        """The row at a height."""
        return next((r for r in self._placed if r.box.y <= y < r.box.bottom), None)

    @Slot()
    def redraw(self) -> None:
        """Lay it out anew for the width there is."""
        if self.width() > 0:
            measure = ScreenMeasure(self._theme)
            found = self.figure_at(float(self.width()), measure, self._theme.scale)
            self._shapes, self._placed, height = found
            self.setFixedHeight(max(1, round(height + 0.5)))
        self.update()

    def stand_on(self, key: str, *, tells: bool = True) -> bool:
        """Go to a row; False if it is not there."""
        row = next((one for one in self._placed if one.key == key), None)
        if row is None:
            return False
        is_new = key != self.current
        self.current = key
        self.setAccessibleDescription(row.spoken)
        self._see(row)
        self.update()
        if tells and is_new:
            self.stood.emit(key)
        return True

    def resizeEvent(self, event: QResizeEvent) -> None:
        if event.size().width() != event.oldSize().width():
            self.redraw()

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        if not self.current and self._placed:
            self.stand_on(self._placed[0].key)
        self.update()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        with QPainter(self) as painter:
            ink = Ink(painter, self._theme)
            row = next((one for one in self._placed if one.key == self.current), None)
            if row is not None:
                paint_shapes(ink, chosen_shapes(row, self._theme.scale))
            paint_shapes(ink, self._shapes)
            if row is not None and self.hasFocus():
                ink.focus_ring(rect_of(row.box).adjusted(1, 1, -1, -1), 4)
            self.paint_over(ink)

    def paint_over(self, ink: Ink) -> None:
        """What a subclass draws above everything."""

    # hand and keys

    def keyPressEvent(self, event: QKeyEvent) -> None:
        key = event.key()
        if key in _ENTER and self.current:
            beside = bool(event.modifiers() & Qt.KeyboardModifier.ControlModifier)
            self.opened.emit(self.current, beside)
        elif key == Qt.Key.Key_Space and self.current:
            self.turned.emit(self.current)
        elif (to := self._step(key)) is not None:
            self._go(to)
        else:
            super().keyPressEvent(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        self.setFocus(Qt.FocusReason.MouseFocusReason)
        row = self.row_at(event.position().y())
        if row is not None:
            self.stand_on(row.key)

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        if self.row_at(event.position().y()) is not None and self.current:
            self.opened.emit(self.current, False)

    def _step(self, key: int) -> int | None:
        """The number of the row that a key leads to; None for other keys."""
        keys = [row.key for row in self._placed]
        at = keys.index(self.current) if self.current in keys else -1
        last = len(keys) - 1
        match key:
            case Qt.Key.Key_Down:
                return min(at + 1, last)
            case Qt.Key.Key_Up:
                return max(at - 1, 0)
            case Qt.Key.Key_PageDown:
                return min(at + _PAGE, last)
            case Qt.Key.Key_PageUp:
                return max(at - _PAGE, 0)
            case Qt.Key.Key_Home:
                return 0
            case Qt.Key.Key_End:
                return last
        return None

    def _go(self, number: int) -> None:
        if 0 <= number < len(self._placed):
            self.stand_on(self._placed[number].key)

    def _see(self, row: PlacedRow) -> None:
        """Scroll what holds the rows until the row is in sight."""
        area = self.parentWidget()
        while area is not None and not isinstance(area, QScrollArea):
            area = area.parentWidget()
        inner = area.widget() if area is not None else None
        if area is None or inner is None:
            return
        top = self.mapTo(inner, QPoint(0, 0)).y() + row.box.y
        bar, view = area.verticalScrollBar(), area.viewport().height()
        if row is self._placed[0]:
            bar.setValue(round(min(top - row.box.y, bar.value())))
        if top - self.pinned < bar.value():
            bar.setValue(round(top - self.pinned))
        elif top + row.box.height > bar.value() + view:
            bar.setValue(round(top + row.box.height - view))
