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
    if len(units) < FEWEST_UNITS:
        raise ValueError("a mean needs at least two units")
    off = _Contributions(units)
    mean, found = 0.0, []
    for age, events in sorted(_by_age(units).items()):
        r = off.watched_at(age)
        step = math.fsum(weight for _, weight in events) / r
        mean += step
        std_err = off.add(events, step)
        low = high = None
        if len(units) >= FEWEST_FOR_RANGE:
            low, high = max(0.0, mean - Z95 * std_err), mean + Z95 * std_err
        found.append(Mean(age, r, mean, std_err, low, high))
    return tuple(found)


def _by_age(units: Sequence[Watched]) -> dict[float, list[tuple[int, float]]]:
    found: dict[float, list[tuple[int, float]]] = {}
    for i, unit in enumerate(units):
        for age, weight in unit.events:
            if not unit.begin <= age <= unit.end:
                raise ValueError(f"an event at {age} lies outside {unit.begin} to {unit.end}")
            found.setdefault(age, []).append((i, weight))
    return found


class _Contributions:
    """Sum of squares of what each unit contributed beyond the mean, kept while ages go by.

    At each age every watched unit loses step / r. That common loss is kept once (`lost`): of a
    watched unit only its own gains are written, on top of what was lost before it came.
    """

    def __init__(self, units: Sequence[Watched]) -> None:
        self.coming = sorted(((unit.begin, i) for i, unit in enumerate(units)), reverse=True)
        self.going = sorted(((unit.end, i) for i, unit in enumerate(units)), reverse=True)
        self.gained: dict[int, float] = {}
        self.lost = self.sum = self.squares = self.gone = 0.0

    def watched_at(self, age: float) -> int:
        """Let units come and go; how many are watched at this age."""
        while self.coming and self.coming[-1][0] <= age:
            _, i = self.coming.pop()
            self._gain(i, self.lost)
        while self.going and self.going[-1][0] < age:
            _, i = self.going.pop()
            gained = self.gained.pop(i)
            self.sum -= gained
            self.squares -= gained * gained
            self.gone += (gained - self.lost) ** 2
        return len(self.gained)

    def add(self, events: Sequence[tuple[int, float]], step: float) -> float:
        """Write the events of this age; the standard error of the mean so far."""
        r = len(self.gained)
        self.lost += step / r
        for i, weight in events:
            self._gain(i, weight / r)
        here = self.squares - 2 * self.lost * self.sum + r * self.lost * self.lost
        return math.sqrt(max(0.0, self.gone + here))

    def _gain(self, i: int, amount: float) -> None:
        before = self.gained.get(i, 0.0)
        self.gained[i] = before + amount
        self.sum += amount
        self.squares += amount * (2 * before + amount)
