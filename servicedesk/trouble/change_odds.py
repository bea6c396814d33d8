"""The odds that a symptom has become frequent at a site, carried along from call to call.

A site turns bad for a symptom at a constant small chance per year; before, it calls at `usual`
times a year, after, at `frequent`. `R` is the odds that it has turned. After a gap without a call
and at a call the odds follow in closed form from those before.
Source: Bayesian change detection after Shiryaev 1963 (from memory, not opened); the formulas are
held by checks alert-02 to alert-04 and by an exact enumeration in tests/trouble/.
"""

from math import exp

YEAR_DAYS = 365.0  # of the check values; a leap day changes no alert
USUAL_LEAST_FREQUENT = 1.0  # calls per year that count as trouble, whatever the usual rate
DEFAULT_CALLS_PER_YEAR = 0.25  # of one site, all symptoms, before this fleet has spoken
DEFAULT_SITE_YEARS = 100.0  # how much that default weighs
MULTIPLIER_WEIGHT = 2.0  # calls worth of "like any other site"
LEAST_EXPOSURE_YEARS = 30 / YEAR_DAYS


def fleet_rate(calls: float, site_years: float, share: float) -> float:
    """Calls per site and year of one symptom: `calls` so far, drawn toward the default.

    `share`: part of all calls that this symptom has, 0..1. Raises ValueError for negative input.
    """
    if calls < 0 or site_years < 0 or not 0 <= share <= 1:
        raise ValueError(f"no rate from {calls} calls, {site_years} site-years, share {share}")
    prior = DEFAULT_SITE_YEARS * DEFAULT_CALLS_PER_YEAR * share
    return (calls + prior) / (site_years + DEFAULT_SITE_YEARS)


def site_multiplier(other_calls: float, other_rate: float, exposure_years: float) -> float:
    """How much more than its peers a site calls for *other* symptoms (1: as they do).

    `other_rate`: calls per year of all other symptoms at fleet rates; `exposure_years` of this
    site, at least 30 days are taken.
    """
    expected = other_rate * max(exposure_years, LEAST_EXPOSURE_YEARS)
    return (MULTIPLIER_WEIGHT + other_calls) / (MULTIPLIER_WEIGHT + expected)


def frequent_rate(usual: float) -> float:
    """Calls per year of a site that has turned bad, beside its `usual` calls per year."""
    return max(USUAL_LEAST_FREQUENT, 2 * usual)


def after_gap(odds: float, gap_years: float, *, usual: float, turning: float) -> float:
    """The odds after `gap_years` without a call. `usual`, `turning`: per year, for this symptom.

    Raises ValueError for a negative gap or a usual rate that is not above 0.
    """
    if gap_years < 0 or usual <= 0:
        raise ValueError(f"gap {gap_years} years, usual rate {usual} per year")
    excess = frequent_rate(usual) - usual
    kept = exp(-excess * gap_years)
    return odds * kept + turning * (1 - kept) / excess


def after_call(odds: float, *, usual: float) -> float:
    """The odds after one more call of the symptom."""
    return odds * frequent_rate(usual) / usual


def chance_of(odds: float) -> float:
    """Odds as a chance, 0..1."""
    return odds / (1 + odds)
