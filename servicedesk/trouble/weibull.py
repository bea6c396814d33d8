"""The life of a kind of unit as a Weibull law: does it wear out, and how long will one last?

Lives are in years; late entry and units still working are minded. Maximum likelihood: for a given
shape the scale has a closed form, so one search over the shape is all there is.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from servicedesk.trouble.rates import Range
from servicedesk.trouble.survival import Life

FEWEST_FAILURES = 5  # below: the shape is not looked for (common practice, no source)
ASSUMED_SHAPE = 1.0
_CHI2_95 = 3.841458820694124
_SHAPES = (0.05, 50.0)


@dataclass(frozen=True, slots=True)
class Weibull:
    """S(t) = exp(-(t / scale)^shape)."""

    shape: float
    scale: float

    def survival(self, age: float) -> float:
        """Share still working at this age."""
        return math.exp(-((age / self.scale) ** self.shape))

    def hazard(self, age: float) -> float:
        """Failures per unit-year at this age."""
        return self.shape / self.scale * math.pow(age / self.scale, self.shape - 1)

    def fails_within(self, age: float, years: float) -> float:
        """Chance that a unit of this age fails in the next `years`."""
        past, future = (age / self.scale) ** self.shape, ((age + years) / self.scale) ** self.shape
        return -math.expm1(past - future)

    def mean_remaining(self, age: float) -> float:
        """Years a unit of this age will last on average.

        scale / shape * upper incomplete gamma(1 / shape, x) * exp(x), x = (age / scale)^shape.
        """
        from scipy.special import gammaincc

        x = (age / self.scale) ** self.shape
        upper = float(gammaincc(1 / self.shape, x)) * math.gamma(1 / self.shape)
        return self.scale / self.shape * upper * math.exp(x)

    @property
    def mean(self) -> float:
        """Mean life."""
        return self.scale * math.gamma(1 + 1 / self.shape)

    @property
    def std_dev(self) -> float:
        """Standard deviation of the life."""
        second = math.gamma(1 + 2 / self.shape)
        return self.scale * math.sqrt(second - math.gamma(1 + 1 / self.shape) ** 2)

    def mean_until(self, age: float) -> float:
        """Years in service on average where each unit is taken out at this age at the latest."""
        from scipy.special import gammainc

        x = (age / self.scale) ** self.shape
        return self.mean * float(gammainc(1 / self.shape, x))


@dataclass(frozen=True, slots=True)
class LifeFit:
    """A fitted life.

    `shape`: with 95 % range by profile likelihood; both limits equal it where it was assumed.
    `scale`: best None where nothing failed yet; its `low` is then a 95 % lower bound.
    """

    n_failed: int
    shape: Range
    scale: float | None
    scale_at_least: float | None
    log_likelihood: float | None
    shape_is_assumed: bool

    @property
    def law(self) -> Weibull | None:
        """The fitted law, None where nothing failed yet."""
        return None if self.scale is None else Weibull(self.shape.best, self.scale)

    @property
    def wears_out(self) -> bool:
        """Is a failure rate that rises with age shown (lower limit of the shape above 1)?"""
        return not self.shape_is_assumed and self.shape.low > 1


def fit_life(lives: Sequence[Life], *, assumed_shape: float = ASSUMED_SHAPE) -> LifeFit:
    """Fit a life by the rules for small data.

    From 5 failures shape and scale; with fewer the scale alone for the assumed shape; with none a
    lower bound of the scale (rule of three). Checks life-01, life-05; brute force in the tests.
    Raises ValueError where no unit was ever in service.
    """
    kept = [life for life in lives if life.left > life.entered]
    if not kept:
        raise ValueError("no unit was ever in service")
    n_failed = sum(life.failed for life in kept)
    fixed = Range(assumed_shape, assumed_shape, assumed_shape)
    if n_failed == 0:
        at_least = (_used(kept, assumed_shape) / 3) ** (1 / assumed_shape)
        return LifeFit(0, fixed, None, at_least, None, shape_is_assumed=True)
    logs = math.fsum(math.log(life.left) for life in kept if life.failed)
    profile = _profile(kept, n_failed, logs)
    if n_failed < FEWEST_FAILURES or len({life.left for life in kept}) < 2:
        scale = (_used(kept, assumed_shape) / n_failed) ** (1 / assumed_shape)
        return LifeFit(n_failed, fixed, scale, None, profile(assumed_shape), shape_is_assumed=True)
    shape = _best_shape(profile)
    scale = (_used(kept, shape.best) / n_failed) ** (1 / shape.best)
    return LifeFit(n_failed, shape, scale, None, profile(shape.best), shape_is_assumed=False)


def _used(lives: Sequence[Life], shape: float) -> float:
    """Sum of (age at the end)^shape less (age at the beginning)^shape."""
    return math.fsum(life.left**shape - life.entered**shape for life in lives)


def _profile(lives: Sequence[Life], n_failed: int, logs: float) -> Callable[[float], float]:
    """Log likelihood of a shape with the scale that suits it best."""
    import numpy as np

    left = np.array([life.left for life in lives])
    entered = np.array([life.entered for life in lives])
    # in units of the longest life, so that a large power stays a number
    longest = float(left.max())
    left, entered = left / longest, entered / longest

    def log_likelihood(shape: float) -> float:
        used = float(np.sum(left**shape - entered**shape))
        log_scale_power = math.log(used / n_failed) + shape * math.log(longest)
        return n_failed * (math.log(shape) - log_scale_power - 1) + (shape - 1) * logs

    return log_likelihood


def _best_shape(profile: Callable[[float], float]) -> Range:
    from scipy.optimize import brentq, minimize_scalar

    bounds = (math.log(_SHAPES[0]), math.log(_SHAPES[1]))
    found = minimize_scalar(
        lambda x: -profile(math.exp(x)), bounds=bounds, method="bounded", options={"xatol": 1e-9}
    )
    best = float(found.x)
    cut = profile(math.exp(best)) - _CHI2_95 / 2

    def over(log_shape: float) -> float:
        return profile(math.exp(log_shape)) - cut

    # where even the ends of what is thinkable are not refused, the end is the limit
    low = brentq(over, bounds[0], best) if over(bounds[0]) < 0 else bounds[0]
    high = brentq(over, best, bounds[1]) if over(bounds[1]) < 0 else bounds[1]
    return Range(math.exp(best), math.exp(low), math.exp(high))
