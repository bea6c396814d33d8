"""The shapes of an inspection item: answers by grade, numbers with their ranges."""

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from typing import TypeAlias

# (check id, result id) pairs
Results: TypeAlias = tuple[tuple[str, str], ...]


class Grade(StrEnum):
    """How an item stands, by one key."""

    GOOD = "good"
    WATCH = "watch"
    FAILED = "failed"


class Place(StrEnum):
    """Where a number lies against its range. Outside is a finding to explain, not a verdict."""

    BELOW = "below"
    WITHIN = "within"
    ABOVE = "above"
    NO_RANGE = "no range"


@dataclass(frozen=True, slots=True, kw_only=True)
class Usual:
    """The range people expect, ends included (None: open), with its source.

    `sure`: seen, seen_second_hand, memory or practice. `own`: the range is that of this very
    system (plate, earlier readings) and has no figures here.
    """

    source: str
    sure: str
    low: Decimal | None = None
    high: Decimal | None = None
    own: bool = False

    def place(self, value: Decimal) -> Place:
        """Where `value` lies; `NO_RANGE` where neither end has a figure."""
        if self.low is None and self.high is None:
            return Place.NO_RANGE
        if self.low is not None and value < self.low:
            return Place.BELOW
        return Place.ABOVE if self.high is not None and value > self.high else Place.WITHIN


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What may be said of an item, its grade, and the check results it means."""

    grade: Grade
    text: str
    results: Results


@dataclass(frozen=True, slots=True)
class Band:
    """Numbers below an end (excluded; None: all the rest) with grade and check results."""

    below: Decimal | None
    grade: Grade
    results: Results


@dataclass(frozen=True, slots=True, kw_only=True)
class Number:
    """Something measured. `units`: choices, the first one is that of range and bands."""

    id: str
    name: str
    units: tuple[str, ...]
    usual: Usual | None = None
    bands: tuple[Band, ...] = ()
    places: tuple[tuple[Place, Results], ...] = ()
    why_no_check: str | None = None

    def all_results(self) -> tuple[Results, ...]:
        """Every set of check results that a value may mean."""
        said = [band.results for band in self.bands] + [results for _, results in self.places]
        return tuple(results for results in said if results)


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """One item of an inspection. `record` says in words what is written down.

    `why_no_check` is set where the item says nothing about any cause.
    """

    id: str
    name: str
    record: str | None
    sources: tuple[str, ...]
    cautions: tuple[str, ...]
    answers: tuple[Answer, ...]
    numbers: tuple[Number, ...]
    why_no_check: str | None = None
