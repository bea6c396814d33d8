"""How often something happens per unit of exposure, and how sure that is. Exact where it can be.

Counts may be fractions where an overdispersed count was divided by its index of dispersion: the
gamma and beta functions behind the exact limits take them as they are.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Range:
    """An estimate with its lower and upper limit; `high` may be infinite."""

    best: float
    low: float
    high: float


def poisson_limits(events: float, *, confidence: float = 0.95) -> tuple[float, float]:
    """Exact limits of the expected count behind `events` seen (Garwood 1936, from memory).

    Check values: tests/published/test_rates.py (rate-01, rate-04).
    """
    from scipy.special import gammaincinv

    tail = (1 - confidence) / 2
    low = float(gammaincinv(events, tail)) if events > 0 else 0.0
    return low, float(gammaincinv(events + 1, 1 - tail))


def rate_of(events: float, exposure: float, *, confidence: float = 0.95) -> Range:
    """Events per unit of exposure with exact limits. Raises ValueError without exposure."""
    if exposure <= 0:
        raise ValueError("a rate needs exposure above zero")
    low, high = poisson_limits(events, confidence=confidence)
    return Range(events / exposure, low / exposure, high / exposure)


def poisson_tail(events: float, expected: float) -> float:
    """Chance of `events` or more where `expected` were expected (Poisson)."""
    from scipy.special import gammainc

    return float(gammainc(events, expected)) if events > 0 else 1.0


def poisson_two_sided(events: int, expected: float) -> float:
    """Chance of a count no more likely than `events` where `expected` were expected."""
    chance = _poisson_chance(events, expected)
    if chance == 0:
        return 0.0
    total, n = 0.0, 0
    # the counts that are more likely than the one seen lie together around the expected one
    likely = 0.0
    last = math.ceil(expected + 40 * math.sqrt(expected + 1) + abs(events - expected))
    while n <= last:
        one = _poisson_chance(n, expected)
        if one <= chance * (1 + 1e-7):
            total += one
        else:
            likely += one
        n += 1
    return min(1.0, total)


def _poisson_chance(n: int, expected: float) -> float:
    if expected == 0:
        return float(n == 0)
    return math.exp(n * math.log(expected) - expected - math.lgamma(n + 1))


def binomial_tail(successes: float, trials: float, chance: float) -> float:
    """Chance of `successes` or more in `trials` tries of `chance` each."""
    from scipy.special import betainc

    if successes <= 0:
        return 1.0
    if successes > trials:
        return 0.0
    return float(betainc(successes, trials - successes + 1, chance))


def binomial_two_sided(successes: int, trials: int, chance: float) -> float:
    """Chance of a count no more likely than `successes`: the exact two-sided test."""
    chances = [_binomial_chance(n, trials, chance) for n in range(trials + 1)]
    seen = chances[successes] * (1 + 1e-7)
    return min(1.0, math.fsum(one for one in chances if one <= seen))


def _binomial_chance(n: int, trials: int, chance: float) -> float:
    if chance in {0.0, 1.0}:
        return float(n == trials * chance)
    ways = math.lgamma(trials + 1) - math.lgamma(n + 1) - math.lgamma(trials - n + 1)
    return math.exp(ways + n * math.log(chance) + (trials - n) * math.log1p(-chance))


def binomial_limits(
    successes: float, trials: float, *, confidence: float = 0.95
) -> tuple[float, float]:
    """Exact limits of a share (Clopper and Pearson 1934, from memory; check rate-03)."""
    from scipy.special import betaincinv

    tail = (1 - confidence) / 2
    low, high = 0.0, 1.0
    if successes > 0:
        low = float(betaincinv(successes, trials - successes + 1, tail))
    if successes < trials:
        high = float(betaincinv(successes + 1, trials - successes, 1 - tail))
    return low, high


def wilson_limits(successes: int, trials: int, *, confidence: float = 0.95) -> tuple[float, float]:
    """Score limits of a share. Source: Newcombe 1998, Statistics in Medicine 17 (rate-05)."""
    from scipy.special import ndtri

    z = float(ndtri((1 + confidence) / 2))
    share, z2 = successes / trials, z * z
    middle = (share + z2 / (2 * trials)) / (1 + z2 / trials)
    half = z * math.sqrt(share * (1 - share) / trials + z2 / (4 * trials**2)) / (1 + z2 / trials)
    return max(0.0, middle - half), min(1.0, middle + half)


@dataclass(frozen=True, slots=True)
class Comparison:
    """A group against all others.

    `times`: how many times as often as the others, with exact conditional limits. `p_above`: chance
    of the group's count or more if it were like the others; `p_two_sided`: either way.
    """

    times: Range
    p_above: float
    p_two_sided: float


def compare_rates(
    events: float,
    exposure: float,
    other_events: float,
    other_exposure: float,
    *,
    confidence: float = 0.95,
) -> Comparison:
    """Two Poisson rates by the exact conditional test: of all events, the group's are binomial.

    `p_two_sided` is exact for whole counts; for fractions it is twice the smaller tail.
    Raises ValueError unless both exposures are above zero. Check values: rate-02.
    """
    if exposure <= 0 or other_exposure <= 0:
        raise ValueError("both rates need exposure above zero")
    total, share = events + other_events, exposure / (exposure + other_exposure)
    ratio = other_exposure / exposure
    low, high = binomial_limits(events, total, confidence=confidence)
    none = math.inf if events else math.nan
    best = events * ratio / other_events if other_events else none
    times = Range(
        best, ratio * low / (1 - low), ratio * high / (1 - high) if high < 1 else math.inf
    )
    above = binomial_tail(events, total, share)
    if float(events).is_integer() and float(other_events).is_integer():
        both = binomial_two_sided(int(events), int(total), share)
    else:
        below = 1 - binomial_tail(events + 1, total, share)
        both = min(1.0, 2 * min(above, below))
    return Comparison(times, above, both)


def fisher_above(table: Sequence[Sequence[int]]) -> float:
    """Chance of `table[0][0]` or more with these margins (two rows, two columns; rate-08)."""
    (a, b), (c, d) = table
    row, column, total = a + b, a + c, a + b + c + d

    def ways(n: int) -> int:
        return math.comb(row, n) * math.comb(total - row, column - n)

    most = min(row, column)
    return sum(ways(n) for n in range(a, most + 1)) / math.comb(total, column)


@dataclass(frozen=True, slots=True)
class Dispersion:
    """Is it spread more unevenly than chance alone would do?

    `index`: 1 where events fall as a Poisson process does. `p_above`: chance of so much or more by
    chi-square, which is too small where less than about one event is expected per unit; `variance`
    is that of the statistic itself, which minds it.
    """

    chi2: float
    degrees: int
    p_above: float
    variance: float = 0.0

    @property
    def index(self) -> float:
        """Chi-square over its degrees of freedom."""
        return self.chi2 / self.degrees if self.degrees else 1.0

    @property
    def divisor(self) -> float:
        """By what counts and expected counts are divided: 1 unless clearly uneven (p < 0.05)."""
        return self.index if max(self.p_above, self.p_sparse) < 0.05 else 1.0

    @property
    def p_sparse(self) -> float:
        """Chance of so much or more by a normal law of the statistic's own variance."""
        if self.variance <= 0:
            return 1.0
        return math.erfc((self.chi2 - self.degrees) / math.sqrt(2 * self.variance)) / 2


def dispersion(events: Sequence[float], exposure: Sequence[float] | None = None) -> Dispersion:
    """Index of dispersion over units of unequal exposure (None: equal).

    Sum of (seen - expected)^2 / expected against chi-square with one degree less than units; units
    without exposure are left out. Source: R. A. Fisher's index of dispersion, from memory; rate-07.
    """
    from scipy.special import chdtrc

    weights = [1.0] * len(events) if exposure is None else list(exposure)
    pairs = [(n, t) for n, t in zip(events, weights, strict=True) if t > 0]
    total, all_t = math.fsum(n for n, _ in pairs), math.fsum(t for _, t in pairs)
    if len(pairs) < 2 or total == 0:
        return Dispersion(0.0, 0, 1.0)
    rate = total / all_t
    chi2 = math.fsum((n - rate * t) ** 2 / (rate * t) for n, t in pairs)
    # a Poisson count of mean m has a squared deviation over m of variance 2 + 1 / m
    variance = math.fsum(2 + 1 / (rate * t) for _, t in pairs)
    return Dispersion(chi2, len(pairs) - 1, float(chdtrc(len(pairs) - 1, chi2)), variance)


def within_groups(groups: Sequence[tuple[Sequence[float], Sequence[float]]]) -> Dispersion:
    """Unevenness within groups, each with its own rate: what differs between them is left out.

    Each group: events and exposures of its units. Chi-squares and their degrees are added.
    """
    from scipy.special import chdtrc

    parts = [dispersion(events, exposure) for events, exposure in groups]
    chi2, degrees = math.fsum(part.chi2 for part in parts), sum(part.degrees for part in parts)
    variance = math.fsum(part.variance for part in parts)
    return Dispersion(chi2, degrees, float(chdtrc(degrees, chi2)) if degrees else 1.0, variance)
