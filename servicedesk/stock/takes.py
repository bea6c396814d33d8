"""How often something that some visits take is taken: each place's own share, drawn to all.

Shares of places follow a beta distribution about the share of all; how far they scatter is learned
from how they do (moments of the beta-binomial: Kleinman, Journal of the American Statistical
Association 68, 1973; written from memory). Where places differ no more than by chance, the share
of all stands for each; where they do differ, as between those with and without a thing, each
soon speaks for itself.
"""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

LEAST_WORTH, MOST_WORTH = 0.2, 2_000.0
HALF_A_TIME = 0.5


@dataclass(frozen=True, slots=True)
class Share:
    """The share of all places, and how many visits to one place it is worth there."""

    of_all: float
    worth: float

    def at(self, taken: int, visits: int) -> float:
        """The share at a place where `visits` took it `taken` times (mean of the beta)."""
        return (self.of_all * self.worth + taken) / (self.worth + visits)


def share_of(seen: Iterable[tuple[int, int]]) -> Share:
    """From (taken, visits) of every place. Raises ValueError for more taken than visits."""
    places = [(taken, visits) for taken, visits in seen if visits > 0]
    if any(not 0 <= taken <= visits for taken, visits in places):
        raise ValueError("a visit takes a thing once or not at all")
    whole = sum(visits for _, visits in places)
    if not whole:
        return Share(0.0, MOST_WORTH)
    share = sum(taken for taken, _ in places) / whole
    by_chance = share * (1 - share)
    if by_chance == 0:
        return Share(share, MOST_WORTH)
    scatter = math.fsum(n * (taken / n - share) ** 2 for taken, n in places)
    usual = math.fsum(1 - n / whole for _, n in places)
    more = math.fsum((n - 1) * (1 - n / whole) for _, n in places)
    alike = (scatter / by_chance - usual) / more if more > 0 else 0.0
    if alike <= 1 / (MOST_WORTH + 1):
        return Share(share, MOST_WORTH)
    return Share(share, max(LEAST_WORTH, (1 - min(1.0, alike)) / alike))


def drawn_to_group(shares: Mapping[str, Share], visits: Mapping[str, int]) -> dict[str, Share]:
    """Shares of things drawn toward the mean of all, as if each was taken half a time more.

    So a thing that was never taken may be taken yet, and one that is taken often is hardly drawn at
    all: shares of things differ a hundredfold, and a prior worth a year of all visits would take a
    fifth off the consumables. Half a time: shape 1/2 of Jeffreys' prior for a Poisson rate
    (Proceedings of the Royal Society A 186, 1946; written from memory), here with that mean.
    """
    mean = math.fsum(one.of_all for one in shares.values()) / len(shares) if shares else 0.0
    if mean == 0:
        return dict(shares)
    worth = HALF_A_TIME / mean
    return {
        key: replace(one, of_all=(one.of_all * visits[key] + HALF_A_TIME) / (visits[key] + worth))
        for key, one in shares.items()
    }
