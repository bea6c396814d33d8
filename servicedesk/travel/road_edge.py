"""Where an extract ends: roads are cut there, and ways around may be missing."""

import numpy as np

from servicedesk.travel.road_graph import RoadGraph, metres_per_radian
from servicedesk.values.position import Position

EDGE_M = 500.0  # common practice, no source


def near_edge(graph: RoadGraph, position: Position, within_m: float = EDGE_M) -> bool:
    """Whether a place lies outside, or within `within_m` of, the outline of an extract.

    Also near a road that the extract cut. False where there is no outline.
    """
    north, east = (m * np.pi / 180 / 1e7 for m in metres_per_radian(np.radians(position.lat_deg)))
    if len(graph.cut):
        x = (graph.node_lon[graph.cut] - position.lon_deg * 1e7) * east
        y = (graph.node_lat[graph.cut] - position.lat_deg * 1e7) * north
        if float(np.hypot(x, y).min()) <= within_m:
            return True
    if len(graph.hull) < 3:
        return False
    x = (graph.hull[:, 1] - position.lon_deg * 1e7) * east
    y = (graph.hull[:, 0] - position.lat_deg * 1e7) * north
    dx, dy = np.roll(x, -1) - x, np.roll(y, -1) - y
    # signed distance of the place (the origin) from every side of a convex outline
    off = (x * dy - y * dx) / np.maximum(np.hypot(dx, dy), 1e-9)
    inside = off if float(off.sum()) > 0 else -off
    return bool(inside.min() < within_m)
