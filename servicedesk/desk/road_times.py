"""Driving times between places: by road where the store has a road file, else estimated."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

from servicedesk.desk.drives import speed_in_use_kmh
from servicedesk.desk.office import Desk
from servicedesk.desk.places import located
from servicedesk.desk.roads import RoadsInUse, roads_in_use, source_words
from servicedesk.desk.travel_table import NOWHERE, TravelTable, table_path
from servicedesk.records import planning_rows
from servicedesk.travel.matrix import straight_line_times
from servicedesk.travel.packed import packed_rows
from servicedesk.values.position import Position
from servicedesk.values.reason import Reason
from servicedesk.values.travel_times import TravelTimes
from servicedesk.words import say


@dataclass(frozen=True, slots=True, kw_only=True)
class OffRoad:
    """A site that no road is known to lead to, or at the edge of the extract."""

    site_id: int
    position: Position
    why: Reason


def travel_between(desk: Desk, positions: Sequence[Position]) -> TravelTimes:
    """Times between all `positions`, in their order, and where they come from (`source`).

    By road ("roads"), not symmetric; a place to or from which no road leads keeps the estimate
    and is named in `estimated`. Without a road file all are estimated ("straight lines").
    """
    in_use = roads_in_use(desk) if len(positions) > 1 else None
    if in_use is None:
        return _estimate(desk, positions)
    import numpy as np

    minutes, metres = _table(in_use).between(positions)
    known = minutes != NOWHERE
    estimated: frozenset[int] = frozenset()
    if not known.all():
        guess = _estimate(desk, positions)
        minutes = np.where(known, minutes, np.array(guess.minutes))
        metres = np.where(known, metres, np.array(guess.metres))
        on_road = np.diag(known)
        reached = (known & known.T)[:, on_road].all(axis=1) & on_road
        estimated = frozenset(int(i) for i in np.flatnonzero(~reached))
    return TravelTimes(
        minutes=packed_rows(minutes),
        metres=packed_rows(metres),
        source="roads",
        estimated=estimated,
    )


def _estimate(desk: Desk, positions: Sequence[Position]) -> TravelTimes:
    return straight_line_times(
        positions, detour=desk.company.road_detour, speed_kmh=speed_in_use_kmh(desk)
    )


def travel_words(desk: Desk) -> str:
    """Which times are in use: "roads of EXTRACT" or "straight lines, times estimated"."""
    in_use = roads_in_use(desk)
    if in_use is None:
        return source_words("straight lines")
    return source_words("roads", in_use.about.name)


def way_between(desk: Desk, origin: Position, target: Position) -> tuple[Position, ...]:
    """The points of the drive between two places; the straight line where no road is known."""
    in_use = roads_in_use(desk)
    if in_use is not None:
        placed = in_use.roads.place([origin, target])
        path = in_use.roads.path(placed[0], placed[1])
        if path is not None:
            return (origin, *path.points, target)
    return (origin, target)


def legs_along(desk: Desk, stops: Sequence[Position]) -> tuple[tuple[Position, ...], ...]:
    """The way from each stop to the next along the roads; empty where the store has no roads.

    A leg that no road is known for is the straight line.
    """
    if roads_in_use(desk) is None:
        return ()
    return tuple(way_between(desk, one, other) for one, other in pairwise(stops))


def map_credit(desk: Desk, *, has_straight: bool = False) -> str:
    """What stands in the corner of a map on paper: which roads, whose data, under which terms.

    `has_straight`: at least one drive is drawn straight though there are roads.
    """
    in_use = roads_in_use(desk)
    if in_use is None:
        return travel_words(desk)
    parts = [travel_words(desk), in_use.about.credit_on_paper]
    if has_straight:
        parts.insert(1, say("straight where no road is known"))
    return " · ".join(parts)


def screen_credit(desk: Desk) -> str:
    """The same on a screen whose lines are drawn straight."""
    in_use = roads_in_use(desk)
    if in_use is None:
        return travel_words(desk)
    return say("times by {roads}, lines straight", roads=travel_words(desk)) + (
        f" · {in_use.about.credit}"
    )


def sites_off_road(desk: Desk) -> tuple[OffRoad, ...]:
    """Sites with a position of their own that are far from a road or at the extract's edge.

    By site id. Empty where there is no road file.
    """
    in_use = roads_in_use(desk)
    if in_use is None:
        return ()
    with desk.store.read() as session:
        spots = located(desk, planning_rows.site_places(session))
    known = sorted((i, spot.position) for i, spot in spots.items() if not spot.is_guessed)
    placed = in_use.roads.place([position for _, position in known])
    return tuple(
        OffRoad(site_id=site_id, position=one.position, why=one.why)
        for (site_id, _), one in zip(known, placed, strict=True)
        if one.why is not None
    )


@lru_cache(maxsize=4)
def _table(in_use: RoadsInUse) -> TravelTable:
    return TravelTable(in_use.roads, table_path(in_use.file.path.parent, in_use.about.key))
