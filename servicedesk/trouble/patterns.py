"""Which groups of a fleet stand out, and is it chance? Groups of one screen are judged together.

Association, not cause: age, soil, use and installer travel together. `stratified` compares within
age bands before a model is blamed.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from servicedesk.trouble.discovery import adjusted_p
from servicedesk.trouble.rates import (
    Comparison,
    Dispersion,
    Range,
    compare_rates,
    rate_of,
)
from servicedesk.trouble.shrinkage import Gamma, ratio_spread
from servicedesk.values.reason import Reason

EVEN = Dispersion(0.0, 0, 1.0)  # nothing is known of how counts fall

Flag = Literal["clearly above", "maybe", "plain", "too few"]

Q_LIMIT = 0.10  # about one flag in ten is chance
RATIO_LIMIT, RATIO_CHANCE = 1.25, 0.80
FEWEST_EVENTS, LEAST_YEARS = 5, 10.0  # below: numbers, no claim (common practice, no source)


@dataclass(frozen=True, slots=True)
class Group:
    """A group of units (or systems) of one factor: events over years of exposure."""

    id: str
    events: float
    years: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Factor:
    """Groups that share out one fleet. `spread`: how unevenly its units' counts fall."""

    id: str
    groups: tuple[Group, ...]
    spread: Dispersion = EVEN

    @property
    def events(self) -> float:
        """Of all groups."""
        return math.fsum(group.events for group in self.groups)

    @property
    def years(self) -> float:
        """Of all groups."""
        return math.fsum(group.years for group in self.groups)


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """What is to be said of a group.

    `rate`: drawn toward the fleet's, with 95 % range, per year; `raw`: as seen, with exact limits.
    `times`: as often as all others. `q`: false-discovery rate at which it would be named.
    `above`: chance that it is more than 1.25 times the fleet's rate.
    """

    id: str
    rate: Range
    raw: Range
    fleet_rate: float
    times: Range
    p: float
    q: float
    above: float
    flag: Flag
    reasons: tuple[Reason, ...]


def screen(factors: Sequence[Factor]) -> dict[tuple[str, str], Judged]:
    """Every group of every factor against all others of its factor, allowing for all comparisons.

    The answer leads from (factor id, group id) to what is to be said. A group without exposure, or
    without others to compare with, is left out. Where a factor's counts are clearly more uneven
    than chance (`Factor.spread`), counts are divided by the index: that widens every range.
    """
    chosen = [(f, [g for g in f.groups if g.years > 0]) for f in factors]
    chosen = [(f, groups) for f, groups in chosen if len(groups) > 1 and f.events > 0]
    tests = [_against_others(f, g).p_above for f, groups in chosen for g in groups]
    q_values = iter(zip(tests, adjusted_p(tests), strict=True))
    found: dict[tuple[str, str], Judged] = {}
    for factor, groups in chosen:
        prior = _prior(factor, groups)
        for group in groups:
            p, q = next(q_values)
            found[factor.id, group.id] = _judged(factor, group, prior, p=p, q=q)
    return found


def _against_others(factor: Factor, group: Group) -> Comparison:
    by = factor.spread.divisor
    return compare_rates(
        group.events / by,
        group.years,
        (factor.events - group.events) / by,
        factor.years - group.years,
    )


def _prior(factor: Factor, groups: Sequence[Group]) -> Gamma:
    by, rate = factor.spread.divisor, factor.events / factor.years
    return ratio_spread([g.events / by for g in groups], [g.years * rate / by for g in groups])


def _judged(factor: Factor, group: Group, prior: Gamma, *, p: float, q: float) -> Judged:
    by, fleet = factor.spread.divisor, factor.events / factor.years
    ratio = prior.after(group.events / by, group.years * fleet / by)
    low, high = ratio.limits()
    raw = rate_of(group.events / by, group.years)
    above = ratio.chance_above(RATIO_LIMIT)
    flag, reasons = _flag(group, q=q, above=above)
    if by > 1:
        reasons = (*reasons, Reason.of("spread_unevenly", index=by))
    return Judged(
        id=group.id,
        rate=Range(ratio.mean * fleet, low * fleet, high * fleet),
        raw=Range(raw.best * by, raw.low * by, raw.high * by),
        fleet_rate=fleet,
        times=_against_others(factor, group).times,
        p=p,
        q=q,
        above=above,
        flag=flag,
        reasons=reasons,
    )


def _flag(group: Group, *, q: float, above: float) -> tuple[Flag, tuple[Reason, ...]]:
    """Both conditions: clearly above. One of them: maybe. Too little seen: no claim."""
    if group.events < FEWEST_EVENTS:
        return "too few", (Reason.of("few_events", n=int(group.events), least=FEWEST_EVENTS),)
    if group.years < LEAST_YEARS:
        return "too few", (Reason.of("few_years", years=group.years, least=LEAST_YEARS),)
    if q < Q_LIMIT and above > RATIO_CHANCE:
        return "clearly above", ()
    if q < Q_LIMIT:
        return "maybe", (Reason.of("may_be_little", chance=above),)
    if above > RATIO_CHANCE:
        return "maybe", (Reason.of("may_be_chance", q=q),)
    return "plain", ()


@dataclass(frozen=True, slots=True)
class Stratum:
    """A group and the others within one age band: events and years of each."""

    events: int
    years: float
    other_events: int
    other_years: float


@dataclass(frozen=True, slots=True)
class Stratified:
    """A group against all others of its own age. `times` with 95 % range; `p`: exact, one-sided."""

    times: Range
    p: float
    n_bands: int


def stratified(strata: Sequence[Stratum]) -> Stratified | None:
    """The group against others of the same age band; None where no band holds both.

    Ratio: Mantel-Haenszel for person-time, limits on the log scale (Greenland and Robins 1985; both
    from memory). Test: within each band the group's share of events is binomial; the sum over bands
    is counted out exactly.
    """
    import numpy as np

    bands = [s for s in strata if s.years > 0 and s.other_years > 0 and s.events + s.other_events]
    if not bands:
        return None
    chances = np.ones(1)
    seen = top = bottom = variance = 0.0
    for band in bands:
        total, years = band.events + band.other_events, band.years + band.other_years
        chances = np.convolve(chances, _binomial_chances(total, band.years / years))
        seen += band.events
        top += band.events * band.other_years / years
        bottom += band.other_events * band.years / years
        variance += total * band.years * band.other_years / years**2
    p = float(min(1.0, chances[int(seen) :].sum()))
    if top == 0 or bottom == 0:
        ends = (math.inf, 0.0, math.inf) if top else (0.0, 0.0, math.inf)
        return Stratified(Range(*ends), p, len(bands))
    best, step = top / bottom, math.exp(1.959964 * math.sqrt(variance / (top * bottom)))
    return Stratified(Range(best, best / step, best * step), p, len(bands))


def _binomial_chances(trials: int, chance: float) -> list[float]:
    ways = math.lgamma(trials + 1)
    return [
        math.exp(
            ways
            - math.lgamma(n + 1)
            - math.lgamma(trials - n + 1)
            + n * math.log(chance)
            + (trials - n) * math.log1p(-chance)
        )
        for n in range(trials + 1)
    ]
