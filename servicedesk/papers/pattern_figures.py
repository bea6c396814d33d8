"""Groups with their ranges as rows under one axis: one list of shapes for screen and paper."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from servicedesk.papers.pattern_text import line_height, shortened, text_block, wrapped
from servicedesk.values.shapes import (
    Box,
    Font,
    Line,
    Mark,
    MarkKind,
    Measure,
    Polyline,
    Rect,
    Shape,
    TextBox,
    moved,
)

Look = Literal["clear", "maybe", "plain", "few"]
# shape first, color second
LOOKS: dict[Look, tuple[MarkKind, str, bool]] = {
    "clear": ("triangle", "clay", True),
    "maybe": ("diamond", "ochre", True),
    "plain": ("disc", "ink2", True),
    "few": ("disc", "ink3", False),
}
# Lengths at 100 %.
HEAD, TITLE, ROW, GAP = 30.0, 32.0, 32.0, 8.0
INDENT, EDGE = 20.0, 10.0
LEAST_AXIS = 116.0
STEPS = (0.1, 0.2, 0.5, 1.0, 2.0, 4.0, 5.0, 10.0, 20.0, 25.0, 50.0, 100.0, 200.0, 500.0)
MOST_STEPS = 5


@dataclass(frozen=True, slots=True, kw_only=True)
class RowShown:
    """A group in words, with its rate and 95 % range (None where it cannot be told)."""

    key: str
    label: str
    n_text: str
    best: float | None
    low: float | None
    high: float | None
    look: Look
    words: str
    spoken: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FactorShown:
    """Groups that differ in one thing; `reference`: the rate of all of them together."""

    title: str
    reference: float
    rows: tuple[RowShown, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SectionShown:
    """Factors counted in the same way, under one axis. `column`: what `n_text` counts."""

    title: str
    column: str
    factors: tuple[FactorShown, ...]

    @property
    def rows(self) -> tuple[RowShown, ...]:
        """All its rows."""
        return tuple(row for factor in self.factors for row in factor.rows)


@dataclass(frozen=True, slots=True)
class PlacedRow:
    """Where a row stands, and how it is read aloud."""

    key: str
    box: Box
    spoken: str


@dataclass(frozen=True, slots=True)
class Head:
    """The axis of a section, which may stay in sight while its rows pass. `bottom`: their end."""

    box: Box
    bottom: float
    shapes: tuple[Shape, ...]


@dataclass(frozen=True, slots=True)
class Piece:
    """Shapes that belong together: the head of a section, or one factor. y as in the figure."""

    y: float
    height: float
    shapes: tuple[Shape, ...]


@dataclass(frozen=True, slots=True)
class RowsFigure:
    """All shapes, the places that answer to hand and key, and pieces that fall onto pages."""

    height: float
    pieces: tuple[Piece, ...]
    rows: tuple[PlacedRow, ...]
    heads: tuple[Head, ...]

    @property
    def shapes(self) -> tuple[Shape, ...]:
        """Everything, in the order of drawing."""
        return tuple(shape for piece in self.pieces for shape in piece.shapes)

    def row_at(self, y: float) -> PlacedRow | None:
        """The row at a height."""
        return next((row for row in self.rows if row.box.y <= y < row.box.bottom), None)

    def row_of(self, key: str) -> PlacedRow | None:
        """The row of a key."""
        return next((row for row in self.rows if row.key == key), None)


@dataclass(frozen=True, slots=True)
class Columns:
    """Where the columns of a figure stand, all sections alike.

    `is_stacked`: for want of room the words at a row stand below its label.
    """

    label: float
    label_width: float
    n_right: float
    axis: float
    axis_width: float
    words: float
    words_width: float
    is_stacked: bool
    s: float

    def at(self, value: float, top: float) -> float:
        """The x of a rate on an axis that ends at `top`."""
        return self.axis + self.axis_width * min(1.0, max(0.0, value / top))


def axis_of(rows: Iterable[RowShown]) -> tuple[float, float]:
    """The end of an axis and the step of its numbers.

    It reaches over all ranges but those of groups too few to say, of which only the mark must fit.
    """
    reach = max([(row.best if row.look == "few" else row.high) or 0.0 for row in rows], default=0.0)
    step = next((one for one in STEPS if reach <= MOST_STEPS * one), STEPS[-1])
    return max(step, math.ceil(reach / step - 1e-9) * step), step


def rows_figure(
    sections: Sequence[SectionShown], width: float, measure: Measure, *, scale: float = 1.0
) -> RowsFigure:
    """The rows of all sections below each other in `width`."""
    cols = _columns([row for one in sections for row in one.rows], sections, width, measure, scale)
    pieces: list[Piece] = []
    rows: list[PlacedRow] = []
    heads: list[Head] = []
    y = 0.0
    for section in sections:
        drawer = _Section(section, cols, measure, width)
        head = Piece(y, drawer.head_height, tuple(drawer.head(y)))
        pieces.append(head)
        y += head.height
        for factor in section.factors:
            piece, placed = drawer.factor(factor, y)
            pieces.append(piece)
            rows += placed
            y += piece.height
        box = Box(0, head.y, width, head.height)
        heads.append(Head(box, y, tuple(moved(head.shapes, 0, -head.y))))
        y += GAP * scale
    return RowsFigure(max(0.0, y - GAP * scale), tuple(pieces), tuple(rows), tuple(heads))


def chosen_shapes(row: PlacedRow, scale: float) -> list[Shape]:
    """What lies under the row that is chosen."""
    box = row.box
    return [
        Rect(
            Box(box.x, box.y + 1, box.width, box.height - 2), "soft.water", None, radius=3 * scale
        ),
        Rect(Box(box.x, box.y + 1, 4 * scale, box.height - 2), "water", None),
    ]


def _columns(
    rows: Sequence[RowShown],
    sections: Sequence[SectionShown],
    width: float,
    measure: Measure,
    s: float,
) -> Columns:
    text, strong, axis = Font(13 * s), Font(12 * s, 600), Font(11 * s)
    label = INDENT * s
    widest = max([measure(row.label, text) for row in rows], default=0.0) + 2
    label_width = min(widest, max(0.27 * width, 96 * s))
    counts = [measure(row.n_text, text) for row in rows]
    counts += [measure(one.column, axis) for one in sections]
    n_right = label + label_width + 8 * s + max(counts, default=0.0) + 2
    words_width = max([measure(row.words, strong) for row in rows], default=0.0) + 2
    words = width - EDGE * s - words_width
    at = n_right + 18 * s
    room = words - 22 * s - at
    is_stacked = words_width > 2 and room < LEAST_AXIS * s
    if is_stacked:
        words, room = width, width - EDGE * s - 12 * s - at
        words_width = min(words_width, label_width)
    return Columns(
        label, label_width, n_right, at, max(40 * s, room), words, words_width, is_stacked, s
    )


class _Section:
    """Draws one section: its axis, then its factors."""

    def __init__(
        self, section: SectionShown, cols: Columns, measure: Measure, width: float
    ) -> None:
        self.section, self.cols, self.measure, self.width = section, cols, measure, width
        self.top, self.step = axis_of(section.rows)

    def head(self, y: float) -> list[Shape]:
        """Title of the section at the left, numbers of the axis with hairlines from here on."""
        cols, s = self.cols, self.cols.s
        font, strong = Font(11 * s), Font(12 * s, 600)
        base = y + self.head_height - line_height(font) - 3 * s
        column = self.measure(self.section.column, font) + 2
        place = Box(cols.n_right - column, base, column, line_height(font))
        shapes: list[Shape] = [
            TextBox(place, self.section.column, font, "ink3", "right", "column"),
        ]
        high = line_height(strong)
        lines = wrapped(self.section.title, strong, self._title_room, self.measure)
        top = y + self.head_height - 3 * s - high * max(1, len(lines))
        for n, text in enumerate(lines):
            wide = min(self._title_room, self.measure(text, strong) + 1)
            box = Box(EDGE * s, top + n * high, wide, high)
            shapes.append(TextBox(box, text, strong, "ink2", key="section"))
        free = -1.0
        for n in range(round(self.top / self.step) + 1):
            words = f"{n * self.step:g}"
            wide = self.measure(words, font) + 2
            x = cols.at(n * self.step, self.top)
            if x - wide / 2 >= free:
                box = Box(x - wide / 2, base, wide, line_height(font))
                shapes.append(TextBox(box, words, font, "ink3", "center", "axis"))
                free = box.right + 4 * s
        return shapes

    @property
    def _title_room(self) -> float:
        column = self.measure(self.section.column, Font(11 * self.cols.s)) + 2
        return self.cols.n_right - column - (10 + EDGE) * self.cols.s

    @property
    def head_height(self) -> float:
        """The height of title and axis: as many lines as the title needs."""
        s, strong = self.cols.s, Font(12 * self.cols.s, 600)
        n = len(wrapped(self.section.title, strong, self._title_room, self.measure))
        return max(HEAD * s, n * line_height(strong) + 6 * s)

    def factor(self, factor: FactorShown, y: float) -> tuple[Piece, list[PlacedRow]]:
        """The title of a factor, its rows, and the upright of all its groups together."""
        s, bold = self.cols.s, Font(13 * self.cols.s, 600)
        room = min(self.cols.words, self.width - EDGE * s) - EDGE * s - 6 * s
        lines, high = text_block(
            factor.title, bold, Box(EDGE * s, y + 9 * s, room, 0), self.measure, key="factor"
        )
        first = y + max(TITLE * s, high + 14 * s)
        at, marks, placed = first, [], []
        for row in factor.rows:
            box = Box(0, at, self.width, self._row_height(row))
            placed.append(PlacedRow(row.key, box, row.spoken))
            marks += self._row(row, box)
            at = box.bottom
        x = self.cols.at(factor.reference, self.top)
        upright = Line(x, first - 2 * s, x, at, "ink2", 1.2 * s, (3.0 * s, 3.0 * s))
        shapes: list[Shape] = [*self._grid(y, at), *lines, upright, *marks]
        return Piece(y, at - y + 2 * s, tuple(shapes)), placed

    def _grid(self, y: float, bottom: float) -> list[Shape]:
        steps = range(round(self.top / self.step) + 1)
        xs = [self.cols.at(n * self.step, self.top) for n in steps]
        return [Line(x, y, x, bottom + 2 * self.cols.s, "line") for x in xs]

    def _row_height(self, row: RowShown) -> float:
        s, font = self.cols.s, Font(13 * self.cols.s)
        n = len(wrapped(row.label, font, self.cols.label_width, self.measure))
        below = line_height(Font(12 * s)) if row.words and self.cols.is_stacked else 0.0
        return max(ROW * s, n * line_height(font) + below + 8 * s)

    def _row(self, row: RowShown, box: Box) -> list[Shape]:
        cols, s, font = self.cols, self.cols.s, Font(13 * self.cols.s)
        is_few = row.look == "few"
        n = len(wrapped(row.label, font, cols.label_width, self.measure))
        strong = Font(12 * s, 400 if is_few else 600)
        below = line_height(strong) if row.words and cols.is_stacked else 0.0
        top = box.center[1] - (n * line_height(font) + below) / 2
        room = Box(cols.label, top, cols.label_width, 0)
        tone = "ink3" if is_few else "ink"
        lines, _ = text_block(row.label, font, room, self.measure, color=tone, key="label")
        wide = self.measure(row.n_text, font) + 2
        count = Box(cols.n_right - wide, box.y, wide, box.height)
        shapes: list[Shape] = [*lines]
        shapes.append(TextBox(count, row.n_text, font, "ink3" if is_few else "ink2", "right", "n"))
        shapes += self._range(row, box.center[1])
        if row.words:
            place = Box(cols.words, box.y, cols.words_width, box.height)
            words = row.words
            if cols.is_stacked:
                under = top + n * line_height(font)
                place = Box(cols.label, under, cols.label_width, line_height(strong))
                words = shortened(words, strong, cols.label_width, self.measure)
            shapes.append(TextBox(place, words, strong, LOOKS[row.look][1], key="words"))
        return shapes

    def _range(self, row: RowShown, y: float) -> list[Shape]:
        if row.best is None or row.low is None or row.high is None:
            return []
        s = self.cols.s
        kind, color, filled = LOOKS[row.look]
        left, right = self.cols.at(row.low, self.top), self.cols.at(row.high, self.top)
        dash = (4.0 * s, 3.0 * s) if row.look == "few" else ()
        shapes: list[Shape] = [
            Line(left, y, right, y, color, 2.0 * s, dash),
            Line(left, y - 5 * s, left, y + 5 * s, color, 2.0 * s),
        ]
        if row.high > self.top:  # it goes on beyond the axis
            tip = ((right - 1 * s, y - 4 * s), (right + 4 * s, y), (right - 1 * s, y + 4 * s))
            shapes.append(Polyline(tip, color, 1.6 * s))
        else:
            shapes.append(Line(right, y - 5 * s, right, y + 5 * s, color, 2.0 * s))
        x = self.cols.at(row.best, self.top)
        size = (9.0 if kind == "disc" else 10.0) * s
        return [*shapes, Mark(kind, x, y, size, color, filled, row.key)]


def legend_figure(
    words: dict[Look, str],
    upright: str,
    notes: Sequence[str],
    width: float,
    measure: Measure,
    s: float,
) -> tuple[list[Shape], float]:
    """What marks and uprights mean, then sentences below; shapes and how high they are."""
    font, high = Font(11 * s), 20.0 * s
    x, y = EDGE * s, 0.0
    shapes: list[Shape] = []
    looks: list[tuple[Look | None, str]] = [(None, upright), *words.items()]
    for look, text in looks:
        wide = measure(text, font) + 2
        if x > EDGE * s and x + 18 * s + wide > width - EDGE * s:
            x, y = EDGE * s, y + high
        middle = y + high / 2
        if look is None:
            at = x + 5 * s
            shapes.append(
                Line(at, middle - 7 * s, at, middle + 7 * s, "ink2", 1.2 * s, (3 * s, 3 * s))
            )
        else:
            kind, color, filled = LOOKS[look]
            shapes.append(Mark(kind, x + 6 * s, middle, 9 * s, color, filled))
        place = Box(x + 17 * s, y, min(wide, width - x - 17 * s), high)
        shapes.append(TextBox(place, text, font, "ink2", key="legend"))
        x = place.right + 10 * s
    y += high + 2 * s
    for note in notes:
        lines, tall = text_block(
            note, font, Box(EDGE * s, y, width - 2 * EDGE * s, 0), measure, color="ink2", key="note"
        )
        shapes += lines
        y += tall
    return shapes, y
