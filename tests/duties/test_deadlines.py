from datetime import UTC, datetime, timedelta

import pytest
from duty_cases import day, rule_of, shipped

from servicedesk.duties.deadlines import (
    Deadline,
    contract_copy_due,
    day_within,
    duty_due,
    first_service_ends,
    instant_due,
    license_ends,
    pump_out_report_due,
    repair_begins_by,
    report_due,
    result_due,
    soonest_first,
)
from servicedesk.duties.gaps import contract_gaps, overlaps
from servicedesk.duties.workdays import WorkCalendar
from servicedesk.trade.rule_shapes import DutyKind, Form, MonthDay, Within
from servicedesk.values.span import Span

CALENDAR = WorkCalendar()
VISIT = day("2026-01-31")


@pytest.mark.parametrize(
    ("within", "due"),
    [
        (Within(Form.DAYS, 14), "2026-02-14"),
        (Within(Form.DAYS, 0), "2026-01-31"),
        (Within(Form.DAYS, 30, before=True), "2026-01-01"),
        (Within(Form.MONTHS, 1), "2026-02-28"),
        (Within(Form.DAY_OF_NEXT_MONTH, 15), "2026-02-15"),
        (Within(Form.DAY_OF_NEXT_MONTH, 31), "2026-02-28"),
        (Within(Form.FIXED_DATE, on=MonthDay(7, 1)), "2026-07-01"),
        (Within(Form.FIXED_DATE, on=MonthDay(1, 31)), "2026-01-31"),
        (Within(Form.FIXED_DATE, on=MonthDay(1, 30)), "2027-01-30"),
        (Within(Form.WORKING_DAYS, 5), "2026-02-06"),
    ],
)
def test_each_form_of_a_deadline(within, due):
    assert day_within(within, VISIT, CALENDAR) == day(due)


def test_hours_end_at_an_instant_not_on_a_day():
    with pytest.raises(ValueError, match="instant"):
        day_within(Within(Form.HOURS, 48), VISIT, CALENDAR)


def test_each_receiver_has_its_own_deadline():
    found = report_due(shipped("tarrow-trench"), VISIT, CALENDAR)
    assert {(d.to, d.due_on) for d in found} == {
        (("county",), day("2026-07-01")),
        (("owner",), day("2026-02-28")),
    }


def test_the_rule_that_held_on_the_day_sets_the_deadline():
    (old,) = report_due(shipped("tarrow-spray", on=day("2022-06-30")), day("2022-06-30"), CALENDAR)
    (new,) = report_due(shipped("tarrow-spray", on=day("2022-07-01")), day("2022-07-01"), CALENDAR)
    assert (old.due_on, new.due_on) == (day("2022-07-14"), day("2022-07-31"))


def test_a_deadline_from_memory_is_not_confirmed_and_says_so():
    (report,) = report_due(shipped("us-tx-surface"), VISIT, CALENDAR)
    assert report.due_on == day("2026-02-14")
    assert not report.confirmed
    assert "not_confirmed" in [reason.code for reason in report.reasons]
    (copy,) = contract_copy_due(shipped("us-tx-surface"), day("2027-03-01"), CALENDAR)
    assert copy.confirmed
    assert "not_confirmed" not in [reason.code for reason in copy.reasons]


def test_the_wording_before_the_oldest_known_confirms_nothing():
    (report,) = report_due(shipped("tarrow-spray", on=day("2010-01-01")), VISIT, CALENDAR)
    assert not report.confirmed


def test_a_rule_without_a_report_deadline_sets_none():
    assert report_due(rule_of({"every_months": 4}), VISIT, CALENDAR) == ()


def test_a_pump_out_is_reported_by_the_fifteenth_of_the_next_month():
    (found,) = pump_out_report_due(shipped("tarrow-trench"), day("2026-12-02"), CALENDAR)
    assert found.due_on == day("2027-01-15")


def test_hours_run_from_the_instant():
    at = datetime(2026, 1, 30, 21, 15, tzinfo=UTC)
    (failure,) = instant_due(
        shipped("tarrow-spray"), DutyKind.FAILURE, at, on=day("2026-01-30"), calendar=CALENDAR
    )
    assert failure.due_at == at + timedelta(hours=48)
    assert failure.due_on is None
    assert failure.days_left(VISIT) is None
    assert duty_due(shipped("tarrow-spray"), DutyKind.FAILURE, VISIT, CALENDAR) == ()


def test_an_over_limit_result_counts_in_working_days():
    at = datetime(2026, 1, 30, 21, 15, tzinfo=UTC)
    (found,) = instant_due(
        shipped("tarrow-spray"), DutyKind.EXCEEDANCE, at, on=day("2026-01-30"), calendar=CALENDAR
    )
    assert found.due_on == day("2026-02-06")


def test_a_notice_exactly_a_year_before_still_shortens_the_repair():
    rule = shipped("us-tx-malfunction")
    assert repair_begins_by(rule, day("2027-01-10"), [day("2026-01-10")]).due_on == day(
        "2027-01-30"
    )
    assert repair_begins_by(rule, day("2027-01-11"), [day("2026-01-10")]).due_on == day(
        "2027-02-10"
    )
    assert repair_begins_by(shipped("tarrow-spray"), VISIT, []) is None


def test_whether_the_anniversary_is_covered_is_a_setting():
    shape = {"first_years": 2, "first": {"every_months": 6}}
    without = rule_of(shape, initial_years=2)
    included = rule_of(shape | {"last_day_included": True}, initial_years=2)
    assert first_service_ends(without, day("2026-02-28")).due_on == day("2028-02-28")
    assert first_service_ends(included, day("2026-02-28")).due_on == day("2028-02-29")
    assert first_service_ends(rule_of({"every_months": 4}), VISIT) is None


def test_a_license_is_spoken_of_from_sixty_days_before_its_end():
    assert license_ends(day("2026-06-01"), today=day("2026-04-01")) is None
    soon = license_ends(day("2026-06-01"), today=day("2026-04-02"))
    assert (soon.due_on, soon.reasons[0].code, soon.reasons[0]["days"]) == (
        day("2026-06-01"),
        "license_ends",
        60,
    )
    gone = license_ends(day("2026-06-01"), today=day("2026-06-02"))
    assert (gone.reasons[0].code, gone.reasons[0]["days"]) == ("license_expired", 1)
    last = license_ends(day("2026-06-01"), today=day("2026-06-01"))
    assert last.reasons[0].code == "license_ends"


def test_deadlines_are_listed_by_day():
    late = result_due(VISIT, expected_days=10)
    soon = Deadline(kind="failure", due_at=datetime(2026, 2, 1, tzinfo=UTC))
    assert soonest_first([late, soon]) == [soon, late]
    assert late.days_left(VISIT) == 10


def test_a_deadline_has_a_day_or_an_instant():
    with pytest.raises(ValueError, match="not both"):
        Deadline(kind="report")
    with pytest.raises(ValueError, match="time zone"):
        Deadline(kind="report", due_at=datetime(2026, 1, 1))


def span(first, last):
    return Span(day(first), day(last))


def test_days_without_a_contract_are_gaps():
    contracts = [span("2026-03-01", "2027-03-01"), span("2025-01-01", "2026-01-01")]
    assert contract_gaps(contracts, until_on=day("2027-04-01")) == (
        span("2026-01-01", "2026-03-01"),
        span("2027-03-01", "2027-04-01"),
    )
    assert contract_gaps(contracts, until_on=day("2026-02-01")) == (
        span("2026-01-01", "2026-02-01"),
    )
    assert contract_gaps([], until_on=VISIT) == ()
    assert contract_gaps([Span(day("2026-01-01"))], until_on=day("2030-01-01")) == ()


def test_a_short_contract_within_a_long_one_opens_no_gap():
    contracts = [span("2025-01-01", "2027-01-01"), span("2025-06-01", "2025-09-01")]
    assert contract_gaps(contracts, until_on=day("2027-01-01")) == ()
    assert overlaps(contracts) == (tuple(contracts),)
