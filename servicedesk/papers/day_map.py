"""Geometry of the day's map: positions and a box become shapes. North is up."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from itertools import pairwise

from servicedesk.papers.crew_look import CrewLook
from servicedesk.papers.map_furniture import Legend, credit_shapes, legend_shapes
from servicedesk.papers.map_names import name_boxes
from servicedesk.papers.maps import Taken, crosses
from servicedesk.papers.projection import Projection, fit
from servicedesk.values.position import Position
from servicedesk.values.shapes import (
    Box,
    Font,
    Icon,
    Line,
    Mark,
    MarkKind,
    Measure,
    Polyline,
    Rect,
    Shape,
    TextBox,
)
from servicedesk.words import say

MARK = 21.0  # px at 100 %
_ASIDE_PX = 1.9
_NEAR_PX = 0.7  # points of a way nearer to each other than this are one
Leg = tuple[Position, Position]
Spot = tuple[float, float]
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
class SiteMark:
    """A site on the map. `state`: called, owed or plain; `guessed` where its place is."""

    position: Position
    state: str
    guessed: bool = False


@dataclass(frozen=True, slots=True)
class DayMap:
    """All that stands on the map. `frame` are the positions it must show whatever happens;
    `ghosts` the ways before this drag; `waiting` a stop without a place. `by_road` are the points
    of drives along roads: a leg that is not in it is straight. With `has_ground` the ground is
    drawn already. `sites` are marks under the ways.
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
    by_road: Mapping[Leg, tuple[Position, ...]] = field(default_factory=dict)
    has_ground: bool = False
    sites: tuple[SiteMark, ...] = ()

    @property
    def legs(self) -> tuple[Leg, ...]:
        """All drives of the day in their order."""
        return tuple(leg for way in self.ways for leg in pairwise(_chain(way)))


@dataclass(frozen=True, slots=True)
class MapFigure:
    """Shapes, and where each stop stands. The first `n_on_ground` shapes move with the ground."""

    shapes: tuple[Shape, ...]
    spots: tuple[tuple[str, Box], ...]
    n_on_ground: int = 0

    def stop_at(self, x: float, y: float) -> str:
        """The stop at a point, "" for none."""
        for stop_id, box in reversed(self.spots):
            if box.x <= x <= box.right and box.y <= y <= box.bottom:
                return stop_id
        return ""


def map_figure(
    data: DayMap,
    box: Box,
    measure: Measure,
    *,
    scale: float = 1.0,
    view: Projection | None = None,
    reserved: tuple[Box, ...] = (),
) -> MapFigure:
    """The map inside `box`: names and furniture give way to marks, marks move aside for marks.

    `view` says what is seen, all if not given; `reserved` is room taken already.
    """
    s = scale
    projection = view or fit([data.home, *data.frame], _inner(box, s))
    taken = Taken(box.grown(-4), measure)
    taken.boxes += reserved
    fixed = legend_shapes(_legend(data), box, projection, measure, s)
    fixed += credit_shapes(data.credit, box, fixed, measure, s)
    taken.boxes += [shape.box for shape in fixed if isinstance(shape, Rect)]
    closeness = min(1.0, max(0.72, box.height / (380 * s)))
    spots = _spots(data, projection, s * closeness, list(taken.boxes), box.grown(-2))
    taken.boxes += [spot for _, _, spot in spots]
    home = projection.at(data.home)
    taken.boxes.append(Box(home[0] - 9 * s, home[1] - 9 * s, 18 * s, 18 * s))
    lines = _lines(data, projection, s)
    taken.lines += [
        pair for line in lines if isinstance(line, Polyline) for pair in pairwise(line.points)
    ]
    shapes: list[Shape] = [] if data.has_ground else [Rect(box, "map.land", None)]
    names = _names(data, projection, box, taken, s)
    shapes += site_shapes(data.sites, projection, box, s)
    shapes += lines if data.has_ground else names
    shapes += names if data.has_ground else lines
    shapes += home_shapes(home, s)
    shapes += _marks(data, projection, spots, taken, s * closeness)
    found = tuple((point.stop_id, spot) for _, point, spot in spots)
    return MapFigure((*shapes, *fixed), found, len(shapes))


def _inner(box: Box, s: float) -> Box:
    around = box.grown(-26 * s)
    return Box(around.x, around.y, around.width, max(40.0, around.height - 30 * s))


def _legend(data: DayMap) -> Legend:
    items = tuple((way.name, way.look.mark, way.look.color) for way in data.ways)
    return Legend(items, metric=data.metric)


def _chain(way: MapWay) -> tuple[Position, ...]:
    return (way.start, *(p.position for p in way.points), way.start) if way.points else ()


def _lines(data: DayMap, projection: Projection, s: float) -> list[Shape]:
    shapes: list[Shape] = []
    for look, chain in data.ghosts:
        shapes.append(Polyline(_way(data, chain, projection), look.color, 1.0, (2, 5)))
    wide = (2.6 if data.has_ground else 2.0) * min(1.0, s)
    driven = [way for way in data.ways if way.points]
    for index, way in enumerate(driven):
        points = _way(data, _chain(way), projection)
        if data.by_road:  # crews on one road drive side by side, or one would hide the other
            dx, dy = aside(index, len(driven))
            points = tuple((x + dx, y + dy) for x, y in points)
        shapes.append(Polyline(points, way.look.color, wide, way.look.dash))
    return shapes


def aside(index: int, n: int) -> Spot:
    """How far the line of the crew at `index` of `n` is moved: to another side for each.

    Whatever way a road runs, at most two of three lines on it can still lie on each other.
    """
    if n < 2:
        return 0.0, 0.0
    turn = math.tau * (index / max(3, n) + 1 / 4)
    return _ASIDE_PX * math.cos(turn), _ASIDE_PX * math.sin(turn)


def _way(
    data: DayMap, chain: tuple[Position, ...], projection: Projection
) -> tuple[tuple[float, float], ...]:
    """A way through positions, along roads where they are known, in as many points as show."""
    points = [projection.at(chain[0])]
    for leg in pairwise(chain):
        for position in data.by_road.get(leg, leg)[1:-1]:
            point = projection.at(position)
            if math.dist(point, points[-1]) > _NEAR_PX:
                points.append(point)
        points.append(projection.at(leg[1]))
    return tuple(points)


def _spots(
    data: DayMap, projection: Projection, s: float, taken: list[Box], frame: Box
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
        spot = _free(x, y, side, taken, frame)
        taken.append(spot)
        found.append((look, point, spot))
    return found


def _free(x: float, y: float, side: float, taken: list[Box], frame: Box) -> Box:
    """The nearest free box; one whose place is in sight stays in sight."""
    first = Box(x - side / 2, y - side / 2, side, side)
    if not any(first.touches(other) for other in taken):
        return first
    is_seen = frame.holds(Box(x, y, 0, 0))
    for ring in range(1, 9):
        radius = ring * side * 0.6
        for k in range(12):
            turn = math.radians(15 + 30 * k)
            box = first.moved(radius * math.cos(turn), radius * math.sin(turn))
            if is_seen and not frame.holds(box):
                continue
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


def _names(data: DayMap, projection: Projection, box: Box, taken: Taken, s: float) -> list[Shape]:
    """Names off the lines of the day; on a map full of sites, over as few of them as can be."""
    if not data.sites:
        return [shape for name, at in data.villages
                for shape in _name(name, at, projection, taken, s)]  # fmt: skip
    points = [projection.at(site.position) for site in data.sites]
    return list(
        name_boxes(data.villages, projection, box.grown(-4), taken.measure, points, taken.boxes,
                   font=Font(12 * s, 500))
    )  # fmt: skip


def _name(name: str, at: Position, projection: Projection, taken: Taken, s: float) -> list[Shape]:
    font = Font(12 * s, 500)
    point = projection.at(at)
    width, height = taken.measure(name, font) + 2, 15 * s
    middle = Box(point[0] - width / 2, point[1] - height / 2, width, height)
    room = taken.take([middle, *_beside(point, 8 * s, width, height)], off_lines=True)
    if room is None:
        return []
    words = TextBox(room, name, font, "ink2", "center", key="name")
    if any(crosses(room, *line) for line in taken.lines):
        return [Rect(room, "map.land", None, 0, 3 * s), words]
    return [words]


SITE_MARKS: Mapping[str, tuple[MarkKind, str, float]] = {
    "plain": ("disc", "ink2", 5.0),
    "owed": ("diamond", "ochre", 9.0),
    "called": ("square", "plum", 8.0),
}


def site_shapes(
    sites: tuple[SiteMark, ...], projection: Projection, box: Box, s: float
) -> list[Shape]:
    """A mark for every site in sight, told apart by shape first; guessed places are dashed."""
    shapes: list[Shape] = []
    inner = box.grown(-6 * s)
    for state, (mark, color, size) in SITE_MARKS.items():  # those that matter on top
        for site in sites:
            x, y = projection.at(site.position)
            if site.state != state or not inner.holds(Box(x, y, 0, 0)):
                continue
            if site.guessed:
                around = Box(x, y, 0, 0).grown(4.5 * s)
                shapes.append(Rect(around, None, color, 1.0, 4.5 * s, (1.8, 1.4)))
            else:
                shapes.append(Mark(mark, x, y, size * s, color, filled=state == "plain"))
    return shapes


def home_shapes(at: tuple[float, float], s: float) -> list[Shape]:
    """A small house where the rounds start."""
    x, y, r = at[0], at[1], 7 * s
    outline = ((x, y - r * 1.2), (x + r, y - r * 0.2), (x + r, y + r), (x - r, y + r),
               (x - r, y - r * 0.2))  # fmt: skip
    return [Polyline(outline, "map.land", 2.0, (), "ink")]
