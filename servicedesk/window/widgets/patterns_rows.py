"""The rows with their ranges; the axis of the section in sight stays at the top."""

from collections.abc import Sequence

from PySide6.QtCore import QRectF, QTimer, Slot

from servicedesk.papers.pattern_figures import (
    TITLE,
    PlacedRow,
    RowsFigure,
    SectionShown,
    rows_figure,
)
from servicedesk.values.shapes import Measure, Shape
from servicedesk.window.ink import Ink
from servicedesk.window.paint_shapes import paint_shapes
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.patterns_painted import PaintedRows
from servicedesk.words import say


class RowsChart(PaintedRows):
    """Groups with their ranges."""

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme, say("Groups with their ranges"))
        self._sections: tuple[SectionShown, ...] = ()
        self._figure = RowsFigure(0.0, (), (), ())
        self._top = 0
        self._soon = QTimer(self)
        self._soon.setSingleShot(True)
        self._soon.timeout.connect(self._see_current)

    def show_sections(self, sections: Sequence[SectionShown]) -> None:
        """Show other rows; the one stood on stays if it is still there."""
        self._sections = tuple(sections)
        self.redraw()
        if self.current and not any(row.key == self.current for row in self.placed):
            self.current = ""

    @property
    def figure(self) -> RowsFigure:
        """The geometry."""
        return self._figure

    def figure_at(
        self, width: float, measure: Measure, scale: float
    ) -> tuple[Sequence[Shape], tuple[PlacedRow, ...], float]:
        self._figure = rows_figure(self._sections, width, measure, scale=scale)
        head = self._figure.heads[0].box.height if self._figure.heads else 0.0
        self.pinned = head + TITLE * scale  # so that the first row of a factor shows its title
        return self._figure.shapes, self._figure.rows, self._figure.height

    @Slot(int, int)
    def keep_in_sight(self, _least: int, _most: int) -> None:
        """Another size of text or window: the row stood on stays in sight once all is laid out."""
        self._soon.start()

    @Slot()
    def _see_current(self) -> None:
        row = self.figure.row_of(self.current)
        if row is not None:
            self._see(row)

    @Slot(int)
    def set_top(self, y: int) -> None:
        """What of it stands at the upper edge of the view."""
        self._top = y
        self.update()

    def paint_over(self, ink: Ink) -> None:
        """The axis, once its own place has gone out of sight."""
        for head in self._figure.heads:
            if head.box.y < self._top < head.bottom:
                y = min(float(self._top), head.bottom - head.box.height)
                box = QRectF(0, y, self.width(), head.box.height)
                ink.painter.fillRect(box, self._theme.color("sheet"))
                paint_shapes(ink, [shape.moved(0, y) for shape in head.shapes])
                ink.painter.fillRect(
                    QRectF(0, box.bottom() - 1, self.width(), 1), self._theme.color("line")
                )
