"""Income by month and how many renew, worked by hand and against closed forms."""

import math
import random
from datetime import date

import pytest

from servicedesk.renewals.outlook import Term, income_by_month, renewals_expected, renewing


def test_a_year_s_price_falls_on_its_months_by_their_days():
    term = Term(date(2027, 1, 1), date(2028, 1, 1), 36500)
    found = income_by_month([term], from_on=date(2027, 1, 1), until_on=date(2028, 1, 1))

    assert found[date(2027, 1, 1)] == 3100
    assert found[date(2027, 2, 1)] == 2800
    assert sum(found.values()) == 36500


def test_a_leap_year_has_366_days():
    term = Term(date(2028, 2, 1), date(2028, 3, 1), 36600)

    assert income_by_month([term], from_on=date(2028, 1, 1), until_on=date(2028, 4, 1)) == {
        date(2028, 1, 1): 0,
        date(2028, 2, 1): 2900,
        date(2028, 3, 1): 0,
    }


def test_months_begin_within_the_span_and_december_has_an_end():
    term = Term(date(2026, 12, 15), date(2027, 12, 15), 36500)
    found = income_by_month([term], from_on=date(2026, 11, 20), until_on=date(2027, 1, 2))

    assert found == {date(2026, 12, 1): 1700, date(2027, 1, 1): 3100}


def test_renewing_with_nothing_seen_is_the_arcsine_distribution():
    # Beta(1/2, 1/2) has quantiles sin^2(pi p / 2)
    found = renewing(0, 0)

    assert found.share == pytest.approx(0.5)
    assert found.low == pytest.approx(math.sin(math.pi * 0.05) ** 2)
    assert found.high == pytest.approx(math.sin(math.pi * 0.45) ** 2)


def test_renewing_follows_what_was_seen():
    found = renewing(190, 10)

    assert 0.92 < found.low < found.share < found.high < 0.97
    assert found.n == 200


def test_counts_below_zero_are_refused():
    with pytest.raises(ValueError):
        renewing(-1, 3)


def test_the_range_of_renewals_is_that_of_a_simulation():
    # share drawn from Beta(renewed + 1/2, ended + 1/2), then each contract by itself
    chance = random.Random(8)
    known = renewing(40, 10)
    draws = []
    for _ in range(20000):
        share = chance.betavariate(40.5, 10.5)
        draws.append(sum(chance.random() < share for _ in range(25)))
    draws.sort()
    found = renewals_expected(25, known)

    assert found.expected == pytest.approx(sum(draws) / len(draws), rel=0.01)
    assert abs(found.low - draws[len(draws) // 10]) <= 1
    assert abs(found.high - draws[9 * len(draws) // 10]) <= 1
    assert renewals_expected(0, known).high == 0
    with pytest.raises(ValueError, match="negative"):
        renewals_expected(-1, known)
