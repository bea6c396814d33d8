"""How much trouble a unit has made by an age: the mean cumulative function of repeat events.

Nothing is assumed about how events come about; units may be watched for different lengths.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from servicedesk.trouble.survival import Z95

FEWEST_UNITS, FEWEST_FOR_RANGE = 2, 5  # common practice, no source


@dataclass(frozen=True, slots=True)
class Watched:
    """One unit or system: ages of its events, each with a weight (1, or a cost), and its end.

    Watching began at `begin`; an event at the end counts.
    """

    events: tuple[tuple[float, float], ...]
    end: float
    begin: float = 0.0

    @classmethod
    def of(cls, ages: Sequence[float], end: float, begin: float = 0.0) -> "Watched":
        """A unit whose events all count 1."""
        return cls(tuple((age, 1.0) for age in ages), end, begin)


@dataclass(frozen=True, slots=True)
class Mean:
    """Mean events (or cost) of a unit until `age`, with robust standard error and 95 % range.

    The range is None where fewer than 5 units were watched; its lower limit is not below zero.
    """

    age: float
    at_risk: int
    mean: float
    std_err: float
    low: float | None
    high: float | None


def mean_cumulative(units: Sequence[Watched]) -> tuple[Mean, ...]:
    """The mean cumulative function at each age with an event (W. Nelson 1995, Technometrics 37).

    Adds d(t) / r(t) at each age; r counts the units watched at t, one that ends at t included.
    Standard error from what each unit contributed. Checks mcf-01, mcf-02. Raises ValueError for
    fewer than 2 units or an event outside the time a unit was watched.
    """
    import numpy as np

    if len(units) < FEWEST_UNITS:
        raise ValueError("a mean needs at least two units")
    at_age: dict[float, list[tuple[int, float]]] = {}
    for i, unit in enumerate(units):
        for age, weight in unit.events:
            if not unit.begin <= age <= unit.end:
                raise ValueError(f"an event at {age} lies outside {unit.begin} to {unit.end}")
            at_age.setdefault(age, []).append((i, weight))
    begins = np.array([unit.begin for unit in units])
    ends = np.array([unit.end for unit in units])
    off = np.zeros(len(units))  # what each unit contributed beyond the mean
    mean, found = 0.0, []
    for age in sorted(at_age):
        watched = (begins <= age) & (age <= ends)
        r = int(watched.sum())
        step = math.fsum(weight for _, weight in at_age[age]) / r
        mean += step
        off[watched] -= step / r
        for i, weight in at_age[age]:
            off[i] += weight / r
        std_err = math.sqrt(float(off @ off))
        low = high = None
        if len(units) >= FEWEST_FOR_RANGE:
            low, high = max(0.0, mean - Z95 * std_err), mean + Z95 * std_err
        found.append(Mean(age, r, mean, std_err, low, high))
    return tuple(found)
