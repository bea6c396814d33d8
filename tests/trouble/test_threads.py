"""Which calls are one trouble: by causes, by quiet time, by a person's word."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from servicedesk.trade.faults import knowledge
from servicedesk.trouble.quiet import QuietModel
from servicedesk.trouble.threads import Mark, ThreadCall, Tried, threads

TODAY = date(2026, 10, 14)
HIGH, COMES_AND_GOES = "high-water-alarm", "alarm-comes-and-goes"


def ago(days):
    return TODAY - timedelta(days=days)


def call(n, days_ago, symptom=HIGH, *, fix=None, cause="", fixed_after=1, **values):
    """Call `n`; `fix`: outcome of the one visit made for it a day later."""
    visits = ()
    if fix is not None:
        on = ago(days_ago - fixed_after)
        visits = (Tried(on=on, outcome=fix, cause=cause, lasting=fix == "fixed"),)
    symptoms = (symptom,) if isinstance(symptom, str) else symptom
    return ThreadCall(call_id=n, on=ago(days_ago), symptoms=symptoms, visits=visits, **values)


def found(calls, marks=(), on=TODAY, model=None):
    return threads(calls, marks, knowledge(), on=on, model=model)


def groups(calls, marks=(), on=TODAY):
    return [tuple(c.call_id for c in t.calls) for t in found(calls, marks, on)]


FIVE = (
    call(1, 700, fix="reset only"),
    call(2, 520, COMES_AND_GOES, fix="no fault found"),
    call(3, 300, fix="reset only"),
    call(4, 210, COMES_AND_GOES, fix="no fault found"),
    call(5, 60, fix="reset only"),
)


def test_five_alarms_reset_in_two_years_are_one_trouble():
    (thread,) = found(FIVE)

    assert (thread.n, thread.lead) == (5, HIGH)
    assert (thread.started_on, thread.last_on) == (ago(700), ago(60))
    assert [tried.outcome for tried in thread.tried] == [
        "reset only",
        "no fault found",
        "reset only",
        "no fault found",
        "reset only",
    ]
    assert (thread.quiet.since, thread.quiet.days) == (ago(59), 59)
    assert (thread.quiet.fix, thread.quiet.again, thread.is_open) == ("reset only", True, True)


def test_its_chance_and_date_are_those_of_the_formula():
    # by hand from the docstring of `quiet`: p = 0.40, a = 2 + 4, b = 365.25 + 640
    (thread,) = found(FIVE)

    silence = (1005.25 / (1005.25 + 59)) ** 6
    days = 1005.25 * ((0.9 * 0.6 / (0.4 * 0.1)) ** (1 / 6) - 1)

    assert thread.quiet.holds == pytest.approx(0.4 / (0.4 + 0.6 * silence))
    assert 545 < days < 547
    assert thread.quiet.passes_90_on == ago(59) + timedelta(days=546)


def test_a_smell_in_the_house_is_another_trouble_than_a_breaker_that_trips():
    calls = [call(1, 100, "odour-inside", fix="fixed"), call(2, 50, "breaker-trips", fix="fixed")]

    assert groups(calls) == [(1,), (2,)]


def test_a_call_after_the_fix_has_held_begins_a_new_thread():
    # well mended, one call: over after half a year (182.6 days)
    early = [call(1, 300, fix="fixed", cause="pump-jammed"), call(2, 117)]
    late = [call(1, 300, fix="fixed", cause="pump-jammed"), call(2, 116)]

    assert groups(early) == [(1, 2)]
    assert groups(late) == [(1,), (2,)]
    assert not found(late)[0].is_open


def test_the_same_quiet_is_enough_after_a_fix_and_not_after_a_reset():
    assert groups([call(1, 500, fix="fixed", cause="pump-jammed"), call(2, 200)]) == [(1,), (2,)]
    assert groups([call(1, 500, fix="reset only"), call(2, 200)]) == [(1, 2)]


def test_a_call_within_two_weeks_of_a_visit_is_the_same_trouble_whatever_the_chance():
    # a call every 15 days for eight years: 90 % are reached within two weeks (13.5 days)
    sure = QuietModel(real=dict.fromkeys(QuietModel().real, 0.8))
    often = [call(n, 3500 - 15 * n, fix="fixed") for n in range(200)]
    visited = 3500 - 15 * 199 - 1

    def last(days_after):
        return found([*often, call(999, visited - days_after)], model=sure)[-1].n

    assert found(often, model=sure)[0].quiet.passes_90_on == ago(visited - 14)
    assert last(14) == 201
    assert last(15) == 1


def test_a_visit_that_came_later_makes_no_call_before_it_a_return():
    calls = [call(1, 1000, fix="fixed", fixed_after=900), call(2, 200)]

    assert groups(calls) == [(1,), (2,)]


def test_a_return_goes_to_the_trouble_it_came_back_to_so_quickly():
    calls = [
        call(1, 100, HIGH, fix="reset only"),
        call(2, 20, "air-alarm", fix="reset only"),
        # shares causes with both, with the first more
        call(3, 15, "alarm-not-identified"),
    ]

    assert groups(calls) == [(1,), (2, 3)]
    assert groups([calls[0], call(2, 60, "air-alarm", fix="reset only"), calls[2]]) == [
        (1, 3),
        (2,),
    ]


def test_no_chain_of_neighbors_leads_from_one_trouble_to_another():
    # high water and "cannot tell which" share causes, so do "cannot tell which" and air
    calls = [
        call(1, 400, HIGH, fix="reset only"),
        call(2, 300, HIGH, fix="reset only"),
        call(3, 200, "alarm-not-identified", fix="reset only"),
        call(4, 100, "air-alarm", fix="reset only"),
    ]

    assert groups(calls) == [(1, 2, 3), (4,)]


# --- events


def test_calls_of_a_storm_start_and_extend_nothing():
    calls = [call(1, 200, fix="reset only"), call(2, 50, is_event=True, fix="reset only")]

    assert groups(calls) == [(1,)]
    assert groups([call(2, 50, is_event=True)]) == []


@pytest.mark.parametrize("is_event", [True, False])
def test_who_still_calls_a_day_after_the_storm_has_left_the_event(is_event):
    storm = call(1, 50, is_event=True)

    assert groups([storm, call(2, 49, is_event=is_event)]) == [(1, 2)]


def test_a_second_call_on_the_day_of_the_storm_and_another_trouble_after_it_do_not_count():
    storm = call(1, 50, is_event=True)

    assert groups([storm, call(2, 50, is_event=True)]) == []
    assert groups([storm, call(2, 49, "odour-inside")]) == [(2,)]
    assert groups([storm, call(2, 30)]) == [(2,)]


# --- quiet


def test_while_a_call_waits_there_is_no_fix_to_believe_in():
    (thread,) = found([*FIVE, call(6, 0, is_waiting=True)])

    assert (thread.quiet.holds, thread.quiet.since, thread.quiet.days) == (None, None, None)
    assert thread.is_open


def test_a_visit_that_could_do_nothing_is_no_fix():
    tried = call(1, 90, fix="could not", fixed_after=5)
    (thread,) = found([tried])

    assert (thread.quiet.fix, thread.quiet.since) == ("nobody", ago(90))
    assert len(thread.tried) == 1


def test_the_last_visit_decides_of_several_for_a_call():
    visits = (
        Tried(on=ago(80), outcome="workaround"),
        Tried(on=ago(70), outcome="fixed", cause="pump-jammed", lasting=True),
    )
    (thread,) = found(
        [ThreadCall(call_id=1, on=ago(81), symptoms=(HIGH,), visits=tuple(reversed(visits)))]
    )

    assert (thread.quiet.fix, thread.quiet.since) == ("cause fixed", ago(70))
    assert thread.tried == visits


def test_a_thread_ends_on_its_day():
    calls = [call(1, 300, fix="fixed", cause="pump-jammed")]
    ends = found(calls)[0].quiet.passes_90_on

    assert found(calls, on=ends - timedelta(days=1))[0].is_open
    assert not found(calls, on=ends)[0].is_open
    assert found(calls, on=ends)[0].quiet.holds >= 0.9


# --- a person's word


def test_a_person_joins_what_the_rule_keeps_apart():
    calls = [call(1, 100, "odour-inside"), call(2, 50, "breaker-trips"), call(3, 20)]

    joined = found(calls, [Mark(2, 1, joined=True)])

    assert [tuple(c.call_id for c in t.calls) for t in joined] == [(1, 2), (3,)]
    assert [(t.is_joined, t.is_split) for t in joined] == [(True, False), (False, False)]
    assert groups(calls, [Mark(1, 2, joined=True)]) == [(1, 2), (3,)]


def test_a_person_splits_one_call_off_and_the_others_stay_together():
    marks = [Mark(3, n, joined=False) for n in (1, 2, 4, 5)]

    split = found(FIVE, marks)

    assert [tuple(c.call_id for c in t.calls) for t in split] == [(1, 2, 4, 5), (3,)]
    assert all(t.is_split for t in split)
    first = [Mark(1, n, joined=False) for n in (2, 3, 4, 5)]
    assert groups(FIVE, first) == [(1,), (2, 3, 4, 5)]


def test_the_latest_word_counts():
    marks = [Mark(2, 1, joined=False), Mark(2, 1, joined=True)]

    assert groups(FIVE[:2], marks) == [(1, 2)]
    assert groups(FIVE[:2], marks[::-1]) == [(1,), (2,)]


def test_joining_a_call_that_has_a_thread_of_its_own_joins_both_threads():
    calls = [
        call(1, 400, "odour-inside", fix="reset only"),
        call(2, 300, fix="reset only"),
        call(3, 200, "odour-inside", fix="reset only"),
        call(4, 100, fix="reset only"),
    ]

    assert groups(calls) == [(1, 3), (2, 4)]
    assert groups(calls, [Mark(4, 3, joined=True)]) == [(1, 2, 3, 4)]


# --- for any history


SYMPTOMS = st.sampled_from([HIGH, COMES_AND_GOES, "no-spray", "odour-inside", "breaker-trips"])
FIXES = st.sampled_from(
    [None, "fixed", "workaround", "reset only", "no fault found", "could not", ""]
)
HISTORIES = st.lists(
    st.tuples(st.integers(0, 1500), SYMPTOMS, FIXES, st.booleans()), max_size=9
).map(
    lambda rows: [
        call(n, days, symptom, fix=fix, is_event=storm)
        for n, (days, symptom, fix, storm) in enumerate(sorted(rows, key=lambda row: -row[0]))
    ]
)


@given(HISTORIES)
def test_every_call_but_those_of_events_is_in_exactly_one_thread(calls):
    some = found(calls)
    ids = [c.call_id for t in some for c in t.calls]

    assert len(ids) == len(set(ids))
    assert {c.call_id for c in calls if not c.is_event} <= set(ids)
    assert all(t.quiet.holds is None or 0 <= t.quiet.holds < 1 for t in some)


@given(HISTORIES, st.integers(0, 1500))
def test_what_comes_later_moves_no_call_to_another_thread(calls, days):
    on = ago(days)

    assert groups(calls, on=on) == groups([c for c in calls if c.on <= on])


@given(HISTORIES)
def test_the_order_in_which_calls_are_given_changes_nothing(calls):
    assert groups(calls) == groups(calls[::-1])
