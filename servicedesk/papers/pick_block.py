"""The pick list of a route sheet: boxes to tick in two columns, the chance in one line above."""

from collections.abc import Sequence

from servicedesk.papers.layout import LINE, Block, Strip, text_line, wrap
from servicedesk.papers.rows import PickItem
from servicedesk.papers.stop_block import MEDIUM, STRONG, Columns
from servicedesk.values.shapes import Box, Line, Rect, Shape
from servicedesk.words import say

GAP = 16.0
BOX = 9.5
INDENT = 15.5


def pick_block(picks: Sequence[PickItem], chance: str, cols: Columns) -> Block:
    """What to put on the truck. What is long goes on at the next line, never cut."""
    width = cols.right - cols.left
    rule = Strip(11, (Line(cols.left, 5, cols.right, 5, "edge", 0.8),))
    title = say("Put on the truck") if picks else say("Nothing to put on the truck")
    head = say("{title}. {chance}", title=title, chance=chance)
    row = STRONG.size * LINE + 1
    title_strips = [
        Strip(row, (text_line(text, STRONG, cols.left, 0),)) for text in wrap(head, STRONG, width)
    ]
    column = (width - GAP) / 2
    rows = [_row(picks[n : n + 2], cols.left, column) for n in range(0, len(picks), 2)]
    return Block((rule, *title_strips, Strip(2.5), *rows))


def _row(pair: Sequence[PickItem], left: float, width: float) -> Strip:
    shapes: list[Shape] = []
    height = 0.0
    row = MEDIUM.size * LINE + 1
    for n, one in enumerate(pair):
        x = left + n * (width + GAP)
        shapes.append(Rect(Box(x, 1.2, BOX, BOX), None, "ink", 1.0, 0.5))
        lines = wrap(_text(one), MEDIUM, width - INDENT)
        for k, text in enumerate(lines):
            shapes.append(text_line(text, MEDIUM, x + INDENT, k * row))
        height = max(height, len(lines) * row)
    return Strip(max(height, BOX + 2) + 2.5, tuple(shapes))


def _text(one: PickItem) -> str:
    name = f"{one.name} ({one.number})" if one.number else one.name
    text = say("{n} x {name}", n=one.quantity, name=name)
    return say("{text}; {note}", text=text, note=one.note) if one.note else text
