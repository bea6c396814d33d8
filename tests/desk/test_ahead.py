"""Ahead at the desk: hours by week, windows without a day, and the day that costs least road."""

from datetime import date, timedelta
from itertools import product

import pytest

from servicedesk.desk.ahead_hours import PlacedVisit, monday_of, people_weeks, staff_of
from servicedesk.desk.ahead_page import ahead_page, placed_in_draft, take_day
from servicedesk.desk.ahead_windows import best_days
from servicedesk.desk.period import propose
from servicedesk.records.company import DayOff
from servicedesk.records.undo import undo_change
from servicedesk.records.visits import Job, Visit
from servicedesk.routes.period import weeks_as_ordered
from servicedesk.values.trouble import Trouble
from tests.builders import TODAY, a_call, a_contract, a_site, a_technician, a_visit
from tests.desk.test_period import owed_sites, rows_of

MONDAY = monday_of(TODAY)


def test_hours_are_working_hours_less_days_off(desk):
    lena = a_technician(desk)
    with desk.store.change("Ines", "Off") as work:
        work.add(
            DayOff(technician_id=lena.id, from_on=MONDAY + timedelta(days=7),
                   until_on=MONDAY + timedelta(days=9))
        )  # fmt: skip
    weeks = people_weeks(staff_of(desk, MONDAY, 3))[0].weeks

    day = lena.day_until_min - lena.day_from_min - lena.break_min
    assert [one.there for one in weeks] == [5 * day, 3 * day, 5 * day]
    assert [one.n_off for one in weeks] == [0, 2, 0]


def test_what_is_placed_counts_with_its_road_by_what_it_is_for(desk):
    lena = a_technician(desk)
    staff = staff_of(desk, MONDAY, 1)
    placed = [
        PlacedVisit(lena.id, TODAY, ("inspection", "owed"), 50.0),
        PlacedVisit(lena.id, TODAY, ("owed",), 30.0),
        PlacedVisit(lena.id, TODAY, ("callback", "inspection"), 70.0),
    ]
    (week,) = people_weeks(staff, placed)[0].weeks

    assert (week.inspections, week.repairs, week.callbacks) == (50, 30, 70)
    assert week.free == week.there - 150 - week.usual


def test_usual_callbacks_are_set_aside_for_days_to_come(desk):
    """Sixty calls in about a year are 60 times their minutes, over the working days of a year."""
    a_technician(desk)
    site = a_site(desk)
    for n in range(60):
        a_call(desk, site, called_at=desk.clock.instant(TODAY - timedelta(days=6 * n + 1), 600))
    weeks = people_weeks(staff_of(desk, MONDAY, 3))[0].weeks

    assert 0 < weeks[0].usual < weeks[1].usual == weeks[2].usual
    # 60 calls / (about 254 working days) x 5 days, each at least half an hour and at most two
    assert 5 * 60 / 260 * 30 < weeks[1].usual < 5 * 60 / 240 * 120


def test_windows_without_a_day_come_closest_to_closing_first(desk):
    a_technician(desk)
    owed_sites(desk, 2)
    late = a_site(desk, "9 Late Lane", owner="Late, L")
    a_contract(desk, late, from_on=date(2026, 5, 1), until_on=date(2027, 5, 1))
    page = ahead_page(desk)

    closes = [one.closes_on for one in page.windows]
    assert closes == sorted(closes)
    assert page.n_without_day == len(page.windows) == 3
    states = {one.address: one.state for one in page.windows}
    assert states["9 Late Lane"] == "late"


def test_the_best_day_is_the_one_with_least_road_by_trying_all(desk):
    """Against brute force: every shift, every gap, the whole road of the weeks before and after."""
    for name in ("Lena Hobb", "Tobin Ashe"):
        a_technician(desk, name)
    sites = owed_sites(desk, 5)
    page = ahead_page(desk, n_weeks=3)
    first = page.windows[-1]  # the farthest: the others lie on its way
    best = best_days(page.case, [first.stop_id])[first.stop_id]
    take_day(desk, page.case, first.stop_id, best)
    page = ahead_page(desk, n_weeks=3)
    open_ = [one for one in page.windows if not one.has_day]
    assert len(open_) == len(sites) - 1

    case = page.case
    before = weeks_as_ordered(case.problem, case.stand, planner="hand").road_min
    for window in open_:
        found = best_days(case, [window.stop_id])[window.stop_id]
        roads = []
        for shift, at in product(case.problem.shifts, range(2)):
            order = list(case.stand[shift.id])
            if at > len(order) or not shift.may_serve(case.problem.stop_of[window.stop_id]):
                continue
            order.insert(at, window.stop_id)
            orders = {**case.stand, shift.id: order}
            plan = weeks_as_ordered(case.problem, orders, planner="hand")
            roads.append(plan.road_min - before)
        assert found.extra_road_min == min(roads)


def test_a_day_that_is_taken_is_one_change_and_can_be_taken_back(desk):
    a_technician(desk)
    owed_sites(desk, 2)
    page = ahead_page(desk)
    stop_id = page.windows[0].stop_id
    best = best_days(page.case, [stop_id])[stop_id]

    changed = take_day(desk, page.case, stop_id, best)

    after = ahead_page(desk)
    taken = next(one for one in after.windows if one.site_id == page.windows[0].site_id)
    assert (taken.planned_on, taken.planned_with) == (best.day, best.technician)
    assert after.n_without_day == page.n_without_day - 1
    placed = sum(w.placed for one in after.people for w in one.weeks)
    assert placed > sum(w.placed for one in page.people for w in one.weeks)
    undo_change(desk.store, changed.change_id, who="Ines")
    assert rows_of(desk, Visit) == {}
    assert rows_of(desk, Job) == {}


def test_a_day_worked_out_before_somebody_else_planned_is_refused(desk):
    lena = a_technician(desk)
    sites = owed_sites(desk, 2)
    page = ahead_page(desk)
    stop_id = page.windows[0].stop_id
    best = best_days(page.case, [stop_id])[stop_id]
    a_visit(desk, sites[1], planned_on=best.day)
    assert lena.id

    with pytest.raises(Trouble, match="changed since"):
        take_day(desk, page.case, stop_id, best)


def test_where_no_day_has_room_there_is_none(desk):
    a_technician(desk, day_from_min=8 * 60, day_until_min=8 * 60 + 20, overtime_min=0)
    owed_sites(desk, 1)
    page = ahead_page(desk)

    stop_id = page.windows[0].stop_id
    assert best_days(page.case, [stop_id]) == {stop_id: None}


def test_hours_of_a_draft_are_those_of_its_rounds(desk):
    a_technician(desk)
    owed_sites(desk, 4)
    page = ahead_page(desk)
    draft = propose(desk, 6, iterations=60)

    people = people_weeks(page.staff, placed_in_draft(page.staff, draft.case, draft.page))

    placed = sum(w.placed for one in people for w in one.weeks)
    expected = draft.page.after.work_min + draft.page.after.road_min
    assert placed == pytest.approx(expected, abs=len(draft.page.days) * 4)


def test_a_call_of_today_does_not_wait_for_an_inspection_of_next_month(desk):
    """Joined they would share days only from the inspection's window on, weeks after the call."""
    a_technician(desk)
    site = a_site(desk)
    # its first window opens with the contract, five weeks after the call
    a_contract(desk, site, from_on=date(2026, 11, 20), until_on=date(2027, 11, 20))
    a_call(desk, site, priority="urgent",
           promised_by_at=desk.clock.instant(TODAY + timedelta(days=1), 12 * 60))  # fmt: skip
    draft = propose(desk, 10, iterations=60)

    found = {s.jobs: day.day for day in draft.page.days for s in day.stops}
    assert found[("callback",)] == TODAY + timedelta(days=1)
    assert found[("inspection",)] >= date(2026, 11, 20)
