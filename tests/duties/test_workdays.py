from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from servicedesk.duties.workdays import WorkCalendar

PLAIN = WorkCalendar.of(range(5), [date(2026, 11, 26)])
FRIDAY = date(2026, 11, 27)
DAYS = st.dates(date(2020, 1, 1), date(2030, 12, 31))


def test_weekends_and_holidays_are_no_working_days():
    assert PLAIN.is_working(FRIDAY)
    assert not PLAIN.is_working(date(2026, 11, 26))
    assert not PLAIN.is_working(FRIDAY + timedelta(days=1))


def test_a_limit_on_a_closed_day_moves_to_the_next_or_the_last_open_one():
    assert PLAIN.working_day_from(date(2026, 11, 28)) == date(2026, 11, 30)
    assert PLAIN.working_day_until(date(2026, 11, 29)) == FRIDAY
    assert PLAIN.working_day_from(FRIDAY) == FRIDAY


def test_working_days_count_from_the_day_after():
    assert PLAIN.add_working_days(FRIDAY, 1) == date(2026, 11, 30)
    assert PLAIN.add_working_days(date(2026, 11, 28), 1) == date(2026, 11, 30)
    assert PLAIN.add_working_days(FRIDAY, 0) == FRIDAY
    assert PLAIN.add_working_days(FRIDAY, -1) == date(2026, 11, 25)


@given(DAYS, st.integers(0, 40))
def test_working_days_added_are_the_working_days_between(day, n):
    assert PLAIN.working_days_between(day, PLAIN.add_working_days(day, n)) == n


def test_working_minutes_run_only_in_working_hours():
    # 8 am to 5 pm: 4:30 pm on Wednesday before the holiday, two hours on
    assert PLAIN.add_working_minutes(date(2026, 11, 25), 990, 120) == (FRIDAY, 8 * 60 + 90)
    assert PLAIN.add_working_minutes(date(2026, 11, 25), 6 * 60, 60) == (date(2026, 11, 25), 9 * 60)
    assert PLAIN.add_working_minutes(date(2026, 11, 25), 8 * 60, 540) == (
        date(2026, 11, 25),
        17 * 60,
    )
    assert PLAIN.add_working_minutes(date(2026, 11, 28), 700, 1) == (date(2026, 11, 30), 8 * 60 + 1)


@given(DAYS, st.integers(0, 1439), st.integers(0, 6000), st.integers(0, 6000))
def test_working_minutes_can_be_added_in_two_goes(day, minute, first, second):
    calendar = WorkCalendar.of([0, 2, 4, 5])
    between = calendar.add_working_minutes(day, minute, first)
    assert (
        calendar.add_working_minutes(day, minute, first + second)
        == calendar.add_working_minutes(*between, second)
        or second == 0
    )


def test_a_calendar_that_never_works_is_refused():
    with pytest.raises(ValueError, match="working week"):
        WorkCalendar.of([])
    with pytest.raises(ValueError, match="within one day"):
        WorkCalendar(from_min=600, until_min=600)
    with pytest.raises(ValueError, match="no working day"):
        WorkCalendar.of(
            [0], [date(2026, 1, 5) + timedelta(weeks=n) for n in range(80)]
        ).working_day_from(date(2026, 1, 1))
