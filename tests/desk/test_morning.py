"""What is worth a look this morning: the most pressing first, each with its reason."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from servicedesk.desk.changes import all_changes
from servicedesk.desk.morning import morning
from servicedesk.desk.office import desk_at
from servicedesk.records.company import CompanyLicense, Holiday, TechnicianLicense
from servicedesk.records.rounds import Round
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
from tests.records.snapshot import snapshot

NEAR = {"lat_deg": 30.02, "lon_deg": -94.0}


def latest_change(desk):
    return all_changes(desk, limit=1)


def desk_at_again(desk):
    return replace(desk_at(desk.store), clock=desk.clock)


def of_kind(report, kind):
    return [warned for warned in report.warnings if warned.kind == kind]


def a_license(desk, until_on, **values):
    with desk.store.change(desk.who, "Wrote a license") as work:
        work.add(
            TechnicianLicense(**{"license_class": "Class B", "valid_until": until_on, **values})
        )


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
    last_day = TODAY + timedelta(days=days)
    a_license(desk, last_day + timedelta(days=1), technician_id=lena.id)  # until is excluded
    told = of_kind(morning(desk, TODAY), "license")
    assert all(desk.formats.day(last_day, near=TODAY) in warned.text for warned in told)
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
    for n, days in enumerate((40, -3, 20, -1, 5)):
        until = TODAY + timedelta(days=days)
        a_license(desk, until, technician_id=lena.id, license_class=f"Class {n}")
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


def test_a_renewed_license_is_no_trouble(desk):
    lena = a_technician(desk)
    a_license(desk, TODAY - timedelta(days=5), technician_id=lena.id)
    a_license(desk, TODAY + timedelta(days=700), technician_id=lena.id)
    assert of_kind(morning(desk, TODAY), "license") == []


def test_the_license_of_somebody_who_left_is_no_trouble(desk):
    gone = a_technician(desk, "Ruel Banner", until_on=TODAY - timedelta(days=30))
    a_license(desk, TODAY - timedelta(days=5), technician_id=gone.id)
    assert of_kind(morning(desk, TODAY), "license") == []


def test_the_companys_own_license_is_told_with_its_name(desk):
    with desk.store.change(desk.who, "Wrote a license") as work:
        work.add(CompanyLicense(number="M-1", license_class="Maintenance", valid_until=TODAY))
    (told,) = of_kind(morning(desk, TODAY), "license")
    assert told.text.startswith("License of Sallow Fork Onsite Care (Maintenance) ran out on")


def test_a_round_that_ends_after_the_working_day_is_a_warning_and_not_an_error(desk):
    lena = a_technician(desk, day_from_min=480, day_until_min=600)
    round_ = a_round(desk, lena, state="handed out")
    visit = {"round_id": round_.id, "place": 1, "service_min": 180}
    a_visit(desk, a_site(desk, **NEAR), **visit)
    report = morning(desk, TODAY)
    (line,) = report.rounds
    assert line.over_min == line.home_min - 600 > 60
    (over,) = of_kind(report, "over hours")
    assert over.text.startswith("Lena Hobb's round ends ")
    assert desk.formats.minutes(line.over_min) in over.text


def test_reports_not_sent_are_counted_from_the_oldest(desk):
    site = a_site(desk, **NEAR)
    a_done_visit(desk, site, TODAY - timedelta(days=9))
    a_done_visit(desk, site, TODAY - timedelta(days=2))
    a_done_visit(desk, site, TODAY - timedelta(days=1), kind_of="owed")
    (unsent,) = of_kind(morning(desk, TODAY), "reports")
    assert unsent.text.startswith("2 inspection reports were not sent")
    assert desk.formats.day(TODAY - timedelta(days=9), near=TODAY) in unsent.text


def test_a_customer_told_the_day_who_has_no_place_is_at_risk_once(desk):
    a_technician(desk, day_from_min=480, day_until_min=600, overtime_min=0)
    a_visit(desk, a_site(desk, **NEAR), service_min=20)
    site = a_site(desk, "9 Quarry Spur", owner="Ann Lost", **NEAR)
    a_visit(desk, site, service_min=300, told=True)
    report = morning(desk, TODAY)
    assert [w.kind for w in report.warnings if w.site_id == site.id] == ["promise"]
    assert (report.n_at_risk, report.n_left_out) == (1, 0)


def test_a_second_morning_writes_nothing(desk):
    a_technician(desk)
    a_visit(desk, a_site(desk, **NEAR))
    first = morning(desk, TODAY)
    before = snapshot(desk.store), latest_change(desk)
    assert morning(desk, TODAY) == first
    assert (snapshot(desk.store), latest_change(desk)) == before


def test_a_call_of_this_morning_finds_room_on_a_draft_but_not_on_a_round_handed_out(desk):
    lena = a_technician(desk)
    a_visit(desk, a_site(desk, **NEAR))
    assert morning(desk, TODAY).n_stops == 1
    a_call(desk, a_site(desk, "9 Quarry Spur", owner="Ann Lost", **NEAR))
    assert morning(desk, TODAY).n_stops == 2
    with desk.store.change(desk.who, "Handed out") as work:
        work.session.query(Round).filter_by(lead_id=lena.id).one().state = "handed out"
    late_call = a_site(desk, "31 Quarry Spur", owner="Lee Arden", **NEAR)
    a_call(desk, late_call)
    report = morning(desk, TODAY)
    assert report.n_stops == 2
    assert [w.site_id for w in of_kind(report, "promise")] == [late_call.id]


def test_a_holiday_says_its_name_and_plans_nothing(desk):
    with desk.store.change(desk.who, "Wrote a holiday") as work:
        work.add(Holiday(day=TODAY, name="Harvest Day"))
    a_technician(desk)
    a_visit(desk, a_site(desk, **NEAR))
    report = morning(desk_at_again(desk), TODAY)
    assert "Harvest Day" in report.nobody_works
    assert report.rounds == ()
