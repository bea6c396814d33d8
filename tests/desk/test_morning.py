"""What is worth a look this morning: the most pressing first, each with its reason."""

from datetime import date, timedelta

import pytest

from servicedesk.desk.morning import morning
from servicedesk.records.company import TechnicianLicense
from tests.builders import (
    TODAY,
    a_call,
    a_contract,
    a_done_visit,
    a_round,
    a_site,
    a_technician,
    a_visit,
)

NEAR = {"lat_deg": 30.02, "lon_deg": -94.0}


def of_kind(report, kind):
    return [warned for warned in report.warnings if warned.kind == kind]


def a_license(desk, until_on, **values):
    with desk.store.change(desk.who, "Wrote a license") as work:
        work.add(TechnicianLicense(license_class="Class B", valid_until=until_on, **values))


def test_a_promise_that_the_round_breaks_is_at_risk_and_comes_first(desk):
    lena = a_technician(desk)
    site = a_site(desk, **NEAR)
    round_ = a_round(desk, lena, state="handed out")
    a_visit(desk, site, round_id=round_.id, place=1, promise_until_min=8 * 60)
    a_license(desk, TODAY - timedelta(days=2), technician_id=lena.id)
    report = morning(desk, TODAY)
    (risk,) = of_kind(report, "promise")
    assert report.n_at_risk == 1
    assert risk is report.warnings[0]
    assert "118 Dry Hollow Lane is promised and would be" in risk.text


def test_a_promised_call_with_no_place_is_at_risk_with_the_reason(desk):
    a_technician(desk, day_from_min=480, day_until_min=490, overtime_min=0)
    site = a_site(desk, **NEAR)
    a_visit(desk, a_site(desk, "9 Quarry Spur", owner="Ann Lost", **NEAR), service_min=1)
    a_call(desk, site)
    report = morning(desk, TODAY)
    (risk,) = of_kind(report, "promise")
    assert risk.site_id == site.id
    assert "has no place: " in risk.text
    assert not risk.text.endswith(": .")


def test_a_late_inspection_tells_when_its_window_closed(desk):
    site = a_site(desk, **NEAR)
    a_contract(desk, site, from_on=date(2026, 1, 1), until_on=date(2027, 1, 1))
    report = morning(desk, TODAY)
    (late,) = of_kind(report, "late")
    assert report.n_late >= 1
    assert "118 Dry Hollow Lane" in late.text
    assert "window closed" in late.text


@pytest.mark.parametrize(
    ("days", "words"),
    [(-1, "ran out on"), (0, "runs out on"), (60, "runs out on"), (61, None)],
)
def test_a_license_is_told_sixty_days_before_and_when_it_ran_out(desk, days, words):
    lena = a_technician(desk)
    a_license(desk, TODAY + timedelta(days=days), technician_id=lena.id)
    told = of_kind(morning(desk, TODAY), "license")
    assert [words in warned.text for warned in told] == ([True] if words else [])
    assert all("Lena Hobb" in warned.text for warned in told)


def test_a_guessed_place_is_counted(desk):
    a_technician(desk)
    a_visit(desk, a_site(desk, **NEAR))
    a_visit(desk, a_site(desk, "9 Nowhere Lane", owner="Ann Lost"))
    report = morning(desk, TODAY)
    assert (report.n_guessed, report.n_stops) == (1, 2)
    (guessed,) = of_kind(report, "place guessed")
    assert guessed.text.startswith("1 of 2 stops has a guessed place")


def test_what_must_be_made_and_has_no_place_is_left_out_with_its_reason(desk):
    a_technician(desk, day_from_min=480, day_until_min=600, overtime_min=0)
    a_visit(desk, a_site(desk, **NEAR), service_min=20)
    site = a_site(desk, "9 Quarry Spur", owner="Ann Lost", **NEAR)
    a_visit(desk, site, service_min=300)
    report = morning(desk, TODAY)
    (left,) = of_kind(report, "left out")
    assert report.n_left_out == 1
    assert left.site_id == site.id
    assert left.text.startswith("9 Quarry Spur found no place: ")
    assert "longer than any shift" in left.text


def test_the_three_most_pressing_things_are_worth_a_look(desk):
    lena = a_technician(desk)
    for days in (40, -3, 20, -1, 5):
        a_license(desk, TODAY + timedelta(days=days), technician_id=lena.id)
    report = morning(desk, TODAY)
    assert len(report.warnings) == 5
    assert report.worth_a_look == report.warnings[:3]
    assert ["ran out" in warned.text for warned in report.worth_a_look] == [True, True, False]


def test_a_window_that_closes_within_a_week_without_a_day_is_told(desk):
    site = a_site(desk, **NEAR)
    # three visits a year from June 19: the first window closes four months later
    a_contract(desk, site, from_on=date(2026, 6, 19), until_on=date(2027, 6, 19))
    a_done_visit(desk, site, date(2026, 1, 5))
    report = morning(desk, TODAY)
    assert report.n_closing == 1
    (closing,) = of_kind(report, "closing")
    assert "118 Dry Hollow Lane" in closing.text
    assert closing.site_id == site.id
