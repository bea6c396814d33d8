"""Cost to serve worked by hand, expected callbacks against closed forms."""

import math

import pytest

from servicedesk.renewals.cost import (
    CALLBACK,
    INSPECTION,
    OTHER,
    Rates,
    Seen,
    Usual,
    VisitSeen,
    cost_next_year,
    cost_this_year,
    expected_calls,
    usual,
)

RATES = Rates(hour_minor=6000)  # a dollar a minute: sums can be read
NOTHING_KNOWN = Usual(None, None, None, None)
FLEET = Usual(45.0, 20.0, 50.0, 30.0)


def visit(kind=INSPECTION, minutes=40.0, road_min=15.0, parts_minor=0, *, recent=True, event=False):
    return VisitSeen(kind, minutes, road_min, parts_minor, recent, event)


def seen(*visits, years=1.0, visits_a_year=3):
    return Seen(visits, years, visits_a_year)


def test_callbacks_of_a_new_system_are_those_of_the_fleet():
    found = expected_calls(0, 0, shape=1, rate=2)

    # Gamma(1, 2) is the exponential distribution: its quantiles are -log(1 - p) / 2
    assert found.calls == pytest.approx(0.5)
    assert found.low == pytest.approx(-math.log(0.9) / 2)
    assert found.high == pytest.approx(math.log(10) / 2)


def test_callbacks_are_drawn_toward_the_fleet_and_less_so_the_longer_one_watched():
    # posterior mean (a + n) / (b + t): Gelman et al., Bayesian Data Analysis, section 2.6, from
    # memory; fleet 0.5 a year, own 4 in one year, 12 in three
    assert expected_calls(4, 1, shape=1, rate=2).calls == pytest.approx(5 / 3)
    assert expected_calls(12, 3, shape=1, rate=2).calls == pytest.approx(13 / 5)


def test_range_of_a_system_that_was_never_quiet():
    # Gamma(2, 1) has distribution 1 - exp(-x) (1 + x)
    found = expected_calls(1, 0.5, shape=1, rate=0.5)

    assert 1 - math.exp(-found.low) * (1 + found.low) == pytest.approx(0.1)
    assert 1 - math.exp(-found.high) * (1 + found.high) == pytest.approx(0.9)


@pytest.mark.parametrize("given", [{"n": -1}, {"years": -1}, {"shape": 0}, {"rate": 0}])
def test_impossible_counts_are_refused(given):
    with pytest.raises(ValueError):
        expected_calls(**{"n": 0, "years": 1, "shape": 1, "rate": 1, **given})


def test_this_year_is_what_was_written_and_no_more():
    found = cost_this_year(
        seen(
            visit(),
            visit(minutes=44.0, parts_minor=900),
            visit(OTHER, minutes=30.0, road_min=None),
            visit(CALLBACK, minutes=50.0, road_min=25.0, parts_minor=4000),
            visit(CALLBACK, minutes=99.0, recent=False, parts_minor=7777),
        ),
        RATES,
    )

    assert found.labor_minor == (40 + 44 + 30) * 100
    assert found.road_minor == (15 + 15) * 100
    assert found.calls_minor == (50 + 25) * 100
    assert found.parts_minor == 4900
    assert found.total_minor == 11400 + 3000 + 7500 + 4900


def test_next_year_owes_the_contract_s_visits_at_their_own_length():
    calls = expected_calls(0, 0, shape=1, rate=2)
    found = cost_next_year(seen(visit(), visit(minutes=44.0), years=2.0), calls, RATES, FLEET)

    assert found.labor_minor == 3 * 42 * 100
    assert found.road_minor == 3 * 15 * 100
    assert found.calls_minor == 4000  # half a call of 50 minutes there and 30 on the road


def test_parts_spread_over_the_years_watched_and_young_systems_are_not_blown_up():
    calls = expected_calls(0, 0, shape=1, rate=2)
    old = seen(visit(parts_minor=3000), visit(parts_minor=3000, recent=False), years=3.0)
    young = seen(visit(parts_minor=3000), years=0.2)

    assert cost_next_year(old, calls, RATES, FLEET).parts_minor == 2000
    assert cost_next_year(young, calls, RATES, FLEET).parts_minor == 3000


def test_what_the_company_says_of_a_callback_goes_before():
    rates = Rates(hour_minor=6000, callback_minor=11800, office_minor=5200)
    calls = expected_calls(0, 0, shape=1, rate=1)

    assert cost_next_year(seen(visit()), calls, rates, FLEET).calls_minor == 11800
    assert cost_next_year(seen(visit()), calls, rates, FLEET).office_minor == 5200
    assert cost_this_year(seen(visit(CALLBACK), visit(CALLBACK)), rates).calls_minor == 23600


def test_a_site_without_visits_takes_the_fleet_s_length_and_nobody_s_is_no_cost():
    calls = expected_calls(0, 0, shape=1, rate=2)

    assert cost_next_year(seen(), calls, RATES, FLEET).labor_minor == 3 * 45 * 100
    assert cost_next_year(seen(), calls, RATES, NOTHING_KNOWN) is None


def test_the_fleet_s_usual_minutes_are_means_by_kind():
    fleet = [seen(visit(), visit(minutes=None)), seen(visit(minutes=60.0), visit(minutes=44.0))]
    found = usual([*fleet, seen(visit(CALLBACK, minutes=70.0, road_min=None))])

    assert (found.inspection_min, found.inspection_road_min) == (48.0, 15.0)
    assert (found.callback_min, found.callback_road_min) == (70.0, None)


def test_other_work_is_spread_over_the_fleet_s_years():
    trip = visit(OTHER, minutes=6.0, road_min=18.0)
    found = usual([seen(trip, years=3.0), seen(years=3.0), seen(years=0.5), seen(years=0.5)])

    assert (found.other_min, found.other_road_min) == (2.0, 6.0)
    calls = expected_calls(0, 0, shape=1, rate=2)
    fleet = Usual(45.0, 20.0, 50.0, 30.0, other_min=2.0, other_road_min=6.0)
    next_year = cost_next_year(seen(visit()), calls, RATES, fleet)
    assert (next_year.labor_minor, next_year.road_minor) == (12200, 5100)


def test_storms_teach_nothing_about_a_system():
    assert seen(visit(CALLBACK), visit(CALLBACK, event=True), visit()).n_calls == 1
