"""What stands still on a map of the screen: legend, scale, and whose data the ground is."""

from collections.abc import Sequence
from dataclasses import dataclass

from servicedesk.papers.maps import credit_lines, scale_bar
from servicedesk.papers.projection import Projection
from servicedesk.values.shapes import (
    Box,
    Font,
    Line,
    Mark,
    MarkKind,
    Measure,
    Rect,
    Shape,
    TextBox,
)


@dataclass(frozen=True, slots=True)
class Legend:
    """Name, mark and color of everything that needs telling apart."""

    items: tuple[tuple[str, MarkKind, str], ...]
    metric: bool = False


def legend_shapes(
    legend: Legend, box: Box, projection: Projection, measure: Measure, s: float
) -> list[Shape]:
    """Legend and scale bar on one panel in the lower left."""
    font = Font(12 * s, 500)
    height, pad = 26 * s, 10 * s
    x, y = box.x + 12 * s, box.bottom - height - 10 * s
    shapes: list[Shape] = []
    at = x + pad
    for name, mark, color in legend.items:
        shapes.append(Mark(mark, at + 6 * s, y + height / 2, 11 * s, color, filled=False))
        width = measure(name, font) + 2
        shapes.append(TextBox(Box(at + 17 * s, y, width, height), name, font, key="legend"))
        at += 17 * s + width + 11 * s
    length, text = scale_bar(projection.meters_per_unit, 90 * s, metric=legend.metric)
    at += 4 * s
    small = Font(11 * s)
    width = max(length, measure(text, small) + 2)
    bar_y = y + height - 6 * s
    for x1, y1, x2, y2 in (
        (at, bar_y, at + length, bar_y),
        (at, bar_y - 4 * s, at, bar_y),
        (at + length, bar_y - 4 * s, at + length, bar_y),
    ):
        shapes.append(Line(x1, y1, x2, y2, "ink2", 1.4))
    label = Box(at + length / 2 - width / 2, y + 2 * s, width, 14 * s)
    label = label.moved(max(0.0, at - label.x), 0)
    shapes.append(TextBox(label, text, small, "ink2", "center", key="scale"))
    panel = Box(x, y, at + width + pad - x, height)
    return [Rect(panel, "sheet", None, 0, 4 * s), *shapes]


def credit_shapes(
    text: str, box: Box, legend: Sequence[Shape], measure: Measure, s: float
) -> list[Shape]:
    """The credit in the lower right, in as many lines as it needs, never cut and never covered."""
    if not text:
        return []
    right = box.right - 10 * s
    taken = max((shape.box.right for shape in legend if isinstance(shape, Rect)), default=box.x)
    room, bottom = right - taken - 16 * s, box.bottom - 8 * s
    if room < 150 * s:  # above the legend rather than in a column of single words
        room = box.width - 36 * s
        bottom = min(shape.box.y for shape in legend if isinstance(shape, Rect)) - 4 * s
    lines, size = credit_lines(text, Font(10 * s), room, measure)
    font, high = Font(size), 14 * s
    wide = max(measure(line, font) for line in lines) + 10 * s
    panel = Box(right - wide + 4 * s, bottom - high * len(lines) - 4 * s, wide,
                high * len(lines) + 4 * s)  # fmt: skip
    shapes: list[Shape] = [Rect(panel, "sheet", None, 0, 3 * s)]
    for row, line in enumerate(lines):
        place = Box(panel.x + 4 * s, panel.y + 2 * s + row * high, wide - 8 * s, high)
        shapes.append(TextBox(place, line, font, "ink2", "right", key="credit"))
    return shapes
