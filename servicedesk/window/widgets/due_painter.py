"""Rows of what has a last day: days late as a hatch up to today, the last day as a bracket."""

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QPainter, QPaintEvent

from servicedesk.desk.deadline_line import DeadlineLine
from servicedesk.window.ink import Ink
from servicedesk.window.models.row_delegate import two_lines
from servicedesk.window.models.row_list import Row
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.axis_rows import (
    AxisHead,
    AxisPainter,
    cell_box,
    paint_headings,
    paint_late,
)
from servicedesk.window.widgets.owed_painter import AHEAD_DAYS, OwedColumns, owed_columns
from servicedesk.words import say
from servicedesk.words.formats import UNKNOWN

ICONS = {
    "report": "note",
    "corrected report": "again",
    "contract": "sites",
    "notice": "bell",
    "sample": "drop",
    "license": "person",
    "promise": "phone",
    "window": "look",
}
CLOSING_DAYS = 7  # from here on a bracket is drawn as closing: common practice, no source


def due_color(line: DeadlineLine) -> str:
    """Clay where the day is over, ochre where it is near or rests on no confirmed rule."""
    if line.is_late:
        return "clay" if line.is_legal else "ochre"
    return "ochre" if line.days_left <= CLOSING_DAYS else "water"


class DuePainter(AxisPainter):
    """Paints `Row`s whose thing is a `DeadlineLine`."""

    def paint_row(self, ink: Ink, box: QRectF, row: Row) -> None:
        if isinstance(row.thing, DeadlineLine):
            self._paint_line(ink, box, row, row.thing)

    def _paint_line(self, ink: Ink, box: QRectF, row: Row, line: DeadlineLine) -> None:
        columns = owed_columns(box.width(), self._theme.scale)
        self.paint_icon(ink, box, row.icon, due_color(line))
        two_lines(ink, cell_box(box, columns.what), row.title, line.address, lead=True)
        self._paint_day(ink, box, columns, line)
        ink.text(cell_box(box, columns.needs), ", ".join(line.to) or UNKNOWN, color="ink2")
        why = line.why[0] if line.why else ""
        sure = "" if line.is_legal or line.kind == "window" else say("not confirmed")
        two_lines(ink, cell_box(box, columns.state), sure or why, why if sure else "")
        right = cell_box(box, columns.right)
        ink.text(right, row.right, role="chip", color=due_color(line), weight=600, align="right")

    def _paint_day(self, ink: Ink, box: QRectF, columns: OwedColumns, line: DeadlineLine) -> None:
        today, middle = box.left() + columns.today, box.center().y()
        ink.line(QPointF(today, box.top()), QPointF(today, box.bottom()), "ink2", width=1.4)
        x = box.left() + columns.at(line.days_left)
        color, tall = due_color(line), self._theme.px(20)
        if line.days_left < 0:
            paint_late(ink, box, x, today, color)
        if line.days_left <= AHEAD_DAYS:
            bracket = QRectF(x - 5, middle - tall / 2, 5, tall)
            # a day that rests on no confirmed rule is no firm line
            ink.bracket(bracket, color, opens=False, width=2 if line.is_legal else 1)


class DueHead(AxisHead):
    """The headings over the rows."""

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme)
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)

    def paintEvent(self, event: QPaintEvent) -> None:
        box = QRectF(self.rect())
        columns = owed_columns(box.width(), self._theme.scale)
        with QPainter(self) as painter:
            ink = Ink(painter, self._theme)
            cells = (
                (say("What, and where"), columns.what),
                (say("To whom"), columns.needs),
                (say("Why then"), columns.state),
            )
            paint_headings(ink, box, cells, columns.right)
            words = say("today")
            wide = ink.width_of(words, "second") + 8
            place = QRectF(columns.today - wide / 2, 0, wide, box.height())
            ink.text(place, words, role="second", weight=600)
