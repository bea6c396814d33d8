"""How long what is there will last: the time until the last piece is asked for, with its range."""

from dataclasses import dataclass

from servicedesk.stock.intermittent import Use, demand_over
from servicedesk.stock.reorder import YEAR_DAYS

MOST_YEARS = 20.0
_NEAR_YEARS = 0.25 / YEAR_DAYS


@dataclass(frozen=True, slots=True)
class Lasting:
    """Days until nothing is left: as likely sooner as later, and the middle 95 %.

    `high` None: beyond MOST_YEARS.
    """

    low: float
    best: float
    high: float | None


def lasting(use: Use, at_hand: int) -> Lasting | None:
    """How long `at_hand` pieces last at this use; None where it lasts beyond MOST_YEARS.

    The n-th piece is asked for after t just when fewer than n are asked for within t: quantiles of
    that time are read off the demand over t.
    """
    if at_hand <= 0:
        return Lasting(0.0, 0.0, 0.0)
    low, best, high = (_until(use, at_hand, chance) for chance in (0.025, 0.5, 0.975))
    if low is None or best is None:
        return None
    return Lasting(low, best, high)


def _until(use: Use, n: int, chance: float) -> float | None:
    """Days by which the n-th piece was asked for with this chance; None beyond MOST_YEARS."""
    if 1 - demand_over(use, MOST_YEARS).at_most(n - 1) < chance:
        return None
    early, late = 0.0, MOST_YEARS
    while late - early > _NEAR_YEARS:
        middle = (early + late) / 2
        if 1 - demand_over(use, middle).at_most(n - 1) < chance:
            early = middle
        else:
            late = middle
    return late * YEAR_DAYS
