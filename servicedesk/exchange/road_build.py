"""Makes the graph of an area from the roads of an extract: split where they meet."""

import numpy as np
import numpy.typing as npt

from servicedesk.exchange.osm_roads import Area, RawWays
from servicedesk.exchange.osm_tags import CLASSES, TIME_FACTOR
from servicedesk.exchange.road_turns import Pieces, banned_turns
from servicedesk.travel.road_graph import RoadGraph, piece_lengths_m

_Longs = npt.NDArray[np.int64]


# roads of these classes lead somewhere: where one ends, the extract has cut it
_LEADS_ON = [CLASSES.index(k) for k in ("motorway", "trunk", "primary", "secondary", "tertiary")]


def graph_of(raw: RawWays, area: Area | None = None) -> RoadGraph:
    """Roads split where two share a point, at their ends and where something blocks cars.

    A graph without roads if there are none. Seconds are those of the class or the posted speed
    times `TIME_FACTOR`. `area` is what the roads were clipped to.
    """
    refs = np.array(raw.refs, dtype=np.int64)
    lat, lon = np.array(raw.lat, dtype=np.int32), np.array(raw.lon, dtype=np.int32)
    start = np.array(raw.start, dtype=np.int64)
    first, last, way = _split(refs, start, raw.blocked)
    ids = _end_ids(refs, first, last, raw.blocked)
    nodes, place, ends = np.unique(ids, return_index=True, return_inverse=True)
    at = np.concatenate([first, last])[place]
    tail, head = np.split(ends.astype(np.int32), 2)
    lengths = last - first + 1
    shape_start = np.concatenate([[0], np.cumsum(lengths)])
    points = np.arange(shape_start[-1]) - np.repeat(shape_start[:-1] - first, lengths)
    metres = _metres(lat, lon, first, last)
    speed = np.array(raw.speed_kmh, dtype=np.float64)[way]
    ways = np.array(raw.ways, dtype=np.int8)[way]
    kind = np.array(raw.kind, dtype=np.int8)[way]
    shape = Pieces(tail, head, ways, first, last, lat, lon)
    return RoadGraph(
        node_lat=lat[at],
        node_lon=lon[at],
        tail=tail,
        head=head,
        shape_start=shape_start.astype(np.int32),
        shape_lat=lat[points],
        shape_lon=lon[points],
        metres=metres.astype(np.float32),
        seconds=(metres / (speed / 3.6) * TIME_FACTOR).astype(np.float32),
        ways=ways,
        flags=np.array(raw.flags, dtype=np.int8)[way],
        kind=kind,
        name=np.array(raw.name, dtype=np.int32)[way],
        banned=banned_turns(raw, nodes, shape, way),
        cut=_cut(raw, nodes, tail, head, kind),
        hull=_outline(raw.box, area) if raw.box or area else _hull(lat, lon),
        names=tuple(raw.names),
    )


def _split(refs: _Longs, start: _Longs, blocked: set[int]) -> tuple[_Longs, _Longs, _Longs]:
    """First and last point of every segment, and the road it belongs to."""
    _, which, count = np.unique(refs, return_inverse=True, return_counts=True)
    is_end = count[which] > 1 if len(refs) else np.zeros(0, dtype=bool)
    is_end |= np.isin(refs, list(blocked))
    is_end[start[:-1]] = True
    is_end[start[1:] - 1] = True
    ends = np.flatnonzero(is_end)
    way_of_end = np.searchsorted(start, ends, side="right") - 1
    same = way_of_end[1:] == way_of_end[:-1]
    return ends[:-1][same], ends[1:][same], way_of_end[:-1][same]


def _end_ids(refs: _Longs, first: _Longs, last: _Longs, blocked: set[int]) -> _Longs:
    """Node ids of all first, then all last points; a blocked point is another one for each road."""
    ids = refs[np.concatenate([first, last])]
    walls = np.flatnonzero(np.isin(ids, list(blocked)))
    ids[walls] = -1 - walls
    return np.asarray(ids)


def _metres(
    lat: npt.NDArray[np.int32], lon: npt.NDArray[np.int32], first: _Longs, last: _Longs
) -> npt.NDArray[np.float64]:
    along = np.concatenate([[0.0], np.cumsum(piece_lengths_m(lat, lon))])
    # a centimetre at least: two points in one place would make an arc that costs nothing
    return np.asarray(np.maximum(along[last] - along[first], 0.01))


def _cut(
    raw: RawWays,
    nodes: _Longs,
    tail: npt.NDArray[np.int32],
    head: npt.NDArray[np.int32],
    kind: npt.NDArray[np.int8],
) -> npt.NDArray[np.int32]:
    """Nodes where a road lost points, or a road that leads on ends."""
    ends = np.bincount(np.concatenate([tail, head]), minlength=len(nodes)) == 1
    leads_on = np.zeros(len(nodes), dtype=bool)
    major = np.isin(kind, _LEADS_ON)
    leads_on[tail[major]] = True
    leads_on[head[major]] = True
    # a bollard ends a road too, and has a number of its own
    lost = np.isin(nodes, list(raw.cut)) | (ends & leads_on & (nodes >= 0))
    return np.flatnonzero(lost).astype(np.int32)


def _outline(box: Area | None, area: Area | None) -> npt.NDArray[np.int32]:
    """The corners of what the extract covers and was clipped to."""
    known = [one for one in (box, area) if one is not None]
    both = known[0].within(known[-1])
    corners = [
        (both.lat_from, both.lon_from),
        (both.lat_from, both.lon_until),
        (both.lat_until, both.lon_until),
        (both.lat_until, both.lon_from),
    ]
    return np.rint(np.array(corners) * 1e7).clip(-(2**31), 2**31 - 1).astype(np.int32)


def _hull(lat: npt.NDArray[np.int32], lon: npt.NDArray[np.int32]) -> npt.NDArray[np.int32]:
    """Corners around all points, counterclockwise; empty for fewer than three."""
    from scipy.spatial import ConvexHull, QhullError

    points = np.column_stack([lat, lon])
    try:
        return np.asarray(points[ConvexHull(points.astype(np.float64)).vertices], dtype=np.int32)
    except (QhullError, ValueError):  # all on one line, or too few
        return np.zeros((0, 2), dtype=np.int32)
