"""Columns month by month, parts on top of each other, a range, and a line to measure them by."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal

from servicedesk.papers.pattern_text import line_height, text_block
from servicedesk.values.shapes import (
    Box,
    Font,
    Hatch,
    Line,
    Measure,
    Rect,
    Shape,
    TextBox,
)

Look = Literal["full", "soft", "hatch", "hollow"]
Drawn = tuple[list[Shape], float]
AXIS, FOOT, LEGEND = 150.0, 36.0, 18.0
MOST_STEPS = 5


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """A kind of part: how it is drawn and what it means."""

    words: str
    color: str
    look: Look = "full"


@dataclass(frozen=True, slots=True, kw_only=True)
class MonthColumn:
    """A month: a value for each kind, from the bottom up; perhaps a range of the whole, and a line.

    `year` stands under the label, `top` above the column. `spoken` is how it is read aloud.
    """

    label: str
    parts: tuple[float, ...]
    year: str = ""
    top: str = ""
    low: float | None = None
    high: float | None = None
    line: float | None = None
    spoken: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ColumnsShown:
    """Columns over one axis. `line_words` says what the line over a column is; `unit` the axis."""

    kinds: tuple[Kind, ...]
    columns: tuple[MonthColumn, ...]
    unit: str
    line_words: str = ""
    range_words: str = ""


def axis_steps(top: float) -> list[float]:
    """Round numbers from 0 up to at least `top`: 1, 2 or 5 times a power of ten apart."""
    step = 1.0
    while top > step * MOST_STEPS:
        for factor in (2.0, 2.5, 2.0):
            step *= factor
            if top <= step * MOST_STEPS:
                break
    n = 1
    while n * step < top - 1e-9:
        n += 1
    return [step * k for k in range(n + 1)]


def columns_figure(shown: ColumnsShown, width: float, measure: Measure, s: float) -> Drawn:
    """The columns with their axis at the left, months below, and what the looks mean under them."""
    if not shown.columns:
        return [], 0.0
    fine = Font(11 * s)
    highest = max(max(sum(c.parts), c.high or 0.0, c.line or 0.0) for c in shown.columns)
    steps = axis_steps(max(highest, 1e-9))
    left = max(measure(_number(one), fine) for one in steps) + 10 * s
    head = 2 * line_height(fine) + 4 * s
    height, bottom = AXIS * s, head + AXIS * s
    shapes: list[Shape] = [
        TextBox(Box(0, 0, width, line_height(fine)), shown.unit, fine, "ink3", key="unit")
    ]

    def y_of(value: float) -> float:
        return bottom - height * value / steps[-1]

    for value in steps:
        y = y_of(value)
        shapes.append(Line(left, y, width, y, "edge" if not value else "line"))
        place = Box(0, y - line_height(fine) / 2, left - 6 * s, line_height(fine))
        shapes.append(TextBox(place, _number(value), fine, "ink3", "right", "axis"))
    slot = (width - left) / len(shown.columns)
    for n, column in enumerate(shown.columns):
        box = Box(left + n * slot, head, slot, height)
        shapes += _column(shown, column, box, y_of, measure, s)
    legend, tall = _legend(shown, bottom + FOOT * s + 4 * s, width, measure, s)
    return [*shapes, *legend], bottom + FOOT * s + 4 * s + tall


def column_at(n: int, width: float, left: float, x: float) -> int | None:
    """Which of `n` columns stands at `x`; None beside them."""
    if not n or not left <= x < width:
        return None
    return min(n - 1, int((x - left) / (width - left) * n))


def _column(
    shown: ColumnsShown,
    column: MonthColumn,
    box: Box,
    y_of: Callable[[float], float],
    measure: Measure,
    s: float,
) -> list[Shape]:
    fine = Font(11 * s)
    wide = min(box.width * 0.62, 46 * s)
    x, total = box.x + (box.width - wide) / 2, 0.0
    shapes: list[Shape] = []
    for kind, value in zip(shown.kinds, column.parts, strict=True):
        if value <= 0:
            continue
        top, low = y_of(total + value), y_of(total)
        shapes += _part(kind, Box(x, top, wide, max(0.8, low - top)), s)
        total += value
    peak = total
    if column.low is not None and column.high is not None and column.high > column.low:
        peak = max(peak, column.high)
        middle = x + wide / 2
        for value in (column.low, column.high):
            shapes.append(
                Line(middle - 5 * s, y_of(value), middle + 5 * s, y_of(value), "ink", 1.4 * s)
            )
        shapes.append(Line(middle, y_of(column.low), middle, y_of(column.high), "ink", 1.4 * s))
    if column.line is not None:
        y = y_of(column.line)
        shapes.append(Line(x - 5 * s, y, x + wide + 5 * s, y, "ink", 2.0 * s))
        # the words stand above a line that is near to the column's top, below one far above it
        if y_of(column.line) - 4 * s < y_of(peak) < y_of(column.line) + 20 * s or (
            y_of(peak) - line_height(fine) - 4 * s < y < y_of(peak)
        ):
            peak = max(peak, column.line)
    high = line_height(fine)
    if column.top:
        room = min(box.width, measure(column.top, fine) + 2)
        place = Box(box.center[0] - room / 2, y_of(peak) - high - 2 * s, room, high)
        shapes.append(TextBox(place, column.top, fine, "ink2", "center", "top"))
    for n, words in enumerate((column.label, column.year)):
        room = measure(words, fine) + 1
        place = Box(box.center[0] - room / 2, box.bottom + 3 * s + n * high, room, high)
        if words:
            shapes.append(TextBox(place, words, fine, "ink2", "center", "month"))
    return shapes


def _part(kind: Kind, box: Box, s: float) -> list[Shape]:
    if kind.look == "full":
        return [Rect(box, kind.color, None)]
    if kind.look == "soft":
        return [Rect(box, f"soft.{kind.color}", kind.color, 1.0)]
    if kind.look == "hollow":
        return [Rect(box, "sheet", kind.color, 1.2, dash=(3 * s, 2 * s))]
    return [Rect(box, "sheet", kind.color, 1.0), Hatch(box, kind.color, 4.5 * s, 1.0)]


def _legend(shown: ColumnsShown, top: float, width: float, measure: Measure, s: float) -> Drawn:
    """What the looks mean, over as many lines as they need."""
    font, high = Font(11 * s), LEGEND * s
    shapes: list[Shape] = []
    x, y = 0.0, top
    entries: list[tuple[Kind | str, str]] = [(kind, kind.words) for kind in shown.kinds]
    entries += [(name, words) for name, words in (("range", shown.range_words),
                ("line", shown.line_words)) if words]  # fmt: skip
    for what, words in entries:
        room = measure(words, font) + 2
        if x and x + 18 * s + room > width:
            x, y = 0.0, y + high
        middle = y + high / 2
        if isinstance(what, Kind):
            shapes += _part(what, Box(x, middle - 5 * s, 11 * s, 10 * s), s)
        elif what == "range":
            shapes.append(
                Line(x + 5 * s, middle - 6 * s, x + 5 * s, middle + 6 * s, "ink", 1.4 * s)
            )
            for end in (-6, 6):
                shapes.append(Line(x + 1 * s, middle + end * s, x + 9 * s, middle + end * s, "ink",
                                   1.4 * s))  # fmt: skip
        else:
            shapes.append(Line(x, middle, x + 12 * s, middle, "ink", 2.0 * s))
        lines, _ = text_block(
            words, font, Box(x + 17 * s, y + (high - line_height(font)) / 2, width, 0), measure,
            color="ink2", key="legend",
        )  # fmt: skip
        shapes += lines
        x += 17 * s + room + 14 * s
    return shapes, y + high - top


def _number(value: float) -> str:
    return f"{value:,.0f}" if value >= 1 or not value else f"{value:g}"


def spoken_columns(columns: Sequence[MonthColumn]) -> str:
    """All columns as they are read aloud."""
    return "; ".join(one.spoken for one in columns if one.spoken)
