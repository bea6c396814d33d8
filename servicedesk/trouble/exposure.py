"""Who was watched for how long, and what happened meanwhile: the counts under every rate.

Years are 365.25 days. A unit is watched from the day records of it begin until it goes, its system
ends, or today.
"""

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date

from servicedesk.trouble.survival import Life

DAYS_PER_YEAR = 365.25
JOINED_DAYS = 14  # a call about the same within so many days is the same trouble, not mended
AGAIN_DAYS = 730  # a call about the same within so many days came back
AGE_EDGES = (0.0, 3.0, 6.0, 10.0)  # years; the last band is open


def years_between(from_on: date, until_on: date) -> float:
    """Years from one day to another, below zero if it lies before."""
    return (until_on - from_on).days / DAYS_PER_YEAR


@dataclass(frozen=True, slots=True)
class CallOn:
    """A call at a system by its day, with the symptoms it told."""

    id: int
    on: date
    symptoms: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Callbacks:
    """Calls of one system that count, in order; `again`: those that came back."""

    counted: tuple[CallOn, ...]
    again: tuple[CallOn, ...]


def callbacks_of(calls: Iterable[CallOn]) -> Callbacks:
    """The calls of one system with returns joined.

    A call that shares a symptom with one of the last 14 days is the same trouble, not mended the
    first time: it is not counted. One that shares a symptom with a counted call of the last two
    years came back. Calls of a storm, outage or flood are to be left out before.
    """
    counted: list[CallOn] = []
    again: list[CallOn] = []
    last: dict[str, date] = {}  # the last day, counted or not, on which a symptom was told
    last_counted: dict[str, date] = {}
    for call in sorted(calls, key=lambda one: (one.on, one.id)):
        gaps = [(call.on - last[s]).days for s in call.symptoms if s in last]
        is_return = any(gap <= JOINED_DAYS for gap in gaps)
        if not is_return:
            counted.append(call)
            gaps = [(call.on - last_counted[s]).days for s in call.symptoms if s in last_counted]
            if any(gap <= AGAIN_DAYS for gap in gaps):
                again.append(call)
            last_counted.update(dict.fromkeys(call.symptoms, call.on))
        last.update(dict.fromkeys(call.symptoms, call.on))
    return Callbacks(tuple(counted), tuple(again))


@dataclass(frozen=True, slots=True)
class Established:
    """A cause at a unit's component that a callback established; `patched`: only for now."""

    on: date
    patched: bool


@dataclass(frozen=True, slots=True)
class Failure:
    """One failure of a unit; `by_call`: somebody called because of it."""

    on: date
    by_call: bool


def failures_of(established: Sequence[Established], failed_on: date | None) -> tuple[Failure, ...]:
    """The failures of one unit: each once, however many visits it took.

    `failed_on`: the day it was removed because it had failed. A removal is no second failure if the
    last callback only patched the unit or lies less than 14 days back; the same holds among
    callbacks.
    """
    found: list[Failure] = []
    last: Established | None = None
    for one in sorted(established, key=lambda e: e.on):
        if last is None or not _same(last, one.on):
            found.append(Failure(one.on, by_call=True))
        last = one
    if failed_on is not None and (last is None or not _same(last, failed_on)):
        found.append(Failure(failed_on, by_call=False))
    return tuple(found)


def _same(last: Established, on: date) -> bool:
    return last.patched or (on - last.on).days <= JOINED_DAYS


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitWatched:
    """A unit while it was watched. `from_on` to `until_on`, excluded; `is_there`: in service now.

    `failed`: it was removed because it had failed. `repeats`: calls that came back at its system
    meanwhile. `years`: exposure.
    """

    id: int
    system_id: int
    component: str
    model_id: int | None
    model: str
    place: str
    sealing: str
    installed_on: date | None
    from_on: date
    until_on: date
    failed: bool
    is_there: bool
    failures: tuple[Failure, ...] = ()
    repeats: int = 0
    years: float = field(init=False)

    def __post_init__(self) -> None:
        # asked for many times over
        object.__setattr__(self, "years", years_between(self.from_on, self.until_on))

    @property
    def age(self) -> float | None:
        """Age at the end of watching, None where nobody knows when it went in."""
        return (
            None if self.installed_on is None else years_between(self.installed_on, self.until_on)
        )

    @property
    def life(self) -> Life | None:
        """As curves see it; None without a day of installation."""
        if self.installed_on is None:
            return None
        entered = max(0.0, years_between(self.installed_on, self.from_on))
        left = years_between(self.installed_on, self.until_on)
        return Life(entered, left, self.failed) if left >= entered else None


@dataclass(frozen=True, slots=True)
class InBand:
    """Events and years of exposure within one age band."""

    events: int
    years: float


def by_age(unit: UnitWatched, edges: Sequence[float] = AGE_EDGES) -> tuple[InBand, ...] | None:
    """A unit's failures and exposure by age band; None without a day of installation.

    Bands begin at `edges`; the last is open. Years add up to the unit's exposure.
    """
    if unit.installed_on is None:
        return None
    begin = years_between(unit.installed_on, unit.from_on)
    end = years_between(unit.installed_on, unit.until_on)
    n = [0] * len(edges)
    for failure in unit.failures:
        n[_band(years_between(unit.installed_on, failure.on), edges)] += 1
    first, last = _band(begin, edges), _band(end, edges)
    found = [InBand(events, 0.0) for events in n]
    for i in range(first, last + 1):
        low = begin if i == first else edges[i]
        high = end if i == last else edges[i + 1]
        found[i] = InBand(n[i], high - low)
    return tuple(found)


def _band(age: float, edges: Sequence[float]) -> int:
    return max(0, bisect_right(edges, age) - 1)
