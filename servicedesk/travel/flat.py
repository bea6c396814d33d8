"""Straight lines between very many places at once: as good as exact within one service area."""

import math
from collections.abc import Sequence

import numpy as np

from servicedesk.values.position import Position

# WGS84: NIMA TR8350.2, third edition, 2000 (values as quoted by many, document not opened)
_A_M = 6_378_137.0
_E2 = 0.006_694_379_990_14


def flat_distances_m(positions: Sequence[Position]) -> np.ndarray:
    """``metres[i][j]`` between all positions: a flat patch of the ellipsoid at their mid latitude.

    Within a tenth of a per mil of the geodesic up to 100 km at middle latitudes (tested against
    it); a few per mil at 500 km. Radii of curvature M and N: any textbook of geodesy.
    """
    lat = np.radians(np.array([p.lat_deg for p in positions], dtype=float))
    lon = np.radians(np.array([p.lon_deg for p in positions], dtype=float))
    middle = (lat[:, None] + lat[None, :]) / 2
    turn = np.abs(lon[:, None] - lon[None, :])
    turn = np.minimum(turn, 2 * math.pi - turn)
    w2 = 1 - _E2 * np.sin(middle) ** 2
    north = _A_M * (1 - _E2) / w2**1.5 * (lat[:, None] - lat[None, :])
    east = _A_M / np.sqrt(w2) * np.cos(middle) * turn
    metres: np.ndarray = np.hypot(north, east)
    return metres
