"""The upper sheet of Ahead: hours placed of the hours there are, walked by arrows."""

from collections.abc import Sequence
from datetime import date

from PySide6.QtCore import Qt
from PySide6.QtGui import QMouseEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QScrollArea

from servicedesk.desk.ahead_hours import PersonWeeks
from servicedesk.papers.pattern_figures import PlacedRow
from servicedesk.values.shapes import Measure, Rect, Shape
from servicedesk.window.ink import Ink
from servicedesk.window.paint_shapes import paint_shapes, rect_of
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.ahead_hours_shapes import hours_figure, hours_legend
from servicedesk.window.widgets.patterns_painted import FigureView, PaintedRows
from servicedesk.window.widgets.sheet import Sheet
from servicedesk.words import say
from servicedesk.words.formats import Formats


class HoursView(PaintedRows):
    """A cell for every technician and week; `opened` carries its key."""

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme, say("Hours placed, by technician and week"))
        self._people: tuple[PersonWeeks, ...] = ()
        self._first, self._today, self._n_weeks = date.min, date.min, 0
        self._formats = Formats()

    def show_hours(
        self, people: Sequence[PersonWeeks], first: date, n_weeks: int, today: date, f: Formats
    ) -> None:
        """Show these weeks; the cell stood on stays."""
        self._people, self._first, self._n_weeks = tuple(people), first, n_weeks
        self._today, self._formats = today, f
        self.redraw()

    @property
    def people(self) -> tuple[PersonWeeks, ...]:
        """What is shown."""
        return self._people

    def figure_at(
        self, width: float, measure: Measure, scale: float
    ) -> tuple[Sequence[Shape], tuple[PlacedRow, ...], float]:
        if not self._people:
            return (), (), 1.0
        figure = hours_figure(
            self._people, self._first, self._n_weeks, self._today, self._formats,
            room_in(self, width), measure, scale,
        )  # fmt: skip
        return figure.shapes, figure.cells, figure.height

    def paintEvent(self, event: QPaintEvent) -> None:
        """A cell stands out while the keys are here."""
        with QPainter(self) as painter:
            ink = Ink(painter, self._theme)
            cell = next((one for one in self.placed if one.key == self.current), None)
            if cell is not None and self.hasFocus():
                paint_shapes(ink, [Rect(cell.box, "soft.water", None)])
            paint_shapes(ink, self.shapes)
            if cell is not None and self.hasFocus():
                ink.focus_ring(rect_of(cell.box).adjusted(1, 1, -1, -1), 4)

    def cell_at(self, x: float, y: float) -> PlacedRow | None:
        """The cell at a place."""
        for cell in self.placed:
            if cell.box.y <= y < cell.box.bottom and cell.box.x <= x < cell.box.right:
                return cell
        return None

    def mousePressEvent(self, event: QMouseEvent) -> None:
        self.setFocus(Qt.FocusReason.MouseFocusReason)
        cell = self.cell_at(event.position().x(), event.position().y())
        if cell is not None:
            self.stand_on(cell.key)

    def _step(self, key: int) -> int | None:
        keys = [cell.key for cell in self.placed]
        n, weeks = len(keys), max(1, self._n_weeks)
        at = keys.index(self.current) if self.current in keys else 0
        row, week = divmod(at, weeks)
        match key:
            case Qt.Key.Key_Left:
                return row * weeks + max(0, week - 1)
            case Qt.Key.Key_Right:
                return row * weeks + min(weeks - 1, week + 1)
            case Qt.Key.Key_Up:
                return at - weeks if row else at
            case Qt.Key.Key_Down:
                return at + weeks if at + weeks < n else at
            case Qt.Key.Key_Home:
                return row * weeks
            case Qt.Key.Key_End:
                return row * weeks + weeks - 1
        return None


class HoursSheet(Sheet):
    """The hours with what their parts mean; many technicians scroll."""

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme, say("Hours placed, of the hours there are"))
        self.view = HoursView(theme)
        self.legend = FigureView(theme, say("What the parts of a bar mean"))
        self.legend.show_figure(hours_legend)
        self.head.addWidget(self.legend, 1, Qt.AlignmentFlag.AlignVCenter)
        self.area = rows_area(self.view)
        self.body.addWidget(self.area, 1)

    @property
    def wanted_height(self) -> int:
        """As high as everything in it."""
        space = self._theme.tokens.space
        head = max(self.title_label.sizeHint().height(), self.legend.height())
        edges = 2 * (space.sheet_padding - space.grid) + 2 * space.grid
        return edges + head + max(1, self.view.height()) + 2


def rows_area(rows: PaintedRows) -> QScrollArea:
    """Scrolls painted rows."""
    area = QScrollArea()
    area.setWidgetResizable(True)
    area.setFrameShape(QScrollArea.Shape.NoFrame)
    area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
    area.setWidget(rows)
    return area


def room_in(rows: PaintedRows, width: float) -> float:
    """The width for figures: the bar's room is always kept, so that week axes stay in line."""
    area = rows.parentWidget()
    while area is not None and not isinstance(area, QScrollArea):
        area = area.parentWidget()
    if area is None:
        return width
    return min(width, float(area.width() - area.verticalScrollBar().sizeHint().width() - 4))
