"""How many to carry where one too few and one too many each have their price."""

import math
from statistics import NormalDist

from servicedesk.stock.base_stock import base_stock
from servicedesk.stock.demand import Demand


def critical_ratio(short: float, over: float) -> float:
    """The service that costs least: what one missing costs (a second trip) against one too many.

    Raises ValueError for a cost below zero, or where both are zero.
    """
    if short < 0 or over < 0 or short + over == 0:
        raise ValueError(f"{short} and {over} are no costs to weigh")
    return short / (short + over)


def best_whole(demand: Demand, short: float, over: float) -> int:
    """The whole number to carry at least expected cost."""
    return base_stock(demand, critical_ratio(short, over))


def expected_cost(demand: Demand, level: int, short: float, over: float) -> float:
    """What carrying `level` costs on average, for what is missing and what is left over."""
    left = math.fsum((level - n) * demand.chance(n) for n in range(level))
    return over * left + short * (demand.mean - level + left)


def best_of_normal(mean: float, sd: float, short: float, over: float) -> float:
    """The amount to carry where demand is normal."""
    return NormalDist(mean, sd).inv_cdf(critical_ratio(short, over))


def best_of_uniform(low: float, high: float, short: float, over: float) -> float:
    """The amount to carry where every demand from `low` to `high` is as likely."""
    return low + (high - low) * critical_ratio(short, over)
