"""How many times as often as the others: a few ranges on an axis of doublings."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from servicedesk.papers.pattern_figures import LOOKS, Look
from servicedesk.papers.pattern_text import line_height, text_block, wrapped
from servicedesk.values.shapes import Box, Font, Line, Mark, Measure, Shape, TextBox

ROW, HEAD = 26.0, 20.0
LABEL_SHARE = 0.34


@dataclass(frozen=True, slots=True, kw_only=True)
class TimesShown:
    """One range in words and numbers."""

    label: str
    best: float
    low: float
    high: float
    words: str
    look: Look


def times_figure(
    rows: Sequence[TimesShown], width: float, measure: Measure, *, scale: float = 1.0
) -> tuple[list[Shape], float]:
    """The ranges around the upright of "as often"; shapes and how high they are."""
    if not rows:
        return [], 0.0
    s = scale
    text, small = Font(12 * s), Font(11 * s)
    label_width = min(LABEL_SHARE * width, max(measure(row.label, text) for row in rows) + 2)
    words_width = max(measure(row.words, text) for row in rows) + 2
    left = label_width + 14 * s
    room = max(40 * s, width - left - words_width - 14 * s)
    low, high = _ends(rows)

    def at(times: float) -> float:
        where = min(high, max(low, math.log2(max(times, 1e-6))))
        return left + room * (where - low) / (high - low)

    shapes: list[Shape] = []
    heights = [
        max(ROW * s, len(wrapped(r.label, text, label_width, measure)) * line_height(text) + 6 * s)
        for r in rows
    ]
    bottom = HEAD * s + sum(heights)
    named: list[Box] = []
    for power in sorted(range(low, high + 1), key=abs):  # ×1 first: its number is never left out
        words = f"×{2.0**power:g}"
        wide = measure(words, small) + 2
        x = at(2.0**power)
        is_one = power == 0
        color, dash = ("ink2", (3 * s, 3 * s)) if is_one else ("line", ())
        shapes.append(Line(x, HEAD * s, x, bottom, color, 1.2 * s if is_one else 1.0, dash))
        place = Box(x - wide / 2, 0, wide, line_height(small))
        if not any(place.grown(2 * s).touches(one) for one in named):
            named.append(place)
            shapes.append(TextBox(place, words, small, "ink3", "center", "axis"))
    y = HEAD * s
    for row, tall in zip(rows, heights, strict=True):
        n = len(wrapped(row.label, text, label_width, measure))
        top = y + (tall - n * line_height(text)) / 2
        lines, _ = text_block(row.label, text, Box(0, top, label_width, 0), measure, key="label")
        kind, color, filled = LOOKS[row.look]
        middle = y + tall / 2
        x1, x2 = at(row.low), at(row.high)
        shapes += [*lines, Line(x1, middle, x2, middle, color, 2 * s)]
        shapes += [Line(x, middle - 4 * s, x, middle + 4 * s, color, 2 * s) for x in (x1, x2)]
        shapes.append(Mark(kind, at(row.best), middle, 9 * s, color, filled))
        place = Box(width - words_width, y, words_width, tall)
        shapes.append(TextBox(place, row.words, text, "ink", "right", "words"))
        y += tall
    return shapes, bottom


def _ends(rows: Sequence[TimesShown]) -> tuple[int, int]:
    """Powers of two at the ends: around 1 and all ranges, at most from 1/8 to 64."""
    lows = [row.low for row in rows if row.low > 0]
    highs = [row.high for row in rows if math.isfinite(row.high)]
    low = min(-1, math.floor(math.log2(min(lows, default=1.0))))
    high = max(1, math.ceil(math.log2(max(highs, default=1.0))))
    return max(low, -3), min(high, 6)
