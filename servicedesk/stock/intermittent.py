"""Demand of parts that are asked for now and then: the gamma-Poisson predictive.

A part's own rate is not known, only how often it was used in how long. Rates of a kind of part
scatter about the fleet's (gamma), use at a rate is by chance (Poisson): what comes next is then
negative binomial (Greenwood and Yule, 1920). With little history it keeps slightly more than a
Poisson of the same mean; with much the two agree. No smoothing of months that are mostly zero.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from servicedesk.stock.demand import Demand, unevenness

PRIOR_YEARS = 1.0  # what the fleet's rate is worth
UNEVEN_FROM = 1.5  # index of dispersion that chance alone does not explain
MIN_SPANS = 12  # fewer spans than this say nothing about unevenness


@dataclass(frozen=True, slots=True)
class Use:
    """How often a part was used in how many years, and the counts by equal spans (oldest first).

    `group_a_year`: the mean use a year of parts like it, toward which its own is drawn.
    """

    used: int
    years: float
    group_a_year: float
    counts: Sequence[int] = ()

    @property
    def rate_a_year(self) -> float:
        """Use a year, drawn toward the group's."""
        before = self.group_a_year * PRIOR_YEARS
        return (before + self.used) / (PRIOR_YEARS + self.years)

    @property
    def is_uneven(self) -> bool:
        """Does use come in bursts? (Index of dispersion over UNEVEN_FROM.)"""
        return len(self.counts) >= MIN_SPANS and unevenness(self.counts) > UNEVEN_FROM


def demand_over(use: Use, years: float) -> Demand:
    """What will be asked for in the coming `years` (a fraction, mostly).

    Negative binomial of size alpha + n and share (beta + t) / (beta + t + L); where use comes in
    bursts, at least as uneven as it was. Raises ValueError for years below zero.
    """
    if years < 0 or use.years < 0 or use.used < 0 or use.group_a_year < 0:
        raise ValueError(f"no demand over {years} years of {use}")
    mean = use.rate_a_year * years
    watched = PRIOR_YEARS + use.years
    variance = mean * (watched + years) / watched
    if use.is_uneven:
        variance = max(variance, mean * unevenness(use.counts))
    return Demand(mean, variance)
