from datetime import date

from dateutil.relativedelta import relativedelta
from hypothesis import given
from hypothesis import strategies as st

from servicedesk.duties.months import add_months, add_years

DAYS = st.dates(date(1950, 1, 1), date(2150, 12, 31))


@given(DAYS, st.integers(-600, 600))
def test_months_are_added_as_dateutil_adds_them(day, months):
    # second opinion: python-dateutil, relativedelta
    assert add_months(day, months) == day + relativedelta(months=months)


@given(DAYS, st.integers(-60, 60))
def test_years_are_added_as_dateutil_adds_them(day, years):
    assert add_years(day, years) == day + relativedelta(years=years)


def test_a_century_without_a_leap_day_has_none():
    assert add_months(date(2099, 10, 31), 4) == date(2100, 2, 28)
    assert add_months(date(1999, 10, 31), 4) == date(2000, 2, 29)
