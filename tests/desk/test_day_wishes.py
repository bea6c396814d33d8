"""What a customer asks of the day binds the day's planner and that of the weeks."""

from datetime import date

import pytest

from servicedesk.desk.day_wishes import DayWishes, day_wishes, joined_wishes, wish_words
from servicedesk.desk.period import propose
from servicedesk.desk.planning import day_case, proposed
from servicedesk.words.formats import Formats
from tests.builders import a_site, a_technician, a_visit

MONDAY, TUESDAY, FRIDAY = date(2026, 10, 19), date(2026, 10, 20), date(2026, 10, 23)
ASKED = DayWishes(not_days=frozenset({1}), not_on=frozenset({MONDAY}), from_min=900,
                  with_whom="my son")  # fmt: skip


def test_wishes_are_read_as_they_were_kept():
    assert day_wishes(ASKED.kept() | {"technician_id": 3}) == ASKED
    assert day_wishes({}) == DayWishes()
    assert DayWishes().kept() == {}


def test_days_add_up_and_the_later_hour_holds():
    more = DayWishes(not_days=frozenset({4}), from_min=780)

    both = joined_wishes(ASKED, more)

    assert (both.not_days, both.from_min, both.with_whom) == (frozenset({1, 4}), 780, "my son")


def test_wishes_in_words():
    words = wish_words(ASKED, Formats("en_US"))

    assert words == "not Tue, not Mon, Oct 19, after 3:00 pm, only with my son there"


def test_a_visit_without_a_day_waits_for_a_day_that_suits(desk):
    a_technician(desk)
    visit = a_visit(desk, a_site(desk), planned_on=None, wishes=ASKED.kept())

    def wanted(day):
        return {w.id for w in day_case(desk, day).wanted.values()}

    assert f"v{visit.id}" not in wanted(MONDAY) | wanted(TUESDAY)
    assert f"v{visit.id}" in wanted(FRIDAY)


def test_the_day_is_planned_within_the_hours_asked_for(desk):
    a_technician(desk)
    visit = a_visit(desk, a_site(desk, lat_deg=30.01, lon_deg=-94.0), planned_on=FRIDAY,
                    wishes=ASKED.kept())  # fmt: skip

    stops = proposed(desk, day_case(desk, FRIDAY)).days[0].stops

    assert [(s.stop_id, s.begin_min >= 900) for s in stops] == [(f"v{visit.id}", True)]


@pytest.mark.parametrize("wishes", [{}, ASKED.kept()])
def test_the_weeks_are_planned_on_days_that_suit(desk, wishes):
    a_technician(desk, working_days=[0, 1, 4])
    visit = a_visit(desk, a_site(desk, lat_deg=30.01, lon_deg=-94.0), planned_on=None,
                    wishes=wishes)  # fmt: skip

    draft = propose(desk, 1, from_day=MONDAY, iterations=50)

    placed = {stop: day for day, one in draft.plan.days.items() for stop in one.order}
    if wishes:
        assert placed[f"v{visit.id}"].startswith(FRIDAY.isoformat())
        begin = draft.plan.days[placed[f"v{visit.id}"]].stops[0].begin_min
        assert begin >= 900
    else:
        assert f"v{visit.id}" in placed
