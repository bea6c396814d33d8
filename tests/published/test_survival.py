"""Lives of units against tests/data/statistics/survival.json; each row there names its source."""

import json
from pathlib import Path

import numpy as np
import pytest
from scipy import integrate, stats

from servicedesk.trouble.rates import Range
from servicedesk.trouble.replacement import advise, best_age, best_interval, cost_rate
from servicedesk.trouble.survival import Life, curve, kaplan_meier, log_rank
from servicedesk.trouble.weibull import LifeFit, Weibull, fit_life

DATA = Path(__file__).parents[1] / "data" / "statistics" / "survival.json"
CHECKS = {row["id"]: (row["inputs"], row["expected"]) for row in json.loads(DATA.read_text())}


def lives_until(given):
    return [
        *(Life(0, t, failed=True) for t in given["failure_times"]),
        *[Life(0, given["censor_time"], failed=False)] * given["censored"],
    ]


def lives_seen(given):
    return [
        Life(0, t, failed=bool(d))
        for t, d in zip(given["times"], given["observed"], strict=True)
    ]  # fmt: skip


def test_a_life_with_units_still_working():
    given, wanted = CHECKS["life-01"]
    fit = fit_life(lives_until(given))

    assert fit.law.scale == pytest.approx(wanted["scale"], rel=1e-4)
    assert fit.law.shape == pytest.approx(wanted["shape"], rel=1e-4)
    assert fit.log_likelihood == pytest.approx(wanted["log_likelihood"], abs=1e-3)
    assert 4 - 2 * fit.log_likelihood == pytest.approx(wanted["aic"], abs=2e-3)
    assert fit.law.mean == pytest.approx(wanted["mean_life"], rel=1e-4)
    assert fit.law.std_dev == pytest.approx(wanted["sd_life"], rel=1e-4)
    data = stats.CensoredData(given["failure_times"], right=[given["censor_time"]] * 10)
    shape, _, scale = stats.weibull_min.fit(data, floc=0)
    assert (fit.law.shape, fit.law.scale) == pytest.approx((shape, scale), rel=1e-4)


def test_the_share_still_working():
    given, wanted = CHECKS["life-02"]
    steps = kaplan_meier(lives_until(given))

    shares = {str(int(step.age)): step.share for step in steps}
    assert shares == pytest.approx(wanted["survival"], abs=1e-9)
    assert wanted["median"].startswith("386")
    assert curve(lives_until(given)).half_by == 386


def test_the_share_still_working_with_its_error():
    given, wanted = CHECKS["life-03"]
    steps = {str(step.age): step for step in kaplan_meier(lives_seen(given))}

    assert {k: s.share for k, s in steps.items()} == pytest.approx(wanted["survival"], abs=1e-6)
    assert {k: s.std_err for k, s in steps.items()} == pytest.approx(wanted["std_err"], abs=1e-6)
    assert {k: s.at_risk for k, s in steps.items()} == wanted["at_risk"]
    assert curve(lives_seen(given)).half_by == wanted["median"]


def test_limits_on_the_log_log_scale_as_a_library_has_them():
    given, _ = CHECKS["life-03"]
    seen = [t for t, d in zip(given["times"], given["observed"], strict=True) if d]
    working = [t for t, d in zip(given["times"], given["observed"], strict=True) if not d]
    library = stats.ecdf(stats.CensoredData(seen, right=working)).sf
    with np.errstate(divide="ignore"):
        limits = library.confidence_interval(method="log-log")

    for step in kaplan_meier(lives_seen(given)):
        assert step.low == pytest.approx(float(limits.low.evaluate(step.age)), abs=1e-9)
        assert step.high == pytest.approx(float(limits.high.evaluate(step.age)), abs=1e-9)


def test_two_groups_that_last_unlike():
    given, wanted = CHECKS["life-04"]
    groups = [lives_seen(given[name]) for name in ("group_a", "group_b")]
    found = log_rank(*groups)

    assert found.chi2 == pytest.approx(wanted["chi2"], rel=1e-5)
    assert found.p == pytest.approx(wanted["p"], rel=1e-5)
    assert list(found.seen) == wanted["observed"]
    assert list(found.expected) == pytest.approx(wanted["expected"], rel=1e-5)
    assert [curve(group, fewest=1).half_by for group in groups] == wanted["median"]


def test_a_life_with_units_lost_from_sight_at_any_age():
    given, wanted = CHECKS["life-05"]
    fit = fit_life(lives_seen(given))

    assert fit.law.shape == pytest.approx(wanted["shape"], rel=1e-4)
    assert fit.law.scale == pytest.approx(wanted["scale"], rel=1e-4)
    assert fit.log_likelihood == pytest.approx(wanted["log_likelihood"], abs=0.05)


def test_what_a_law_says_of_a_unit_of_an_age():
    given, wanted = CHECKS["life-06"]
    law = Weibull(given["shape"], given["scale"])

    for age in given["ages"]:
        if str(age) in wanted["survival"]:
            assert law.survival(age) == pytest.approx(wanted["survival"][str(age)], rel=1e-5)
            assert law.hazard(age) == pytest.approx(wanted["hazard"][str(age)], rel=1e-5)
            within = law.fails_within(age, given["window"])
            assert within == pytest.approx(wanted["fails_within_100"][str(age)], rel=1e-5)
        remaining = law.mean_remaining(age)
        assert remaining == pytest.approx(wanted["mean_remaining"][str(age)], rel=1e-5)
        area = integrate.quad(law.survival, age, 20_000, limit=200)[0] / law.survival(age)
        assert remaining == pytest.approx(area, rel=1e-6)


def test_the_age_at_which_replacing_early_costs_least():
    given, wanted = CHECKS["life-07"]
    planned, failure = given["cost_planned"], given["cost_failure"]
    law = Weibull(given["shape"], given["scale"])
    best = best_age(law, planned=planned, failure=failure)

    assert best.age == pytest.approx(wanted["age"], rel=5e-4)
    assert best.age == pytest.approx(wanted["printed_age"], rel=5e-4)
    assert best.cost_rate == pytest.approx(wanted["cost_rate_6dp"], abs=1e-6)
    assert round(best.cost_rate, 4) == wanted["cost_rate"]
    assert best.run_to_failure == pytest.approx(wanted["run_to_failure_cost_rate"], abs=1e-6)
    for edge in (best.from_age, best.until_age):
        cost = cost_rate(law, edge, planned=planned, failure=failure)
        assert cost == pytest.approx(1.02 * best.cost_rate, rel=1e-6)


def test_no_early_replacement_where_the_failure_rate_does_not_rise():
    given, wanted = CHECKS["life-08"]
    planned, failure = given["cost_planned"], given["cost_failure"]
    assert wanted["advice"] == "never replace early"
    for shape in given["shapes"]:
        law = Weibull(shape, given["scale"])
        assert best_age(law, planned=planned, failure=failure) is None
        fit = LifeFit(40, Range(shape, shape - 0.2, shape + 0.2), given["scale"], None, 0.0, False)
        advice = advise(fit, planned=planned, failure=failure)
        assert advice.best is None
        assert advice.why_not.code == "wear_out_not_shown"
        costs = [
            cost_rate(law, age, planned=planned, failure=failure) for age in range(50, 9000, 50)
        ]
        assert costs == sorted(costs, reverse=True)
    assert failure / Weibull(1.0, given["scale"]).mean == wanted["cost_rate_shape_1"]


def test_planned_renewal_where_repairs_only_restore():
    given, wanted = CHECKS["life-09"]
    law = Weibull(given["shape"], given["scale"])
    interval, cost = best_interval(
        law, planned=given["cost_planned"], repair=given["cost_repair"]
    )  # fmt: skip

    assert interval == pytest.approx(wanted["interval"], rel=1e-6)
    assert cost == pytest.approx(wanted["cost_rate"], rel=1e-6)


def test_units_that_were_old_when_records_began():
    given, wanted = CHECKS["life-10"]
    lives = [
        Life(a, b, failed=bool(d))
        for a, b, d in zip(given["entry_age"], given["exit_age"], given["failed"], strict=True)
    ]
    shares = {str(step.age): step.share for step in kaplan_meier(lives)}

    assert shares == pytest.approx(wanted["survival"], abs=1e-6)


def test_nothing_of_the_table_is_left_out():
    text = Path(__file__).read_text(encoding="utf-8")

    assert [name for name in CHECKS if f'CHECKS["{name}"]' not in text] == []
    assert len(CHECKS) == 10
