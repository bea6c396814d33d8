"""The streets of an area with their towns and crossings, from its roads."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from servicedesk.travel.houses import Houses
from servicedesk.travel.road_graph import RoadGraph
from servicedesk.travel.road_map import PlaceName

_TOWNS = {"city", "town", "village", "hamlet"}
_TOWN_WITHIN_DEG = 0.2  # farther from any town a street lies in none


@dataclass(frozen=True, slots=True)
class Street:
    """A street in a town; the position is one on it (1e-7 degrees)."""

    name: str
    town: str
    lat: int
    lon: int


@dataclass(frozen=True, slots=True)
class Crossing:
    """Where two streets meet."""

    street: str
    other: str
    town: str
    lat: int
    lon: int


class TownFinder:
    """The nearest town of places, by straight line."""

    def __init__(self, places: Sequence[PlaceName]) -> None:
        from scipy.spatial import cKDTree

        self._towns = [p for p in places if p.kind in _TOWNS]
        spots = np.array([(p.lat_deg, p.lon_deg) for p in self._towns], dtype=float).reshape(-1, 2)
        self._stretch = float(np.cos(np.radians(spots[:, 0].mean()))) if len(spots) else 1.0
        self._tree = cKDTree(spots * (1, self._stretch)) if len(spots) else None

    def of(self, lat: npt.NDArray[Any], lon: npt.NDArray[Any]) -> list[str]:
        """The town's name for each position (1e-7 degrees), "" where none is near."""
        if self._tree is None or not len(lat):
            return [""] * len(lat)
        spots = np.column_stack([lat / 1e7, lon / 1e7 * self._stretch])
        _, near = self._tree.query(spots, distance_upper_bound=_TOWN_WITHIN_DEG)
        return [self._towns[n].name if n < len(self._towns) else "" for n in near]


def streets_of(graph: RoadGraph, houses: Houses, places: Sequence[PlaceName]) -> tuple[Street, ...]:
    """Every street once in every town it passes, by name and town; those of houses too."""
    towns = TownFinder(places)
    named = np.flatnonzero(graph.name >= 0)
    middle = (graph.shape_start[named] + graph.shape_start[named + 1]) // 2
    lat, lon = graph.shape_lat[middle], graph.shape_lon[middle]
    found: dict[tuple[str, str], tuple[float, int, int]] = {}
    for segment, town, y, x in zip(named, towns.of(lat, lon), lat, lon, strict=True):
        key = (graph.names[int(graph.name[segment])], town)
        length = float(graph.metres[segment])
        if key not in found or length > found[key][0]:  # its longest piece stands for it
            found[key] = (length, int(y), int(x))
    known = {name for name, _ in found}
    house_towns = towns.of(houses.lat, houses.lon)
    for n, name in enumerate(houses.street):
        if name not in known:
            town = houses.town[n] or house_towns[n]
            found.setdefault((name, town), (0.0, int(houses.lat[n]), int(houses.lon[n])))
    return tuple(Street(name, town, y, x) for (name, town), (_, y, x) in sorted(found.items()))


def crossings_of(graph: RoadGraph, places: Sequence[PlaceName]) -> tuple[Crossing, ...]:
    """Every junction at which roads of two names meet, once for each pair of names."""
    named = graph.name >= 0
    nodes = np.concatenate([graph.tail[named], graph.head[named]]).astype(np.int64)
    names = np.concatenate([graph.name[named]] * 2).astype(np.int64)
    pairs = np.unique(np.column_stack([nodes, names]), axis=0)
    if not len(pairs):
        return ()
    first = np.flatnonzero(np.r_[True, pairs[1:, 0] != pairs[:-1, 0]])
    found = []
    for begin, end in zip(first, [*first[1:], len(pairs)], strict=True):
        own = [graph.names[int(k)] for k in pairs[begin:end, 1]]
        node = int(pairs[begin, 0])
        found += [(node, a, b) for i, a in enumerate(own) for b in own[i + 1 :]]
    at = np.array([node for node, _, _ in found], dtype=np.int64)
    towns = TownFinder(places).of(graph.node_lat[at], graph.node_lon[at])
    return tuple(
        Crossing(a, b, town, int(graph.node_lat[node]), int(graph.node_lon[node]))
        for (node, a, b), town in zip(found, towns, strict=True)
    )
