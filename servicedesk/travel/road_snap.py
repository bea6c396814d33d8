"""From a place on the ground to the nearest place on a road."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from servicedesk.travel.road_graph import (
    BACKWARD,
    FORWARD,
    NO_STOP,
    RoadGraph,
    metres_per_radian,
    piece_lengths_m,
)
from servicedesk.values.position import Position

EVERY_M = 40.0  # long straight roads have no points of their own to be found by
_CANDIDATES = 12
_EARTH_M = 6_371_000.0  # only for the first rough search


@dataclass(frozen=True, slots=True, kw_only=True)
class Snap:
    """The nearest place on a road: `away_m` from where it was asked for.

    `fraction` of the segment's length from its first point.
    """

    segment: int
    fraction: float
    away_m: float
    position: Position


class Snapper:
    """Finds roads near places; only roads from which all others can be reached and back.

    Motorways and tunnels are left out: nobody lives there.
    """

    def __init__(self, graph: RoadGraph) -> None:
        from scipy.spatial import cKDTree

        self._graph = graph
        n_pieces = np.diff(graph.shape_start) - 1
        segment = np.repeat(np.arange(graph.n_segments), n_pieces)
        first = np.arange(len(segment)) + segment  # a segment has one piece fewer than points
        lengths = _lengths(graph)
        self._before = np.cumsum(lengths) - lengths  # of all pieces so far, in metres
        keep = _usable(graph)[segment]
        self._segment, self._first = segment[keep], first[keep]
        self._length = lengths[keep]
        self._start_m = (
            self._before[keep] - _at_segment_start(self._before, n_pieces)[segment[keep]]
        )
        self._total_m = np.bincount(segment, lengths, minlength=graph.n_segments)
        count = np.maximum(np.ceil(self._length / EVERY_M).astype(np.int64), 1)
        self._piece = np.repeat(np.arange(len(count)), count)
        within = np.arange(len(self._piece)) - np.repeat(np.cumsum(count) - count, count)
        share = (within + 0.5) / np.repeat(count, count)  # middles: at most 20 m from any point
        lat = graph.shape_lat.astype(np.float64) / 1e7
        lon = graph.shape_lon.astype(np.float64) / 1e7
        a = self._first[self._piece]
        self._tree = cKDTree(
            _in_space(
                lat[a] + share * (lat[a + 1] - lat[a]), lon[a] + share * (lon[a + 1] - lon[a])
            )
        )

    def snap(self, positions: Sequence[Position]) -> list[Snap | None]:
        """The nearest road place for each position; None where the area has no road at all.

        However far it is: whoever asks must look at `away_m`.
        """
        if not positions or not len(self._piece):
            return [None] * len(positions)
        lat = np.array([p.lat_deg for p in positions])
        lon = np.array([p.lon_deg for p in positions])
        k = min(_CANDIDATES, len(self._piece))
        _, near = self._tree.query(_in_space(lat, lon), k=k)
        pieces = self._piece[np.asarray(near).reshape(len(positions), k)]
        away, share = self._project(lat, lon, pieces)
        best = np.argmin(np.round(away, 3), axis=1)  # ties: the nearest sample, always the same
        rows = np.arange(len(positions))
        return [
            self._snap(int(piece), float(part), float(far))
            for piece, part, far in zip(
                pieces[rows, best], share[rows, best], away[rows, best], strict=True
            )
        ]

    def _project(self, lat: Any, lon: Any, pieces: Any) -> tuple[Any, Any]:
        """Distance from each place to its candidate pieces, and where on the piece (0..1)."""
        graph = self._graph
        north, east = (m[:, None] * np.pi / 180 / 1e7 for m in metres_per_radian(np.radians(lat)))
        a = self._first[pieces]
        x0 = (graph.shape_lon[a] - lon[:, None] * 1e7) * east
        y0 = (graph.shape_lat[a] - lat[:, None] * 1e7) * north
        dx = (graph.shape_lon[a + 1] - graph.shape_lon[a]) * east
        dy = (graph.shape_lat[a + 1] - graph.shape_lat[a]) * north
        square = np.maximum(dx * dx + dy * dy, 1e-12)
        share = np.clip(-(x0 * dx + y0 * dy) / square, 0.0, 1.0)
        return np.hypot(x0 + share * dx, y0 + share * dy), share

    def _snap(self, piece: int, share: float, away_m: float) -> Snap:
        graph, segment = self._graph, int(self._segment[piece])
        along = float(self._start_m[piece]) + share * float(self._length[piece])
        a = int(self._first[piece])
        lat, lon = (
            (float(c[a]) + share * (float(c[a + 1]) - float(c[a]))) / 1e7
            for c in (graph.shape_lat, graph.shape_lon)
        )
        total = float(self._total_m[segment])
        return Snap(
            segment=segment,
            fraction=min(1.0, along / total) if total else 0.0,
            away_m=away_m,
            position=Position(lat, lon),
        )


def _lengths(graph: RoadGraph) -> npt.NDArray[np.float64]:
    """Metres of every piece; those between two segments are left out."""
    if not graph.n_segments:
        return np.zeros(0)
    lengths = piece_lengths_m(graph.shape_lat, graph.shape_lon)
    return np.delete(lengths, graph.shape_start[1:-1] - 1)


def _at_segment_start(before: npt.NDArray[np.float64], n_pieces: Any) -> Any:
    return before[np.cumsum(n_pieces) - n_pieces] if len(before) else before


def _usable(graph: RoadGraph) -> npt.NDArray[np.bool_]:
    """Segments of the largest part in which every road can be reached from every other."""
    from scipy.sparse import coo_matrix
    from scipy.sparse.csgraph import connected_components

    if not graph.n_segments:
        return np.zeros(0, dtype=bool)
    forward, backward = (graph.ways & FORWARD) > 0, (graph.ways & BACKWARD) > 0
    row = np.concatenate([graph.tail[forward], graph.head[backward]])
    col = np.concatenate([graph.head[forward], graph.tail[backward]])
    n = graph.n_nodes
    links = coo_matrix((np.ones(len(row)), (row, col)), shape=(n, n))
    _, label = connected_components(links, directed=True, connection="strong")
    main = label == np.argmax(np.bincount(label))
    return np.asarray(main[graph.tail] & main[graph.head] & ((graph.flags & NO_STOP) == 0))


def _in_space(lat_deg: Any, lon_deg: Any) -> npt.NDArray[np.float64]:
    """Points on a sphere in metres: straight distances order like those along the ground."""
    lat, lon = np.radians(lat_deg), np.radians(lon_deg)
    return _EARTH_M * np.column_stack(
        [np.cos(lat) * np.cos(lon), np.cos(lat) * np.sin(lon), np.sin(lat)]
    )
