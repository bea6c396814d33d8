"""Calls that wait, calls of before, and how a call is closed or placed."""

from datetime import date, timedelta

import pytest

from servicedesk.desk.callbacks import (
    answer_call,
    drop_call,
    earlier_calls,
    open_calls,
    place_call,
    recent_calls,
    reopen_call,
)
from servicedesk.desk.checking import WrongEntry
from servicedesk.desk.office import desk_at
from servicedesk.records.company import Holiday, OnCall
from servicedesk.records.errors import StaleEdit
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
    something_owed,
)

THURSDAY = date(2026, 10, 15)
FRIDAY = date(2026, 10, 16)
SATURDAY = date(2026, 10, 17)


def now_of(desk, record):
    with desk.store.read() as session:
        return session.get(type(record), record.id)


def stops(desk):
    with desk.store.read() as session:
        jobs = session.query(Job).order_by(Job.id).all()
        return [
            (session.get(Visit, job.visit_id).planned_on, job.visit_id, job.kind_of) for job in jobs
        ]


def test_the_oldest_promise_stands_first_with_its_minutes_left(desk):
    now = desk.clock.now()
    site = a_site(desk, "118 Dry Hollow Lane")
    later = a_call(desk, site, promised_by_at=now + timedelta(minutes=134, seconds=30))
    late = a_call(desk, promised_by_at=now - timedelta(seconds=30), where_said="chapel")
    never = a_call(desk, promised_by_at=None)
    a_call(desk, state="answered")

    lines = open_calls(desk)

    assert [line.id for line in lines] == [late.id, later.id, never.id]
    assert [line.minutes_left for line in lines] == [-1, 134, None]
    assert [line.is_late for line in lines] == [True, False, False]
    assert [line.title for line in lines] == ["chapel", "118 Dry Hollow Lane", "Ruth Quillan"]
    assert lines[1].symptom_text == "High-water alarm"


def test_a_waiting_call_tells_what_is_owed_there_and_how_often_they_called(desk):
    site = a_site(desk)
    something_owed(desk, site)
    a_call(desk, site, days_ago=100, state="answered")
    a_call(desk, site, days_ago=50, state="dropped")
    a_call(desk, site)

    (line,) = open_calls(desk)

    assert line.owed == ("West spray head tied up",)
    assert line.n_earlier == 1


def test_a_list_of_calls_costs_the_same_number_of_queries_for_one_and_for_twenty(
    desk, count_queries
):
    first = a_site(desk, "1 Long Road")
    a_call(desk, first)
    with count_queries(desk.store) as one:
        open_calls(desk)
    for n in range(2, 21):
        a_call(desk, a_site(desk, f"{n} Long Road"))
    with count_queries(desk.store) as twenty:
        assert len(open_calls(desk)) == 20

    assert len(one) == len(twenty)


def test_earlier_calls_tell_what_each_visit_did_and_how_long_it_was_quiet(desk):
    site = a_site(desk)
    lena = a_technician(desk)
    first = a_call(desk, site, days_ago=400, state="answered", symptoms=["odour-inside"])
    done = {"call_id": first.id, "found": "Trap dry.", "did": "Filled it"}
    a_done_visit(desk, site, TODAY - timedelta(days=398), kind_of="callback", job=done)
    second = a_call(desk, site, days_ago=130, state="answered")
    no_fault = {"call_id": second.id, "no_fault_found": True, "did": "Reset the alarm"}
    a_done_visit(
        desk, site, TODAY - timedelta(days=128), technician=lena, kind_of="callback", job=no_fault
    )
    now = a_call(desk, site)

    same, other = earlier_calls(desk, site.id, symptoms=["high-water-alarm"], but=now.id)

    assert (same.call_id, same.same, same.did) == (
        second.id,
        True,
        ("Jun 8, Lena Hobb: Reset the alarm. no fault found",),
    )
    assert (same.quiet_days, same.still_quiet) == (128, True)
    assert same.visits[0].technician == "Lena Hobb"
    assert (other.call_id, other.same, other.did) == (
        first.id,
        False,
        ("Sep 11, 2025: Trap dry. Filled it",),
    )
    # the alarm of day -130 was another trouble: quiet from the visit on day -398 to today
    assert (other.quiet_days, other.still_quiet) == (398, True)
    assert same.trouble == "1 call, quiet 128 days since no fault was found"
    assert other.trouble == ""


def test_quiet_ends_with_the_next_call_of_the_same_trouble(desk):
    site = a_site(desk)
    for days in (300, 100):
        call = a_call(desk, site, days_ago=days, state="answered")
        job = {"call_id": call.id, "fix": "reset only"}
        a_done_visit(desk, site, TODAY - timedelta(days=days - 2), kind_of="callback", job=job)
    a_call(desk, site, days_ago=50, state="answered", symptoms=["odour-inside"])

    alarm, first, smell = earlier_calls(desk, site.id, symptoms=["alarm-comes-and-goes"])

    assert (alarm.quiet_days, alarm.still_quiet, alarm.same) == (98, True, True)
    assert (first.quiet_days, first.still_quiet, first.same) == (198, False, True)
    assert (smell.quiet_days, smell.same) == (None, False)
    assert alarm.trouble == "2 calls in 7 months, quiet 98 days since it was reset"
    assert [call.same for call in earlier_calls(desk, site.id)] == [False, False, False]


def test_an_attempt_says_why_nothing_was_done(desk):
    site = a_site(desk)
    call = a_call(desk, site, days_ago=9)
    could_not = {"call_id": call.id, "outcome": "could not", "could_not": "no access"}
    a_done_visit(desk, site, TODAY - timedelta(days=8), kind_of="callback", job=could_not)
    waiting = a_call(desk, site, days_ago=1)
    a_visit(desk, site, planned_on=THURSDAY, kind_of="callback", job={"call_id": waiting.id})

    newest, older = earlier_calls(desk, site.id)

    assert newest.did == ("Nobody was there yet",)
    assert newest.quiet_days is None
    assert older.did == ("Oct 6: could not: no access",)


def test_an_answered_call_leaves_the_list_and_can_be_opened_again(desk):
    call = a_call(desk, a_site(desk))

    answer_call(desk, call.id, seen=call.revision, how="silenced it herself")

    assert open_calls(desk) == ()
    (line,) = recent_calls(desk)
    assert (line.id, line.state) == (call.id, "answered")
    assert now_of(desk, call).answers == {"answered how": "silenced it herself"}
    with pytest.raises(StaleEdit):
        answer_call(desk, call.id, seen=call.revision)
    with pytest.raises(Trouble, match="closed already"):
        answer_call(desk, call.id)
    reopen_call(desk, call.id)
    assert open_calls(desk)[0].id == call.id
    assert now_of(desk, call).answered_at is None


def test_a_call_is_dropped_with_its_reason_and_its_own_visit(desk):
    call = a_call(desk, a_site(desk))
    place_call(desk, call.id, THURSDAY)
    with pytest.raises(WrongEntry, match="why"):
        drop_call(desk, call.id, why=" ")

    drop_call(desk, call.id, why="it was the neighbor's alarm")

    with desk.store.read() as session:
        assert session.query(Visit).one().state == "dropped"
    assert now_of(desk, call).state == "dropped"
    assert now_of(desk, call).answers["dropped why"] == "it was the neighbor's alarm"


def test_a_dropped_call_leaves_the_other_work_of_the_stop_alone(desk):
    site = a_site(desk)
    call = a_call(desk, site)
    visit = a_visit(desk, site, planned_on=THURSDAY)
    place_call(desk, call.id, THURSDAY)

    drop_call(desk, call.id, why="solved")

    assert now_of(desk, visit).state == "planned"
    with desk.store.read() as session:
        job = session.query(Job).where(Job.call_id == call.id).one()
    assert job.outcome == "could not"


def test_a_placed_call_joins_the_stop_of_that_day_unless_it_is_kept_apart(desk):
    site = a_site(desk)
    joined, alone = a_call(desk, site), a_call(desk, site)
    visit = a_visit(desk, site, planned_on=THURSDAY)
    a_visit(desk, site, planned_on=FRIDAY, kept_apart=True)

    place_call(desk, joined.id, THURSDAY, seen=joined.revision)
    place_call(desk, alone.id, FRIDAY)

    (_, _, callback, own) = stops(desk)
    assert callback == (THURSDAY, visit.id, "callback")
    assert own[0] == FRIDAY
    with desk.store.read() as session:
        assert session.query(Visit).count() == 3


def test_a_call_that_has_a_day_moves_and_loses_what_was_told_of_the_old_one(desk):
    site = a_site(desk)
    call = a_call(desk, site)
    round_ = a_round(desk, a_technician(desk), THURSDAY, state="handed out")
    visit = a_visit(
        desk,
        site,
        planned_on=THURSDAY,
        kind_of="callback",
        job={"call_id": call.id},
        round_id=round_.id,
        place=2,
        told=True,
        held=True,
    )

    place_call(desk, call.id, FRIDAY)

    moved = now_of(desk, visit)
    assert (moved.planned_on, moved.round_id, moved.place) == (FRIDAY, None, None)
    assert (moved.told, moved.held) == (False, False)
    assert now_of(desk, round_).changed_since
    assert place_call(desk, call.id, FRIDAY).rows == {}
    place_call(desk, call.id, None)
    assert now_of(desk, visit).planned_on is None


def test_a_call_leaves_a_shared_stop_for_a_stop_of_its_own(desk):
    site = a_site(desk)
    call = a_call(desk, site)
    shared = a_visit(desk, site, planned_on=THURSDAY)
    place_call(desk, call.id, THURSDAY)

    place_call(desk, call.id, FRIDAY)

    inspection, callback = stops(desk)
    assert inspection == (THURSDAY, shared.id, "inspection")
    assert callback[0] == FRIDAY


def test_a_call_added_to_a_sheet_that_is_out_marks_the_sheet(desk):
    site = a_site(desk)
    call = a_call(desk, site)
    round_ = a_round(desk, a_technician(desk), THURSDAY, state="handed out")
    a_visit(desk, site, planned_on=THURSDAY, round_id=round_.id)

    place_call(desk, call.id, THURSDAY)

    with desk.store.read() as session:
        assert session.get(Round, round_.id).changed_since


def test_nobody_is_sent_on_a_day_that_has_passed_or_on_which_nobody_works(desk):
    site = a_site(desk)
    call = a_call(desk, site)
    stranger = a_call(desk, where_said="chapel")
    with desk.store.change("Ines", "Calendar") as work:
        work.add(Holiday(day=FRIDAY, name="Founders Day"))
    seated = desk_at(desk.store, today=TODAY)
    with pytest.raises(Trouble, match="has passed"):
        place_call(seated, call.id, date(2026, 10, 13))
    with pytest.raises(Trouble, match="Founders Day"):
        place_call(seated, call.id, FRIDAY)
    with pytest.raises(Trouble, match="Nobody works on Sat, Oct 17"):
        place_call(seated, call.id, SATURDAY)
    with pytest.raises(Trouble, match="in no book yet"):
        place_call(seated, stranger.id, THURSDAY)
    lena = a_technician(desk)
    with desk.store.change("Ines", "On call") as work:
        work.add(OnCall(technician_id=lena.id, from_on=SATURDAY, until_on=date(2026, 10, 19)))
    place_call(seated, call.id, SATURDAY)
    assert stops(desk)[0][0] == SATURDAY


def test_a_call_that_is_gone_says_so(desk):
    with pytest.raises(Trouble, match="not in the store"):
        answer_call(desk, 4711)
