"""The states over which the search for the fastest way runs.

A junction is one state where turning costs nothing and all turns are allowed; elsewhere each arc
that reaches it has a state of its own, so that what comes next may depend on where a car came from.
"""

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from servicedesk.travel.road_cost import ENTRY_S, Costs, Stop, TurnCost, packed
from servicedesk.travel.road_graph import (
    BACKWARD,
    FORWARD,
    INSIDERS_ONLY,
    MINOR,
    Ints,
    RoadGraph,
    metres_per_radian,
)

_NO_TURNING_ROUND = 4  # junctions; common practice, no source


@dataclass(frozen=True, eq=False)
class States:
    """The states with the ways between them; `row`, `col`, `cost`, `arc` sorted by row and col."""

    graph: RoadGraph
    n: int
    state_of_arc: Ints
    row: npt.NDArray[np.int64]
    col: npt.NDArray[np.int64]
    cost: Costs
    arc: Ints
    entry_start: npt.NDArray[np.int64]  # by arc: from which states it can be entered, at what cost
    entry_state: npt.NDArray[np.int64]
    entry_cost: Costs
    component: Ints  # by segment: which connected piece of insiders' roads, -1 for public ones

    def inside(self, stops: list[Stop]) -> Ints:
        return self.component[[s.segment for s in stops]]

    def forward(self) -> tuple[Costs, Any, Any]:
        return self.cost, self.col, np.searchsorted(self.row, np.arange(self.n + 1))

    def backward(self) -> tuple[Costs, Any, Any]:
        order = np.lexsort((self.row, self.col))
        start = np.searchsorted(self.col[order], np.arange(self.n + 1))
        return self.cost[order], self.row[order], start

    def starts(self, stops: list[Stop]) -> list[tuple[Any, Costs]]:
        """For every stop the states it can reach first, and the cost."""
        return [self.start(stop) for stop in stops]

    def start(self, stop: Stop) -> tuple[Any, Costs]:
        graph, s = self.graph, stop.segment
        arcs = [2 * s] if int(graph.ways[s]) & FORWARD else []
        arcs += [2 * s + 1] if int(graph.ways[s]) & BACKWARD else []
        left = np.array([stop.fraction if arc % 2 else 1 - stop.fraction for arc in arcs])
        return self.state_of_arc[arcs].astype(np.int64), packed(
            left * graph.seconds[s], left * graph.metres[s]
        )

    def ends(self, stops: list[Stop]) -> list[tuple[Any, Costs]]:
        """For every stop the states from which it can be reached, and the cost."""
        found = []
        for stop in stops:
            parts = [self.end(stop, arc) for arc in (2 * stop.segment, 2 * stop.segment + 1)]
            found.append(
                (np.concatenate([p[0] for p in parts]), np.concatenate([p[1] for p in parts]))
            )
        return found

    def end(self, stop: Stop, arc: int) -> tuple[Any, Costs]:
        graph, s = self.graph, stop.segment
        part = slice(int(self.entry_start[arc]), int(self.entry_start[arc + 1]))
        share = 1 - stop.fraction if arc % 2 else stop.fraction
        drive = packed(np.array([share * graph.seconds[s]]), np.array([share * graph.metres[s]]))
        return self.entry_state[part], self.entry_cost[part] + drive


def with_sources(data: Costs, indices: Any, indptr: Any, sources: list[tuple[Any, Costs]]) -> Any:
    """The graph as a sparse matrix with one more row for each source, in their order."""
    from scipy.sparse import csr_matrix

    counts = [len(states) for states, _ in sources]
    n = len(indptr) - 1 + len(sources)
    # the cheaper one counts where both directions of a loop reach the same state
    new = [_each_once(states, costs) for states, costs in sources]
    counts = [len(states) for states, _ in new]
    return csr_matrix(
        (
            np.concatenate([data, *(costs for _, costs in new)]),
            np.concatenate([indices, *(states for states, _ in new)]).astype(np.int32),
            np.concatenate([indptr, indptr[-1] + np.cumsum(counts)]).astype(np.int32),
        ),
        shape=(n, n),
    )


def _each_once(states: Any, costs: Costs) -> tuple[Any, Costs]:
    order = np.lexsort((costs, states))
    states, costs = states[order], np.maximum(costs[order], 1.0)  # an arc of cost 0 is no arc
    first = np.ones(len(states), dtype=bool)
    first[1:] = states[1:] != states[:-1]
    return states[first], costs[first]


def states_of(graph: RoadGraph, turn_cost: TurnCost) -> States:
    arcs = graph.arcs()
    before, after = _turns(graph, arcs)
    private = (graph.flags & INSIDERS_ONLY) > 0
    entering = ~private[before // 2] & private[after // 2]
    lost_s = np.where(entering, ENTRY_S, 0.0)
    if turn_cost.full_s:
        lost_s += _turning_s(graph, before, after, turn_cost)
    allowed = ~_is_banned(graph, before, after)
    n, state_of_arc, split = _number_states(graph, arcs, before, after, allowed, lost_s)
    # at a split junction turning round is for dead ends only
    round_ = (before ^ 1) == after
    exits = np.bincount(graph.arc_tail(arcs), minlength=graph.n_nodes)
    at = graph.arc_head(before)
    allowed &= ~(round_ & split[at] & (exits[at] > 1))
    before, after, lost_s = before[allowed], after[allowed], lost_s[allowed]
    row = state_of_arc[before].astype(np.int64)
    lost = packed(lost_s, np.zeros(len(lost_s)))
    entry = np.lexsort((lost, row, after))
    row, after, lost = row[entry], after[entry], lost[entry]
    once = np.ones(len(row), dtype=bool)
    once[1:] = (after[1:] != after[:-1]) | (row[1:] != row[:-1])
    row, after, lost = row[once], after[once], lost[once]
    drive = packed(graph.seconds[after // 2].astype(np.float64), graph.metres[after // 2])
    col, cost = state_of_arc[after].astype(np.int64), lost + drive
    order = np.lexsort((after, cost, col, row))
    keep = np.ones(len(order), dtype=bool)
    r, c = row[order], col[order]
    keep[1:] = (r[1:] != r[:-1]) | (c[1:] != c[:-1])
    order = order[keep]
    return States(
        graph=graph,
        n=n,
        state_of_arc=state_of_arc,
        row=row[order],
        col=col[order],
        cost=cost[order],
        arc=after[order].astype(np.int32),
        entry_start=np.searchsorted(after, np.arange(2 * graph.n_segments + 1)),
        entry_state=row,
        entry_cost=lost,
        component=_insiders(graph, private),
    )


def _turns(graph: RoadGraph, arcs: Ints) -> tuple[Any, Any]:
    """Every pair of arcs of which the second leaves where the first arrives."""
    by_tail = arcs[np.argsort(graph.arc_tail(arcs), kind="stable")]
    first = np.searchsorted(graph.arc_tail(by_tail), np.arange(graph.n_nodes + 1))
    at = graph.arc_head(arcs)
    count = first[at + 1] - first[at]
    before = np.repeat(arcs, count)
    within = np.arange(len(before)) - np.repeat(np.cumsum(count) - count, count)
    return before, by_tail[np.repeat(first[at], count) + within]


def _is_banned(graph: RoadGraph, before: Any, after: Any) -> npt.NDArray[np.bool_]:
    if not len(graph.banned):
        return np.zeros(len(before), dtype=bool)
    most = np.int64(2 * graph.n_segments)
    banned = graph.banned[:, 0].astype(np.int64) * most + graph.banned[:, 1]
    return np.isin(before.astype(np.int64) * most + after, banned)


def _number_states(
    graph: RoadGraph, arcs: Ints, before: Any, after: Any, allowed: Any, lost_s: Costs
) -> tuple[int, Ints, npt.NDArray[np.bool_]]:
    """How many states, the one each arc reaches, and which nodes have one for every arc."""
    at = graph.arc_head(before)
    matters = (~allowed | (lost_s > 0)) & ((before ^ 1) != after)
    matters |= ~allowed
    split = np.zeros(graph.n_nodes, dtype=bool)
    split[at[matters]] = True
    split |= _around(graph, arcs, at[~allowed])
    state = np.full(2 * graph.n_segments, -1, dtype=np.int32)
    head = graph.arc_head(arcs)
    own = split[head]
    state[arcs[~own]] = head[~own]
    state[arcs[own]] = graph.n_nodes + np.arange(int(own.sum()))
    return graph.n_nodes + int(own.sum()), state, split


def _around(graph: RoadGraph, arcs: Ints, nodes: Any) -> npt.NDArray[np.bool_]:
    """Nodes up to `_NO_TURNING_ROUND` arcs behind some nodes.

    At these too it must be known where a car came from: else it would go on straight, turn round at
    the next junction and come back to a turn that is forbidden from the first side only.
    """
    near = np.zeros(graph.n_nodes, dtype=bool)
    near[nodes] = True
    tails, heads = graph.arc_tail(arcs), graph.arc_head(arcs)
    for _ in range(_NO_TURNING_ROUND):
        near[heads[near[tails]]] = True
    return near


def _turning_s(graph: RoadGraph, before: Any, after: Any, cost: TurnCost) -> Costs:
    """Seconds lost at each pair of arcs by its angle."""
    lat = np.radians(graph.shape_lat.astype(np.float64) / 1e7)
    lon = np.radians(graph.shape_lon.astype(np.float64) / 1e7)
    north, east = metres_per_radian(float(lat.mean()) if len(lat) else 0.0)
    x, y = lon * east, lat * north
    first, last = graph.shape_start[:-1], graph.shape_start[1:] - 1

    def bearing(a: Any, b: Any) -> Any:
        return np.arctan2(x[b] - x[a], y[b] - y[a])

    s, t = before // 2, after // 2
    comes = np.where(
        before % 2 == 0, bearing(last[s] - 1, last[s]), bearing(first[s] + 1, first[s])
    )
    goes = np.where(after % 2 == 0, bearing(first[t], first[t] + 1), bearing(last[t], last[t] - 1))
    turn = np.degrees(np.abs((goes - comes + np.pi) % (2 * np.pi) - np.pi))
    share = np.clip((turn - cost.from_deg) / (cost.until_deg - cost.from_deg), 0.0, 1.0)
    arcs = graph.arcs()
    minor = (graph.flags & MINOR) > 0
    exits = np.bincount(graph.arc_tail(arcs[~minor[arcs // 2]]), minlength=graph.n_nodes)
    # where a road only bends, or a driveway joins it, there is nobody to wait for
    waits = (exits[graph.arc_head(before)] > 2) & ~minor[s] & ~minor[t]
    return np.asarray(share * cost.full_s * waits)


def _insiders(graph: RoadGraph, private: npt.NDArray[np.bool_]) -> Ints:
    """By segment the number of its connected piece of insiders' roads, -1 for public ones."""
    from scipy.sparse import coo_matrix
    from scipy.sparse.csgraph import connected_components

    some = np.flatnonzero(private)
    ends = (graph.tail[some], graph.head[some])
    links = coo_matrix((np.ones(len(some)), ends), shape=(graph.n_nodes, graph.n_nodes))
    _, label = connected_components(links, directed=False)
    component = np.full(graph.n_segments, -1, dtype=np.int32)
    component[some] = label[graph.tail[some]]
    return component
