"""What comes in from contracts, month by month, and how many of those ending will be renewed."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from servicedesk.values.money import rounded_minor

RANGE_CHANCE = 0.8


@dataclass(frozen=True, slots=True)
class Term:
    """A contract over a span of days (`until_on` excluded) at a price a year."""

    from_on: date
    until_on: date
    price_minor: int


@dataclass(frozen=True, slots=True)
class Renewing:
    """Share of ending contracts that were renewed, with the range that holds it."""

    share: float
    low: float
    high: float
    n: int


def income_by_month(terms: Iterable[Term], *, from_on: date, until_on: date) -> Mapping[date, int]:
    """Income in minor units by the first day of each month that begins in the span.

    A price a year falls on the days of its year evenly: days of the month under contract over the
    days of the year (365, or 366 in a leap year).
    """
    months = list(_months(from_on, until_on))
    sums = dict.fromkeys(months, Decimal(0))
    for term in terms:
        for month in months:
            begin, end = max(term.from_on, month), min(term.until_on, _after(month))
            if begin < end:
                days_of_year = (date(month.year + 1, 1, 1) - date(month.year, 1, 1)).days
                sums[month] += Decimal(term.price_minor * (end - begin).days) / days_of_year
    return {month: rounded_minor(total) for month, total in sums.items()}


def _months(from_on: date, until_on: date) -> Iterable[date]:
    month = from_on if from_on.day == 1 else _after(from_on)
    while month < until_on:
        yield month
        month = _after(month)


def _after(day: date) -> date:
    return date(day.year + day.month // 12, day.month % 12 + 1, 1)


def renewing(renewed: int, ended: int) -> Renewing:
    """How likely an ending contract is renewed, after `renewed` were and `ended` were not.

    Middle 80 % of Beta(renewed + 1/2, ended + 1/2): the interval of Jeffreys; mean of the same.
    """
    from scipy.special import betaincinv

    if renewed < 0 or ended < 0:
        raise ValueError("counts cannot be negative")
    a, b = renewed + 0.5, ended + 0.5
    tail = (1 - RANGE_CHANCE) / 2
    low, high = betaincinv(a, b, [tail, 1 - tail])
    return Renewing(a / (a + b), float(low), float(high), renewed + ended)


@dataclass(frozen=True, slots=True)
class Count:
    """A number to expect of something, with the range that holds it with `RANGE_CHANCE`."""

    expected: float
    low: int
    high: int


def renewals_expected(n: int, known: Renewing) -> Count:
    """How many of `n` contracts that end will be renewed.

    Beta-binomial: the share is not known for sure, and each contract is a draw of its own.
    Raises ValueError for a count below zero.
    """
    from scipy.stats import betabinom

    if n < 0:
        raise ValueError("counts cannot be negative")
    if n == 0:
        return Count(0.0, 0, 0)
    weight = known.n + 1  # of Jeffreys' beta: both its halves are counted
    law = betabinom(n, known.share * weight, (1 - known.share) * weight)
    tail = (1 - RANGE_CHANCE) / 2
    return Count(n * known.share, int(law.ppf(tail)), int(law.ppf(1 - tail)))
