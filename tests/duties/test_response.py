from duty_cases import day
from hypothesis import given
from hypothesis import strategies as st

from servicedesk.duties.response import Promises, Running, promised_by
from servicedesk.duties.workdays import WorkCalendar

CALENDAR = WorkCalendar.of(range(5), [day("2026-11-26")], from_min=480, until_min=1020)
MONDAY = day("2026-11-23")


def by(called_on, minute, **promises):
    promise = promised_by(called_on, minute, Promises(**promises), CALENDAR)
    return promise.by_on.isoformat(), promise.by_minute, [reason.code for reason in promise.why]


def test_hours_run_by_the_clock():
    assert by(MONDAY, 600, contract_h=4) == ("2026-11-23", 840, ["contract_hours"])
    assert by(MONDAY, 600, contract_h=24) == ("2026-11-24", 600, ["contract_hours"])


def test_the_companys_hours_stand_where_the_contract_says_nothing():
    assert by(MONDAY, 600) == ("2026-11-25", 600, ["company_hours"])
    assert by(MONDAY, 600, company_h=3) == ("2026-11-23", 780, ["company_hours"])


def test_a_rule_that_ends_sooner_holds():
    assert by(MONDAY, 600, contract_h=72, rule_h=48) == ("2026-11-25", 600, ["rule_hours"])
    assert by(MONDAY, 600, contract_h=24, rule_h=48) == ("2026-11-24", 600, ["contract_hours"])


def test_a_rule_by_the_clock_ends_sooner_than_as_many_working_hours():
    assert by(MONDAY, 600, contract_h=20, running=Running.WORKING, rule_h=48) == (
        "2026-11-25", 600, ["rule_hours"])  # fmt: skip


def test_an_urgent_call_is_answered_sooner():
    assert by(MONDAY, 600, contract_h=24, urgent_h=4)[1:] == (840, ["urgent_hours"])
    assert by(MONDAY, 600, contract_h=2, urgent_h=4)[1:] == (720, ["contract_hours"])


def test_working_hours_do_not_run_at_night_or_on_a_holiday():
    # Wednesday 4 pm, 4 working hours: one on Wednesday, three on Friday after the holiday
    found = by(day("2026-11-25"), 960, contract_h=4, running=Running.WORKING)
    assert found == ("2026-11-27", 660, ["contract_hours", "in_working_hours"])


def test_somebody_on_call_makes_working_hours_run_by_the_clock():
    found = by(day("2026-11-25"), 960, contract_h=4, running=Running.WORKING, on_call=True)
    assert found == ("2026-11-25", 1200, ["contract_hours"])


def test_a_promise_into_a_closed_evening_is_kept_before_closing():
    found = by(MONDAY, 900, contract_h=4)
    assert found == ("2026-11-23", 1020, ["contract_hours", "before_closing"])
    early = by(day("2026-11-27"), 1000, contract_h=24)
    assert early == ("2026-11-27", 1020, ["contract_hours", "before_closing"])


def test_a_promise_nobody_can_keep_says_so():
    # called Saturday noon: there is no working hour before Saturday 4 pm
    saturday = by(day("2026-11-28"), 720, contract_h=4)
    assert saturday == ("2026-11-28", 960, ["contract_hours", "nobody_on_call"])


@given(
    st.dates(MONDAY, day("2027-03-01")),
    st.integers(0, 1439),
    st.integers(1, 200),
    st.booleans(),
    st.sampled_from(list(Running)),
)
def test_no_promise_ends_before_the_call_and_more_hours_never_end_sooner(
    on, minute, hours, on_call, running
):
    def end(h):
        found = promised_by(
            on, minute, Promises(contract_h=h, on_call=on_call, running=running), CALENDAR
        )
        return found.by_on, found.by_minute

    assert end(hours) > (on, minute)
    assert end(hours + 1) >= end(hours)
