"""Repeat events against tests/data/statistics/recurrence.json; each row there names its source."""

import json
from pathlib import Path

import pytest
from scipy import stats

from servicedesk.trouble.recurrent import Watched, mean_cumulative
from servicedesk.trouble.trend import (
    History,
    cramer_von_mises,
    fit_counts,
    fit_pooled,
    fit_power_law,
    handbook_test,
    laplace,
    now_gap_limits,
    reversals,
)

DATA = Path(__file__).parents[1] / "data" / "statistics" / "recurrence.json"
CHECKS = {row["id"]: (row["inputs"], row["expected"]) for row in json.loads(DATA.read_text())}


def history_of(given):
    return History(tuple(given["event_times"]), given["end_of_observation"])


def test_a_power_law_without_bias_and_the_time_between_events_now():
    given, wanted = CHECKS["trend-01"]
    history = history_of(given)
    law = fit_power_law(history, unbiased=given["modified"])

    assert law.b == pytest.approx(wanted["b"], rel=2e-6)
    assert law.a == pytest.approx(wanted["a"], rel=1e-6)
    assert 1 - law.b == pytest.approx(wanted["growth_slope"], rel=2e-6)
    assert 1 / law.rate(history.end) == pytest.approx(wanted["mtbf_now"], rel=2e-6)
    limits = now_gap_limits(history, law, confidence=given["confidence"])
    assert limits == pytest.approx(wanted["mtbf_limits"], rel=2e-6)


def test_a_power_law_by_plain_likelihood():
    given, wanted = CHECKS["trend-02"]
    law = fit_power_law(history_of(given), unbiased=given["modified"])

    assert (law.b, law.a) == pytest.approx((wanted["b"], wanted["a"]), rel=1e-6)


def test_events_that_come_more_seldom():
    given, wanted = CHECKS["trend-03"]
    found = laplace([history_of(given)])

    assert found.z == pytest.approx(wanted["z"], abs=1e-5)
    assert found.p == pytest.approx(wanted["p_two_sided"], abs=1e-5)
    assert wanted["direction"] == ("improving" if found.z < 0 else "worsening")


def test_the_chi_square_test_of_trend():
    given, wanted = CHECKS["trend-04"]
    found = handbook_test(history_of(given))

    assert found.chi2 == pytest.approx(wanted["chi2"], rel=1e-5)
    assert found.degrees == wanted["df"]
    assert found.p_improving == pytest.approx(wanted["p_improving"], rel=1e-4)
    assert found.p_worsening == pytest.approx(wanted["p_worsening"], rel=1e-5)


def test_later_gaps_longer_than_earlier_ones():
    given, wanted = CHECKS["trend-05"]

    assert reversals(given["gaps"]) == wanted["reversals"]
    tau = stats.kendalltau(range(10), given["gaps"]).statistic
    assert tau == pytest.approx(wanted["kendall_tau"], abs=1e-6)


def test_seven_gaps_in_three_orders():
    given, wanted = CHECKS["trend-06"]
    for name, gaps in given["gaps"].items():
        assert laplace([History.of_gaps(gaps)]).z == pytest.approx(wanted[name], abs=1e-5)


def test_a_power_law_of_27_events():
    given, wanted = CHECKS["trend-07"]
    history = history_of(given)
    law = fit_power_law(history)

    assert law.b == pytest.approx(wanted["b"], rel=1e-6)
    assert law.a == pytest.approx(wanted["a"], rel=1e-6)
    assert law.rate(300) == pytest.approx(wanted["intensity_now"], rel=1e-6)
    assert 1 / law.rate(300) == pytest.approx(wanted["mtbf_now"], rel=1e-6)
    assert cramer_von_mises(history) == pytest.approx(wanted["cramer_von_mises"], abs=1e-5)


def test_a_power_law_of_counts_per_interval():
    given, wanted = CHECKS["trend-08"]
    law = fit_counts(given["interval_ends"], given["counts"])

    assert law.b == pytest.approx(wanted["b"], rel=3e-5)
    assert law.a == pytest.approx(wanted["a"], rel=3e-5)
    end = given["interval_ends"][-1]
    assert law.rate(end) == pytest.approx(wanted["intensity_now"], rel=1e-4)
    assert 1 / law.rate(end) == pytest.approx(wanted["mtbf_now"], rel=1e-4)


def test_systems_watched_for_different_lengths():
    given, wanted = CHECKS["trend-09"]
    histories = [
        History(tuple(times), end)
        for times, end in zip(given["event_times"], given["ends"], strict=True)
    ]
    law = fit_pooled(histories)

    assert (law.b, law.a) == pytest.approx((wanted["b"], wanted["a"]), rel=1e-7)


def test_events_that_come_more_often():
    given, wanted = CHECKS["trend-10"]
    history = History.of_gaps(given["gaps"])
    found, law = laplace([history]), fit_power_law(history)

    assert found.z == pytest.approx(wanted["z"], abs=1e-5)
    assert found.p == pytest.approx(wanted["p_two_sided"], abs=1e-5)
    assert wanted["direction"] == ("worsening" if found.z > 0 else "improving")
    assert (law.b, law.a) == pytest.approx((wanted["b"], wanted["a"]), rel=1e-3)


def test_mean_repairs_of_41_engines():
    given, wanted = CHECKS["mcf-01"]
    found = mean_cumulative([Watched.of(unit["events"], unit["end"]) for unit in given["units"]])
    by_age = {str(int(point.age)): point for point in found}

    for age, mean in wanted["mcf"].items():
        assert by_age[age].mean == pytest.approx(mean, abs=1e-6)
    for age, error in wanted["robust_se"].items():
        assert by_age[age].std_err == pytest.approx(error, abs=1e-4)
    n = sum(len(unit["events"]) for unit in given["units"])
    assert n == wanted["number_of_events"]


@pytest.mark.parametrize("what", ["mean_cumulative_cost", "mean_cumulative_count"])
def test_mean_cost_and_count_of_six_units(what):
    given, wanted = CHECKS["mcf-02"]
    units = [
        Watched(
            tuple((e["age"], e["cost"] if "cost" in what else 1) for e in unit["events"]),
            unit["end"],
        )
        for unit in given["units"]
    ]
    found = {str(point.age): point.mean for point in mean_cumulative(units)}

    assert found == pytest.approx(wanted[what], abs=1e-6)


def test_nothing_of_the_table_is_left_out():
    text = Path(__file__).read_text(encoding="utf-8")

    assert [name for name in CHECKS if f'CHECKS["{name}"]' not in text] == []
    assert len(CHECKS) == 12
