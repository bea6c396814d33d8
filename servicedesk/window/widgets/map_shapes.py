"""Geometry of the day's map: positions and a box become shapes. Straight lines, north is up."""

import math
from dataclasses import dataclass

from servicedesk.papers.maps import Projection, Taken, fit, scale_bar
from servicedesk.values.position import Position
from servicedesk.values.shapes import (
    Box,
    Font,
    Icon,
    Line,
    Mark,
    Measure,
    Polyline,
    Rect,
    Shape,
    TextBox,
)
from servicedesk.window.widgets.crew_look import CrewLook
from servicedesk.words import say

MARK = 21.0  # px at 100 %
_BESIDE = ((1, 0), (-1, 0), (0, -1), (0, 1), (0.8, -0.8), (-0.8, -0.8), (0.8, 0.8), (-0.8, 0.8))


@dataclass(frozen=True, slots=True)
class MapPoint:
    """A numbered stop."""

    stop_id: str
    number: str
    position: Position
    is_late: bool = False
    icon: str = ""


@dataclass(frozen=True, slots=True)
class MapWay:
    """One technician's way through the day."""

    name: str
    look: CrewLook
    points: tuple[MapPoint, ...]
    start: Position


@dataclass(frozen=True, slots=True)
class DayMap:
    """All that stands on the map. `frame` are the positions it must show whatever happens;
    `ghosts` the ways before this drag; `waiting` a stop without a place.
    """

    ways: tuple[MapWay, ...]
    home: Position
    frame: tuple[Position, ...]
    villages: tuple[tuple[str, Position], ...] = ()
    ghosts: tuple[tuple[CrewLook, tuple[Position, ...]], ...] = ()
    waiting: MapPoint | None = None
    chosen: str = ""
    credit: str = ""
    metric: bool = False


@dataclass(frozen=True, slots=True)
class MapFigure:
    """Shapes, and where each stop stands."""

    shapes: tuple[Shape, ...]
    spots: tuple[tuple[str, Box], ...]

    def stop_at(self, x: float, y: float) -> str:
        """The stop at a point, "" for none."""
        for stop_id, box in reversed(self.spots):
            if box.x <= x <= box.right and box.y <= y <= box.bottom:
                return stop_id
        return ""


def map_figure(data: DayMap, box: Box, measure: Measure, *, scale: float = 1.0) -> MapFigure:
    """The map inside `box`: names and furniture give way to marks, marks move aside for marks."""
    s = scale
    around = box.grown(-26 * s)
    around = Box(around.x, around.y, around.width, max(40.0, around.height - 30 * s))
    projection = fit([data.home, *data.frame], around)
    taken = Taken(box.grown(-4), measure)
    shapes: list[Shape] = [Rect(box, "map.land", None)]
    legend = _legend(data, box, projection, measure, s)
    taken.boxes += [shape.box for shape in legend if isinstance(shape, Rect)]
    credit = _credit(data, box, measure, s)
    taken.boxes += [shape.bounds for shape in credit]
    closeness = min(1.0, max(0.72, box.height / (380 * s)))
    spots = _spots(data, projection, s * closeness, list(taken.boxes))
    taken.boxes += [spot for _, _, spot in spots]
    home = projection.at(data.home)
    taken.boxes.append(Box(home[0] - 9 * s, home[1] - 9 * s, 18 * s, 18 * s))
    lines = _lines(data, projection)
    taken.lines += [
        pair
        for line in lines
        if isinstance(line, Polyline)
        for pair in zip(line.points, line.points[1:], strict=False)
    ]
    names = [shape for name, at in data.villages for shape in _name(name, at, projection, taken, s)]
    shapes += names
    shapes += lines
    shapes += _home(home, s)
    shapes += _marks(data, projection, spots, taken, s * closeness)
    shapes += legend + credit
    found = tuple((point.stop_id, spot) for _, point, spot in spots)
    return MapFigure(tuple(shapes), found)


def _lines(data: DayMap, projection: Projection) -> list[Shape]:
    shapes: list[Shape] = []
    for look, chain in data.ghosts:
        points = tuple(projection.at(p) for p in chain)
        shapes.append(Polyline(points, look.color, 1.0, (2, 5)))
    for way in data.ways:
        if way.points:
            chain = (way.start, *(p.position for p in way.points), way.start)
            points = tuple(projection.at(p) for p in chain)
            shapes.append(Polyline(points, way.look.color, 2.0, way.look.dash))
    return shapes


def _spots(
    data: DayMap, projection: Projection, s: float, taken: list[Box]
) -> list[tuple[CrewLook | None, MapPoint, Box]]:
    """A box for every mark; one that would cover another moves aside."""
    side = MARK * s
    found: list[tuple[CrewLook | None, MapPoint, Box]] = []
    points: list[tuple[CrewLook | None, MapPoint]] = [
        (way.look, point) for way in data.ways for point in way.points
    ]
    if data.waiting is not None:
        points.append((None, data.waiting))
    for look, point in points:
        x, y = projection.at(point.position)
        spot = _free(x, y, side, taken)
        taken.append(spot)
        found.append((look, point, spot))
    return found


def _free(x: float, y: float, side: float, taken: list[Box]) -> Box:
    first = Box(x - side / 2, y - side / 2, side, side)
    if not any(first.touches(other) for other in taken):
        return first
    for ring in range(1, 7):
        radius = ring * side * 0.6
        for k in range(12):
            turn = math.radians(15 + 30 * k)
            box = first.moved(radius * math.cos(turn), radius * math.sin(turn))
            if not any(box.touches(other) for other in taken):
                return box
    return first


def _marks(
    data: DayMap,
    projection: Projection,
    spots: list[tuple[CrewLook | None, MapPoint, Box]],
    taken: Taken,
    s: float,
) -> list[Shape]:
    shapes: list[Shape] = []
    for _, point, spot in spots:  # thin lines under all marks
        x, y = projection.at(point.position)
        if math.dist((x, y), spot.center) > 1:
            shapes.append(Line(x, y, *spot.center, "ink2", 1.0))
            shapes.append(Mark("disc", x, y, 4 * s, "ink2"))
    for look, point, spot in spots:
        x, y = spot.center
        if point.stop_id == data.chosen:
            ring = spot.grown(6 * s)
            shapes.append(Rect(ring, None, "focus", 2.0, ring.width / 2))
        if look is None:
            shapes.append(Rect(spot.grown(-1), "sheet", "ochre", 1.6, 4 * s, (4, 3)))
            shapes.append(TextBox(spot, "+", Font(13 * s, 600), "ochre", "center"))
            continue
        size = spot.width * (1.06 if look.mark in ("diamond", "pentagon", "triangle") else 1.0)
        shapes.append(Mark(look.mark, x, y, size, look.color, filled=False, key=point.stop_id))
        font = Font(max(11.0, 11.5 * s), 600)
        shapes.append(TextBox(spot, point.number, font, "ink", "center", key=point.stop_id))
    for _, point, spot in spots:
        if point.is_late:
            shapes += _late(spot, taken, s)
        elif point.icon:
            shapes += _sign(point.icon, spot, s)
    return shapes


def _sign(icon: str, spot: Box, s: float) -> list[Shape]:
    side = 15 * s
    box = Box(spot.right - 4 * s, spot.y - 11 * s, side, side)
    return [Rect(box, "soft.plum", "plum", 1.0, 3 * s), Icon(icon, box.grown(-2.5 * s), "plum")]


def _late(spot: Box, taken: Taken, s: float) -> list[Shape]:
    font = Font(max(11.0, 11 * s), 600)
    text = say("late")
    width, height = taken.measure(text, font) + 26 * s, 19 * s
    room = taken.take(_beside(spot.center, spot.width / 2 + 3 * s, width, height))
    if room is None:
        return []
    icon = Box(room.x + 6 * s, room.y + 3.5 * s, 12 * s, 12 * s)
    words = Box(room.x + 21 * s, room.y, width - 22 * s, height)
    return [
        Rect(room, "soft.clay", None, 0, 4 * s),
        Icon("clock", icon, "clay"),
        TextBox(words, text, font, "clay", key="late"),
    ]


def _beside(at: tuple[float, float], away: float, width: float, height: float) -> list[Box]:
    boxes = []
    for dx, dy in _BESIDE:
        x = at[0] + dx * (away + width / 2) - width / 2
        y = at[1] + dy * (away + height / 2) - height / 2
        boxes.append(Box(x, y, width, height))
    return boxes


def _name(name: str, at: Position, projection: Projection, taken: Taken, s: float) -> list[Shape]:
    font = Font(12 * s, 500)
    point = projection.at(at)
    width, height = taken.measure(name, font) + 2, 15 * s
    middle = Box(point[0] - width / 2, point[1] - height / 2, width, height)
    room = taken.take([middle, *_beside(point, 8 * s, width, height)], off_lines=True)
    return [] if room is None else [TextBox(room, name, font, "ink3", "center", key="name")]


def _home(at: tuple[float, float], s: float) -> list[Shape]:
    """A small house where the rounds start."""
    x, y, r = at[0], at[1], 7 * s
    outline = ((x, y - r * 1.2), (x + r, y - r * 0.2), (x + r, y + r), (x - r, y + r),
               (x - r, y - r * 0.2))  # fmt: skip
    return [Polyline(outline, "map.land", 2.0, (), "ink")]


def _legend(
    data: DayMap, box: Box, projection: Projection, measure: Measure, s: float
) -> list[Shape]:
    font = Font(12 * s, 500)
    height, pad = 26 * s, 10 * s
    x, y = box.x + 12 * s, box.bottom - height - 10 * s
    shapes: list[Shape] = []
    at = x + pad
    for way in data.ways:
        mark_x = at + 6 * s
        shapes.append(
            Mark(way.look.mark, mark_x, y + height / 2, 11 * s, way.look.color, filled=False)
        )
        width = measure(way.name, font) + 2
        shapes.append(TextBox(Box(at + 17 * s, y, width, height), way.name, font, key="legend"))
        at += 17 * s + width + 11 * s
    length, text = scale_bar(projection.meters_per_unit, 90 * s, metric=data.metric)
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
    shapes.append(TextBox(label, text, small, "ink2", "center", key="scale"))
    panel = Box(x, y, at + width + pad - x, height)
    return [Rect(panel, "sheet", None, 0, 4 * s), *shapes]


def _credit(data: DayMap, box: Box, measure: Measure, s: float) -> list[Shape]:
    if not data.credit:
        return []
    font = Font(11 * s)
    width = measure(data.credit, font) + 2
    place = Box(box.right - width - 10 * s, box.bottom - 22 * s, width, 15 * s)
    return [TextBox(place, data.credit, font, "ink2", "right", key="credit")]
