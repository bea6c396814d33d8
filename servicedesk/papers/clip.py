"""Lines and outlines cut at an upright box."""

from collections.abc import Callable, Sequence
from itertools import pairwise

from servicedesk.values.shapes import Box

Point = tuple[float, float]


def cut_line(points: Sequence[Point], box: Box) -> list[list[Point]]:
    """The parts of a line inside `box`, in its direction (Liang and Barsky)."""
    parts: list[list[Point]] = []
    for one, other in pairwise(points):
        span = share_inside(one, other, box)
        if span is None:
            continue
        begin, end = _along(one, other, span[0]), _along(one, other, span[1])
        if parts and parts[-1][-1] == begin:
            parts[-1].append(end)
        else:
            parts.append([begin, end])
    return parts


def share_inside(one: Point, other: Point, box: Box) -> tuple[float, float] | None:
    """From which to which share (0..1) a straight piece lies in `box`; None if it does not."""
    begin, end = 0.0, 1.0
    dx, dy = other[0] - one[0], other[1] - one[1]
    for toward, room in (
        (-dx, one[0] - box.x), (dx, box.right - one[0]),
        (-dy, one[1] - box.y), (dy, box.bottom - one[1]),
    ):  # fmt: skip
        if toward == 0:
            if room < 0:
                return None
        elif toward < 0:
            begin = max(begin, room / toward)
        else:
            end = min(end, room / toward)
    return (begin, end) if begin <= end else None


def cut_area(ring: Sequence[Point], box: Box) -> list[Point]:
    """The part of an outline inside `box`; empty if none (Sutherland and Hodgman)."""
    found = list(ring)
    for inside, cross in _edges(box):
        if not found:
            break
        kept: list[Point] = []
        before = found[-1]
        for point in found:
            if inside(point):
                if not inside(before):
                    kept.append(cross(before, point))
                kept.append(point)
            elif inside(before):
                kept.append(cross(before, point))
            before = point
        found = kept
    return found


_Edge = tuple[Callable[[Point], bool], Callable[[Point, Point], Point]]


def _edges(box: Box) -> tuple[_Edge, ...]:
    def upright(x: float) -> Callable[[Point, Point], Point]:
        return lambda a, b: (x, a[1] + (b[1] - a[1]) * (x - a[0]) / (b[0] - a[0]))

    def level(y: float) -> Callable[[Point, Point], Point]:
        return lambda a, b: (a[0] + (b[0] - a[0]) * (y - a[1]) / (b[1] - a[1]), y)

    return (
        (lambda p: p[0] >= box.x, upright(box.x)),
        (lambda p: p[0] <= box.right, upright(box.right)),
        (lambda p: p[1] >= box.y, level(box.y)),
        (lambda p: p[1] <= box.bottom, level(box.bottom)),
    )


def _along(one: Point, other: Point, share: float) -> Point:
    if share in (0.0, 1.0):
        return other if share else one
    return one[0] + share * (other[0] - one[0]), one[1] + share * (other[1] - one[1])
