"""Lines of parts under headings, for papers: cells are wrapped, the headings come again."""

from collections.abc import Sequence
from dataclasses import dataclass

from servicedesk.papers.layout import LINE, Block, Strip, text_line, wrap
from servicedesk.values.shapes import Align, Box, Font, Rect, Shape, TextBox
from servicedesk.values.shapes import Line as Rule

HEAD, TEXT = Font(8.5, 600), Font(10.0)
STRONG = Font(10.0, 600)
GAP, PAD, TICK = 10.0, 4.0, 9.0


@dataclass(frozen=True, slots=True)
class Column:
    """A column: its heading, its share of the width, and to which side its words stand."""

    heading: str
    share: float
    align: Align = "left"
    strong: bool = False


@dataclass(frozen=True, slots=True)
class PartsTable:
    """Columns with rows of words, one cell a column. `ticks`: a box to tick before each row."""

    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...]
    ticks: bool = False


def table_block(table: PartsTable, inner: Box) -> Block:
    """The table as one block: it goes on at the next page under its headings.

    Raises ValueError for a row whose cells are not one a column.
    """
    for row in table.rows:
        if len(row) != len(table.columns):
            raise ValueError(f"{row}: not one cell for each of {len(table.columns)} columns")
    boxes = _columns(table, inner)
    head = _head(table, boxes, inner)
    return Block((head, *(_row(table, row, boxes, inner) for row in table.rows)), again=head)


def _columns(table: PartsTable, inner: Box) -> list[Box]:
    left = inner.x + (TICK + GAP if table.ticks else 0.0)
    room = inner.right - left - GAP * (len(table.columns) - 1)
    whole = sum(column.share for column in table.columns)
    boxes = []
    for column in table.columns:
        wide = room * column.share / whole
        boxes.append(Box(left, 0.0, wide, 0.0))
        left += wide + GAP
    return boxes


def _head(table: PartsTable, boxes: Sequence[Box], inner: Box) -> Strip:
    high = HEAD.size * LINE
    shapes: list[Shape] = [
        TextBox(Box(box.x, 0, box.width, high), column.heading, HEAD, align=column.align)
        for column, box in zip(table.columns, boxes, strict=True)
    ]
    shapes.append(Rule(inner.x, high + 2, inner.right, high + 2, width=1.0))
    return Strip(high + 2 + PAD, tuple(shapes))


def _row(table: PartsTable, row: Sequence[str], boxes: Sequence[Box], inner: Box) -> Strip:
    shapes: list[Shape] = []
    lines = 1
    for column, box, text in zip(table.columns, boxes, row, strict=True):
        font = STRONG if column.strong else TEXT
        some = wrap(text, font, box.width)
        lines = max(lines, len(some))
        for n, line in enumerate(some):
            at = Box(box.x, n * font.size * LINE, box.width, font.size * LINE)
            shapes.append(TextBox(at, line, font, align=column.align))
    high = lines * TEXT.size * LINE
    if table.ticks:
        shapes.append(Rect(Box(inner.x, 2.0, TICK, TICK), width=0.9))
    shapes.append(Rule(inner.x, high + PAD, inner.right, high + PAD, width=0.4))
    return Strip(high + 2 * PAD, tuple(shapes))


def lines_block(texts: Sequence[str], font: Font, inner: Box, *, after: float = 0.0) -> Block:
    """Words one line below the other, wrapped, with room `after` them."""
    strips = [
        Strip(font.size * LINE, (text_line(line, font, inner.x, 0),))
        for text in texts
        for line in wrap(text, font, inner.width)
    ]
    return Block((*strips, Strip(after)))
