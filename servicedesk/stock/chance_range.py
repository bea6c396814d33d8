"""How far off the stated chance of a load may be, by what its shares rest on.

The shares are estimates. What inspections usually take is a share that all of them have: if it is
really higher, it is so at every visit of the week. A callback's causes rest on so many cases.

With L = -log(chance): its variance is the sum, over parts, of (dL / dlog share) squared over the
times that the part was taken (a gamma posterior), and over callbacks, of the variance of a share
under a Dirichlet (p (1 - p) / (cases + 1), over p squared). L is taken as gamma distributed with
that mean and variance, its quantiles by Wilson and Hilferty (Proceedings of the National Academy of
Sciences 17, 1931; written from memory). All of first order: how sure the figure is, no more.
"""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from servicedesk.stock.needs import Group, Need, groups_of

Z = 1.959964  # of a range of 95 %
_STEP = 0.05  # by which a share is moved to see what it does
_NEAR = 1e-12


@dataclass(frozen=True, slots=True)
class ChanceRange:
    """The middle 95 % of a chance."""

    low: float
    high: float


def chance_range(
    needs: Iterable[Need], stock: Mapping[str, int], seen: Mapping[str, float]
) -> ChanceRange:
    """The range of the chance that `stock` covers the needs.

    `seen`: how often each part was taken where its usual share was learned (half a time for one
    never taken). What nobody can name is missing at the low end and never missing at the high one:
    nothing tells what it asks for.
    """
    mass, expected, variance = 1.0, 0.0, 0.0
    for group in groups_of(needs):
        lying = [max(0, stock.get(part, 0)) for part in group.parts]
        named = group.covered(lying) / max(group.mass, _NEAR)
        mass *= group.mass
        expected += -math.log(min(1.0, max(named, _NEAR)))
        variance += _by_shares(group, lying, seen) + _by_cases(group, stock)
    low, high = (math.exp(-gamma_quantile(expected, variance, z)) for z in (Z, -Z))
    return ChanceRange(mass * low, high)


def gamma_quantile(mean: float, variance: float, z: float) -> float:
    """The quantile that a normal has at `z`, of a gamma with this mean and variance."""
    if mean <= _NEAR or variance <= 0:
        return max(0.0, mean)
    part = variance / (9 * mean * mean)
    return mean * max(0.0, 1 - part + z * math.sqrt(part)) ** 3


def _by_shares(group: Group, lying: Sequence[int], seen: Mapping[str, float]) -> float:
    usual = {part for need in group.needs if need.is_usual for part in need.parts}
    whole = 0.0
    for part in usual:
        less, more = (max(_NEAR, group.covered_if(lying, part, 1 + s)) for s in (-_STEP, _STEP))
        slope = math.log(less / more) / (2 * _STEP)
        whole += slope * slope / max(0.5, seen.get(part, 0.0))
    return whole


def _by_cases(group: Group, stock: Mapping[str, int]) -> float:
    """Of each callback as if it had the truck to itself."""
    whole = 0.0
    for need in group.needs:
        if need.cases > 0:
            known = 1 - need.unknown
            short = sum(p for p, b in need.ways if any(n > stock.get(part, 0) for part, n in b))
            share = max(0.05, 1 - short / known) if known > 0 else 1.0
            whole += (1 - share) / (share * (need.cases + 1))
    return whole
