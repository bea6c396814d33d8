"""The roads of an area as a graph a car can drive, in flat arrays."""

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

Ints = npt.NDArray[np.int32]
Bytes = npt.NDArray[np.int8]
Floats = npt.NDArray[np.float32]

DEGREES = 1e7  # positions are whole 1e-7 degrees, about a centimetre
FORWARD, BACKWARD = 1, 2
INSIDERS_ONLY, NO_STOP, MINOR = 1, 2, 4  # bits of `flags`


@dataclass(frozen=True, eq=False, kw_only=True)
class RoadGraph:
    """Segments between junctions. Arc 2s drives segment s along its points, 2s + 1 against them.

    Per node: `node_lat`, `node_lon` (1e-7 degrees). Per segment: `tail`, `head` (nodes of the first
    and last point), `shape_start` (one longer: its points in `shape_lat`, `shape_lon`), `metres`,
    `seconds`, `ways` (bits FORWARD, BACKWARD), `flags` (INSIDERS_ONLY: private or destination;
    NO_STOP: motorway or tunnel, nobody lives there; MINOR: driveways and tracks), `kind` (class),
    `name` (in `names`, -1 none).
    `banned[k]`: a pair of arcs that must not follow each other.
    `cut`: nodes where the extract cut a road. `hull`: corners (lat, lon) around the extract.
    """

    node_lat: Ints
    node_lon: Ints
    tail: Ints
    head: Ints
    shape_start: Ints
    shape_lat: Ints
    shape_lon: Ints
    metres: Floats
    seconds: Floats
    ways: Bytes
    flags: Bytes
    kind: Bytes
    name: Ints
    banned: Ints
    cut: Ints
    hull: Ints
    names: tuple[str, ...] = ()

    @property
    def n_nodes(self) -> int:
        """How many junctions and ends there are."""
        return len(self.node_lat)

    @property
    def n_segments(self) -> int:
        """How many pieces of road between them."""
        return len(self.tail)

    def points(self, segment: int) -> tuple[Ints, Ints]:
        """Latitudes and longitudes of a segment's points in 1e-7 degrees."""
        part = slice(int(self.shape_start[segment]), int(self.shape_start[segment + 1]))
        return self.shape_lat[part], self.shape_lon[part]

    def arcs(self) -> Ints:
        """The arcs that may be driven."""
        ways = self.ways
        forward = 2 * np.flatnonzero(ways & FORWARD)
        backward = 2 * np.flatnonzero(ways & BACKWARD) + 1
        return np.sort(np.concatenate([forward, backward])).astype(np.int32)

    def arc_tail(self, arcs: Ints) -> Ints:
        """The node each arc leaves."""
        return np.where(arcs % 2 == 0, self.tail[arcs // 2], self.head[arcs // 2])

    def arc_head(self, arcs: Ints) -> Ints:
        """The node each arc reaches."""
        return np.where(arcs % 2 == 0, self.head[arcs // 2], self.tail[arcs // 2])


def piece_lengths_m(lat: npt.NDArray[Any], lon: npt.NDArray[Any]) -> npt.NDArray[np.float64]:
    """Metres between consecutive points (1e-7 degrees), one fewer than points.

    Along the WGS84 ellipsoid by its radii of curvature at the middle (standard formulas, from
    memory): good to a millionth for pieces of a few kilometres.
    """
    lat_rad = np.radians(np.asarray(lat, dtype=np.float64) / DEGREES)
    lon_rad = np.radians(np.asarray(lon, dtype=np.float64) / DEGREES)
    north, east = metres_per_radian((lat_rad[1:] + lat_rad[:-1]) / 2)
    return np.asarray(np.hypot(np.diff(lat_rad) * north, np.diff(lon_rad) * east))


def metres_per_radian(lat_rad: Any) -> tuple[Any, Any]:
    """Metres of one radian to the north and to the east at a latitude on the WGS84 ellipsoid."""
    a, e2 = 6_378_137.0, 0.00669437999014  # WGS84: half axis, first eccentricity squared
    bow = 1 - e2 * np.sin(lat_rad) ** 2
    return a * (1 - e2) / bow**1.5, a / np.sqrt(bow) * np.cos(lat_rad)
