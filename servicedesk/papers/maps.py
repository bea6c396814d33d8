"""The drawn map of a round: positions and a box become shapes. North is up."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

from servicedesk.papers.clip import share_inside
from servicedesk.papers.projection import Projection, fit
from servicedesk.values.position import Position
from servicedesk.values.shapes import (
    Box,
    Font,
    Line,
    Mark,
    Measure,
    Polyline,
    Rect,
    Shape,
    TextBox,
)
from servicedesk.words import say

if TYPE_CHECKING:
    from servicedesk.travel.map_ground import Ground

MILE_M = 1_609.344
Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class MapStop:
    """A numbered stop."""

    label: str
    position: Position


@dataclass(frozen=True, slots=True)
class MapName:
    """A village to name."""

    name: str
    position: Position


@dataclass(frozen=True, slots=True)
class RoundMap:
    """The round: `start` is left and returned to; `legs` follow roads, else lines are straight.

    `ground` is what lies around: roads, water, woods, places.
    """

    stops: tuple[MapStop, ...]
    start: Position | None = None
    names: tuple[MapName, ...] = ()
    legs: tuple[tuple[Position, ...], ...] = ()
    credit: str = ""
    metric: bool = False
    ground: "Ground | None" = None


def draw_map(data: RoundMap, box: Box, measure: Measure) -> list[Shape]:
    """Order lines, numbered stops, start, village names, scale bar, north and the credit.

    Numbers never cover each other: one that would is set beside its point with a thin line. A
    village name that finds no free room is left out. Needs at least one position.
    """
    positions = [stop.position for stop in data.stops]
    positions += [data.start] if data.start else []
    positions += [place for leg in data.legs for place in leg]
    ground = data.ground
    projection = fit(positions, box.grown(-34), ground.origin if ground else None)
    shapes: list[Shape] = []
    if ground is not None:
        from servicedesk.papers.ground import ground_shapes

        shapes += ground_shapes(ground, box, projection)
    shapes.append(Rect(box, None, "edge", 0.8, 3))
    taken = Taken(box.grown(-3), measure)
    shapes += _furniture(data, box, projection, taken)
    lines = _order_lines(data, projection)
    shapes += lines
    taken.lines += [
        pair for line in lines if isinstance(line, Polyline) for pair in pairwise(line.points)
    ]
    shapes += _start(data, projection, taken)
    drawn = [_numbered(stop, projection.at(stop.position), taken) for stop in data.stops]
    shapes += [shape for parts in drawn for shape in parts[2:]]  # thin lines under all numbers
    shapes += [shape for parts in drawn for shape in parts[:2]]
    for name in _names(data, projection):
        shapes += _named(name, projection.at(name.position), taken)
    return shapes


def _names(data: RoundMap, projection: Projection) -> list[MapName]:
    """Places of the ground, the largest first, then other villages."""
    if data.ground is None:
        return list(data.names)
    found = {
        place.name: MapName(place.name, Position(place.lat_deg, place.lon_deg))
        for place in data.ground.named_places(projection.meters_per_unit)
    }
    return [*found.values(), *(name for name in data.names if name.name not in found)]


class Taken:
    """Room already used inside a frame."""

    def __init__(self, frame: Box, measure: Measure) -> None:
        self.frame = frame
        self.measure = measure
        self.boxes: list[Box] = []
        self.lines: list[tuple[Point, Point]] = []

    def take(self, candidates: Sequence[Box], *, off_lines: bool = False) -> Box | None:
        """The first candidate that is free, now taken; None if there is none.

        With `off_lines` one that lies on no line is preferred.
        """
        free = [
            box
            for box in candidates
            if self.frame.holds(box) and not any(box.touches(other) for other in self.boxes)
        ]
        if off_lines:
            free.sort(key=lambda box: sum(crosses(box, *line) for line in self.lines))
        self.boxes += free[:1]
        return free[0] if free else None


def crosses(box: Box, one: Point, other: Point) -> bool:
    """Whether the straight line between two points passes through the box."""
    return share_inside(one, other, box) is not None


def _order_lines(data: RoundMap, projection: Projection) -> list[Shape]:
    legs = list(data.legs)
    if not legs:
        chain = [stop.position for stop in data.stops]
        if data.start:
            chain = [data.start, *chain, data.start]
        legs = list(pairwise(chain))
    shapes: list[Shape] = []
    for index, leg in enumerate(legs):
        points = tuple(projection.at(place) for place in leg)
        if len(points) < 2:
            continue
        home = data.start is not None and index in (0, len(legs) - 1)
        shapes.append(
            Polyline(
                points, "ink3" if home else "ink", 0.8 if home else 1.2, (3, 2) if home else ()
            )
        )
        shapes += _arrow(points)
    return shapes


def _arrow(points: Sequence[Point]) -> list[Shape]:
    """A small head halfway along the longest straight piece, if there is room for it."""
    pairs = list(pairwise(points))
    (x1, y1), (x2, y2) = max(pairs, key=lambda pair: math.dist(*pair))
    length = math.hypot(x2 - x1, y2 - y1)
    if length < 34:
        return []
    ux, uy = (x2 - x1) / length, (y2 - y1) / length
    mx, my = (x1 + x2) / 2 + 3 * ux, (y1 + y2) / 2 + 3 * uy
    back = [(mx - 6 * ux + s * 2.6 * uy, my - 6 * uy - s * 2.6 * ux) for s in (1, -1)]
    return [Polyline(((mx, my), back[0], back[1]), None, 0.0, (), "ink")]


def _around(point: Point, width: float, height: float) -> list[Box]:
    """Boxes centered on the point and then on rings around it, near ones first."""
    places = [point]
    for ring in range(1, 9):
        radius = ring * 7.0 + 4.0
        places += [
            (point[0] + radius * math.cos(turn), point[1] + radius * math.sin(turn))
            for turn in (math.radians(15 + 30 * k) for k in range(12))
        ]
    return [Box(x - width / 2, y - height / 2, width, height) for x, y in places]


def _numbered(stop: MapStop, point: Point, taken: Taken) -> list[Shape]:
    """Number and its ground first, then a thin line to the point if it stands beside it."""
    font = Font(8.5, 600)
    width = max(13.0, taken.measure(stop.label, font) + 5)
    candidates = _around(point, width + 2, 15.0)
    room = taken.take(candidates) or candidates[0]
    box = room.grown(-1)
    shapes: list[Shape] = [
        Rect(box, "ink", "sheet", 0.8, 3, key=f"stop:{stop.label}"),
        TextBox(box, stop.label, font, "sheet", "center", key=f"stop:{stop.label}"),
    ]
    if room != candidates[0]:
        shapes += [
            Line(*point, *box.center, "ink", 0.6),
            Mark("disc", *point, 3.0, key=f"point:{stop.label}"),
        ]
    return shapes


def _beside(point: Point, width: float, height: float, away: float) -> list[Box]:
    x, y = point
    return [
        Box(x + away, y - height / 2, width, height),
        Box(x - away - width, y - height / 2, width, height),
        Box(x - width / 2, y - away - height, width, height),
        Box(x - width / 2, y + away, width, height),
        Box(x + away / 2, y - away / 2 - height, width, height),
        Box(x - width - away / 2, y - away / 2 - height, width, height),
        Box(x + away / 2, y + away / 2, width, height),
        Box(x - width - away / 2, y + away / 2, width, height),
    ]


def _start(data: RoundMap, projection: Projection, taken: Taken) -> list[Shape]:
    if data.start is None:
        return []
    point = projection.at(data.start)
    taken.boxes.append(Box(point[0] - 5, point[1] - 5, 10, 10))
    return [
        Mark("disc", *point, 8, "ink", filled=False, key="start"),
        *_label(say("start"), Font(8, 500), point, 7, taken),
    ]


def _named(name: MapName, point: Point, taken: Taken) -> list[Shape]:
    if not taken.frame.holds(Box(*point, 0, 0)):
        return []
    return _label(name.name, Font(8.5), point, 5, taken)


def _label(text: str, font: Font, point: Point, away: float, taken: Taken) -> list[Shape]:
    width, height = taken.measure(text, font) + 2, font.size * 1.3
    room = taken.take(_beside(point, width, height, away), off_lines=True)
    if room is None:
        return []
    return [Rect(room, "sheet", None), TextBox(room, text, font, "ink2", "center", key="name")]


def _furniture(data: RoundMap, box: Box, projection: Projection, taken: Taken) -> list[Shape]:
    """Scale bar lower left, north upper right, credit lower right."""
    length, text = scale_bar(projection.meters_per_unit, box.width / 4, metric=data.metric)
    x, y = box.x + 8, box.bottom - 9
    small = Font(7.5)
    shapes: list[Shape] = [
        Line(x, y, x + length, y, "ink", 1.4),
        Line(x, y - 3, x, y + 3, "ink", 0.8),
        Line(x + length, y - 3, x + length, y + 3, "ink", 0.8),
    ]
    bar = Box(x + length + 4, y - 5, taken.measure(text, small) + 2, 10)
    shapes.append(TextBox(bar, text, small))
    nx, ny = box.right - 13, box.y + 8
    north = Box(nx - 5, ny + 14, 10, 11)
    shapes += [
        Polyline(((nx, ny), (nx - 4, ny + 13), (nx, ny + 10), (nx + 4, ny + 13)), None, fill="ink"),
        TextBox(north, say("N"), Font(8, 600), align="center"),
    ]
    taken.boxes += [Box(x, y - 6, bar.right - x, 12), Box(nx - 7, ny - 2, 14, 29)]
    if data.credit:
        shapes += _credit(data.credit, box, bar.right + 8, taken)
    return shapes


def _credit(text: str, box: Box, left: float, taken: Taken) -> list[Shape]:
    """Lower right, whole: in as many lines as it needs, smaller where one word is too long."""
    lines, size = credit_lines(text, Font(7.5), box.right - 6 - left, taken.measure)
    font = Font(size)
    shapes: list[Shape] = []
    for row, line in enumerate(reversed(lines)):
        width = taken.measure(line, font) + 2
        place = Box(box.right - 6 - width, box.bottom - 14 - 9.5 * row, width, 9.5)
        shapes += [
            Rect(place, "sheet", None),
            TextBox(place, line, font, "ink2", "right", key="credit"),
        ]
        taken.boxes.append(place)
    return shapes


def credit_lines(
    text: str, font: Font, room: float, measure: Measure
) -> tuple[tuple[str, ...], float]:
    """A credit in lines no wider than `room`, and the size that makes every word fit.

    It is never cut: the license asks for it. Lines break at blanks.
    """
    words = text.split()
    widest = max((measure(word, font) + 2 for word in words), default=0.0)
    size = font.size if widest <= room else font.size * room / widest
    smaller = Font(size, font.weight, font.family)
    lines: list[str] = []
    for word in words:
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and measure(longer, smaller) + 2 <= room:
            lines[-1] = longer
        else:
            lines.append(word)
    return tuple(lines), size


def scale_bar(meters_per_unit: float, longest: float, *, metric: bool) -> tuple[float, str]:
    """The longest bar of 1, 2 or 5 times a power of ten that is not over `longest`: length, text.

    Miles, below half a mile feet (a mile is 5280 ft, 1609.344 m); with `metric` km and m.
    """
    big, small, ratio = (1000.0, 1.0, 1000) if metric else (MILE_M, MILE_M / 5280, 5280)
    whole = longest * meters_per_unit / big
    unit, name = (big, "km" if metric else "mi")
    if whole < (1.0 if metric else 0.5):
        whole, unit, name = whole * ratio, small, "m" if metric else "ft"
    power = 10.0 ** math.floor(math.log10(whole))
    factor = max(step for step in (1, 2, 5) if step * power <= whole * (1 + 1e-9))
    amount = factor * power
    texts = {"km": say("{n} km", n=f"{amount:g}"), "m": say("{n} m", n=f"{amount:g}")}
    texts |= {"mi": say("{n} mi", n=f"{amount:g}"), "ft": say("{n} ft", n=f"{amount:g}")}
    return amount * unit / meters_per_unit, texts[name]
