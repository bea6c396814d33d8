"""Whose lateness it is. Common practice, no source."""

from datetime import date, timedelta

from hypothesis import given
from hypothesis import strategies as st

from servicedesk.duties.lateness import Lateness, lateness

LAST = date(2026, 10, 1)


def test_before_and_on_the_last_day_nothing_is_late():
    assert lateness(LAST, until=LAST) == Lateness(0, 0)
    assert lateness(LAST, until=date(2026, 9, 3), refused_on=[date(2026, 9, 2)]) == Lateness(0, 0)


def test_from_a_visit_in_vain_on_the_days_are_want_of_access():
    # closed October 1, ours until we stood before the locked gate on the 5th, then not
    found = lateness(LAST, until=date(2026, 10, 14), refused_on=[date(2026, 10, 5)])

    assert (found.ours, found.no_access, found.days) == (4, 9, 13)


def test_tried_in_time_all_of_it_is_want_of_access():
    found = lateness(LAST, until=date(2026, 10, 14), refused_on=[date(2026, 9, 28)])

    assert found == Lateness(0, 13)


def test_a_visit_in_vain_still_to_come_excuses_nothing():
    assert lateness(LAST, until=date(2026, 10, 3), refused_on=[date(2026, 10, 9)]) == Lateness(2, 0)


@given(st.integers(-40, 400), st.lists(st.integers(-400, 400), max_size=4))
def test_the_two_parts_add_up_and_are_never_negative(days, tries):
    until = LAST + timedelta(days=days)
    found = lateness(LAST, until=until, refused_on=[LAST + timedelta(days=n) for n in tries])

    assert found.days == max(0, days)
    assert min(found.ours, found.no_access) >= 0
