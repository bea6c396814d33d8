"""Forty calls of one night in the order in which they are worked: danger, by phone, by road."""

from dataclasses import replace
from datetime import timedelta

import pytest

from sample_db.storm import storm_night
from servicedesk.desk.callbacks import answer_call, open_calls
from servicedesk.desk.changes import undo
from servicedesk.desk.event_work import event_work, phoned
from servicedesk.desk.events import close_event, leave_event, open_event, running_event
from servicedesk.desk.intake import CallDraft, write_call
from servicedesk.records.planning_rows import site_places
from servicedesk.travel.geodesic import distance_m
from servicedesk.values.position import Position
from tests.builders import a_call, a_site, a_technician

OFFICE = Position(30.0, -94.0)


def spot(n):
    """Sites strewn around the office, no two at one place."""
    return {"lat_deg": 30 + (n * 7 % 40 - 20) / 200, "lon_deg": -94 + (n * 11 % 40 - 20) / 200}


def storm_over(desk, n=40):
    """A store in the morning after a storm of `n` calls, each written as the page writes it."""
    sites = [a_site(desk, f"{i} Storm Road", owner=f"Owner {i}", **spot(i)) for i in range(n)]
    dusk = desk.clock.now() - timedelta(hours=12)
    open_event(desk, "storm", from_at=dusk)
    for one in storm_night([s.id for s in sites], begins_at=dusk, seed=5, n=n):
        answers = {one.danger: "yes"} if one.danger else {}
        draft = CallDraft(
            site_id=one.site_id,
            symptoms=(one.symptom,),
            own_words=one.own_words,
            answers=answers,
            called_at=one.called_at,
        )
        write_call(desk, draft)
    return sites


def call_at(desk, site):
    return next(call for call in open_calls(desk) if call.site_id == site.id)


def test_no_event_is_no_work(file_desk):
    a_call(file_desk, a_site(file_desk))

    assert event_work(file_desk) is None


def test_forty_calls_stand_in_the_order_in_which_they_are_worked(file_desk):
    desk = file_desk
    storm_over(desk)
    work = event_work(desk)
    assert work.event.n_calls == len(work.calls) == 40
    steps = [one.step for one in work.calls]
    assert steps == sorted(steps, key=["danger", "phone", "road"].index)
    dangers = [one.call for one in work.calls if one.step == "danger"]
    assert dangers
    assert {call.priority for call in dangers} == {"danger"}
    assert all(one.call.priority != "danger" for one in work.calls if one.step != "danger")
    waiting = [one.call.called_at for one in work.calls if one.step == "phone"]
    assert waiting == sorted(waiting)
    assert "road" not in steps  # nobody was phoned yet, so no truck moves

    for one in [one for one in work.calls if one.step == "phone"][:20]:
        phoned(desk, one.call)
    work = event_work(desk)

    road = [one for one in work.calls if one.step == "road"]
    assert len(road) == 20
    assert [work.n_of(step) for step in ("danger", "phone", "road")] == [
        len(dangers), 20 - len(dangers), 20
    ]  # fmt: skip


def test_by_road_the_nearest_comes_next_from_the_office_on(file_desk):
    desk = file_desk
    storm_over(desk, n=12)
    for one in event_work(desk).calls:
        phoned(desk, one.call)
    with desk.store.read() as session:
        places = site_places(session)

    road = [one for one in event_work(desk).calls if one.step == "road"]

    def where(one):
        place = places[one.call.site_id]
        return Position(place.lat_deg, place.lon_deg)

    assert len(road) > 5
    before = OFFICE
    for n, one in enumerate(road):
        here = distance_m(before, where(one))
        # minutes are whole: nobody left over is more than a minute's drive nearer
        assert all(here <= distance_m(before, where(other)) + 1200 for other in road[n:])
        assert one.road_min >= 1
        before = where(one)


def test_the_danger_that_nobody_phoned_comes_before_the_one_that_was(desk):
    first, second = (a_site(desk, f"{n} Elm") for n in (1, 2))
    open_event(desk, "flood")
    for site in (first, second):
        write_call(desk, CallDraft(site_id=site.id, answers={"lid-open": "yes"}))
    assert [one.call.title for one in event_work(desk).calls] == ["1 Elm", "2 Elm"]

    changed = phoned(desk, call_at(desk, first), "stay away from the lid, we are on our way")

    assert [one.call.title for one in event_work(desk).calls] == ["2 Elm", "1 Elm"]
    assert event_work(desk).calls[1].phoned_at == desk.clock.now()
    undo(desk, changed.change_id)
    assert [one.call.title for one in event_work(desk).calls] == ["1 Elm", "2 Elm"]


def test_callers_in_no_book_and_sites_without_a_place_are_worked_too(desk):
    a_technician(desk)
    site = a_site(desk, "3 Elm")  # nobody put it on a map
    open_event(desk, "outage")
    write_call(desk, CallDraft(caller="Zed", symptoms=("dead-panel",)))
    write_call(desk, CallDraft(site_id=site.id, symptoms=("dead-panel",)))
    for one in event_work(desk).calls:
        phoned(desk, one.call)

    road = event_work(desk).calls

    assert [(one.call.title, one.road_min is None) for one in road] == [
        ("3 Elm", False), ("Zed", True)
    ]  # fmt: skip


def test_what_is_answered_or_has_left_is_worked_no_more(desk):
    sites = [a_site(desk, f"{n} Elm") for n in range(3)]
    open_event(desk, "storm")
    for site in sites:
        write_call(desk, CallDraft(site_id=site.id, symptoms=("high-water-alarm",)))
    answer_call(desk, call_at(desk, sites[0]).id)
    storm = running_event(desk)
    leave_event(desk, storm.id, [call_at(desk, sites[1]).id])

    assert [one.call.title for one in event_work(desk).calls] == ["2 Elm"]
    close_event(desk, storm.id)
    assert event_work(desk) is None


def test_who_still_calls_a_day_later_stands_with_the_work(desk):
    site = a_site(desk)
    open_event(desk, "storm")
    write_call(desk, CallDraft(site_id=site.id, symptoms=("high-water-alarm",)))
    now = desk.clock.now() + timedelta(hours=25)
    later = replace(desk, clock=replace(desk.clock, now_utc=lambda: now))
    write_call(later, CallDraft(site_id=site.id, symptoms=("high-water-alarm",)))

    work = event_work(later)

    assert [one.address for one in work.still] == ["118 Dry Hollow Lane"]
    assert len(work.calls) == 1  # the second one is no call of the storm


@pytest.mark.parametrize("n", [4, 40])
def test_the_list_asks_the_store_as_often_for_four_calls_as_for_forty(file_desk, count_queries, n):
    storm_over(file_desk, n=n)
    for one in event_work(file_desk).calls:
        phoned(file_desk, one.call)

    with count_queries(file_desk.store) as seen:
        event_work(file_desk)

    assert len(seen) <= 26  # with the BEGIN of each look; as many for four as for forty
