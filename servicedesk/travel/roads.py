"""Real roads: which one a place lies at, how long it takes between places, and which way."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from servicedesk.travel.geodesic import distance_m
from servicedesk.travel.road_cost import Costs, Stop, TurnCost
from servicedesk.travel.road_edge import near_edge
from servicedesk.travel.road_graph import RoadGraph
from servicedesk.travel.road_path import RoadPath, path_along
from servicedesk.travel.road_search import RoadSearch
from servicedesk.travel.road_snap import Snap, Snapper
from servicedesk.values.position import Position
from servicedesk.values.reason import Reason

FAR_M = 150.0  # a site farther from any road is asked about; common practice, no source
TURN_COST = TurnCost(full_s=3.0)  # common practice, no source; the check pairs do not depend on it


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """Where a position stands on the roads.

    `snap` is None if no road is near enough; `why` then says so: "no_road_near" (nearest_m) or
    "no_road_here". At an extract's edge `why` is "at_the_edge": times may be too long there.
    """

    position: Position
    snap: Snap | None
    why: Reason | None = None


@dataclass(frozen=True, eq=False)
class Roads:
    """The roads of an area, made ready for questions when first asked. Safe to keep and share."""

    graph: RoadGraph
    turn_cost: TurnCost = field(default=TURN_COST)

    @cached_property
    def snapper(self) -> Snapper:
        """Finds roads near places."""
        return Snapper(self.graph)

    @cached_property
    def search(self) -> RoadSearch:
        """Finds the fastest ways."""
        return RoadSearch(self.graph, self.turn_cost)

    def place(self, positions: Sequence[Position]) -> tuple[Placed, ...]:
        """Each position on its nearest road, or the reason why not; in their order."""
        snaps = self.snapper.snap(positions)
        return tuple(
            self._placed(position, snap) for position, snap in zip(positions, snaps, strict=True)
        )

    def _placed(self, position: Position, snap: Snap | None) -> Placed:
        if snap is None:
            return Placed(position=position, snap=None, why=Reason.of("no_road_here"))
        if snap.away_m > FAR_M:
            why = Reason.of("no_road_near", nearest_m=round(snap.away_m))
            return Placed(position=position, snap=None, why=why)
        edge = near_edge(self.graph, position)
        why_edge = Reason.of("at_the_edge") if edge else None
        return Placed(position=position, snap=snap, why=why_edge)

    def between(self, origins: Sequence[Placed], targets: Sequence[Placed]) -> tuple[Costs, Costs]:
        """``seconds[i][j]``, ``metres[i][j]`` from origin i to target j; infinite where no way is.

        Not symmetric; zero between equal places. The way from a place to its road is not counted.
        """
        shape = (len(origins), len(targets))
        seconds, metres = np.full(shape, np.inf), np.full(shape, np.inf)
        rows = [i for i, one in enumerate(origins) if one.snap is not None]
        cols = [j for j, one in enumerate(targets) if one.snap is not None]
        if rows and cols:
            found = self.search.between(
                [_stop(origins[i]) for i in rows], [_stop(targets[j]) for j in cols]
            )
            seconds[np.ix_(rows, cols)], metres[np.ix_(rows, cols)] = found
        return seconds, metres

    def path(self, origin: Placed, target: Placed) -> RoadPath | None:
        """The way between two places with its points; None if no road leads there."""
        if origin.snap is None or target.snap is None:
            return None
        arcs = self.search.arcs_between(_stop(origin), _stop(target))
        if arcs is None:
            return None
        seconds, metres = self.between([origin], [target])
        points = path_along(self.graph, arcs, _stop(origin), _stop(target))
        return RoadPath(
            points=points or (origin.snap.position, target.snap.position),
            seconds=float(seconds[0, 0]),
            metres=float(metres[0, 0]),
        )

    def straight_m(self, origin: Placed, target: Placed) -> float:
        """The straight line between two places, for comparison."""
        return distance_m(origin.position, target.position)


def _stop(placed: Placed) -> Stop:
    if placed.snap is None:
        raise ValueError(f"{placed.position} stands on no road")
    return Stop(placed.snap.segment, placed.snap.fraction)
