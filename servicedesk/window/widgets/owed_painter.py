"""Rows of what is owed: age as a hatched bar up to today, the last day as a bracket."""

from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QWidget

from servicedesk.desk.owed import OwedLine
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
from servicedesk.words import say
from servicedesk.words.formats import UNKNOWN

AGE_DAYS, AHEAD_DAYS = 90, 30


@dataclass(frozen=True, slots=True)
class OwedColumns:
    """Where the columns of a row lie, in pixels from the left."""

    what: tuple[float, float]
    axis: tuple[float, float]
    needs: tuple[float, float]
    state: tuple[float, float]
    right: tuple[float, float]

    @property
    def today(self) -> float:
        """Where today stands: three quarters of the axis lie before it."""
        left, right = self.axis
        return left + (right - left) * AGE_DAYS / (AGE_DAYS + AHEAD_DAYS)

    def at(self, days: float) -> float:
        """Days before (negative) or after today; what lies further off stands at the end."""
        left, right = self.axis
        days = min(max(days, -AGE_DAYS), AHEAD_DAYS)
        return self.today + days * (right - left) / (AGE_DAYS + AHEAD_DAYS)


def owed_columns(width: float, scale: float) -> OwedColumns:
    """Columns for a row of `width` pixels; the axis gives way first."""
    gap = 16 * scale
    right = 150 * scale
    rest = width - right - 5 * gap - 30 * scale
    shares = (0.27, 0.31, 0.19, 0.23)
    edges, x = [], gap + 30 * scale
    for share in shares:
        edges.append((x, x + rest * share))
        x += rest * share + gap
    what, axis, needs, state = edges
    return OwedColumns(what, axis, needs, state, (width - gap - right, width - gap))


class OwedPainter(AxisPainter):
    """Paints `Row`s whose thing is an `OwedLine`."""

    def paint_row(self, ink: Ink, box: QRectF, row: Row) -> None:
        if isinstance(row.thing, OwedLine):
            self._paint_line(ink, box, row, row.thing)

    def _paint_line(self, ink: Ink, box: QRectF, row: Row, one: OwedLine) -> None:
        columns = owed_columns(box.width(), self._theme.scale)
        self.paint_icon(ink, box, "owed", row.right_color if row.right_color == "clay" else "ochre")
        place = " · ".join(part for part in (one.row.address, one.row.workaround) if part)
        two_lines(ink, cell_box(box, columns.what), row.title, place, lead=True)
        if one.row.state == "open":
            self._paint_age(ink, box, columns, one)
        ink.text(cell_box(box, columns.needs), one.row.needs or UNKNOWN, color="ink2")
        owes = say("owed by {who}", who=one.debtor_text)
        two_lines(ink, cell_box(box, columns.state), one.state_text or owes,
                  owes if one.state_text else "")  # fmt: skip
        right = cell_box(box, columns.right)
        ink.text(right, row.right, role="chip", color=row.right_color, weight=600, align="right")

    def _paint_age(self, ink: Ink, box: QRectF, columns: OwedColumns, one: OwedLine) -> None:
        today = box.left() + columns.today
        ink.line(QPointF(today, box.top()), QPointF(today, box.bottom()), "ink2", width=1.4)
        late = one.days_left is not None and one.days_left < 0
        color = "clay" if late else "ochre"
        middle = box.center().y()
        left = box.left() + columns.at(-one.days_old)
        bar = paint_late(ink, box, left, today, color)
        if one.days_old > AGE_DAYS:  # it began before the axis: the end is open
            ink.painter.fillRect(QRectF(left - 1, bar.top() - 1, 3, bar.height() + 2),
                                 self._theme.color("sheet"))  # fmt: skip
        if one.days_left is not None and one.days_left >= -AGE_DAYS:  # else it is off the axis
            x = box.left() + columns.at(one.days_left)
            tall = self._theme.px(20)
            closing = "clay" if late else "ochre" if one.days_left <= 3 else "water"
            bracket = QRectF(x - 5, middle - tall / 2, 5, tall)
            ink.bracket(bracket, closing, opens=False, width=2)


class OwedHead(AxisHead):
    """The headings over the rows, with the axis."""

    def paintEvent(self, event: QPaintEvent) -> None:
        box = QRectF(self.rect())
        columns = owed_columns(box.width(), self._theme.scale)
        with QPainter(self) as painter:
            ink = Ink(painter, self._theme)
            cells = (
                (say("What, and where"), columns.what),
                (say("Needs"), columns.needs),
                (say("Waits for"), columns.state),
            )
            paint_headings(ink, box, cells, columns.right)
            for days, words, weight in (
                (-AGE_DAYS, say("{n} days ago", n=AGE_DAYS), 0),
                (-30, "30", 0),
                (0, say("today"), 600),
            ):
                x, wide = columns.at(days), ink.width_of(words, "second") + 8
                left = max(columns.axis[0], x - wide / 2)
                ink.text(QRectF(left, 0, wide, box.height()), words, role="second",
                         color="ink" if weight else "ink2", weight=weight)  # fmt: skip


class EmptySign(QWidget):
    """A strip with nothing on it and a check: all is settled."""

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme = theme
        self.setFixedSize(theme.px(150), theme.px(50))
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)

    def paintEvent(self, event: QPaintEvent) -> None:
        box = QRectF(self.rect()).adjusted(1, 1, -1, -1)
        with QPainter(self) as painter:
            ink = Ink(painter, self._theme)
            ink.panel(box, fill="sunken", edge="edge", radius=box.height() / 2, dashed=True)
            for share in (1 / 3, 2 / 3):
                x = box.left() + box.width() * share
                ink.line(QPointF(x, box.top()), QPointF(x, box.bottom()), "edge", dashed=True)
            ink.icon("check", box.adjusted(0, 14, 0, -14), "moss")
