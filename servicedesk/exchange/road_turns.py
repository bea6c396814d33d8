"""Turn rules of an extract as pairs of arcs that must not follow each other."""

from dataclasses import dataclass
from math import atan2, cos, degrees, radians

import numpy as np
import numpy.typing as npt

from servicedesk.exchange.osm_roads import RawTurn, RawWays
from servicedesk.travel.road_graph import BACKWARD, FORWARD

_Ints = npt.NDArray[np.int32]
_Longs = npt.NDArray[np.int64]
_Arcs = dict[int, list[int]]
_SIDES = {"left_turn": -90.0, "right_turn": 90.0, "straight_on": 0.0}


@dataclass(frozen=True, eq=False)
class Pieces:
    """Segments by their end nodes and directions, with first and last point in `lat`, `lon`."""

    tail: _Ints
    head: _Ints
    ways: npt.NDArray[np.int8]
    first: _Longs
    last: _Longs
    lat: _Ints
    lon: _Ints

    def turn_deg(self, before: int, after: int) -> float:
        """By how much a car turns from one arc into the next: left negative, right positive."""
        goes = self._bearing(after, leaves=True)
        comes = self._bearing(before, leaves=False)
        return (goes - comes + 180) % 360 - 180

    def _bearing(self, arc: int, *, leaves: bool) -> float:
        s, back = arc // 2, arc % 2 == 1
        begin, end = int(self.first[s]), int(self.last[s])
        if leaves:
            a, b = (end, end - 1) if back else (begin, begin + 1)
        else:
            a, b = (begin + 1, begin) if back else (end - 1, end)
        north = float(self.lat[b]) - float(self.lat[a])
        east = (float(self.lon[b]) - float(self.lon[a])) * cos(radians(float(self.lat[a]) / 1e7))
        return degrees(atan2(east, north))


def banned_turns(raw: RawWays, nodes: _Longs, pieces: Pieces, way: _Longs) -> _Ints:
    """Pairs of arcs that the rules forbid, each once, sorted.

    `nodes` are the extract's ids by graph node, `way` the road of each segment.
    """
    node_of = {int(node): n for n, node in enumerate(nodes)}
    wanted = {node_of[t.via_node] for t in raw.turns if t.via_node in node_of}
    into, out = _arcs_at(wanted, pieces)
    way_id = np.array(raw.way_id, dtype=np.int64)[way] if len(way) else way
    pairs: set[tuple[int, int]] = set()
    for turn in raw.turns:
        node = node_of.get(turn.via_node)
        if node is not None:
            pairs |= _pairs_of(turn, into[node], out[node], way_id, pieces)
    return np.array(sorted(pairs), dtype=np.int32).reshape(-1, 2)


def _arcs_at(wanted: set[int], pieces: Pieces) -> tuple[_Arcs, _Arcs]:
    """Arcs that reach and that leave each of some nodes."""
    into: _Arcs = {node: [] for node in wanted}
    out: _Arcs = {node: [] for node in wanted}
    tail, head, some = pieces.tail, pieces.head, list(wanted)
    for segment in np.flatnonzero(np.isin(tail, some) | np.isin(head, some)):
        s, first, last = int(segment), int(tail[segment]), int(head[segment])
        for arc, leaves, reaches, bit in (
            (2 * s, first, last, FORWARD),
            (2 * s + 1, last, first, BACKWARD),
        ):
            if not int(pieces.ways[segment]) & bit:
                continue
            if reaches in wanted:
                into[reaches].append(arc)
            if leaves in wanted:
                out[leaves].append(arc)
    return into, out


def _pairs_of(
    turn: RawTurn, into: list[int], out: list[int], way_id: _Longs, pieces: Pieces
) -> set[tuple[int, int]]:
    """What one rule forbids: its own turn, or with "only" every other one but turning round."""
    arrive = [arc for arc in into if way_id[arc // 2] == turn.from_way]
    leave = [arc for arc in out if way_id[arc // 2] == turn.to_way]
    if not arrive or not leave:
        return set()
    if turn.kind == "no_u_turn" and turn.from_way == turn.to_way:
        return {(a, a ^ 1) for a in arrive if a ^ 1 in leave}
    found: set[tuple[int, int]] = set()
    for a in arrive:
        meant = _meant(turn.kind, a, leave, pieces)
        if turn.kind.startswith("no_"):
            found |= {(a, b) for b in meant if a ^ 1 != b}
        else:
            found |= {(a, b) for b in out if b not in meant and a ^ 1 != b}
    return found


def _meant(kind: str, before: int, leave: list[int], pieces: Pieces) -> list[int]:
    """Of a road that goes on both ways, the side the rule names; all where it names none."""
    wanted = next((deg for name, deg in _SIDES.items() if kind.endswith(name)), None)
    if len(leave) < 2 or wanted is None:
        return leave

    def off_deg(arc: int) -> float:
        return abs((pieces.turn_deg(before, arc) - wanted + 180) % 360 - 180)

    return [min(leave, key=off_deg)]
