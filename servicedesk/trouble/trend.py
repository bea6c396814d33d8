"""Do events crowd toward the end? Tests of trend and the power-law fit of repeat events.

Times count from the begin of watching, in any one unit. A wet season looks like a trend: compare
the same months before believing one.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from servicedesk.values.reason import Reason

FEWEST_EVENTS = 4  # below: no test (common practice, no source)


@dataclass(frozen=True, slots=True)
class History:
    """Times of events in order and the end of watching (`ends_with_event`: with the last one)."""

    times: tuple[float, ...]
    end: float
    ends_with_event: bool = False

    @classmethod
    def of_gaps(cls, gaps: Sequence[float]) -> "History":
        """A history that ends with its last event, from the gaps between events."""
        times, now = [], 0.0
        for gap in gaps:
            now += gap
            times.append(now)
        return cls(tuple(times), now, ends_with_event=True)

    @property
    def inner(self) -> tuple[float, ...]:
        """The times that speak: all but an event that ended the watching."""
        return self.times[:-1] if self.ends_with_event else self.times


@dataclass(frozen=True, slots=True)
class Trend:
    """`z` above zero: events crowd toward the end, it gets worse. `p` two-sided."""

    z: float
    p: float
    n: int


def laplace(histories: Sequence[History]) -> Trend | Reason:
    """Laplace's test over one history or several (numerators and variances are added).

    z = (sum of times - n T / 2) / (T sqrt(n / 12)). Checks trend-03, trend-06, trend-10. The answer
    is a reason where fewer than 4 events speak.
    """
    top = variance = 0.0
    n = sum(len(history.times) for history in histories)
    if n < FEWEST_EVENTS:
        return Reason.of("few_events_for_trend", n=n, least=FEWEST_EVENTS)
    for history in histories:
        m = len(history.inner)
        top += math.fsum(history.inner) - m * history.end / 2
        variance += history.end**2 * m / 12
    z = top / math.sqrt(variance)
    return Trend(z, math.erfc(abs(z) / math.sqrt(2)), n)


@dataclass(frozen=True, slots=True)
class ChiSquareTrend:
    """A small statistic speaks of worsening, a large one of improving."""

    chi2: float
    degrees: int
    p_worsening: float
    p_improving: float


def handbook_test(history: History) -> ChiSquareTrend:
    """Chi-square test of trend: 2 * sum of ln(T / t) on 2 n degrees (check trend-04).

    Source: MIL-HDBK-189, as quoted elsewhere. Events at time 0 are not allowed (ValueError).
    """
    from scipy.special import chdtr, chdtrc

    chi2 = 2 * _log_sum(history)
    degrees = 2 * len(history.inner)
    return ChiSquareTrend(chi2, degrees, float(chdtr(degrees, chi2)), float(chdtrc(degrees, chi2)))


def _log_sum(history: History) -> float:
    if any(t <= 0 for t in history.times):
        raise ValueError("an event at time 0 has no logarithm")
    return math.fsum(math.log(history.end / t) for t in history.inner)


def reversals(gaps: Sequence[float]) -> int:
    """How often a later gap is longer than an earlier one: many where it gets better (trend-05)."""
    return sum(a < b for i, a in enumerate(gaps) for b in gaps[i + 1 :])


@dataclass(frozen=True, slots=True)
class PowerLaw:
    """Expected events until t: a * t^b. b above 1: it gets worse."""

    a: float
    b: float

    def expected(self, t: float) -> float:
        """Events expected until `t`."""
        return self.a * math.pow(t, self.b)

    def rate(self, t: float) -> float:
        """Events per unit of time at `t`."""
        return self.a * self.b * math.pow(t, self.b - 1)


def fit_power_law(history: History, *, unbiased: bool = False) -> PowerLaw:
    """Maximum likelihood: b = n / sum of ln(T / t), a = n / T^b.

    `unbiased`: (n - 1) / sum for reports, n - 2 where the watching ended with an event. Checks
    trend-01, trend-02, trend-07, trend-10. Raises ValueError for too few events.
    """
    n = len(history.times)
    less = (2 if history.ends_with_event else 1) if unbiased else 0
    if n - less < 1 or not history.inner:
        raise ValueError("too few events for a power law")
    b = (n - less) / _log_sum(history)
    return PowerLaw(n / history.end**b, b)


def now_gap_limits(history: History, law: PowerLaw, *, confidence: float) -> tuple[float, float]:
    """Limits of the mean time between events now, for time-truncated histories (check trend-01).

    Source: NIST/SEMATECH e-Handbook of Statistical Methods, section 8.4.5.2, whose printed limits
    it gives; the formula is from memory. Raises ValueError for too few events.
    """
    from scipy.special import ndtri

    n, z = len(history.times), float(ndtri((1 + confidence) / 2))
    gap, pairs = 1 / law.rate(history.end), n * (n - 1)
    if n <= z * z / 2:
        raise ValueError("too few events for limits")
    low = gap * pairs / (n + z * z / 4 + math.sqrt(n * z * z / 2 + z**4 / 16)) ** 2
    return low, gap * pairs / (n - z * math.sqrt(n / 2)) ** 2


def fit_counts(ends: Sequence[float], counts: Sequence[int]) -> PowerLaw:
    """Power law of counts per interval, such as months; `ends` of the intervals from 0 (trend-08).

    Poisson likelihood; for a given b the sum fixes a. Raises ValueError without an event.
    """
    total, last = sum(counts), ends[-1]
    if total == 0:
        raise ValueError("too few events for a power law")
    starts = [0.0, *ends[:-1]]

    def score(b: float) -> float:
        whole = math.fsum(
            n * (_power_log(end, b) - _power_log(start, b)) / (end**b - start**b)
            for n, start, end in zip(counts, starts, ends, strict=True)
        )
        return whole - total * math.log(last)

    b = _root(score)
    return PowerLaw(total / last**b, b)


def _power_log(t: float, b: float) -> float:
    return t**b * math.log(t) if t > 0 else 0.0


def fit_pooled(histories: Sequence[History]) -> PowerLaw:
    """One power law for several systems watched for different lengths (check trend-09).

    Solves n / b + sum of ln t = a * sum of T^b ln T with a = n / sum of T^b. Raises ValueError for
    no events or an event at time 0.
    """
    times = [t for history in histories for t in history.times]
    if not times or min(times) <= 0:
        raise ValueError("a power law needs events after time 0")
    n, logs = len(times), math.fsum(math.log(t) for t in times)
    # in units of the longest watch, so that a large power stays a number
    longest = max(history.end for history in histories)
    ends = [history.end / longest for history in histories]
    logs -= n * math.log(longest)

    def score(b: float) -> float:
        powers = [end**b for end in ends]
        weighted = math.fsum(p * math.log(end) for p, end in zip(powers, ends, strict=True))
        return n / b + logs - n * weighted / math.fsum(powers)

    b = _root(score)
    return PowerLaw(n / math.fsum(end**b for end in ends) / longest**b, b)


def _root(score: Callable[[float], float]) -> float:
    from scipy.optimize import brentq

    return float(brentq(score, 1e-3, 50.0, xtol=1e-14, rtol=1e-14))


def cramer_von_mises(history: History) -> float:
    """How far events lie from the fitted power law; its shape without bias (check trend-07).

    1 / (12 n) + sum of ((t / T)^b - (2 i - 1) / (2 n))^2.
    Source: MIL-HDBK-189, as quoted elsewhere.
    """
    n = len(history.times)
    b = fit_power_law(history, unbiased=True).b
    return 1 / (12 * n) + math.fsum(
        ((t / history.end) ** b - (2 * i - 1) / (2 * n)) ** 2
        for i, t in enumerate(history.times, 1)
    )
