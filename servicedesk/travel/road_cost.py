"""Costs of driving: seconds and metres in one number, the price of turning and of gates."""

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

Costs = npt.NDArray[np.float64]

# to enter private or destination roads from public ones; given back for stops there
ENTRY_S = 600.0
# Milliseconds and centimetres in one number: sums stay exact in a double up to 18 hours, and of
# two equally fast ways the shorter one wins. The length needs no second search.
_CM = float(1 << 27)
MOST = float(1 << 53)


@dataclass(frozen=True, slots=True, kw_only=True)
class TurnCost:
    """Seconds lost by turning: nothing below `from_deg`, `full_s` from `until_deg` on."""

    full_s: float = 0.0
    from_deg: float = 40.0
    until_deg: float = 90.0


@dataclass(frozen=True, slots=True)
class Stop:
    """A place on a road: `fraction` of the segment's length from its first point."""

    segment: int
    fraction: float


def packed(seconds: Any, metres: Any) -> Costs:
    """Seconds and metres as one cost; costs of parts can be added and compared."""
    # single precision would lose the centimetres
    seconds, metres = np.asarray(seconds, dtype=np.float64), np.asarray(metres, dtype=np.float64)
    return np.asarray(np.rint(seconds * 1000) * _CM + np.rint(metres * 100))


def unpacked(costs: Costs) -> tuple[Costs, Costs]:
    """Seconds and metres of costs; infinite where the cost is."""
    known = np.isfinite(costs)
    whole = np.where(known, costs, 0.0)
    seconds, centimetres = np.divmod(whole, _CM)
    nowhere = np.where(known, 0.0, np.inf)
    return seconds / 1000 + nowhere, centimetres / 100 + nowhere
