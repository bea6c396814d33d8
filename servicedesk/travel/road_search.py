"""Shortest times over the roads of an area, between many places at once, and the way itself."""

from dataclasses import dataclass, field
from typing import Any

import numpy as np

from servicedesk.travel.road_cost import ENTRY_S, MOST, Costs, Stop, TurnCost, packed, unpacked
from servicedesk.travel.road_graph import BACKWARD, FORWARD, RoadGraph
from servicedesk.travel.road_states import States, states_of, with_sources

_CHUNK = 64  # sources at a time: bounds the memory


@dataclass(frozen=True, eq=False)
class RoadSearch:
    """A graph made ready for searching."""

    graph: RoadGraph
    turn_cost: TurnCost = field(default_factory=TurnCost)
    _ready: States = field(init=False, repr=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "_ready", states_of(self.graph, self.turn_cost))

    @property
    def n_states(self) -> int:
        """How many states the search runs over."""
        return self._ready.n

    def between(self, origins: list[Stop], targets: list[Stop]) -> tuple[Costs, Costs]:
        """``seconds[i][j]``, ``metres[i][j]`` of the fastest way from origin i to target j.

        Infinite where there is none. Not symmetric. One search for each origin, or for each target
        where those are fewer: one new place costs two searches.
        """
        ready = self._ready
        starts, ends = ready.starts(origins), ready.ends(targets)
        if len(targets) < len(origins):
            cost = _search(ready.backward(), ends, starts, len(origins)).T
        else:
            cost = _search(ready.forward(), starts, ends, len(targets))
        cost = np.minimum(cost, self._along_one_segment(origins, targets))
        seconds, metres = unpacked(cost)
        inside_i, inside_j = ready.inside(origins), ready.inside(targets)
        entered = (inside_j[None, :] >= 0) & (inside_i[:, None] != inside_j[None, :])
        seconds -= np.where(entered, ENTRY_S, 0.0)
        return np.maximum(seconds, 0.0), metres

    def arcs_between(self, origin: Stop, target: Stop) -> list[int] | None:
        """The arcs driven from origin to target, the first and last one in part; None if no way.

        Two places on one segment: one arc. Equal places: none.
        """
        if origin == target:
            return []
        along = self._along_one_segment([origin], [target])[0, 0]
        ready = self._ready
        best, arcs = trace(ready, origin, target)
        if np.isinf(min(along, best)):
            return None
        if along <= best:
            back = target.fraction < origin.fraction
            return [2 * origin.segment + (1 if back else 0)]
        return arcs

    def _along_one_segment(self, origins: list[Stop], targets: list[Stop]) -> Costs:
        """Packed cost of driving from one place to another of the same segment; else infinite."""
        graph = self.graph
        seg_i = np.array([s.segment for s in origins], dtype=np.int64)
        seg_j = np.array([s.segment for s in targets], dtype=np.int64)
        at_i = np.array([s.fraction for s in origins])
        at_j = np.array([s.fraction for s in targets])
        step = at_j[None, :] - at_i[:, None]
        ways = graph.ways[seg_i][:, None]
        may = (seg_i[:, None] == seg_j[None, :]) & (
            ((step >= 0) & ((ways & FORWARD) > 0)) | ((step <= 0) & ((ways & BACKWARD) > 0))
        )
        cost = packed(
            np.abs(step) * graph.seconds[seg_i][:, None],
            np.abs(step) * graph.metres[seg_i][:, None],
        )
        # the same place is no drive, even on a one-way road
        same = (seg_i[:, None] == seg_j[None, :]) & (step == 0)
        return np.where(same, 0.0, np.where(may, cost, np.inf))


def _search(
    matrix: tuple[Costs, Any, Any],
    sources: list[tuple[Any, Costs]],
    ends: list[tuple[Any, Costs]],
    n_ends: int,
) -> Costs:
    """Packed cost from each source to each end over at least one junction."""
    from scipy.sparse.csgraph import dijkstra

    full = with_sources(*matrix, sources)
    n = full.shape[0] - len(sources)
    found = np.full((len(sources), n_ends), np.inf)
    states = np.concatenate([s for s, _ in ends]) if ends else np.zeros(0, dtype=np.int64)
    costs = np.concatenate([c for _, c in ends]) if ends else np.zeros(0)
    counts = np.array([len(s) for s, _ in ends], dtype=np.int64)
    reached = np.flatnonzero(counts)
    if not len(reached):
        return found
    begins = (np.cumsum(counts) - counts)[reached]
    for first in range(0, len(sources), _CHUNK):
        rows = np.arange(first, min(first + _CHUNK, len(sources)))
        far = dijkstra(full, indices=n + rows, limit=MOST)
        found[np.ix_(rows, reached)] = np.minimum.reduceat(
            far[:, states] + costs[None, :], begins, axis=1
        )
    return found


def trace(states: States, origin: Stop, target: Stop) -> tuple[float, list[int]]:
    """Packed cost of the best way over at least one junction, and its arcs."""
    from scipy.sparse.csgraph import dijkstra

    start, (ends, to_end) = states.start(origin), states.ends([target])[0]
    data, indices, indptr = states.forward()
    matrix = with_sources(data, indices, indptr, [start])
    cost, before = dijkstra(matrix, indices=states.n, return_predecessors=True, limit=MOST)
    if not len(ends):
        return float("inf"), []
    total = cost[ends] + to_end
    best = int(np.argmin(total))
    if np.isinf(total[best]):
        return float("inf"), []
    arcs = [_last_arc(states, target, int(ends[best]), float(to_end[best]))]
    state = int(ends[best])
    while int(before[state]) != states.n:
        arcs.append(_arc(states, int(before[state]), state))
        state = int(before[state])
    arcs.append(_first_arc(states, origin, state, float(cost[state])))
    return float(total[best]), arcs[::-1]


def _arc(states: States, row: int, col: int) -> int:
    first, last = np.searchsorted(states.row, [row, row + 1])
    return int(states.arc[first + np.searchsorted(states.col[first:last], col)])


def _first_arc(states: States, origin: Stop, state: int, cost: float) -> int:
    s = origin.segment
    reached, costs = states.start(origin)
    arcs = [arc for arc in (2 * s, 2 * s + 1) if int(states.graph.ways[s]) & (1 + arc % 2)]
    fits = [n for n in range(len(arcs)) if reached[n] == state]
    return arcs[min(fits, key=lambda n: abs(float(costs[n]) - cost))]


def _last_arc(states: States, target: Stop, state: int, cost: float) -> int:
    fits = []
    for arc in (2 * target.segment, 2 * target.segment + 1):
        reaching, costs = states.end(target, arc)
        fits += [(abs(float(c) - cost), arc) for c in costs[reaching == state]]
    return min(fits)[1]
