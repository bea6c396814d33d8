"""The weeks ahead at the desk: proposed, taken in one change, planned again, undone."""

from datetime import date, timedelta

import pytest

from servicedesk.desk.period import first_day, named_technicians, propose, take
from servicedesk.desk.period_problem import PeriodSettings, calls_a_day
from servicedesk.records.company import DayOff
from servicedesk.records.rounds import Round
from servicedesk.records.sites import ClosedSpan, Site
from servicedesk.records.undo import undo_change
from servicedesk.records.visits import Visit
from servicedesk.values.trouble import Stopped, Trouble
from tests.builders import (
    TODAY,
    a_call,
    a_contract,
    a_done_visit,
    a_round,
    a_site,
    a_technician,
    a_visit,
)

QUICK = {"iterations": 60}
MONDAY = date(2026, 10, 19)


def owed_sites(desk, n=4, **values):
    """Sites with an inspection owed within the next weeks, some miles apart."""
    sites = []
    for k in range(n):
        site = a_site(
            desk, f"{k + 1} Alder Court", owner=f"Owner {k}",
            lat_deg=30.0 + 0.02 * k, lon_deg=-94.0 + 0.01 * (k % 2), **values,
        )  # fmt: skip
        # three visits a year from August on: the first window is open and ends in November
        a_contract(desk, site, from_on=date(2026, 8, 1), until_on=date(2027, 8, 1))
        sites.append(site)
    return sites


def rows_of(desk, model):
    with desk.store.read() as session:
        return {r.id: (getattr(r, "planned_on", None), getattr(r, "day", None))
                for r in session.query(model)}  # fmt: skip


def stops_of(draft):
    return [stop for day in draft.page.days for stop in day.stops]


def day_of(draft, site):
    return [day.day for day in draft.page.days for s in day.stops if s.site_id == site.id]


def test_every_owed_inspection_gets_a_day_in_its_window(desk):
    sites = owed_sites(desk)
    a_technician(desk)

    draft = propose(desk, 6, **QUICK)

    assert {stop.site_id for stop in stops_of(draft)} == {site.id for site in sites}
    assert draft.page.not_placed == ()
    for day in draft.page.days:
        assert day.day > TODAY
        assert day.day.weekday() < 5
        for stop in day.stops:
            assert stop.closes_on is not None
            assert day.day <= stop.closes_on


def test_proposing_writes_nothing_and_taking_is_one_change_that_can_be_undone(desk):
    owed_sites(desk)
    a_technician(desk)
    before = (rows_of(desk, Visit), rows_of(desk, Round))

    draft = propose(desk, 6, **QUICK)
    assert (rows_of(desk, Visit), rows_of(desk, Round)) == before
    changed = take(desk, draft)
    after = rows_of(desk, Visit)

    assert len(after) == 4
    assert all(planned_on is not None for planned_on, _ in after.values())
    undo_change(desk.store, changed.change_id, who=desk.who)
    assert (rows_of(desk, Visit), rows_of(desk, Round)) == before


def test_planning_again_moves_nothing(desk):
    owed_sites(desk)
    a_technician(desk)
    take(desk, propose(desk, 6, **QUICK))

    again = propose(desk, 6, **QUICK)

    assert again.page.n_new == 0
    assert again.page.n_moved == 0
    assert not again.changes
    assert again.page.before == again.page.after


def test_days_off_holidays_and_closed_spans_are_kept(desk):
    (site,) = owed_sites(desk, 1)
    lena = a_technician(desk)
    last_open = date(2026, 10, 29)
    with desk.store.change(desk.who, "Off and closed") as work:
        work.add(DayOff(technician_id=lena.id, from_on=TODAY, until_on=last_open, why="leave"))
        work.add(ClosedSpan(site_id=site.id, from_on=date(2026, 10, 30), until_on=date(2027, 3, 1)))

    draft = propose(desk, 6, **QUICK)

    assert day_of(draft, site) == [last_open]


def test_a_site_that_is_closed_all_the_time_is_listed_with_its_reason(desk):
    (site,) = owed_sites(desk, 1)
    a_technician(desk)
    with desk.store.change(desk.who, "Closed") as work:
        work.add(ClosedSpan(site_id=site.id, from_on=TODAY, until_on=date(2027, 3, 1)))

    (left,) = propose(desk, 6, **QUICK).page.not_placed

    assert left.address == "1 Alder Court"
    assert left.why == ("the site cannot be visited on any of its days",)


def test_visiting_days_and_hours_are_kept(desk):
    (site,) = owed_sites(
        desk, 1, visiting_days=[2], visiting_from_min=13 * 60, visiting_until_min=15 * 60
    )
    a_technician(desk)

    draft = propose(desk, 6, **QUICK)

    (day,) = draft.page.days
    assert day.day.weekday() == 2
    assert day.stops[0].begin_min >= 13 * 60
    assert day.stops[0].leave_min <= 15 * 60
    assert day.stops[0].site_id == site.id


def test_held_told_and_handed_out_visits_stay(desk):
    sites = owed_sites(desk, 3)
    lena = a_technician(desk)
    draft_round = a_round(desk, lena, date(2026, 10, 22))
    given = a_round(desk, lena, date(2026, 10, 27), state="handed out")
    held = a_visit(desk, sites[0], planned_on=date(2026, 10, 22), round_id=draft_round.id, place=1,
                   held=True, held_crew_id=lena.id)  # fmt: skip
    told = a_visit(desk, sites[1], planned_on=date(2026, 10, 22), round_id=draft_round.id, place=2,
                   told=True)  # fmt: skip
    out = a_visit(desk, sites[2], planned_on=date(2026, 10, 27), round_id=given.id, place=1)

    draft = propose(desk, 6, **QUICK)
    if draft.changes:
        take(desk, draft)

    planned = {i: on for i, (on, _) in rows_of(desk, Visit).items()}
    assert planned[held.id] == planned[told.id] == date(2026, 10, 22)
    assert planned[out.id] == date(2026, 10, 27)
    assert draft.page.n_frozen == 1
    assert draft.page.to_tell == ()


def two_days_that_could_be_one(desk, *, told):
    """A visit on Thursday and one held next door on Friday, far from the office."""
    near, far = owed_sites(desk, 2)
    with desk.store.change(desk.who, "Far away") as work:
        for site, north in ((near, 30.5), (far, 30.51)):
            work.get(Site, site.id).lat_deg = north
    lena = a_technician(desk)
    thursday, friday = date(2026, 10, 22), date(2026, 10, 23)
    first, second = a_round(desk, lena, thursday), a_round(desk, lena, friday)
    visit = a_visit(desk, near, planned_on=thursday, round_id=first.id, place=1, told=told)
    a_visit(desk, far, planned_on=friday, round_id=second.id, place=1, held=True,
            held_crew_id=lena.id)  # fmt: skip
    take(desk, propose(desk, 2, **QUICK))
    with desk.store.read() as session:
        return session.get(Visit, visit.id).planned_on, thursday, friday


def test_a_told_customer_outranks_the_road_that_a_move_would_save(desk):
    now, thursday, _ = two_days_that_could_be_one(desk, told=True)

    assert now == thursday


def test_a_visit_that_nobody_was_told_moves_where_that_saves_much_road(desk):
    now, _, friday = two_days_that_could_be_one(desk, told=False)

    assert now == friday


def test_a_told_customer_is_moved_only_where_nobody_comes_and_is_named(desk):
    (site,) = owed_sites(desk, 1)
    lena = a_technician(desk)
    on = date(2026, 10, 22)
    round_ = a_round(desk, lena, on)
    visit = a_visit(desk, site, planned_on=on, round_id=round_.id, place=1, told=True)
    with desk.store.change(desk.who, "Ill") as work:
        work.add(
            DayOff(technician_id=lena.id, from_on=on, until_on=on + timedelta(days=1), why="ill")
        )

    draft = propose(desk, 2, **QUICK)
    take(desk, draft)

    (stop,) = stops_of(draft)
    assert stop.is_moved
    assert stop.tell
    assert stop.why == ("Lena does not work on Thu, Oct 22",)
    assert draft.page.to_tell == (site.address,)
    with desk.store.read() as session:
        row = session.get(Visit, visit.id)
        assert row.planned_on != on
        assert not row.told


def test_a_call_and_owed_work_at_one_site_are_one_stop(desk):
    (site,) = owed_sites(desk, 1)
    a_technician(desk)
    a_call(desk, site, promised_by_at=desk.clock.instant(date(2026, 10, 16), 17 * 60))

    draft = propose(desk, 6, **QUICK)

    (stop,) = stops_of(draft)
    assert sorted(stop.jobs) == ["callback", "inspection"]
    assert "same stop" in stop.joins
    assert day_of(draft, site)[0] <= date(2026, 10, 16)


def test_the_wanted_technician_comes(desk):
    lena, tobin = a_technician(desk), a_technician(desk, "Tobin Hask")
    sites = owed_sites(desk, 4)
    with desk.store.change(desk.who, "Wants Tobin") as work:
        work.get(Site, sites[2].id).wanted_technician_id = tobin.id

    draft = propose(desk, 6, **QUICK)

    (who,) = [d.technician_id for d in draft.page.days for s in d.stops if s.site_id == sites[2].id]
    assert who == tobin.id != lena.id


def test_only_who_has_the_skill_comes(desk):
    a_technician(desk, skills=["callback"])
    tobin = a_technician(desk, "Tobin Hask", skills=["inspection"])
    owed_sites(desk, 2)

    draft = propose(desk, 6, **QUICK)

    assert {day.technician_id for day in draft.page.days} == {tobin.id}


def test_only_the_chosen_technicians_are_planned(desk):
    a_technician(desk)
    a_technician(desk, "Tobin Hask")
    owed_sites(desk, 3)

    draft = propose(desk, 6, technicians=named_technicians(desk, ["tobin"]), **QUICK)

    assert {day.technician for day in draft.page.days} == {"Tobin"}
    with pytest.raises(Trouble, match="no technician called Zed"):
        named_technicians(desk, ["Zed"])


def test_more_calls_keep_more_of_a_day_free(desk):
    a_technician(desk)
    owed_sites(desk, 1)
    quiet = propose(desk, 2, **QUICK)
    assert calls_a_day(desk) == 0
    site = a_site(desk, "9 Loud Lane")
    for k in range(120):
        a_call(desk, site, days_ago=3 * k + 1, state="answered", promised_by_at=None)

    loud = propose(desk, 2, **QUICK)
    sure = propose(desk, 2, settings=PeriodSettings(confidence=0.97), **QUICK)

    assert quiet.case.kept_min == 0
    assert 0 < loud.case.kept_min < sure.case.kept_min


def test_an_overfull_week_leaves_out_what_can_wait_and_says_what_would_free_a_day(desk):
    a_technician(desk, day_from_min=480, day_until_min=600, break_min=0)
    owed_sites(desk, 12)

    draft = propose(desk, 1, from_day=MONDAY, **QUICK)

    assert draft.page.not_placed
    for left in draft.page.not_placed:
        assert left.why
    assert any(left.frees for left in draft.page.not_placed)
    assert any("there is time until" in one for left in draft.page.not_placed for one in left.why)


def test_a_draft_made_before_somebody_else_planned_is_refused(desk):
    sites = owed_sites(desk, 2)
    a_technician(desk)
    draft = propose(desk, 6, **QUICK)
    a_visit(desk, sites[0], planned_on=MONDAY)

    with pytest.raises(Trouble, match="have changed since"):
        take(desk, draft)


def test_a_change_elsewhere_does_not_stand_in_the_way(desk):
    owed_sites(desk, 2)
    a_technician(desk)
    draft = propose(desk, 6, **QUICK)
    a_site(desk, "77 Somewhere Else")

    take(desk, draft)

    assert len(rows_of(desk, Visit)) == 2


def test_taking_it_as_it_is_keeps_the_best_so_far(desk):
    owed_sites(desk, 6)
    a_technician(desk)

    def stop(done, total, note=""):
        raise Stopped

    draft = propose(desk, 6, seconds=30, progress=stop)

    assert draft.page.was_stopped
    assert draft.page.after.n_stops == 6


def test_weeks_do_not_begin_today(desk):
    a_technician(desk)

    with pytest.raises(Trouble, match="has begun already"):
        propose(desk, 2, from_day=TODAY, **QUICK)
    assert first_day(desk) == TODAY + timedelta(days=1)


def test_nobody_at_work_is_said(desk):
    with pytest.raises(Trouble, match="Nobody works"):
        propose(desk, 2, **QUICK)


def test_an_inspection_already_made_is_not_planned_again(desk):
    site, other = owed_sites(desk, 2)
    lena = a_technician(desk)
    a_done_visit(desk, site, date(2026, 9, 20), technician=lena)

    draft = propose(desk, 3, **QUICK)

    assert day_of(draft, other)
    assert not [
        s for s in stops_of(draft) if s.site_id == site.id and s.closes_on < date(2026, 12, 1)
    ]


def test_the_number_of_queries_does_not_grow_with_the_sites(desk, count_queries):
    a_technician(desk)
    owed_sites(desk, 2)
    with count_queries(desk.store) as few:
        propose(desk, 2, **QUICK)
    for k in range(6):
        site = a_site(desk, f"{k} More Lane", lat_deg=30.1, lon_deg=-94.1 + 0.01 * k)
        a_contract(desk, site, from_on=date(2026, 8, 1), until_on=date(2027, 8, 1))
    with count_queries(desk.store) as many:
        propose(desk, 2, **QUICK)

    assert len(many) == len(few)
