"""What is drawn under a map, in order: the one list that screen and paper both paint."""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from servicedesk.papers.clip import cut_area, cut_line
from servicedesk.papers.projection import Projection
from servicedesk.travel.map_ground import Ground, Level
from servicedesk.travel.map_lines import Floats, Lines, Numbers, Window
from servicedesk.values.shapes import Box, Polyline, Shape

Point = tuple[float, float]
MARGIN = 12.0  # px around a window: what is drawn wide may reach in from outside
_ROAD_PX = (4.4, 3.8, 3.3, 2.7, 2.1, 1.9, 1.3)  # by rank, at 20 m a pixel
_CASING_PX = 0.7


@dataclass(frozen=True, eq=False)
class Stroke:
    """Shapes of one layer at one level, drawn alike: areas have `fill`, lines `color` and `width`.

    Colors are names of tokens, widths px (points on paper), `opacity` 0..1.
    """

    layer: str
    lines: Lines
    shapes: Numbers
    color: str = ""
    width: float = 0.0
    fill: str = ""
    opacity: float = 1.0
    dash: tuple[float, ...] = ()


def ground_color(ground: Ground) -> str:
    """What lies where nothing is drawn: land, or the sea around an island."""
    return "map.river" if ground.is_island else "map.land"


def ground_strokes(
    ground: Ground, window: Window, meters_per_px: float, *, casings: bool = True
) -> Iterator[Stroke]:
    """All that touches `window` (meters east and south of the ground's middle), lowest first.

    Without `casings` roads are one gray line each, as on paper.
    """
    level = ground.level(meters_per_px)
    wider = MARGIN * meters_per_px
    window = (window[0] - wider, window[1] - wider, window[2] + wider, window[3] + wider)

    def layer(name: str, **how: object) -> Iterator[Stroke]:
        lines = level.layers.get(name)
        if lines is not None:
            shapes = lines.inside(window)
            if len(shapes):
                yield Stroke(name, lines, shapes, **how)  # type: ignore[arg-type]

    yield from layer("land", fill="map.land")
    yield from layer("woods", fill="map.wood")
    built_up = {"fill": "line", "opacity": 0.55} if casings else {"fill": "sunken"}
    yield from layer("built_up", **built_up)
    yield from layer("water", fill="map.river")
    yield from layer("buildings", fill="map.casing", opacity=0.9)
    yield from layer("streams", color="map.river", width=_stream_px(meters_per_px))
    if not ground.is_island:
        yield from layer("coast", color="map.river", width=2.0)
    yield from layer("rail", color="edge", width=1.0, dash=(5.0, 3.0), opacity=0.8)
    yield from _roads(ground, level, window, meters_per_px, casings=casings)


def road_width(rank: int, meters_per_px: float) -> float:
    """Width of a road's fill in px: wider the closer one looks."""
    return max(0.9, float(_ROAD_PX[rank] * min(2.6, max(0.45, (20.0 / meters_per_px) ** 0.42))))


def outline(lines: Lines, shape: int) -> list[Point]:
    """One closed line for an area: its holes are joined to its outline, for odd-even filling."""
    found: list[Point] = []
    for x, y in lines.rings(shape):
        ring = list(zip(x.tolist(), y.tolist(), strict=True))
        found += [*ring, ring[0]]
        if len(found) > len(ring) + 1:
            found.append(found[0])
    return found


def ring_near(ring: tuple[Floats, Floats], window: Window) -> tuple[Floats, Floats]:
    """A closed ring without what cannot be seen in the window: equal inside it.

    Between two points on the far side of one edge of the window all others there may go: what is
    drawn instead stays on that side, so inside nothing changes. Empty if all of it is far.
    """
    points = np.array(ring)
    for axis, edge, side in ((0, window[0], -1), (0, window[2], 1), (1, window[1], -1),
                             (1, window[3], 1)):  # fmt: skip
        beyond = (points[axis] - edge) * side > 0
        points = points[:, ~(beyond & np.roll(beyond, 1) & np.roll(beyond, -1))]
    return points[0], points[1]


def ground_shapes(ground: Ground, box: Box, projection: Projection) -> list[Shape]:
    """The ground as shapes for paper, cut at `box`. The projection has the ground's middle."""
    mpp = projection.meters_per_unit
    left = projection.middle_m[0] + (box.x - projection.center[0]) * mpp
    top = -projection.middle_m[1] + (box.y - projection.center[1]) * mpp
    window = (left, top, left + box.width * mpp, top + box.height * mpp)
    shapes: list[Shape] = []
    for stroke in ground_strokes(ground, window, mpp, casings=False):
        for one in stroke.shapes.tolist():
            if stroke.fill:
                ring = _on_page(outline(stroke.lines, one), window, mpp, box)
                cut = cut_area(ring, box)
                if len(cut) > 2:
                    shapes.append(Polyline(tuple(cut), None, 0.0, (), stroke.fill))
                continue
            for x, y in stroke.lines.rings(one):
                line = _on_page(list(zip(x, y, strict=True)), window, mpp, box)
                for part in cut_line(line, box):
                    drawn = Polyline(tuple(part), stroke.color, stroke.width, stroke.dash)
                    shapes.append(drawn)
    return shapes


def _on_page(points: list[Point], window: Window, mpp: float, box: Box) -> list[Point]:
    return [
        (float(box.x + (x - window[0]) / mpp), float(box.y + (y - window[1]) / mpp))
        for x, y in points
    ]


def _roads(
    ground: Ground, level: Level, window: Window, mpp: float, *, casings: bool
) -> Iterator[Stroke]:
    lines = level.layers.get("roads")
    if lines is None:
        return
    shapes = lines.inside(window)
    ranks = np.array([ground.rank(kind) for kind in lines.kind[shapes].tolist()], dtype=int)
    present = sorted(set(ranks.tolist()), reverse=True)  # minor ones first: the larger on top
    by_rank = [(rank, shapes[ranks == rank]) for rank in present]
    if not casings:
        for rank, some in by_rank:
            width = 0.45 * road_width(rank, mpp)
            yield Stroke("roads", lines, some, color="map.casing", width=width)
        return
    for rank, some in by_rank:
        width = road_width(rank, mpp) + 2 * _CASING_PX
        yield Stroke("roads", lines, some, color="map.casing", width=width)
    for rank, some in by_rank:
        yield Stroke("roads", lines, some, color="map.road", width=road_width(rank, mpp))


def _stream_px(meters_per_px: float) -> float:
    return 1.3 if meters_per_px > 12 else 2.2
