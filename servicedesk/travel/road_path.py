"""The points of a drive along the roads."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from servicedesk.travel.road_cost import Stop
from servicedesk.travel.road_graph import RoadGraph, piece_lengths_m
from servicedesk.values.position import Position


@dataclass(frozen=True, slots=True, kw_only=True)
class RoadPath:
    """A drive: its points from first to last (two at least), seconds and metres by road."""

    points: tuple[Position, ...]
    seconds: float
    metres: float


def path_along(
    graph: RoadGraph, arcs: Sequence[int], origin: Stop, target: Stop
) -> tuple[Position, ...]:
    """The points from `origin` over `arcs` to `target`, none twice in a row; empty for no arcs."""
    found: list[tuple[int, int]] = []
    for n, arc in enumerate(arcs):
        back = arc % 2 == 1
        first, last = (1.0, 0.0) if back else (0.0, 1.0)
        if n == 0:
            first = origin.fraction
        if n == len(arcs) - 1:
            last = target.fraction
        for point in _part(graph, arc // 2, first, last):
            if not found or point != found[-1]:
                found.append(point)
    if len(found) == 1:
        found *= 2
    return tuple(Position(lat / 1e7, lon / 1e7) for lat, lon in found)


def _part(graph: RoadGraph, segment: int, first: float, last: float) -> list[tuple[int, int]]:
    """Points of a segment between two fractions of its length, in the direction driven."""
    lat, lon = (c.astype(np.float64) for c in graph.points(segment))
    along = np.concatenate([[0.0], np.cumsum(piece_lengths_m(lat, lon))])
    along /= along[-1] or 1.0
    low, high = min(first, last), max(first, last)
    inner = along[(along > low) & (along < high)]
    at = np.concatenate([[low], inner, [high]])
    points = [
        (round(a), round(o))
        for a, o in zip(np.interp(at, along, lat), np.interp(at, along, lon), strict=True)
    ]
    return points if first <= last else points[::-1]
