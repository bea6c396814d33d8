"""The share of units still working by age, from units that failed and units that still work.

A unit is seen from `entered` (its age when records began, 0 if it went in later) to `left` (its age
at the end); only `failed` is an event, everything else says "lasted at least so long".
"""

import math
from bisect import bisect_left
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

Z95 = 1.959963984540054
FEWEST_AT_RISK = 5  # common practice, no source


@dataclass(frozen=True, slots=True)
class Life:
    """One unit as seen: ages at which it came into sight and left it, in years."""

    entered: float
    left: float
    failed: bool


@dataclass(frozen=True, slots=True)
class Step:
    """The share still working just after an age at which units failed, with its 95 % range."""

    age: float
    at_risk: int
    failed: int
    share: float
    std_err: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Curve:
    """Steps in order of age. `from_age`: it tells of units that reached this age.

    `until_age`: as far as enough units were looked at. `half_by`: the age at which half have
    failed, None where the curve never gets there; `half_low`, `half_high`: its limits, None where
    a limit is not reached.
    """

    steps: tuple[Step, ...]
    from_age: float
    until_age: float
    n_units: int
    n_failed: int
    half_by: float | None
    half_low: float | None
    half_high: float | None


def kaplan_meier(lives: Sequence[Life]) -> tuple[Step, ...]:
    """The share still working after each age at which a unit failed (Kaplan and Meier 1958).

    At risk at age t: entered before t and not left before t. Standard error by Greenwood, limits on
    the log-log scale (both from memory; checks life-02, life-03, life-10). A share of 0 or 1 has no
    range: both limits are the share. Raises ValueError for a life that ends before it begins.
    """
    if any(life.left < life.entered or life.entered < 0 for life in lives):
        raise ValueError("a life ends after it begins, and begins at 0 at the earliest")
    failures = Counter(life.left for life in lives if life.failed)
    risk = _at_risk(lives, sorted(failures))
    steps, share, spread = [], 1.0, 0.0
    for age in sorted(failures):
        failed, at_risk = failures[age], risk[age]
        share *= 1 - failed / at_risk
        spread += failed / (at_risk * (at_risk - failed)) if at_risk > failed else math.inf
        low, high = _log_log(share, spread)
        std_err = share * math.sqrt(spread) if share > 0 else math.nan
        steps.append(Step(age, at_risk, failed, share, std_err, low, high))
    return tuple(steps)


def _at_risk(lives: Sequence[Life], ages: Sequence[float]) -> dict[float, int]:
    # a unit that fails on the day it came into sight was looked at that day
    entered = sorted(life.entered if life.entered < life.left else -1.0 for life in lives)
    left = sorted(life.left for life in lives)
    return {age: bisect_left(entered, age) - bisect_left(left, age) for age in ages}


def _log_log(share: float, spread: float) -> tuple[float, float]:
    if not 0 < share < 1:
        return share, share
    half = Z95 * math.sqrt(spread) / abs(math.log(share))
    return share ** math.exp(half), share ** math.exp(-half)


def curve(lives: Sequence[Life], *, fewest: int = FEWEST_AT_RISK) -> Curve | None:
    """The readable part: the longest stretch of ages through which `fewest` units were at risk.

    Where records begin late few young units were seen; a failure among one or two of them would
    pull the whole curve down, so the curve begins where enough are at risk, and says so. None where
    there never were enough.
    """
    stretch = _longest_stretch(lives, fewest)
    if stretch is None:
        return None
    begin, end = stretch
    # a curve from there tells of units that reached it
    kept = [life for life in lives if life.left > begin]
    steps = tuple(step for step in kaplan_meier(kept) if step.age <= end)
    return Curve(
        steps=steps,
        from_age=begin,
        until_age=end,
        n_units=len(kept),
        n_failed=sum(step.failed for step in steps),
        half_by=_crossing(steps, "share"),
        half_low=_crossing(steps, "low"),
        half_high=_crossing(steps, "high"),
    )


def _longest_stretch(lives: Sequence[Life], fewest: int) -> tuple[float, float] | None:
    changes: dict[float, int] = {}
    for life in lives:
        if life.left > life.entered:
            changes[life.entered] = changes.get(life.entered, 0) + 1
            changes[life.left] = changes.get(life.left, 0) - 1
    best, begin, n = (0.0, 0.0), None, 0
    for age in sorted(changes):
        n += changes[age]
        if begin is None and n >= fewest:
            begin = age
        elif begin is not None and n < fewest:
            best = max(best, (begin, age), key=lambda span: span[1] - span[0])
            begin = None
    return best if best[1] > best[0] else None


def _crossing(steps: Sequence[Step], name: str) -> float | None:
    # 1e-9: a product of shares that is a half on paper
    return next((s.age for s in steps if getattr(s, name) <= 0.5 + 1e-9), None)


@dataclass(frozen=True, slots=True)
class LogRank:
    """Two groups' lives: failures seen and expected if they lasted alike; `p` that they do."""

    seen: tuple[int, int]
    expected: tuple[float, float]
    chi2: float
    p: float


def log_rank(first: Sequence[Life], second: Sequence[Life]) -> LogRank:
    """Do two groups last alike? (Mantel 1966, from memory; check life-04.) Late entry is minded."""
    from scipy.special import chdtrc

    ages = sorted({life.left for life in (*first, *second) if life.failed})
    risk = (_at_risk(first, ages), _at_risk(second, ages))
    failed = [Counter(x.left for x in lives if x.failed) for lives in (first, second)]
    expected = variance = 0.0
    for age in ages:
        at_risk, d = risk[0][age] + risk[1][age], failed[0][age] + failed[1][age]
        share = risk[0][age] / at_risk
        expected += d * share
        if at_risk > 1:
            variance += d * share * (1 - share) * (at_risk - d) / (at_risk - 1)
    seen = (sum(failed[0].values()), sum(failed[1].values()))
    chi2 = (seen[0] - expected) ** 2 / variance if variance > 0 else 0.0
    return LogRank(seen, (expected, sum(seen) - expected), chi2, float(chdtrc(1, chi2)))
