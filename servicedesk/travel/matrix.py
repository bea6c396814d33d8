"""Road minutes between many places at once."""

from collections.abc import Sequence

from servicedesk.travel.estimate import drive_min, road_m
from servicedesk.travel.geodesic import distance_m
from servicedesk.travel.packed import packed_rows
from servicedesk.values.position import Position
from servicedesk.values.travel_times import TravelTimes

FEW = 30  # places measured exactly; the time grows with their square


def straight_line_times(
    positions: Sequence[Position], *, detour: float, speed_kmh: float
) -> TravelTimes:
    """Estimated times between all `positions`, in their order; symmetric, zero on the diagonal.

    Minutes are whole and rounded up; metres are by road (straight line times `detour`), rounded.
    Source of the result: "straight lines". Thirty places take a fortieth of a second; more are
    measured on a flat patch of the earth (`travel.flat`), a thousand in half a second.
    Raises ValueError for an impossible detour or speed.
    """
    n = len(positions)
    if n > FEW:
        return _many(positions, detour=detour, speed_kmh=speed_kmh)
    minutes = [[0] * n for _ in range(n)]
    metres = [[0] * n for _ in range(n)]
    for i in range(n):
        for j in range(i):
            straight_m = distance_m(positions[i], positions[j])
            there = drive_min(straight_m, detour=detour, speed_kmh=speed_kmh)
            minutes[i][j] = minutes[j][i] = there
            metres[i][j] = metres[j][i] = round(road_m(straight_m, detour=detour))
    return TravelTimes(
        minutes=tuple(tuple(row) for row in minutes),
        metres=tuple(tuple(row) for row in metres),
        source="straight lines",
    )


def _many(positions: Sequence[Position], *, detour: float, speed_kmh: float) -> TravelTimes:
    import numpy as np  # the first page stands without it

    from servicedesk.travel.flat import flat_distances_m

    drive_min(0, detour=detour, speed_kmh=speed_kmh)  # refuses what is impossible
    metres = flat_distances_m(positions) * detour
    # as drive_min: a drive of exactly 12 minutes must not become 13 by the last bit
    minutes = np.ceil(np.round(metres / 1000 / speed_kmh * 60, 9)).astype(int)
    return TravelTimes(
        minutes=packed_rows(minutes),
        metres=packed_rows(np.rint(metres).astype(int)),
        source="straight lines",
    )
