"""Repeat alerts against checks alert-01 to alert-04 (tests/data/statistics/repeat_alerts.json).

The source of each value and how it was seen stands beside it in that file.
"""

import json
from datetime import date, timedelta
from pathlib import Path

import pytest

from servicedesk.trouble import cusum
from servicedesk.trouble.call_facts import CallFact
from servicedesk.trouble.change_odds import (
    YEAR_DAYS,
    after_call,
    after_gap,
    chance_of,
    frequent_rate,
    site_multiplier,
)
from servicedesk.trouble.fleet_so_far import Exposure, FleetSoFar

CHECKS = {
    check["id"]: check
    for check in json.loads(
        (Path(__file__).parents[1] / "data" / "statistics" / "repeat_alerts.json").read_text(
            encoding="utf-8"
        )
    )["checks"]
}


def close(wanted):
    return pytest.approx(wanted, abs=1e-6)  # the tolerance of every one of the four checks


def test_all_four_checks_are_here():
    assert sorted(CHECKS) == ["alert-01", "alert-02", "alert-03", "alert-04"]
    assert {check["tolerance"] for check in CHECKS.values()} == {"1e-6 absolute"}


def test_the_path_of_a_poisson_cusum():
    given, wanted = CHECKS["alert-01"]["inputs"], CHECKS["alert-01"]["expected"]

    reference = cusum.reference_value(given["mean_ok"], given["mean_bad"])

    assert reference == close(wanted["k"])
    assert cusum.path(given["counts"], reference) == close(tuple(wanted["path"]))
    assert max(wanted["path"][:5]) < given["h"] < wanted["path"][5]


@pytest.mark.parametrize("check_id", ["alert-02", "alert-03"])
def test_the_chance_after_each_callback(check_id):
    given, wanted = CHECKS[check_id]["inputs"], CHECKS[check_id]["expected"]
    usual, turning = given["baseline_per_year"], given["change_chance_per_year"]
    assert frequent_rate(usual) == given["bad_per_year"]

    odds, at, chances = 0.0, given["start_day"], []
    for day in given["callback_days"]:
        odds = after_gap(odds, (day - at) / YEAR_DAYS, usual=usual, turning=turning)
        odds = after_call(odds, usual=usual)
        at = day
        chances.append(chance_of(odds))

    assert chances == close(wanted["probability"])


def test_the_baseline_of_a_site_that_calls_often_for_other_reasons():
    given, wanted = CHECKS["alert-04"]["inputs"], CHECKS["alert-04"]["expected"]
    of_symptom = given["fleet_symptom_per_year"]

    multiplier = site_multiplier(
        given["other_callbacks"], given["fleet_total_per_year"] - of_symptom, given["site_years"]
    )

    assert multiplier == close(wanted["multiplier"])
    assert multiplier * of_symptom == close(wanted["baseline_per_year"])
    assert frequent_rate(multiplier * of_symptom) == wanted["bad_per_year"]


def test_the_same_multiplier_comes_out_of_a_whole_fleet():
    # alert-04 again, through the running totals: so many sites that defaults hardly matter
    given, wanted = CHECKS["alert-04"]["inputs"], CHECKS["alert-04"]["expected"]
    start, years = date(2020, 1, 1), int(given["site_years"])
    on = start + timedelta(days=round(years * YEAR_DAYS))
    n_sites = 10_000
    fleet = FleetSoFar(Exposure((start, start, None) for _site in range(n_sites)))
    n_calls = round(given["fleet_total_per_year"] * years * n_sites)
    n_symptom = round(given["fleet_symptom_per_year"] * years * n_sites)
    fleet.meet(["a", "b"])
    for symptom, n in (("a", n_symptom), ("b", n_calls - n_symptom)):
        for _call in range(n):
            fleet.add(CallFact("elsewhere", start, symptom))
    for _call in range(given["other_callbacks"]):
        fleet.add(CallFact("here", start, "b"))

    usual = fleet.usual("here", "a", on=on, exposure_years=years)

    assert usual == pytest.approx(wanted["baseline_per_year"], rel=1e-3)
