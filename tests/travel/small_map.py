"""Hand-made grounds: layers given in steps of about 111 m around 30 N 94 W."""

import numpy as np

from servicedesk.travel.map_ground import ROAD_CLASSES, Ground
from servicedesk.travel.road_map import PlaceName, RoadMap, Shapes
from servicedesk.values.position import Position

LAT, LON, STEP_DEG = 30.0, -94.0, 0.001


def spot(x: float, y: float) -> Position:
    """`x` steps east and `y` steps north."""
    return Position(LAT + y * STEP_DEG, LON + x * STEP_DEG)


def shapes_of(*shapes: tuple[list[list[tuple[float, float]]], int]) -> Shapes:
    """Each shape as its rings and its kind."""
    shape_start, ring_start, lat, lon = [0], [0], [], []
    for rings, _ in shapes:
        for ring in rings:
            for x, y in ring:
                at = spot(x, y)
                lat.append(round(at.lat_deg * 1e7))
                lon.append(round(at.lon_deg * 1e7))
            ring_start.append(len(lat))
        shape_start.append(len(ring_start) - 1)
    ints = {"dtype": np.int32}
    return Shapes(
        shape_start=np.array(shape_start, **ints), ring_start=np.array(ring_start, **ints),
        lat=np.array(lat, **ints), lon=np.array(lon, **ints),
        kind=np.array([kind for _, kind in shapes], dtype=np.int8),
        name=np.full(len(shapes), -1, **ints),
    )  # fmt: skip


def road(kind: str, *points: tuple[float, float]) -> tuple:
    return [list(points)], ROAD_CLASSES.index(kind)


def area(*rings: list[tuple[float, float]]) -> tuple:
    return [[*ring, ring[0]] for ring in rings], 0


def square(x: float, y: float, half: float) -> list[tuple[float, float]]:
    """Counterclockwise on a map."""
    return [(x - half, y - half), (x + half, y - half), (x + half, y + half), (x - half, y + half)]


def a_ground(places: tuple[PlaceName, ...] = (), **layers: Shapes) -> Ground:
    return Ground(RoadMap(layers=layers, places=places), key="small", origin=Position(LAT, LON))


def a_county() -> Ground:
    """A cross of a primary road and lanes, a lake with an island, a wood, a house, two villages."""
    return a_ground(
        places=(
            PlaceName("Wrenlock", "town", LAT, LON, 900),
            PlaceName("Pinder", "village", LAT + 0.03, LON + 0.03),
            PlaceName("Two Oaks", "locality", LAT - 0.02, LON - 0.02),
        ),
        roads=shapes_of(
            road("primary", (-60, 0), (0, 0), (60, 0)),
            road("residential", (0, -5), (0, 0), (0, 5)),
            road("track", (20, 0), (20, 12)),
        ),
        water=shapes_of(area(square(30, 30, 8), square(30, 30, 3)[::-1])),
        woods=shapes_of(area(square(-30, -30, 12))),
        buildings=shapes_of(area(square(0.4, 1, 0.1))),
    )
