"""Names on a map of many points: near their place, over as few points as can be, none twice."""

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Sequence

from servicedesk.papers.projection import Projection
from servicedesk.values.position import Position
from servicedesk.values.shapes import Box, Font, Measure, TextBox

_BESIDE = ((0, -1), (0, 1), (1, 0), (-1, 0), (0.8, -0.8), (-0.8, -0.8), (0.8, 0.8), (-0.8, 0.8))
_MOST_NAMES = 36  # more make a list of a map; it also bounds the work at each zoom
_MOST_COVERED = 12  # a name over more points than this hides what it names


def name_boxes(
    names: Iterable[tuple[str, Position]],
    view: Projection,
    frame: Box,
    measure: Measure,
    points: Sequence[tuple[float, float]],
    taken: Sequence[Box],
    *,
    font: Font,
) -> list[TextBox]:
    """A box for each name that finds room inside `frame`, the first names first.

    None touches another or what is `taken`; of the free ones that over the fewest points is used.
    """
    used = list(taken)
    points = sorted(points)
    found: list[TextBox] = []
    for name, position in names:
        if len(found) >= _MOST_NAMES:
            break
        x, y = view.at(position)
        if not frame.holds(Box(x, y, 0, 0)):
            continue
        width, height = measure(name, font) + 8, font.size * 1.35
        best: tuple[int, Box] | None = None
        for box in _around(x, y, width, height, font.size * 0.6):
            if not frame.holds(box) or any(box.touches(other) for other in used):
                continue
            covered = _within(box, points)
            if best is None or covered < best[0]:
                best = (covered, box)
            if covered == 0:
                break
        if best is not None and best[0] <= _MOST_COVERED:
            used.append(best[1])
            found.append(TextBox(best[1], name, font, "ink2", "center", key="name"))
    return found


def _around(x: float, y: float, width: float, height: float, away: float) -> list[Box]:
    boxes = [Box(x - width / 2, y - height / 2, width, height)]
    for factor in (1.0, 2.4):
        for dx, dy in _BESIDE:
            middle_x = x + dx * (away * factor + width / 2)
            middle_y = y + dy * (away * factor + height / 2)
            boxes.append(Box(middle_x - width / 2, middle_y - height / 2, width, height))
    return boxes


def _within(box: Box, points: Sequence[tuple[float, float]]) -> int:
    """How many points, sorted by x, a name there would cover."""
    wide = box.grown(2)
    first, last = bisect_left(points, (wide.x,)), bisect_right(points, (wide.right, wide.bottom))
    return sum(wide.y <= y <= wide.bottom for _, y in points[first:last])
