"""A storm is opened, calls join it by place and time, and those who call a day later leave it."""

from dataclasses import replace
from datetime import timedelta

import pytest

from servicedesk.desk.callbacks import answer_call, drop_call
from servicedesk.desk.changes import undo
from servicedesk.desk.checking import WrongEntry
from servicedesk.desk.events import (
    change_area,
    close_event,
    event_for,
    join_event,
    leave_event,
    open_event,
    running_event,
    still_calling,
    the_event,
    villages,
)
from servicedesk.desk.intake import CallDraft, write_call
from servicedesk.records.calls import Call
from servicedesk.values.trouble import Trouble
from tests.builders import a_call, a_site


def later(desk, **span):
    """The same desk after a while."""
    now = desk.clock.now() + timedelta(**span)
    return replace(desk, clock=replace(desk.clock, now_utc=lambda: now))


def event_of(desk, call_id):
    with desk.store.read() as session:
        return session.get(Call, call_id).event_id


def written(desk, site=None, **values):
    """A call written as the page writes it; its id."""
    draft = CallDraft(site_id=site.id if site else None, symptoms=("high-water-alarm",), **values)
    changed = write_call(desk, draft)
    return next(iter(changed.rows["call"]))


def test_an_event_runs_until_it_is_closed_and_both_can_be_taken_back(desk):
    opened = open_event(desk, "storm")
    storm = running_event(desk)
    assert (storm.title, storm.area, storm.from_at) == ("Storm", "everywhere", desk.clock.now())

    closed = close_event(desk, storm.id, seen=storm.revision)
    assert running_event(desk) is None
    assert the_event(desk, storm.id).until_at == desk.clock.now()

    undo(desk, closed.change_id)
    assert running_event(desk).id == storm.id
    undo(desk, opened.change_id)
    assert running_event(desk) is None


def test_calls_of_its_villages_join_it_and_others_do_not(desk):
    near, far = a_site(desk, "1 Elm", locality="Pinder"), a_site(desk, "2 Elm", locality="Ashby")
    open_event(desk, "flood", localities=["pin"])
    storm = running_event(desk)
    assert storm.localities == ("Pinder",)

    assert event_of(desk, written(desk, near)) == storm.id
    assert event_of(desk, written(desk, far)) is None
    assert event_of(desk, written(desk, caller="Zed", where_said="Pinder")) is None
    assert event_of(desk, written(desk, near, apart=True)) is None
    assert running_event(desk).n_calls == 1


def test_over_everywhere_a_caller_in_no_book_belongs_to_it_too(desk):
    open_event(desk, "outage")

    assert event_of(desk, written(desk, caller="Zed")) == running_event(desk).id


def test_what_came_since_it_began_joins_when_it_is_opened_and_comes_apart_with_undo(desk):
    site = a_site(desk)
    before = a_call(desk, site, days_ago=0.5)
    since = a_call(desk, site, days_ago=0.1)
    done = a_call(desk, site, days_ago=0.1, state="answered")
    changed = open_event(desk, "storm", from_at=desk.clock.now() - timedelta(hours=6))

    storm = running_event(desk)
    assert event_of(desk, since.id) == storm.id
    assert event_of(desk, before.id) is None
    assert event_of(desk, done.id) is None
    undo(desk, changed.change_id)
    assert event_of(desk, since.id) is None


def test_a_call_after_it_was_closed_does_not_belong_to_it(desk):
    site = a_site(desk)
    open_event(desk, "storm")
    close_event(desk, running_event(desk).id)

    assert event_of(desk, written(desk, site)) is None


def test_an_unknown_village_is_said_and_a_near_one_offered(file_desk):
    a_site(file_desk, "1 Elm", locality="Pinder")
    a_site(file_desk, "2 Elm", locality="Pine Rise")
    assert villages(file_desk) == ("Pinder", "Pine Rise")

    with pytest.raises(WrongEntry, match="No site lies in Pindre") as refused:
        open_event(file_desk, "storm", localities=["Pindre"])
    assert refused.value.wrong[0].meant == "Pinder"
    with pytest.raises(WrongEntry, match="pin may be Pinder, Pine Rise"):
        open_event(file_desk, "storm", localities=["pin"])
    assert running_event(file_desk) is None


def test_no_event_begins_in_time_to_come(file_desk):
    with pytest.raises(WrongEntry, match="begins now or has begun"):
        open_event(file_desk, "storm", from_at=file_desk.clock.now() + timedelta(hours=1))
    with pytest.raises(ValueError, match="earthquake"):
        open_event(file_desk, "earthquake")


def test_two_events_run_side_by_side_only_over_different_villages(file_desk):
    a_site(file_desk, "1 Elm", locality="Pinder")
    a_site(file_desk, "2 Elm", locality="Ashby")
    open_event(file_desk, "storm", localities=["Pinder"])

    open_event(file_desk, "outage", localities=["Ashby"])
    for area in ([], ["pinder"]):
        with pytest.raises(Trouble, match="An event runs there already: Storm"):
            open_event(file_desk, "flood", localities=area)


def test_its_area_can_be_changed_while_it_runs(desk):
    site = a_site(desk, locality="Pinder")
    a_site(desk, "2 Elm", locality="Ashby")
    open_event(desk, "storm", localities=["Ashby"])
    storm = running_event(desk)

    change_area(desk, storm.id, ["Ashby", "Pinder"], seen=storm.revision)

    assert running_event(desk).area == "Ashby, Pinder"
    assert event_for(desk, site.id, desk.clock.now()).id == storm.id
    close_event(desk, storm.id)
    with pytest.raises(Trouble, match="over already"):
        change_area(desk, storm.id, [])
    with pytest.raises(Trouble, match="over already"):
        close_event(desk, storm.id)


# --- still calling a day later


@pytest.mark.parametrize(("hours", "stays"), [(23.9, True), (24, True), (24.1, False)])
def test_a_site_that_calls_again_a_day_later_has_left_the_event(desk, hours, stays):
    site = a_site(desk)
    open_event(desk, "storm")
    storm = running_event(desk)
    written(desk, site)
    assert still_calling(desk, storm.id) == ()

    after = later(desk, hours=hours)
    again = written(after, site)

    assert (event_of(desk, again) == storm.id) is stays
    assert bool(still_calling(after, storm.id)) is not stays


def test_those_still_calling_leave_with_one_action_and_come_back_with_undo(desk):
    site, other = a_site(desk), a_site(desk, "6 Larkrise Court")
    open_event(desk, "storm")
    storm = running_event(desk)
    first, quiet = written(desk, site), written(desk, other)
    answer_call(desk, first)  # they were helped, and still it came back
    after = later(desk, hours=30)
    again = written(after, site)

    (still,) = still_calling(after, storm.id)
    assert (still.address, still.call_ids) == ("118 Dry Hollow Lane", (first,))
    assert still.again_at - still.first_at == timedelta(hours=30)
    changed = leave_event(after, storm.id, still.call_ids)

    assert (event_of(desk, first), event_of(desk, again)) == (None, None)
    assert event_of(desk, quiet) == storm.id
    assert still_calling(after, storm.id) == ()
    with pytest.raises(Trouble, match="not belong to the event any more"):
        leave_event(after, storm.id, [first])
    undo(after, changed.change_id)
    assert event_of(desk, first) == storm.id


def test_a_dropped_call_is_nobody_still_calling(desk):
    site = a_site(desk)
    open_event(desk, "storm")
    written(desk, site)
    after = later(desk, hours=40)
    drop_call(after, written(after, site), why="wrong number")

    assert still_calling(after, running_event(desk).id) == ()


def test_a_call_can_be_taken_into_it_by_hand(desk):
    a_site(desk, "2 Elm", locality="Ashby")
    call = a_call(desk, a_site(desk), days_ago=3)
    open_event(desk, "storm", localities=["Ashby"])

    join_event(desk, running_event(desk).id, call.id)

    assert event_of(desk, call.id) == running_event(desk).id


def test_opening_is_not_taken_back_under_calls_that_were_written_into_it(desk):
    site = a_site(desk)
    opened = open_event(desk, "storm")
    call = written(desk, site)

    with pytest.raises(Trouble):
        undo(desk, opened.change_id)

    assert event_of(desk, call) == running_event(desk).id
    leave_event(desk, running_event(desk).id, [call])
    undo(desk, opened.change_id)
    assert running_event(desk) is None
