"""What a contract cost in the last year, and what the next one will likely cost.

Callbacks to expect follow the gamma-Poisson model: a system's own calls a year are drawn toward
the fleet's, the less so the longer it was watched.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from statistics import fmean

from servicedesk.values.money import rounded_minor

INSPECTION, CALLBACK, OTHER = "inspection", "callback", "other"
RANGE_CHANCE = 0.8  # of the range of callbacks to expect


@dataclass(frozen=True, slots=True)
class VisitSeen:
    """What one visit took for one contract; None: not written down.

    `is_recent`: within the year that is counted as this one. `is_event`: part of a storm or
    outage, which says nothing about the system. `parts_minor`: parts not billed, at cost.
    """

    kind: str
    minutes: float | None
    road_min: float | None
    parts_minor: int
    is_recent: bool
    is_event: bool = False


@dataclass(frozen=True, slots=True)
class Seen:
    """A contract's visits of the years it was watched, and the visits the next year owes."""

    visits: tuple[VisitSeen, ...]
    years: float
    visits_a_year: int

    @property
    def n_calls(self) -> int:
        """Callbacks in the years watched that say something about the system."""
        return sum(v.kind == CALLBACK and not v.is_event for v in self.visits)


@dataclass(frozen=True, slots=True)
class Usual:
    """Mean minutes over the fleet, for contracts that have none of their own; None: not known.

    Of other work (owed work, trips to a locked gate) the minutes a contract and year.
    """

    inspection_min: float | None
    inspection_road_min: float | None
    callback_min: float | None
    callback_road_min: float | None
    other_min: float = 0.0
    other_road_min: float = 0.0


@dataclass(frozen=True, slots=True)
class Rates:
    """What an hour costs; what a callback and the office cost where the company says so."""

    hour_minor: int
    callback_minor: int | None = None
    office_minor: int = 0  # a contract and year


@dataclass(frozen=True, slots=True)
class Expected:
    """Callbacks a year to expect, with the range that holds the true rate with `RANGE_CHANCE`."""

    calls: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Cost:
    """Costs of a year in minor units. `minutes` of work and road behind labor and road alone."""

    labor_minor: int
    road_minor: int
    parts_minor: int
    calls_minor: int
    office_minor: int
    labor_min: float = 0.0
    road_min: float = 0.0

    @property
    def total_minor(self) -> int:
        """All of it."""
        return (
            self.labor_minor
            + self.road_minor
            + self.parts_minor
            + self.calls_minor
            + self.office_minor
        )


def usual(seen: Sequence[Seen]) -> Usual:
    """Means over all visits of the fleet in the last year, by kind."""
    visits = [v for one in seen for v in one.visits if v.is_recent]
    years = sum(min(one.years, 1.0) for one in seen)
    other = [v for v in visits if v.kind == OTHER]

    def mean(kind: str, name: str) -> float | None:
        values = [getattr(v, name) for v in visits if v.kind == kind]
        known = [value for value in values if value is not None]
        return fmean(known) if known else None

    return Usual(
        inspection_min=mean(INSPECTION, "minutes"),
        inspection_road_min=mean(INSPECTION, "road_min"),
        callback_min=mean(CALLBACK, "minutes"),
        callback_road_min=mean(CALLBACK, "road_min"),
        other_min=_sum(other, "minutes") / years if years else 0.0,
        other_road_min=_sum(other, "road_min") / years if years else 0.0,
    )


def expected_calls(n: float, years: float, *, shape: float, rate: float) -> Expected:
    """Callbacks a year after `n` in `years`, where rates of the fleet follow Gamma(shape, rate).

    Mean of the posterior Gamma(shape + n, rate + years). Raises ValueError for no prior or
    negative counts.
    """
    from scipy.special import gammaincinv

    if shape <= 0 or rate <= 0 or n < 0 or years < 0:
        raise ValueError("counts cannot be negative, shape and rate are above zero")
    after, exposure = shape + n, rate + years
    tail = (1 - RANGE_CHANCE) / 2
    low, high = gammaincinv(after, [tail, 1 - tail]) / exposure
    return Expected(after / exposure, float(low), float(high))


def cost_this_year(seen: Seen, rates: Rates) -> Cost:
    """What was written of the last year, at these rates: nothing is filled in."""
    visits = [v for v in seen.visits if v.is_recent]
    planned = [v for v in visits if v.kind != CALLBACK]
    calls = [v for v in visits if v.kind == CALLBACK]
    labor_min, road_min = _sum(planned, "minutes"), _sum(planned, "road_min")
    if rates.callback_minor is not None:
        calls_minor = rates.callback_minor * len(calls)
    else:
        calls_minor = _at(rates, _sum(calls, "minutes") + _sum(calls, "road_min"))
    return Cost(
        labor_minor=_at(rates, labor_min),
        road_minor=_at(rates, road_min),
        parts_minor=sum(v.parts_minor for v in visits),
        calls_minor=calls_minor,
        office_minor=rates.office_minor,
        labor_min=labor_min,
        road_min=road_min,
    )


def cost_next_year(seen: Seen, calls: Expected, rates: Rates, fleet: Usual) -> Cost | None:
    """What the next year will likely cost; None where nobody knows how long an inspection takes.

    Inspections owed at this contract's own mean time and road of the last year, else the fleet's;
    other work and the length of a callback as in the fleet; parts a year as over the years watched.
    """
    minutes = _mean(seen, "minutes", fleet.inspection_min)
    road = _mean(seen, "road_min", fleet.inspection_road_min)
    if minutes is None or road is None:
        return None
    if rates.callback_minor is not None:
        call_minor = Decimal(rates.callback_minor)
    else:
        length = (fleet.callback_min or minutes) + (fleet.callback_road_min or road)
        call_minor = rates.hour_minor * Decimal(length) / 60
    parts = sum(v.parts_minor for v in seen.visits)
    labor_min = seen.visits_a_year * minutes + fleet.other_min
    road_min = seen.visits_a_year * road + fleet.other_road_min
    return Cost(
        labor_minor=_at(rates, labor_min),
        road_minor=_at(rates, road_min),
        parts_minor=rounded_minor(Decimal(parts) / Decimal(max(seen.years, 1.0))),
        calls_minor=rounded_minor(Decimal(calls.calls) * call_minor),
        office_minor=rates.office_minor,
        labor_min=labor_min,
        road_min=road_min,
    )


def _mean(seen: Seen, name: str, otherwise: float | None) -> float | None:
    values = [getattr(v, name) for v in seen.visits if v.kind == INSPECTION and v.is_recent]
    known = [value for value in values if value is not None]
    return fmean(known) if known else otherwise


def _sum(visits: Sequence[VisitSeen], name: str) -> float:
    return float(sum(getattr(v, name) or 0 for v in visits))


def _at(rates: Rates, minutes: float) -> int:
    return rounded_minor(rates.hour_minor * Decimal(minutes) / 60)
