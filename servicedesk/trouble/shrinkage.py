"""Rates of small groups drawn toward their fleet's: the fewer events speak, the more.

A group's rate is `ratio` times the fleet's; ratios of groups follow Gamma(a, a) with mean 1. Seen
`n` events where `e` were expected, the ratio follows Gamma(a + n, a + e).
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

# a = 10: groups differ by a third (1 / sqrt(10)); common practice, no source
CENTER, LEAST, MOST = 10.0, 1.0, 150.0
# how strongly a is drawn toward its center: one step of e either way costs half a log-likelihood
_PULL_LOG_SD = 1.0


@dataclass(frozen=True, slots=True)
class Gamma:
    """A gamma distribution by `shape` and `rate` (mean = shape / rate): of a rate or a ratio."""

    shape: float
    rate: float

    @property
    def mean(self) -> float:
        """The best estimate."""
        return self.shape / self.rate

    def after(self, events: float, exposure: float) -> "Gamma":
        """What is believed once `events` were seen over `exposure` (or expected events)."""
        return Gamma(self.shape + events, self.rate + exposure)

    def quantile(self, chance: float) -> float:
        """The value below which it lies with this chance."""
        from scipy.special import gammaincinv

        return float(gammaincinv(self.shape, chance)) / self.rate

    def limits(self, confidence: float = 0.95) -> tuple[float, float]:
        """The middle range that holds it with this chance."""
        tail = (1 - confidence) / 2
        return self.quantile(tail), self.quantile(1 - tail)

    def chance_above(self, value: float) -> float:
        """Chance that it is larger than `value`."""
        from scipy.special import gammaincc

        return float(gammaincc(self.shape, self.rate * value)) if value > 0 else 1.0


def log_likelihood(
    events: Sequence[float], exposure: Sequence[float], *, shape: float, rate: float
) -> float:
    """Log chance of the counts if each group's rate were drawn from Gamma(shape, rate).

    The marginal is negative binomial; for fractions the gamma function takes the factorial's place.
    """
    total = 0.0
    for n, t in zip(events, exposure, strict=True):
        total += math.lgamma(shape + n) - math.lgamma(shape) - math.lgamma(n + 1)
        total += shape * math.log(rate / (rate + t))
        if n > 0:
            total += n * math.log(t / (rate + t))
    return total


def fit_gamma(events: Sequence[float], exposure: Sequence[float]) -> Gamma:
    """Shape and rate of the groups' rates by marginal maximum likelihood, without a penalty.

    Check values: eb-01. Raises ValueError for fewer than two groups or no events.
    """
    from scipy.optimize import minimize

    if len(events) < 2 or sum(events) == 0:
        raise ValueError("two groups and one event are needed to see how groups differ")
    mean = sum(events) / sum(exposure)

    def cost(logs: Sequence[float]) -> float:
        shape = math.exp(min(20.0, max(-20.0, logs[0])))
        rate = shape / (mean * math.exp(min(5.0, max(-5.0, logs[1]))))
        return -log_likelihood(events, exposure, shape=shape, rate=rate)

    found = minimize(
        cost, [0.0, 0.0], method="Nelder-Mead", options={"xatol": 1e-8, "fatol": 1e-11}
    )
    shape = math.exp(found.x[0])
    return Gamma(shape, shape / (mean * math.exp(found.x[1])))


def ratio_spread(events: Sequence[float], expected: Sequence[float]) -> Gamma:
    """Gamma(a, a) of the groups' ratios; `a` drawn toward 10 and kept within 1 and 150.

    `expected`: events at the fleet's rate. The penalty is a normal one on log a around log 10 with
    a deviation of 1: with few groups 10 stands nearly alone.
    """
    from scipy.optimize import minimize_scalar

    pairs = [(n, e) for n, e in zip(events, expected, strict=True) if e > 0]
    if len(pairs) < 2:
        return Gamma(CENTER, CENTER)
    seen, wanted = [n for n, _ in pairs], [e for _, e in pairs]

    def cost(log_a: float) -> float:
        a = math.exp(log_a)
        off = (log_a - math.log(CENTER)) / _PULL_LOG_SD
        return off * off / 2 - log_likelihood(seen, wanted, shape=a, rate=a)

    bounds = (math.log(LEAST), math.log(MOST))
    found = minimize_scalar(cost, bounds=bounds, method="bounded", options={"xatol": 1e-6})
    a = math.exp(float(found.x))
    return Gamma(a, a)
