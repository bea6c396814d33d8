"""Positions to places in a figure: a flat map, north is up."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from servicedesk.values.position import Position
from servicedesk.values.shapes import Box, box_around

EARTH_M = 6_371_008.8  # mean radius, IUGG
SMALLEST_M = 800.0  # a map is never closer than this across
Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Projection:
    """Equirectangular around a middle latitude, within a county true to a fraction of a percent."""

    origin: Position
    meters_per_unit: float
    center: Point
    middle_m: Point = (0.0, 0.0)

    def at(self, position: Position) -> Point:
        """The place of a position in the figure."""
        x, y = local_meters(self.origin, position)
        return (
            self.center[0] + (x - self.middle_m[0]) / self.meters_per_unit,
            self.center[1] - (y - self.middle_m[1]) / self.meters_per_unit,
        )

    def position(self, x: float, y: float) -> Position:
        """The position at a place in the figure: the other way round."""
        east = self.middle_m[0] + (x - self.center[0]) * self.meters_per_unit
        north = self.middle_m[1] - (y - self.center[1]) * self.meters_per_unit
        lat_deg = self.origin.lat_deg + math.degrees(north / EARTH_M)
        around = EARTH_M * math.cos(math.radians(self.origin.lat_deg))
        lon_deg = self.origin.lon_deg + math.degrees(east / around)
        return Position(max(-90.0, min(90.0, lat_deg)), (lon_deg + 180) % 360 - 180)


def local_meters(origin: Position, position: Position) -> Point:
    """Meters east and north of `origin`; the date line is no edge."""
    east_deg = (position.lon_deg - origin.lon_deg + 180) % 360 - 180
    north_deg = position.lat_deg - origin.lat_deg
    east = math.radians(east_deg) * EARTH_M * math.cos(math.radians(origin.lat_deg))
    return east, math.radians(north_deg) * EARTH_M


def fit(positions: Sequence[Position], box: Box, origin: Position | None = None) -> Projection:
    """The projection that shows all of at least one position inside `box`.

    `origin`: where it is true to scale, the first position if not given.
    """
    origin = origin or positions[0]
    around = box_around(local_meters(origin, position) for position in positions)
    scale = max(around.width / box.width, around.height / box.height)
    scale = max(scale, SMALLEST_M / max(box.width, box.height))
    return Projection(origin, scale, box.center, around.center)
