"""Deadlines against dates worked out from published rules, each named beside its check.

The dates are those of the collection of 2026-11-25; the rules were read that day, the dates
derived from them by hand.
"""

from datetime import date, timedelta
from zoneinfo import ZoneInfo

import pytest
from dateutil.rrule import rrulestr

from servicedesk.duties.deadlines import (
    contract_copy_due,
    first_service_ends,
    instant_due,
    pump_out_report_due,
    repair_begins_by,
    report_due,
)
from servicedesk.duties.terms import Counting, DoneInspection, Terms, WindowState
from servicedesk.duties.windows import matched_of, windows_of
from servicedesk.duties.workdays import WorkCalendar
from servicedesk.trade.rule_shapes import DutyKind
from servicedesk.trade.service_rules import rule_for, rule_from, shipped_rules
from servicedesk.values.clock import Clock
from servicedesk.values.span import Span

WEEK = WorkCalendar()


def rule(rule_id, on=date(2026, 11, 25)):
    return rule_for(shipped_rules(), rule_id, on=on)


def after_visit(last_visit):
    """The end of the next window under a rule of four months and a contract of long windows."""
    start = last_visit - timedelta(days=20)
    terms = Terms(
        span=Span(start, start + timedelta(days=730)),
        visits_a_year=3,
        counting=Counting.ROLLING,
        rule=rule("us-tx-secondary"),
        tolerance_days=200,
    )
    first, second, *_ = windows_of(
        terms, [DoneInspection(last_visit, 1)], [], today=last_visit + timedelta(days=1)
    )
    assert first.filled_by == 1
    return second.closes_on


@pytest.mark.parametrize(
    ("last_visit", "due_by"),
    [
        # 30 TAC 285.91(4), at least once every four months; a missing day is the month's last
        (date(2026, 10, 31), date(2027, 2, 28)),
        (date(2027, 10, 31), date(2028, 2, 29)),
    ],
)
def test_four_months_end_on_the_last_day_of_a_short_month(last_visit, due_by):
    assert after_visit(last_visit) == due_by


def test_counted_from_the_anchor_the_31st_comes_back():
    # same rule; four visits none of which was made, counted from the visit of October 31
    terms = Terms(
        span=Span(date(2026, 11, 5), date(2028, 11, 5)),
        visits_a_year=3,
        counting=Counting.ROLLING,
        rule=rule("us-tx-secondary"),
        last_before_on=date(2026, 10, 31),
    )
    found = [w.closes_on for w in windows_of(terms, [], [], today=date(2026, 11, 6))]
    expected = [date(2027, 2, 28), date(2027, 6, 30), date(2027, 10, 31), date(2028, 2, 29)]
    assert found[:4] == expected


def test_a_calendar_recurrence_rule_would_lose_two_visits():
    # RFC 5545 section 3.3.10: an instance with an invalid date is ignored
    skipping = rrulestr("DTSTART:20261031T090000\nRRULE:FREQ=MONTHLY;INTERVAL=4;COUNT=3")
    days = [instant.date() for instant in skipping]
    assert days == [date(2026, 10, 31), date(2027, 10, 31), date(2028, 10, 31)]
    assert after_visit(days[0]) < days[1] - timedelta(days=200)


def test_two_in_a_calendar_year_not_less_than_four_months_apart():
    # Lake County, Illinois, health code, Ord. 24-1005 of 2024-08-13
    terms = Terms(
        span=Span(date(2026, 1, 1), date(2027, 1, 1)),
        visits_a_year=2,
        rule=rule("us-il-county-2"),
    )
    visits = [DoneInspection(date(2026, 3, 10), 1), DoneInspection(date(2026, 6, 20), 2)]
    found = matched_of(terms, visits, [], today=date(2026, 7, 1))
    first, second = found.windows
    assert first.filled_by == 1
    assert second.filled_by is None
    assert second.accepts_from_on == second.opens_on == date(2026, 7, 10)
    assert second.closes_on == date(2026, 12, 31)


@pytest.mark.parametrize(
    ("rule_id", "visit", "due"),
    [
        # 20.7.3.901 F NMAC and 15A NCAC 18E .1304(c): 30 days
        ("us-nm-advanced", date(2026, 12, 15), date(2027, 1, 14)),
        ("us-nc-managed", date(2026, 12, 15), date(2027, 1, 14)),
        # Howard County and LaPorte County, Indiana: one month
        ("us-in-county-1", date(2027, 1, 31), date(2027, 2, 28)),
        ("us-in-county-2", date(2027, 1, 31), date(2027, 2, 28)),
        # Loudoun County, Virginia, 1067.04(b): on file by July 1 of each calendar year
        ("us-va-county-1", date(2027, 3, 1), date(2027, 7, 1)),
    ],
)
def test_reports_are_due_as_published(rule_id, visit, due):
    (report,) = report_due(rule(rule_id), visit, WEEK)
    assert report.due_on == due
    assert report.confirmed


def test_pump_outs_are_reported_by_the_fifteenth_of_the_following_month():
    # Loudoun County, Virginia, 1067
    (found,) = pump_out_report_due(rule("us-va-county-1"), date(2026, 12, 31), WEEK)
    assert found.due_on == date(2027, 1, 15)


def test_the_repair_ladder_shortens_and_climbs_back():
    # 30 TAC 285.70(a)(1)-(3): 30, 20 and 10 days; one notice only in the 12 months before July 2027
    notices = [date(2026, 1, 10), date(2026, 6, 1), date(2026, 9, 1), date(2027, 7, 1)]
    begins = [repair_begins_by(rule("us-tx-malfunction"), n, notices).due_on for n in notices]
    assert begins == [date(2026, 2, 9), date(2026, 6, 21), date(2026, 9, 11), date(2027, 7, 21)]


def test_an_over_limit_result_is_told_within_five_working_days():
    # 20.7.3.901 G NMAC; November 26, 2026 is the fourth Thursday
    calendar = WorkCalendar.of(range(5), [date(2026, 11, 26)])
    known = date(2026, 11, 23)
    at = ten_in_the_morning(known)
    (found,) = instant_due(
        rule("us-nm-advanced"), DutyKind.EXCEEDANCE, at, on=known, calendar=calendar
    )
    assert found.due_on == date(2026, 12, 1)


def ten_in_the_morning(day):
    return Clock(ZoneInfo("America/Denver")).instant(day, 600)


def test_a_failure_is_told_within_48_hours():
    # 15A NCAC 18E .1304
    at = ten_in_the_morning(date(2026, 11, 23))
    (found,) = instant_due(
        rule("us-nc-managed"), DutyKind.FAILURE, at, on=date(2026, 11, 23), calendar=WEEK
    )
    assert found.due_at == at + timedelta(hours=48)


def test_the_next_contract_is_filed_thirty_days_before_the_end():
    # 30 TAC 285.7(d)(2) as quoted by Fort Bend County, Texas
    (found,) = contract_copy_due(rule("us-tx-surface"), date(2027, 3, 1), WEEK)
    assert found.due_on == date(2027, 1, 30)


def test_the_first_service_policy_ends_after_two_years():
    # 30 TAC 285.7(c): two years from first use
    assert first_service_ends(rule("us-tx-first-policy"), date(2026, 2, 28)).due_on == date(
        2028, 2, 28
    )


def test_the_report_of_a_yearly_visit_cannot_be_on_file_before_the_visit():
    # Loudoun County, Virginia, 1067.04: one a year, report on file by July 1
    terms = Terms(
        span=Span(date(2027, 1, 1), date(2028, 1, 1)), visits_a_year=1, rule=rule("us-va-county-1")
    )
    (window,) = windows_of(terms, [DoneInspection(date(2027, 7, 2), 1)], [], today=date(2027, 8, 1))
    assert window.closes_on == date(2027, 7, 1)
    assert window.state is WindowState.DONE_LATE


def test_a_company_rule_in_hours_is_read_like_a_published_one():
    (own,) = rule_from(
        {
            "id": "own",
            "authority": "Own",
            "jurisdiction": "own",
            "applies_to": "all",
            "kind": "service",
            "versions": [
                {
                    "source": "our promise",
                    "seen": True,
                    "duties": [{"kind": "failure", "within": {"hours": 24}}],
                }
            ],
        },
        file="own.yaml",
    )
    at = ten_in_the_morning(date(2026, 11, 23))
    (found,) = instant_due(own, DutyKind.FAILURE, at, on=date(2026, 11, 23), calendar=WEEK)
    assert found.due_at - at == timedelta(hours=24)
