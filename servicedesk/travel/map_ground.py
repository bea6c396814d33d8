"""What lies under sites and routes: the layers of a road file by level of detail, in meters.

A level belongs to a power of two of meters per pixel (or point on paper): what is too small or too
minor for it is left out, and the rest is drawn with no more points than can be seen.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from threading import Lock

import numpy as np

from servicedesk.travel.map_coast import land_rings
from servicedesk.travel.map_lines import Lines, lines_of
from servicedesk.travel.road_map import AREA_LAYERS, LINE_LAYERS, PlaceName, RoadMap, Shapes
from servicedesk.values.position import Position

EARTH_M = 6_371_008.8  # mean radius, IUGG
# the classes of roads in the order of their numbers in a road file
ROAD_CLASSES = (
    "motorway", "trunk", "primary", "secondary", "tertiary", "unclassified", "residential",
    "living_street", "service", "track", "motorway_link", "trunk_link", "primary_link",
    "secondary_link", "tertiary_link", "road",
)  # fmt: skip
# how much a class matters for the way through the county: 0 most
RANK: Mapping[str, int] = {
    "motorway": 0, "trunk": 0, "motorway_link": 0, "trunk_link": 0, "primary": 1,
    "primary_link": 1, "secondary": 2, "secondary_link": 2, "tertiary": 3, "tertiary_link": 3,
    "unclassified": 4, "road": 4, "residential": 5, "living_street": 5, "service": 6, "track": 6,
}  # fmt: skip
FINEST, COARSEST = -2, 9  # octaves: 0.25 m to 512 m a pixel
_HALF_PX = 0.5
# coarsest meters a pixel at which a layer or rank is drawn; ranks not named: by their density
_LAYER_TO = {"built_up": 64.0, "buildings": 2.0, "rail": 64.0}
_RANK_TO = {5: 24.0, 6: 8.0}
_LINKS_TO = 48.0
_DENSEST = 0.055  # pixels of road in a square pixel: a line every 18 pixels is a full sheet
_AREA_LEAST_PX, _STREAM_LEAST_PX = 3.0, 36.0

_ROAD_NAMES_TO = 4.0  # meters a pixel: closer, single lanes lie apart
_NAMED_FROM_PX = 70.0  # of a road seen; a name over less of it belongs to nobody


@dataclass(frozen=True, eq=False)
class Level:
    """The layers at one level of detail, by name, with `octave` = log2 of meters a pixel."""

    octave: int
    layers: Mapping[str, Lines]


class Ground:
    """Layers and names of one area. Levels are made when first asked for, from any thread."""

    def __init__(self, road_map: RoadMap, *, key: str = "", origin: Position | None = None) -> None:
        self.key = key
        self.origin = origin or _middle(road_map)
        self.names = road_map.names
        self.places = road_map.places
        layers = (*AREA_LAYERS, *LINE_LAYERS)
        self._whole = {
            name: _in_meters(road_map.layers[name], self.origin)
            for name in layers
            if name in road_map.layers
        }
        land = land_rings(self._whole.get("coast"))
        if land is not None:
            self._whole["land"] = land
        self._road_rank = np.array([RANK[name] for name in ROAD_CLASSES])
        self._levels: dict[int, Level] = {}
        self._lock = Lock()

    @property
    def is_island(self) -> bool:
        """Is all around the land sea?"""
        return "land" in self._whole

    @property
    def corners(self) -> tuple[Position, Position]:
        """Northwest and southeast of the roads; the middle twice where there are none."""
        roads = self._whole.get("roads")
        if roads is None or not len(roads):
            return self.origin, self.origin
        x0, y0 = roads.boxes[:, :2].min(axis=0)
        x1, y1 = roads.boxes[:, 2:].max(axis=0)
        return _position(self.origin, x0, y0), _position(self.origin, x1, y1)

    def at(self, position: Position) -> tuple[float, float]:
        """Meters east and south of the middle."""
        return meters_from(self.origin, position)

    def level(self, meters_per_px: float) -> Level:
        """The layers for a scale (meters per pixel or point, over 0)."""
        octave = octave_of(meters_per_px)
        with self._lock:
            found = self._levels.get(octave)
            if found is None:
                found = self._levels[octave] = self._made(octave)
        return found

    def rank(self, kind: int) -> int:
        """How much a road class matters, 0 most."""
        return int(self._road_rank[kind])

    def named_places(self, meters_per_px: float) -> tuple[PlaceName, ...]:
        """Places to name at a scale, the largest first."""
        to = {"village": 160.0, "suburb": 24.0, "hamlet": 32.0, "locality": 12.0}
        return tuple(p for p in self.places if meters_per_px <= to.get(p.kind, math.inf))

    def named_roads(
        self, corners: tuple[Position, Position], meters_per_px: float
    ) -> tuple[tuple[str, Position], ...]:
        """Roads to name between two corners at a close scale, the longest first, each name once;
        at a point of the road in the middle of what is seen of it.
        """
        roads = self._whole.get("roads")
        if roads is None or meters_per_px > _ROAD_NAMES_TO:
            return ()
        (x0, y0), (x1, y1) = self.at(corners[0]), self.at(corners[1])
        longest: dict[str, tuple[int, float, float]] = {}
        for shape in roads.inside((min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1))):
            number = int(roads.name[shape])
            if number < 0:
                continue
            x, y = roads.rings(int(shape))[0]
            seen = np.flatnonzero(
                (x > min(x0, x1)) & (x < max(x0, x1)) & (y > min(y0, y1)) & (y < max(y0, y1))
            )
            meters = int(np.hypot(np.diff(x[seen]), np.diff(y[seen])).sum())
            if meters < _NAMED_FROM_PX * meters_per_px:
                continue
            middle = int(seen[len(seen) // 2])
            one = (meters, float(x[middle]), float(y[middle]))
            longest[self.names[number]] = max(longest.get(self.names[number], one), one)
        ordered = sorted(longest.items(), key=lambda item: (-item[1][0], item[0]))
        return tuple((name, _position(self.origin, x, y)) for name, (_, x, y) in ordered)

    def _made(self, octave: int) -> Level:
        meters = 2.0**octave
        layers = {}
        for name, lines in self._whole.items():
            if not len(lines) or meters > _LAYER_TO.get(name, math.inf):
                continue
            shown = self._roads(lines, meters) if name == "roads" else _large(name, lines, meters)
            layers[name] = shown.simpler(meters * _HALF_PX)
        return Level(octave, layers)

    def _roads(self, roads: Lines, meters: float) -> Lines:
        rank = self._road_rank[roads.kind]
        lengths = roads.lengths()
        x0, y0 = roads.boxes[:, :2].min(axis=0)
        x1, y1 = roads.boxes[:, 2:].max(axis=0)
        area = max(1.0, (x1 - x0) * (y1 - y0))
        is_link = np.array(["link" in name for name in ROAD_CLASSES])[roads.kind]
        wanted = np.zeros(len(roads), dtype=bool)
        px = 0.0
        for one in range(int(rank.max()) + 1):
            here = rank == one
            px += float(lengths[here].sum()) * meters / area
            # what leads through the county is always shown, and something always is
            if wanted.any() and one > 1 and px > _DENSEST and meters > 4.0:
                break
            if meters <= _RANK_TO.get(one, math.inf):
                wanted |= here
        if meters > _LINKS_TO:
            wanted &= ~is_link
        return roads.only(wanted)


def octave_of(meters_per_px: float) -> int:
    """The level for a scale: the power of two that is not above it, within what is kept."""
    return min(COARSEST, max(FINEST, math.floor(math.log2(meters_per_px) + 1e-9)))


def meters_from(origin: Position, position: Position) -> tuple[float, float]:
    """Meters east and south of `origin` on a flat map true at its latitude."""
    east_deg = (position.lon_deg - origin.lon_deg + 180) % 360 - 180
    east = math.radians(east_deg) * EARTH_M * math.cos(math.radians(origin.lat_deg))
    return east, -math.radians(position.lat_deg - origin.lat_deg) * EARTH_M


def _position(origin: Position, x: float, y: float) -> Position:
    """The other way round, for points of the area."""
    around = EARTH_M * math.cos(math.radians(origin.lat_deg))
    lon = origin.lon_deg + math.degrees(float(x) / around)
    return Position(origin.lat_deg - math.degrees(float(y) / EARTH_M), (lon + 180) % 360 - 180)


def _large(name: str, lines: Lines, meters: float) -> Lines:
    """Without what would be a speck."""
    if name in ("coast", "land", "rail"):
        return lines
    least = {"streams": _STREAM_LEAST_PX if meters > 12 else 0.0, "buildings": 1.0}
    return lines.only(lines.sizes() >= meters * least.get(name, _AREA_LEAST_PX))


def _in_meters(shapes: Shapes, origin: Position) -> Lines:
    """One layer around `origin`; shapes without points are left out."""
    east = math.radians(1e-7) * EARTH_M * math.cos(math.radians(origin.lat_deg))
    turn = (shapes.lon.astype(np.float64) / 1e7 - origin.lon_deg + 180) % 360 - 180
    x = turn * 1e7 * east
    y = -(shapes.lat.astype(np.float64) / 1e7 - origin.lat_deg) * math.radians(1) * EARTH_M
    ring_start = shapes.ring_start.astype(np.int64)
    shape_start = shapes.shape_start.astype(np.int64)
    has_points = np.diff(ring_start) > 0
    if not has_points.all():  # a ring of an area whose points all lie outside the extract
        n_rings = np.add.reduceat(has_points, shape_start[:-1]) if len(shapes) else has_points
        if (n_rings == 0).any():
            raise ValueError("a shape of the road file has no points")
        ring_start = np.concatenate([[0], np.cumsum(np.diff(ring_start)[has_points])])
        shape_start = np.concatenate([[0], np.cumsum(n_rings)])
    return lines_of(
        x, y, ring_start, shape_start, shapes.kind.astype(np.int64), shapes.name.astype(np.int64)
    )


def _middle(road_map: RoadMap) -> Position:
    roads = road_map.layers.get("roads")
    if roads is None or not len(roads.lat):
        return Position(0.0, 0.0)
    lat = (int(roads.lat.min()) + int(roads.lat.max())) / 2e7
    lon = (int(roads.lon.min()) + int(roads.lon.max())) / 2e7
    return Position(lat, lon)
