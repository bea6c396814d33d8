"""A draft of the weeks, told: what found no day, whom to tell, what moved and why, the days."""

from collections.abc import Sequence

from PySide6.QtGui import QPainter, QPaintEvent

from servicedesk.desk.period_draft import DraftPage
from servicedesk.papers.pattern_figures import PlacedRow, chosen_shapes
from servicedesk.values.shapes import Measure, Shape
from servicedesk.window.ink import Ink
from servicedesk.window.paint_shapes import paint_shapes, rect_of
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.ahead_draft_shapes import DraftPart, draft_figure, draft_parts
from servicedesk.window.widgets.ahead_hours import room_in, rows_area
from servicedesk.window.widgets.patterns_painted import PaintedRows
from servicedesk.window.widgets.sheet import Sheet
from servicedesk.words import say
from servicedesk.words.formats import Formats


class DraftView(PaintedRows):
    """Rows that arrows walk; `opened` carries the key of one."""

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme, say("The draft"))
        self._parts: tuple[DraftPart, ...] = ()

    def show_parts(self, parts: Sequence[DraftPart]) -> None:
        """Show another draft."""
        self._parts = tuple(parts)
        self.current = ""
        self.redraw()

    def figure_at(
        self, width: float, measure: Measure, scale: float
    ) -> tuple[Sequence[Shape], tuple[PlacedRow, ...], float]:
        return draft_figure(self._parts, room_in(self, width), measure, scale)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Only what is in sight is drawn: a draft may be long."""
        top, bottom = event.rect().top(), event.rect().bottom() + 1
        with QPainter(self) as painter:
            ink = Ink(painter, self._theme)
            row = next((one for one in self.placed if one.key == self.current), None)
            if row is not None:
                paint_shapes(ink, chosen_shapes(row, self._theme.scale))
            paint_shapes(
                ink,
                (s for s in self.shapes if s.bounds.bottom >= top and s.bounds.y <= bottom),
            )
            if row is not None and self.hasFocus():
                ink.focus_ring(rect_of(row.box).adjusted(1, 1, -1, -1), 4)


class DraftSheet(Sheet):
    """The draft instead of the windows, until it is taken or left."""

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme, say("The draft"), say("nothing is written until you take it"))
        self.view = DraftView(theme)
        self.area = rows_area(self.view)
        self.body.addWidget(self.area, 1)

    def show_draft(self, page: DraftPage, formats: Formats) -> None:
        """Show it."""
        self.view.show_parts(draft_parts(page, formats))
        self.area.verticalScrollBar().setValue(0)
