"""Curves, fitted lives, early replacement and repeat events: rules for small data, brute force."""

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from servicedesk.trouble.rates import Range
from servicedesk.trouble.recurrent import Watched, mean_cumulative
from servicedesk.trouble.replacement import advise, cost_rate, saving_now
from servicedesk.trouble.survival import Life, curve, kaplan_meier, log_rank
from servicedesk.trouble.trend import History, fit_pooled, fit_power_law, laplace
from servicedesk.trouble.weibull import LifeFit, Weibull, fit_life

whole_lives = st.lists(
    st.builds(
        lambda a, b, failed: Life(min(a, b), max(a, b) + 1, failed=failed),
        st.integers(0, 12),
        st.integers(0, 12),
        st.booleans(),
    ),
    min_size=1,
    max_size=30,
)


def drawn(rng, n, *, shape=2.0, scale=8.0, seen_years=6.0):
    """Units of a known law, many in service before records began; each seen for `seen_years`."""
    lives = []
    while len(lives) < n:
        age = rng.uniform(0, 12)
        fails = scale * rng.weibull(shape)
        if fails > age:  # those that failed before records are in no record
            lives.append(Life(age, min(fails, age + seen_years), failed=fails <= age + seen_years))
    return lives


@given(whole_lives)
def test_the_share_is_the_product_over_those_at_risk(lives):
    share = 1.0
    for step in kaplan_meier(lives):
        at_risk = [x for x in lives if x.entered < step.age <= x.left]
        failed = [x for x in at_risk if x.failed and x.left == step.age]
        share *= 1 - len(failed) / len(at_risk)

        assert (step.at_risk, step.failed) == (len(at_risk), len(failed))
        assert step.share == pytest.approx(share)
        assert step.low <= step.share + 1e-12
        assert step.share <= step.high + 1e-12


@given(whole_lives, st.randoms())
def test_the_order_of_units_does_not_matter(lives, random):
    shuffled = list(lives)
    random.shuffle(shuffled)

    assert repr(kaplan_meier(shuffled)) == repr(kaplan_meier(lives))


@given(whole_lives, st.integers(1, 6))
def test_a_curve_stops_where_too_few_remain(lives, fewest):
    found = curve(lives, fewest=fewest)
    if found is None:
        ages = {x.entered for x in lives}
        most = max(sum(x.entered <= age < x.left for x in lives) for age in ages)
        assert most < fewest
        return
    assert all(step.at_risk >= fewest for step in found.steps)
    assert all(found.from_age < step.age <= found.until_age for step in found.steps)
    assert found.n_failed <= sum(x.failed for x in lives)


def test_young_ages_that_one_unit_was_seen_at_do_not_pull_the_curve_down():
    early = [Life(0, 1, failed=True)]
    rest = [Life(3, 5 + i / 10, failed=i < 3) for i in range(20)]

    found = curve([*early, *rest])

    assert found.from_age == 3
    assert found.steps[0].share == pytest.approx(19 / 20)
    assert kaplan_meier([*early, *rest])[-1].share == 0


def test_a_curve_that_never_comes_to_a_half_says_so():
    lives = [Life(0, 4, failed=i < 3) for i in range(20)]

    found = curve(lives)

    assert (found.half_by, found.half_high, found.until_age) == (None, None, 4)
    assert curve(lives[:4]) is None


def test_a_life_is_refused_that_ends_before_it_begins():
    with pytest.raises(ValueError, match="ends after"):
        kaplan_meier([Life(3, 2, failed=False)])


def test_late_entry_finds_the_law_that_made_the_lives():
    lives = drawn(np.random.default_rng(5), 2500)
    fit = fit_life(lives)

    assert fit.shape.low < 2.0 < fit.shape.high
    assert fit.law.scale == pytest.approx(8.0, rel=0.05)
    step = max((s for s in kaplan_meier(lives) if s.age <= 6), key=lambda s: s.age)
    assert step.share == pytest.approx(Weibull(2, 8).survival(step.age), abs=0.06)
    # without minding late entry lives come out too long
    naive = fit_life([Life(0, x.left, failed=x.failed) for x in lives])
    assert naive.law.scale > 9


def test_the_fit_is_the_best_of_all_that_are_tried():
    lives = drawn(np.random.default_rng(6), 40)
    fit = fit_life(lives)

    def log_likelihood(shape, scale):
        law = Weibull(shape, scale)
        return sum(
            (math.log(law.hazard(x.left)) if x.failed else 0)
            - (x.left / scale) ** shape
            + (x.entered / scale) ** shape
            for x in lives
        )

    assert fit.log_likelihood == pytest.approx(log_likelihood(fit.shape.best, fit.scale))
    grid = [(k, s) for k in np.linspace(0.6, 5, 60) for s in np.linspace(3, 30, 90)]
    best = max(grid, key=lambda at: log_likelihood(*at))
    assert log_likelihood(*best) <= fit.log_likelihood + 1e-9
    assert best == pytest.approx((fit.shape.best, fit.scale), rel=0.1)
    for edge in (fit.shape.low, fit.shape.high):
        along = max(log_likelihood(edge, s) for s in np.linspace(3, 60, 4000))
        assert 2 * (fit.log_likelihood - along) == pytest.approx(3.8415, abs=0.01)


def test_the_range_of_the_shape_keeps_its_promise():
    rng = np.random.default_rng(7)
    fits = [fit_life(drawn(rng, 60)) for _ in range(120)]

    held = sum(fit.shape.low <= 2.0 <= fit.shape.high for fit in fits)
    assert held / len(fits) >= 0.89  # 95 %, less chance and small samples


def test_few_failures_fix_the_shape():
    lives = [Life(0, t, failed=t < 4) for t in (1, 2, 3, 5, 6, 7)]
    fit = fit_life(lives)

    assert fit.shape_is_assumed
    assert not fit.wears_out
    assert fit.scale == pytest.approx(24 / 3)  # all years over all failures
    assumed = fit_life(lives, assumed_shape=2.0)
    assert assumed.scale == pytest.approx(math.sqrt(124 / 3))


def test_no_failure_gives_a_lower_bound_alone():
    fit = fit_life([Life(2, 8, failed=False)] * 10)

    assert (fit.law, fit.scale) == (None, None)
    assert fit.scale_at_least == pytest.approx(60 / 3)  # rule of three
    # were it true, no failure would be seen in one of twenty fleets
    assert math.exp(-60 / fit.scale_at_least) == pytest.approx(0.05, abs=0.001)
    with pytest.raises(ValueError, match="ever in service"):
        fit_life([Life(3, 3, failed=False)])


@given(st.floats(0.4, 6), st.floats(1, 40), st.floats(0, 30), st.floats(0.1, 10))
def test_a_chance_to_fail_lies_between_nothing_and_all(shape, scale, age, years):
    law = Weibull(shape, scale)
    assume((age / scale) ** shape < 300)

    within = law.fails_within(age, years)
    assert 0 <= within <= 1
    assert within == pytest.approx(1 - law.survival(age + years) / law.survival(age), abs=1e-6)
    assert 0 <= law.mean_until(age) <= law.mean * (1 + 1e-12)


def a_fit(shape, low, high, n=40):
    return LifeFit(n, Range(shape, low, high), 10.0, None, -1.0, shape_is_assumed=False)


def test_early_replacement_is_advised_only_where_it_pays():
    shown = advise(a_fit(3.0, 2.1, 4.0), planned=100, failure=400)
    assert shown.best.saving > 0.2
    assert shown.best.from_age < shown.best.age < shown.best.until_age
    law = Weibull(3.0, 10.0)
    ages = np.linspace(0.5, 30, 6000)
    costs = [cost_rate(law, age, planned=100, failure=400) for age in ages]
    assert shown.best.age == pytest.approx(ages[int(np.argmin(costs))], abs=0.01)

    assert (
        advise(a_fit(3.0, 0.9, 5.0), planned=100, failure=400).why_not.code == "wear_out_not_shown"
    )
    assert (
        advise(a_fit(3.0, 2.1, 4.0), planned=100, failure=90).why_not.code
        == "failure_costs_no_more"
    )
    assert advise(a_fit(1.2, 1.1, 1.3), planned=100, failure=130).why_not.code == "saves_too_little"
    little = advise(a_fit(2.0, 1.5, 2.6), planned=100, failure=190).why_not
    assert little.code == "saves_too_little"
    assert 0 < little["share"] < 0.05  # there is a best age, but it is not worth the trouble
    few = fit_life([Life(0, t, failed=t < 4) for t in (1, 2, 3, 5, 6, 7)])
    assert advise(few, planned=1, failure=5).why_not.code == "few_failures_for_life"
    with pytest.raises(ValueError, match="above zero"):
        advise(few, planned=0, failure=5)


def test_two_equal_groups_last_alike():
    lives = drawn(np.random.default_rng(9), 60)

    assert log_rank(lives, lives).chi2 == pytest.approx(0, abs=1e-12)
    longer = [Life(x.entered, x.left + 3, failed=x.failed) for x in lives]
    assert log_rank(longer, lives).p < 0.01


def test_a_mean_of_equal_units_is_what_one_made():
    units = [Watched.of([1, 4], 6)] * 5
    found = mean_cumulative(units)

    assert [(p.age, p.mean) for p in found] == [(1, 1.0), (4, 2.0)]
    assert [p.std_err for p in found] == pytest.approx([0, 0], abs=1e-7)
    assert [p.low for p in found] == pytest.approx([1, 2])
    assert mean_cumulative(units[:4])[0].low is None  # under five units no range
    with pytest.raises(ValueError, match="two units"):
        mean_cumulative(units[:1])
    with pytest.raises(ValueError, match="outside"):
        mean_cumulative([Watched.of([7], 6), Watched.of([], 6)])


@given(st.lists(st.tuples(st.integers(0, 5), st.integers(0, 9),
                          st.lists(st.integers(0, 9), max_size=4)), min_size=2, max_size=9))  # fmt: skip
def test_a_mean_and_its_error_follow_the_definition(made):
    units = [
        Watched.of([a for a in sorted(ages) if begin <= a <= begin + length], begin + length, begin)
        for begin, length, ages in made
    ]
    for point in mean_cumulative(units):
        off, mean = [0.0] * len(units), 0.0
        for age in sorted({a for unit in units for a, _ in unit.events if a <= point.age}):
            there = [unit.begin <= age <= unit.end for unit in units]
            seen = [sum(a == age for a, _ in unit.events) for unit in units]
            mean += sum(seen) / sum(there)
            for i, unit_there in enumerate(there):
                if unit_there:
                    off[i] += (seen[i] - sum(seen) / sum(there)) / sum(there)
        assert point.mean == pytest.approx(mean)
        assert point.std_err == pytest.approx(math.sqrt(sum(o * o for o in off)), abs=1e-7)


def test_units_that_come_into_sight_late_count_from_then_on():
    found = mean_cumulative([Watched.of([2, 6], 8), Watched.of([6], 8, begin=4)])

    assert [(p.at_risk, p.mean) for p in found] == [(1, 1.0), (2, 2.0)]


@given(st.lists(st.floats(0.1, 99.9), min_size=4, max_size=30, unique=True))
def test_a_trend_turns_round_with_time(times):
    there = laplace([History(tuple(sorted(times)), 100.0)])
    back = laplace([History(tuple(sorted(100 - t for t in times)), 100.0)])

    assert there.z == pytest.approx(-back.z, abs=1e-9)
    assert there.p == pytest.approx(back.p, abs=1e-9)


def test_several_systems_are_pooled_and_few_events_are_not_tested():
    early, late = History((1, 2, 3), 10.0), History((7, 8, 9), 10.0)

    assert laplace([early, late]).z == pytest.approx(0, abs=1e-12)
    assert laplace([early]).code == "few_events_for_trend"
    assert laplace([late, late]).z > 2
    alone = fit_power_law(late)
    pooled = fit_pooled([late, late])
    assert (pooled.a, pooled.b) == pytest.approx((alone.a, alone.b))


def test_what_replacing_today_saves_is_what_a_long_run_of_both_ways_shows():
    """Both ways drawn over 300 years, with the same later lives in both, and compared."""
    old, new = Weibull(3.0, 6.0), Weibull(2.0, 12.0)
    age, planned, failure = 5.0, 100.0, 260.0
    rng = np.random.default_rng(21)
    runs, horizon = 20_000, 300.0
    lives = old.scale * rng.weibull(old.shape, 6 * runs)
    remaining = (lives[lives > age] - age)[:runs]
    assert len(remaining) == runs
    failures_on = np.cumsum(new.scale * rng.weibull(new.shape, (runs, 80)), axis=1)
    assert failures_on[:, -1].min() > horizon
    now = planned + failure * (failures_on <= horizon).sum(axis=1)
    later = failures_on + remaining[:, None]
    wait = failure * (1 + (later <= horizon).sum(axis=1))

    found = saving_now(old, age, planned=planned, failure=failure, after=failure / new.mean)

    error = float(np.std(wait - now)) / math.sqrt(runs)
    assert error < 1.5
    assert found == pytest.approx(float(np.mean(wait - now)), abs=4 * error)
    assert found > 50
