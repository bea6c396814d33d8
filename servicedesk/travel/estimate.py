"""Driving minutes guessed from a straight line, where no roads are known."""

import math


def road_m(straight_m: float, *, detour: float) -> float:
    """Metres by road: the straight line times `detour` (1.0 or more).

    Raises ValueError for a negative distance or a detour below 1.
    """
    if straight_m < 0:
        raise ValueError(f"a distance of {straight_m} m is negative")
    if not detour >= 1 or math.isinf(detour):
        raise ValueError(f"a detour of {detour} would make roads shorter than straight lines")
    return straight_m * detour


def drive_min(straight_m: float, *, detour: float, speed_kmh: float) -> int:
    """Whole minutes, rounded up, to drive a straight line of `straight_m` metres.

    `detour` is road length over straight length, `speed_kmh` the mean speed on the road; both are
    settings of the company. Rounded up, so that a chain of drives is never promised too early.
    Raises ValueError if speed is not above 0, the detour below 1 or the distance negative.
    """
    if not speed_kmh > 0 or math.isinf(speed_kmh):
        raise ValueError(f"{speed_kmh} km/h is no speed")
    minutes = road_m(straight_m, detour=detour) / 1000 / speed_kmh * 60
    # A drive of exactly 12 minutes must not become 13 by the last bit of the division.
    return math.ceil(round(minutes, 9))
