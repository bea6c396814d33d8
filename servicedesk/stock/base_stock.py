"""How many to keep so that a shortage is as unlikely as wanted, and what a level brings."""

import math
from dataclasses import dataclass

from servicedesk.stock.demand import Demand

MOST_SERVICE = 0.9999  # no level gives certainty


def base_stock(demand: Demand, service: float) -> int:
    """The smallest level that covers the demand with a chance of at least `service`.

    Raises ValueError for a service outside 0 to MOST_SERVICE.
    """
    if not 0 <= service <= MOST_SERVICE:
        raise ValueError(f"{service} is no service level")
    level, covered = 0, demand.chance(0)
    while covered < service:
        level += 1
        covered += demand.chance(level)
    return level


@dataclass(frozen=True, slots=True)
class Shortage:
    """What a level brings: chance of no shortage, pieces short on average, share supplied."""

    no_shortage: float
    expected_short: float
    fill_share: float


def shortage(demand: Demand, level: int) -> Shortage:
    """The shortage at a level; with no demand at all everything is supplied."""
    no_shortage = demand.at_most(level)
    # E max(D - S, 0) = m - S + sum over n < S of (S - n) P(n): a finite sum, so exact
    below = math.fsum((level - n) * demand.chance(n) for n in range(level))
    short = max(0.0, demand.mean - level + below)
    supplied = 1.0 if demand.mean == 0 else 1 - short / demand.mean
    return Shortage(no_shortage, short, supplied)
