"""Pump-outs to expect: the worked case of the trade, least squares by numpy, ranges by simulation."""

import random
from datetime import date, timedelta

import numpy as np
import pytest

from servicedesk.renewals.sludge import (
    MONTH_DAYS,
    SCATTER_POINTS,
    SolidsReading,
    pump_forecast,
    scatter,
    since_emptied,
)

EMPTIED = date(2022, 1, 1)


def months_on(months):
    return EMPTIED + timedelta(days=round(months * MONTH_DAYS))


def a_reading(months, percent):
    return SolidsReading(months_on(months), percent)


def months_of(day):
    return (day - EMPTIED).days / MONTH_DAYS


def test_eighteen_percent_after_26_months_gives_thirty_at_43():
    # trade notes, section 2: 26 x 30 / 18 = 43 months (result printed on the trade pages)
    filling = since_emptied([a_reading(26, 18.0)], [EMPTIED])
    found = pump_forecast(filling, limit=30, scatter_points=2.0)

    assert months_of(found.on) == pytest.approx(26 * 30 / 18, abs=0.1)
    assert round(months_of(found.on)) == 43
    # one reading of 18 +- 1.2816 x 2: limits at 26 x 30 / 20.56 and 26 x 30 / 15.44
    assert months_of(found.early_on) == pytest.approx(26 * 30 / (18 + 2.5632), abs=0.1)
    assert months_of(found.late_on) == pytest.approx(26 * 30 / (18 - 2.5632), abs=0.1)


def test_without_a_day_of_emptying_it_is_the_line_of_least_squares():
    chance = random.Random(5)
    readings = [a_reading(4 * n, 5 + 0.6 * 4 * n + chance.gauss(0, 1)) for n in range(7)]
    found = pump_forecast(since_emptied(readings), limit=30, scatter_points=1.0)
    days = [(one.on - readings[0].on).days for one in readings]
    slope, base = np.polyfit(days, [one.percent for one in readings], 1)

    assert found.a_year == pytest.approx(slope * 365.25)
    assert (found.on - readings[0].on).days == pytest.approx((30 - base) / slope, abs=1)


@pytest.mark.parametrize("is_known", [True, False])
def test_the_range_holds_the_true_day_about_four_times_in_five(is_known):
    chance = random.Random(11)
    held = tried = 0
    for _ in range(1500):
        a_month, noise = 0.7, 1.5
        truth = months_on(30 / a_month)
        readings = [a_reading(m, a_month * m + chance.gauss(0, noise)) for m in (8, 14, 20, 26)]
        filling = since_emptied(readings, [EMPTIED] if is_known else [])
        if len(filling.readings) < 4:
            continue  # one fell by chance so far that it reads as a pump-out
        found = pump_forecast(filling, limit=30, scatter_points=noise)
        tried += 1
        held += found.early_on <= truth and (found.late_on is None or truth <= found.late_on)

    assert tried > 1400
    assert held / tried == pytest.approx(0.8, abs=0.035)


def test_readings_before_the_last_emptying_say_nothing():
    readings = [a_reading(1, 28.0), a_reading(12, 4.0), a_reading(24, 8.0)]
    filling = since_emptied(readings, [months_on(2), EMPTIED])

    assert filling.emptied_on == months_on(2)
    assert [one.percent for one in filling.readings] == [4.0, 8.0]


def test_a_fall_nobody_wrote_down_begins_a_filling_of_unknown_age():
    readings = [a_reading(6, 24.0), a_reading(12, 32.0), a_reading(18, 3.0), a_reading(24, 7.0)]
    filling = since_emptied(readings, [EMPTIED])

    assert filling.emptied_on is None
    assert [one.percent for one in filling.readings] == [3.0, 7.0]
    # a wobble is no pump-out
    steady = since_emptied([a_reading(6, 12.0), a_reading(12, 9.0)], [EMPTIED])
    assert len(steady.readings) == 2


def test_nothing_is_said_without_a_line_that_rises():
    for filling in (
        since_emptied([]),
        since_emptied([a_reading(6, 12.0)]),
        since_emptied([a_reading(6, 12.0), a_reading(6, 14.0)]),
        since_emptied([a_reading(6, 12.0), a_reading(12, 9.0)]),
        since_emptied([a_reading(6, 0.0)], [EMPTIED]),
    ):
        assert pump_forecast(filling, limit=30, scatter_points=2.0) is None
    with pytest.raises(ValueError, match="above zero"):
        pump_forecast(since_emptied([a_reading(6, 1.0)], [EMPTIED]), limit=0, scatter_points=1)


def test_a_line_hardly_told_from_level_may_never_reach_the_limit():
    filling = since_emptied([a_reading(6, 10.0), a_reading(12, 10.4)])
    found = pump_forecast(filling, limit=30, scatter_points=2.0)

    assert found.late_on is None
    assert found.early_on < found.on


def test_scatter_is_learned_over_all_tanks():
    chance = random.Random(2)
    fillings = [
        since_emptied([a_reading(m, 0.5 * m + chance.gauss(0, 1.3)) for m in (8, 16, 24, 32)],
                      [EMPTIED])
        for _ in range(300)
    ]  # fmt: skip

    assert scatter(fillings) == pytest.approx(1.3, rel=0.06)
    assert scatter(fillings[:1]) != SCATTER_POINTS
    assert scatter([since_emptied([a_reading(6, 12.0)], [EMPTIED])]) == SCATTER_POINTS
