"""How many of a part will be asked for: chances of whole numbers, Poisson or more uneven than it.

Written by hand: no library is loaded for a handful of sums.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

# beyond this many the mean is no demand of a truck or shelf but a mistake of ours
_MOST = 100_000


@dataclass(frozen=True, slots=True)
class Demand:
    """Demand with this mean and variance; negative binomial where the variance is larger.

    `variance` equal to `mean`: Poisson. Raises ValueError for a mean below zero or a variance
    below the mean (no whole-number demand of customers is more even than Poisson).
    """

    mean: float
    variance: float

    def __post_init__(self) -> None:
        if not 0 <= self.mean < _MOST or self.variance < self.mean * (1 - 1e-12):
            raise ValueError(f"no demand has mean {self.mean} and variance {self.variance}")

    @property
    def is_poisson(self) -> bool:
        """Is it as even as chance alone makes it?"""
        return self.variance <= self.mean * (1 + 1e-9)

    def chance(self, n: int) -> float:
        """The chance that exactly `n` are asked for."""
        if n < 0:
            return 0.0
        if self.mean == 0:
            return 1.0 if n == 0 else 0.0
        if self.is_poisson:
            return math.exp(n * math.log(self.mean) - self.mean - math.lgamma(n + 1))
        size = self.mean**2 / (self.variance - self.mean)
        share = self.mean / self.variance
        logs = math.lgamma(size + n) - math.lgamma(size) - math.lgamma(n + 1)
        return math.exp(logs + size * math.log(share) + n * math.log1p(-share))

    def at_most(self, n: int) -> float:
        """The chance that `n` or fewer are asked for."""
        return min(1.0, math.fsum(self.chance(k) for k in range(n + 1)))


def poisson(mean: float) -> Demand:
    """Demand by chance alone. Raises ValueError for a mean below zero."""
    return Demand(mean, mean)


def negative_binomial(size: float, share: float) -> Demand:
    """Demand that is negative binomial: mean `size` * (1 - share) / share."""
    mean = size * (1 - share) / share
    return Demand(mean, mean / share)


def unevenness(counts: Sequence[int]) -> float:
    """Index of dispersion of counts of equal spans: sample variance over mean; 1: by chance alone.

    1.0 where nothing was used or only one span was seen: nothing speaks against chance.
    """
    n = len(counts)
    mean = sum(counts) / n if n else 0.0
    if n < 2 or mean == 0:
        return 1.0
    return sum((one - mean) ** 2 for one in counts) / (n - 1) / mean
