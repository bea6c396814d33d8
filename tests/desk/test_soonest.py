"""Places for a call while the customer waits: only what is still to come, promises named."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from servicedesk.desk.callbacks import place_call
from servicedesk.desk.intake import CallDraft, write_call
from servicedesk.desk.planning import day_case
from servicedesk.desk.soonest import cost_text, soonest_places, take_soonest
from servicedesk.records.rounds import Round
from servicedesk.records.visits import Job, Visit
from servicedesk.values.trouble import Trouble
from tests.builders import (
    TODAY,
    a_call,
    a_done_visit,
    a_round,
    a_site,
    a_technician,
    a_visit,
)

NEAR = {"lat_deg": 30.02, "lon_deg": -94.0}


@pytest.fixture
def day(file_desk):
    """Lena's round of today: one stop made at 8, one at 2 pm a few minutes from the caller."""
    desk = file_desk
    lena = a_technician(desk)
    round_ = a_round(desk, lena, state="handed out", planner="hand")
    made = a_site(desk, "1 Long Road", lat_deg=30.05, lon_deg=-94.0)
    a_done_visit(
        desk,
        made,
        TODAY,
        technician=lena,
        round_id=round_.id,
        place=1,
        begin_min=480,
        leave_min=520,
    )
    later = a_site(desk, "2 Long Road", lat_deg=30.03, lon_deg=-94.0)
    a_visit(
        desk,
        later,
        round_id=round_.id,
        place=2,
        begin_min=14 * 60,
        leave_min=14 * 60 + 40,
        held=True,
        held_crew_id=lena.id,
        held_at_min=14 * 60,
    )
    return desk


def noon_tomorrow(desk):
    return desk.clock.instant(TODAY + timedelta(days=1), 12 * 60)


def test_without_rounds_the_planner_places_the_call(file_desk):
    found = soonest_places(file_desk, a_site(file_desk, **NEAR).id, by_at=None)

    assert found.places == ()
    assert found.why_none == "No rounds are planned yet. The planner places the call."


def test_a_place_lies_after_what_was_made_and_after_now(day):
    site = a_site(day, "118 Dry Hollow Lane", **NEAR)

    first, *others = soonest_places(day, site.id, by_at=noon_tomorrow(day)).places

    assert first.begin_min > 10 * 60 + 46  # now
    assert all(place.position >= 1 for place in (first, *others))
    assert (first.technician, first.day, first.keeps_promise) == ("Lena", TODAY, True)
    assert first.title.startswith("Today, Lena, ")
    assert "after 1 Long Road" in {place.after for place in (first, *others)}
    assert first.leave_min > first.begin_min
    assert first.extra_road_min >= 0


def test_a_stop_that_the_plan_says_is_past_lies_behind_though_nobody_wrote_it_up(file_desk):
    """The caller lies between the stop that was made and the next; that one is past by the plan,
    so the short way before it is no place any more.
    """
    desk = file_desk
    lena = a_technician(desk)
    round_ = a_round(desk, lena, planner="hand")
    made = a_site(desk, "1 Long Road", lat_deg=30.30, lon_deg=-94.0)
    a_done_visit(desk, made, TODAY, technician=lena, minutes=10, round_id=round_.id, place=1)
    past = a_site(desk, "3 Long Road", lat_deg=30.10, lon_deg=-94.0)
    a_visit(desk, past, round_id=round_.id, place=2)
    site = a_site(desk, "118 Dry Hollow Lane", lat_deg=30.29, lon_deg=-94.0)

    places = soonest_places(desk, site.id, by_at=noon_tomorrow(desk)).places

    assert [place.after for place in places] == ["after 3 Long Road"]
    assert places[0].begin_min >= 10 * 60 + 46


def test_a_place_after_the_promise_says_so(day):
    site = a_site(day, **NEAR)

    places = soonest_places(day, site.id, by_at=day.clock.now()).places

    assert places
    assert not any(place.keeps_promise for place in places)
    assert cost_text(day, places[0])[1] == "after the promise"


def test_a_stop_there_that_is_still_to_come_takes_the_call_along(day):
    site = a_site(day, "118 Dry Hollow Lane", **NEAR)
    with day.store.read() as session:
        round_id = session.query(Round).one().id
    a_visit(day, site, round_id=round_id, place=3, begin_min=900, leave_min=940)

    (place,) = soonest_places(day, site.id, by_at=None).places

    assert place.joins
    assert cost_text(day, place) == ("no more road", "nobody late")


def test_a_day_that_is_over_has_no_place(day):
    evening = datetime(2026, 10, 14, 22, 30, tzinfo=UTC)  # 6:30 pm there
    late = replace(day, clock=replace(day.clock, now_utc=lambda: evening))
    site = a_site(late, **NEAR)

    found = soonest_places(late, site.id, by_at=None)

    assert found.places == ()
    assert "full" in found.why_none


def test_taking_a_place_puts_the_call_there_and_marks_the_sheet(day):
    site = a_site(day, "118 Dry Hollow Lane", **NEAR)
    place = soonest_places(day, site.id, by_at=noon_tomorrow(day)).places[0]
    draft = CallDraft(site_id=site.id, symptoms=("high-water-alarm",))
    write_call(day, draft)

    changed = take_soonest(day, draft.uid, place)

    assert changed.touches("visit", "job")
    with day.store.read() as session:
        visit = session.query(Visit).where(Visit.site_id == site.id).one()
        job = session.query(Job).where(Job.visit_id == visit.id).one()
        round_ = session.query(Round).one()
        assert (visit.planned_on, visit.round_id) == (TODAY, round_.id)
        assert visit.place == place.position + 1
        assert job.kind_of == "callback"
        assert job.call_id is not None
        assert round_.changed_since


def test_a_round_that_changed_meanwhile_is_not_written_over(day):
    site = a_site(day, **NEAR)
    place = soonest_places(day, site.id, by_at=noon_tomorrow(day)).places[0]
    draft = CallDraft(site_id=site.id)
    write_call(day, draft)
    with day.store.read() as session:
        round_id = session.query(Round).one().id
    other = a_site(day, "9 Long Road", **NEAR)
    a_visit(day, other, round_id=round_id, place=3, begin_min=960, leave_min=990)

    with pytest.raises(Trouble, match="changed meanwhile"):
        take_soonest(day, draft.uid, place)


def test_rounds_of_the_next_working_day_are_offered_too(file_desk):
    thursday = date(2026, 10, 15)
    round_ = a_round(file_desk, a_technician(file_desk), thursday, planner="hand")
    stop = a_site(file_desk, "2 Long Road", lat_deg=30.03, lon_deg=-94.0)
    a_visit(file_desk, stop, planned_on=thursday, round_id=round_.id, place=1)
    site = a_site(file_desk, "118 Dry Hollow Lane", **NEAR)
    a_call(file_desk, site)

    places = soonest_places(file_desk, site.id, by_at=noon_tomorrow(file_desk)).places

    assert places
    assert {place.day for place in places} == {thursday}
    assert places[0].title.startswith("Tomorrow, Lena, ")


def test_who_begins_later_is_told_before_a_place_is_taken(file_desk):
    desk, tomorrow = file_desk, TODAY + timedelta(days=1)
    round_ = a_round(desk, a_technician(desk), tomorrow)
    for n, lat in enumerate((30.02, 30.5), start=1):
        far = a_site(desk, f"{n} Far Road", lat_deg=lat, lon_deg=-94.0)
        a_visit(desk, far, planned_on=tomorrow, round_id=round_.id, place=n, service_min=40)
    caller = a_site(desk, "5 Between Road", lat_deg=30.2, lon_deg=-94.0)

    found = soonest_places(desk, caller.id, by_at=None).places

    between = next(place for place in found if place.position == 1)
    assert len(between.later) == 1
    assert between.later[0].startswith("2 Far Road")
    assert cost_text(desk, between)[1] == between.later[0]


def test_a_place_of_today_is_written_at_the_time_that_was_offered(file_desk):
    """Late in the day, on a round whose only stop was planned for the morning."""
    desk = file_desk
    lena = a_technician(desk)
    round_ = a_round(desk, lena, planner="hand")
    early = a_site(desk, "1 Long Road", lat_deg=30.05, lon_deg=-94.0)
    a_visit(desk, early, round_id=round_.id, place=1, begin_min=480, leave_min=520, held=True,
            held_crew_id=lena.id, held_at_min=480)  # fmt: skip
    site = a_site(desk, "118 Dry Hollow Lane", **NEAR)
    place = next(p for p in soonest_places(desk, site.id, by_at=None).places if p.day == TODAY)
    assert place.begin_min >= desk.clock.minute_of_day()
    draft = CallDraft(site_id=site.id, symptoms=("high-water-alarm",))
    write_call(desk, draft)
    take_soonest(desk, draft.uid, place)
    with desk.store.read() as session:
        visit = session.query(Visit).where(Visit.site_id == site.id).one()
        assert visit.begin_min == place.begin_min


def test_no_plan_of_the_day_goes_there_before_they_called(file_desk):
    desk = file_desk
    a_round(desk, a_technician(desk))
    site = a_site(desk, "118 Dry Hollow Lane", **NEAR)
    call = a_call(desk, site)
    place_call(desk, call.id, TODAY)
    problem = day_case(desk, TODAY).stand.problem
    (stop,) = problem.stops
    assert stop.open_from_min == desk.clock.minute_of(call.called_at)
    assert day_case(desk, TODAY + timedelta(days=1)).stand.problem.stops == ()
