"""The quiet time formula against simulated troubles, and what must hold for any numbers."""

from datetime import date, timedelta
from math import exp, inf, sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from servicedesk.trouble.quiet import (
    ASSUMED,
    HOLDS,
    MOST_BEFORE_QUIET,
    QuietModel,
    Rate,
    chance_holds,
    days_until,
    kind_of,
    n_returns,
    passes_on,
)

BEFORE = st.floats(0.01, 0.99)
SHAPES = st.floats(0.5, 30)
DAYS = st.floats(30, 4000)


# --- against simulation: nature draws a rate and whether the fix is real, we look at the silent ones


def simulated(before, rate, quiet_days, n, seed):
    """Share of real fixes among `n` drawn that stayed silent so long, and how many those were."""
    nature = np.random.default_rng(seed)
    real = nature.random(n) < before
    calls_a_day = nature.gamma(rate.shape, 1 / rate.days, n)
    next_call = nature.exponential(1 / calls_a_day)
    silent = real | (next_call > quiet_days)
    return real[silent].mean(), int(silent.sum())


@pytest.mark.parametrize(
    ("before", "rate", "quiet_days"),
    [
        (0.40, Rate(2.0, 365.25), 300),
        (0.40, Rate(4.0, 365.25 + 400), 500),
        (0.75, Rate(3.0, 365.25 + 120), 200),
        (0.25, Rate(6.0, 365.25 + 730), 600),
    ],
)
def test_the_chance_that_a_fix_holds_is_the_share_of_real_ones_among_the_silent(
    before, rate, quiet_days
):
    share, n = simulated(before, rate, quiet_days, 400_000, seed=20261014)
    four_errors = 4 * sqrt(share * (1 - share) / n)
    one_rate_for_all = before / (before + (1 - before) * exp(-rate.shape / rate.days * quiet_days))

    assert chance_holds(before, rate, quiet_days) == pytest.approx(share, abs=four_errors)
    # the same with the mean rate put in, as if it were known, would not pass
    assert abs(one_rate_for_all - share) > 5 * four_errors


def test_troubles_followed_from_their_first_call_are_told_right_at_any_chance():
    # a whole life: rate from the prior, two to five calls, a fix, then a look after a random quiet
    nature = np.random.default_rng(7)
    model = QuietModel()
    told, naive, real = [], [], []
    for _ in range(60_000):
        calls_a_day = nature.gamma(model.rate.shape, 1 / model.rate.days)
        gaps = nature.exponential(1 / calls_a_day, nature.integers(1, 5))
        is_real = nature.random() < 0.4
        quiet = nature.uniform(30, 900)
        if not is_real and nature.exponential(1 / calls_a_day) <= quiet:
            continue  # it called again before we looked
        rate = model.rate_after(len(gaps), gaps.sum())
        told.append(chance_holds(0.4, rate, quiet))
        plugged = len(gaps) / gaps.sum()
        naive.append(0.4 / (0.4 + 0.6 * exp(-plugged * quiet)))
        real.append(is_real)

    def worst(chances):
        chances, truth = np.array(chances), np.array(real)
        bins = [(chances >= low) & (chances < low + 0.1) for low in (0.4, 0.5, 0.6, 0.7, 0.8, 0.9)]
        return max(
            abs(chances[b].mean() - truth[b].mean()) / (0.5 / sqrt(b.sum()))
            for b in bins
            if b.sum() > 300
        )

    assert worst(told) < 3.5
    assert worst(naive) > 10


# --- for any numbers


@given(BEFORE, SHAPES, DAYS, st.floats(0, 5000), st.floats(0.1, 500))
def test_the_longer_it_is_quiet_the_better(before, shape, days, quiet, more):
    rate = Rate(shape, days)
    assert chance_holds(before, rate, quiet + more) >= chance_holds(before, rate, quiet)
    assert chance_holds(before, rate, quiet) >= before - 1e-12


@given(BEFORE, SHAPES, DAYS, st.floats(1, 3000), st.floats(0.1, 5))
def test_the_more_often_it_called_the_more_its_silence_tells(before, shape, days, quiet, more):
    often = chance_holds(before, Rate(shape + more, days), quiet)
    assert often >= chance_holds(before, Rate(shape, days), quiet)
    assert days_until(before, Rate(shape + more, days)) <= days_until(before, Rate(shape, days))


@given(st.floats(0.01, 0.89), SHAPES, DAYS)
def test_the_day_is_solved_exactly(before, shape, days):
    rate = Rate(shape, days)
    until = days_until(before, rate)

    if until < 1e15:
        assert chance_holds(before, rate, until) == pytest.approx(HOLDS, abs=1e-9)
        assert chance_holds(before, rate, until * 0.99) < HOLDS


@given(st.floats(0.2, 0.89), st.floats(2, 12), st.integers(200, 2000))
def test_the_date_is_the_first_day_on_which_90_percent_are_reached(before, shape, days):
    rate, since = Rate(shape, days), date(2026, 6, 10)

    on = passes_on(since, before, rate)

    if on is not None:
        n = (on - since).days
        assert chance_holds(before, rate, n) >= HOLDS - 1e-9
        assert n == 0 or chance_holds(before, rate, n - 1) < HOLDS


def test_no_date_is_named_where_it_would_take_lifetimes():
    assert passes_on(date(2026, 6, 10), 0.01, Rate(0.5, 365)) is None
    assert passes_on(date(2026, 6, 10), 0.0, Rate(2, 365)) is None
    assert days_until(0.95, Rate(2, 365)) == 0
    assert chance_holds(0.0, Rate(2, 365), 5000) == 0
    assert days_until(0.0, Rate(2, 365)) == inf


# --- what is assumed


def test_one_call_well_mended_is_over_after_half_a_year():
    # checks/statistics.md, section 1: "Two of the same symptom within 6 months: watch"
    model = QuietModel()

    days = days_until(model.before_quiet("cause fixed", again=False), model.rate_after(0, 0))

    assert days == pytest.approx(365.25 / 2)


def test_the_assumed_rate_holds_the_troubles_of_the_simulated_fleets():
    # checks/statistics.md, section 1: a bad site calls 1.5 times a year, 3 in the severe setting
    from scipy.stats import gamma

    low, high = gamma.ppf([0.025, 0.975], a=2.0, scale=1.0)

    assert QuietModel().rate == Rate(2.0, 365.25)
    assert (low, high) == (pytest.approx(0.242, abs=0.001), pytest.approx(5.572, abs=0.001))
    assert low < 1.5
    assert high > 3


@pytest.mark.parametrize("again", [False, True])
def test_a_cause_mended_is_believed_sooner_than_a_reset(again):
    order = ["cause fixed", "fixed", "workaround", "reset only", "nobody"]
    chances = [ASSUMED[kind, again] for kind in order]

    assert chances == sorted(chances, reverse=True)
    assert max(ASSUMED.values()) <= MOST_BEFORE_QUIET
    assert all(ASSUMED[kind, True] < ASSUMED[kind, False] for kind in order)


def test_calls_within_two_weeks_count_as_one_for_the_rate():
    first = date(2026, 1, 1)
    days = [0, 10, 100, 114, 129]

    assert n_returns(first + timedelta(days=d) for d in days) == 2
    assert n_returns([first]) == 0


def test_a_fix_is_of_the_cause_only_where_a_cause_is_named_and_it_lasts():
    assert kind_of("fixed", "splice-shorted-alarm", lasting=True) == "cause fixed"
    assert kind_of("fixed", "", lasting=True) == "fixed"
    assert kind_of("workaround", "splice-shorted-alarm", lasting=False) == "workaround"
    assert kind_of("could not", "", lasting=False) == "nobody"
    assert kind_of("", "", lasting=False) == "nothing said"
