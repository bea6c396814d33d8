"""Rows of parts: where they lie, use by week, days left with their range, what to do about it."""

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF
from PySide6.QtGui import QPainter, QPaintEvent

from servicedesk.desk.shelf import ShelfLine
from servicedesk.desk.shelf_page import PartUse
from servicedesk.stock.lasting import Lasting
from servicedesk.window.ink import Align, Ink
from servicedesk.window.models.row_delegate import two_lines
from servicedesk.window.models.row_list import Row
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.axis_rows import AxisHead, AxisPainter, Cell, cell_box
from servicedesk.words import say

AXIS_DAYS = 120
MOST_TRUCKS = 6  # more of them stand as one sum
FEW_DAYS = 10


@dataclass(frozen=True, slots=True)
class ShelfRow:
    """A part as a row: `there` is what lies on the shelf, then on each truck (or all of them)."""

    line: ShelfLine
    use: PartUse
    there: tuple[int, ...]
    days: str
    told: str
    color: str
    icon: str


def line_of(thing: object) -> ShelfLine | None:
    """The part of a row or of itself, None where it is something else."""
    if isinstance(thing, ShelfRow):
        return thing.line
    return thing if isinstance(thing, ShelfLine) else None


@dataclass(frozen=True, slots=True)
class ShelfColumns:
    """Where the columns lie, in pixels from the left."""

    part: Cell
    shelf: Cell
    trucks: tuple[Cell, ...]
    weeks: Cell
    a_week: Cell
    days: Cell
    axis: Cell
    told: Cell

    def at(self, days: float) -> float:
        """Where so many days stand on the axis; what lies beyond stands at its end."""
        left, right = self.axis
        return left + (right - left) * min(max(days, 0.0), AXIS_DAYS) / AXIS_DAYS


def shelf_columns(width: float, scale: float, n_trucks: int) -> ShelfColumns:
    """Columns for a row of `width` pixels; the pictures and the axis give way first."""
    gap = 14 * scale
    x = gap
    fixed = [50.0, *(30.0 for _ in range(n_trucks)), 36.0, 40.0]
    rest = width - sum(fixed) * scale - gap * (8 + n_trucks * 0.4)
    part, weeks, axis, told = (rest * share for share in (0.27, 0.19, 0.24, 0.30))
    cells: list[Cell] = []

    def cell(wide: float, after: float = gap) -> Cell:
        nonlocal x
        cells.append((x, x + wide))
        x += wide + after
        return cells[-1]

    first = cell(part)
    shelf = cell(50 * scale)
    trucks = tuple(cell(30 * scale, gap * 0.4) for _ in range(n_trucks))
    x += gap
    return ShelfColumns(
        part=first, shelf=shelf, trucks=trucks, weeks=cell(weeks), a_week=cell(36 * scale),
        days=cell(40 * scale), axis=cell(axis), told=cell(told, 0.0),
    )  # fmt: skip


class ShelfPainter(AxisPainter):
    """Paints a `Row` whose thing is a `ShelfRow`."""

    def paint_row(self, ink: Ink, box: QRectF, row: Row) -> None:
        if not isinstance(row.thing, ShelfRow):
            ink.text(box.adjusted(14, 0, 0, 0), row.title)
            return
        thing = row.thing
        columns = shelf_columns(box.width(), self._theme.scale, len(thing.there) - 1)
        two_lines(ink, cell_box(box, columns.part), row.title, row.second, lead=True)
        for n, cell in zip(thing.there, (columns.shelf, *columns.trucks), strict=True):
            color = "clay" if n < 0 else "ochre" if n == 0 else "ink"
            bold = 600 if cell is columns.shelf or n <= 0 else 0
            ink.text(cell_box(box, cell), _count(n), color=color, align="right", weight=bold)
        self._weeks(ink, cell_box(box, columns.weeks), thing.use.by_week)
        text = f"{thing.use.a_week:.1f}" if thing.line.used else "—"
        ink.text(cell_box(box, columns.a_week), text, align="right", color="ink2")
        self._days(ink, box, columns, thing)
        self._told(ink, cell_box(box, columns.told), thing)

    def _weeks(self, ink: Ink, box: QRectF, weeks: Sequence[int]) -> None:
        high = self._theme.px(24)
        foot = box.center().y() + high / 2
        ink.line(QPointF(box.left(), foot), QPointF(box.right(), foot))
        most = max([*weeks, 1])
        wide = box.width() / max(1, len(weeks))
        for n, used in enumerate(weeks):
            if used:
                tall = max(2.0, high * used / most)
                bar = QRectF(box.left() + n * wide + 1, foot - tall, max(1.5, wide - 2), tall)
                ink.painter.fillRect(bar, self._theme.color("edge"))

    def _days(self, ink: Ink, box: QRectF, columns: ShelfColumns, thing: ShelfRow) -> None:
        color = _tone(thing)
        ink.text(cell_box(box, columns.days), thing.days, align="right", color=color, weight=600)
        left, right = (box.left() + edge for edge in columns.axis)
        middle = box.center().y()
        ink.line(QPointF(left, middle), QPointF(right, middle))
        lasts = thing.use.lasts
        if lasts is None:
            return
        self._range(ink, box, columns, lasts, color)

    def _range(
        self, ink: Ink, box: QRectF, columns: ShelfColumns, lasts: Lasting, color: str
    ) -> None:
        middle, tall = box.center().y(), self._theme.px(6)
        low, best = (box.left() + columns.at(n) for n in (lasts.low, lasts.best))
        beyond = lasts.high is None or lasts.high > AXIS_DAYS
        high = box.left() + columns.at(AXIS_DAYS if lasts.high is None else lasts.high)
        ink.line(QPointF(low, middle), QPointF(high, middle), color, width=1.8)
        ink.line(QPointF(low, middle - tall), QPointF(low, middle + tall), color, width=1.8)
        if beyond:  # an arrow: the end lies off the axis
            for side in (-1, 1):
                ink.line(QPointF(high - tall, middle + side * tall * 0.7), QPointF(high, middle),
                         color, width=1.8)  # fmt: skip
        else:
            ink.line(QPointF(high, middle - tall), QPointF(high, middle + tall), color, width=1.8)
        if lasts.best <= AXIS_DAYS:
            ink.mark("disc", QPointF(best, middle), self._theme.px(8), color)

    def _told(self, ink: Ink, box: QRectF, thing: ShelfRow) -> None:
        if thing.icon:
            side = self._theme.px(16)
            ink.icon(thing.icon, QRectF(box.left(), box.top(), side, box.height()), thing.color)
            box = box.adjusted(side + 6, 0, 0, 0)
        ink.text(box, thing.told, role="chip", color=thing.color, weight=600)


def _count(n: int) -> str:
    return str(n) if n >= 0 else f"−{-n}"


def _tone(thing: ShelfRow) -> str:
    if thing.line.short_at:
        return "clay"
    if thing.line.buy:
        lasts = thing.use.lasts
        return "clay" if lasts is not None and lasts.best < FEW_DAYS else "ochre"
    return "ink"


class ShelfHead(AxisHead):
    """The headings over the rows; trucks by their names."""

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme)
        self._trucks: tuple[str, ...] = ()

    def show_trucks(self, names: tuple[str, ...]) -> None:
        """Other trucks."""
        self._trucks = names
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        box = QRectF(self.rect())
        columns = shelf_columns(box.width(), self._theme.scale, len(self._trucks))
        with QPainter(self) as painter:
            ink = Ink(painter, self._theme)
            ink.line(box.bottomLeft(), box.bottomRight(), "edge")
            cells: tuple[tuple[str, Cell, Align], ...] = (
                (say("Part"), columns.part, "left"),
                (say("Shelf"), columns.shelf, "right"),
                *_heads(self._trucks, columns.trucks),
                (say("Used a week, last 26 weeks"),
                 (columns.weeks[0], columns.a_week[1]), "left"),
                (say("Days left"), (columns.days[0], columns.axis[0] + 60), "left"),
            )  # fmt: skip
            for words, cell, align in cells:
                ink.text(cell_box(box, cell), words, role="second", color="ink2", align=align)
            for days in (30, 60, 90):
                x = box.left() + columns.at(days)
                ink.text(QRectF(x - 20, 0, 40, box.height()), str(days), role="axis",
                         color="ink3", align="center")  # fmt: skip


def _heads(names: Sequence[str], cells: Sequence[Cell]) -> list[tuple[str, Cell, Align]]:
    return [(name, cell, "right") for name, cell in zip(names, cells, strict=True)]
