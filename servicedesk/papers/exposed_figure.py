"""Systems still exposed as one line each: ticked or not, age, calls, what doing it would save."""

from collections.abc import Sequence
from dataclasses import dataclass

from servicedesk.papers.pattern_figures import PlacedRow
from servicedesk.papers.pattern_text import line_height, shortened
from servicedesk.values.shapes import Box, Font, Icon, Line, Measure, Rect, Shape, TextBox

ROW, HEAD = 28.0, 26.0
EDGE, TICK, GAP = 10.0, 16.0, 14.0
LEAST_ADDRESS = 110.0


@dataclass(frozen=True, slots=True, kw_only=True)
class ExposedShown:
    """One system in words; `tone` colors what it saves. `owes`: the work is owed already."""

    key: str
    address: str
    cells: tuple[str, ...]
    tone: str
    ticked: bool
    owes: bool
    spoken: str


def exposed_figure(
    rows: Sequence[ExposedShown],
    names: Sequence[str],
    width: float,
    measure: Measure,
    *,
    scale: float = 1.0,
) -> tuple[list[Shape], tuple[PlacedRow, ...], float]:
    """Shapes, places of the rows, and height. `names` stand above the cells.

    Where not all columns find room, those at the left give way first; what it saves stays.
    """
    s = scale
    text, small = Font(13 * s), Font(11 * s)
    left = (EDGE + TICK + 9) * s
    rights = _columns(rows, names, width, measure, s)
    kept = [n for n, right in enumerate(rights) if right is not None]
    first = min(
        [(rights[n] or 0.0) - _wide(rows, names, n, measure, s) for n in kept], default=width
    )
    room = first - GAP * s - left
    shapes: list[Shape] = []
    for n in kept:
        wide = measure(names[n], small) + 2
        box = Box((rights[n] or 0.0) - wide, 0, wide, HEAD * s)
        shapes.append(TextBox(box, names[n], small, "ink3", "right", "column"))
    placed: list[PlacedRow] = []
    for number, row in enumerate(rows):
        box = Box(0, HEAD * s + number * ROW * s, width, ROW * s)
        placed.append(PlacedRow(row.key, box, row.spoken))
        shapes += _sign(row, box, s)
        words = shortened(row.address, text, room, measure)
        place = Box(left, box.y, min(room, measure(words, text) + 1), box.height)
        shapes.append(TextBox(place, words, text, "ink", key="address"))
        for n in kept:
            cell = row.cells[n]
            if cell:
                wide = measure(cell, text) + 2
                at = Box((rights[n] or 0.0) - wide, box.y, wide, box.height)
                color = row.tone if n == len(names) - 1 else "ink2"
                shapes.append(TextBox(at, cell, text, color, "right", "cell"))
        if number:
            shapes.append(Line(EDGE * s, box.y + 0.5, width - EDGE * s, box.y + 0.5, "line"))
    return shapes, tuple(placed), (HEAD + ROW * len(rows)) * s


def _sign(row: ExposedShown, box: Box, s: float) -> list[Shape]:
    """A box with a check where it is chosen; the sign of what is owed where that is so already."""
    side = TICK * s
    at = Box(EDGE * s, box.y + (box.height - side) / 2, side, side)
    if row.owes:
        return [Icon("owed", at, "ochre")]
    if not row.ticked:
        return [Rect(at, "sheet", "edge", 1.2, 3 * s)]
    return [Rect(at, "water", "water", 1.2, 3 * s), Icon("check", at.grown(-2 * s), "on_water")]


def _wide(
    rows: Sequence[ExposedShown], names: Sequence[str], n: int, measure: Measure, s: float
) -> float:
    text, small = Font(13 * s), Font(11 * s)
    return max([measure(names[n], small), *(measure(row.cells[n], text) for row in rows)]) + 2


def _columns(
    rows: Sequence[ExposedShown], names: Sequence[str], width: float, measure: Measure, s: float
) -> list[float | None]:
    """The right edge of each column, None for one that gives way."""
    rights: list[float | None] = [None] * len(names)
    right = width - EDGE * s
    least = (EDGE + TICK + 9 + LEAST_ADDRESS + GAP) * s
    for n in reversed(range(len(names))):
        wide = _wide(rows, names, n, measure, s)
        if right - wide < least:
            break
        rights[n] = right
        right -= wide + GAP * s
    return rights


def head_height(scale: float) -> float:
    """The height of the names above the rows."""
    return max(HEAD * scale, line_height(Font(11 * scale)))
