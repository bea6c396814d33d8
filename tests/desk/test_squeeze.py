"""Room for one more stop at the desk: every way with what it does to the others."""

from datetime import date

import pytest

from servicedesk.desk.squeeze import squeeze
from servicedesk.records.company import DayOff
from servicedesk.values.trouble import Trouble
from tests.builders import TODAY, a_contract, a_round, a_site, a_technician, a_visit

THURSDAY, FRIDAY = date(2026, 10, 15), date(2026, 10, 16)


def planned_sites(desk, lena, day, n=3, **values):
    round_ = a_round(desk, lena, day)
    sites = []
    for k in range(n):
        site = a_site(desk, f"{k + 1} Reed Road, {day}", owner=f"Owner {k}", lat_deg=30.0 + 0.03 * (k + 1),
                      lon_deg=-94.0)  # fmt: skip
        a_visit(desk, site, planned_on=day, round_id=round_.id, place=k + 1, **values)
        sites.append(site)
    return sites


@pytest.fixture
def caller(desk):
    return a_site(desk, "9 Caller Lane", lat_deg=30.05, lon_deg=-94.0)


def test_no_rounds_is_said(desk, caller):
    page = squeeze(desk, caller.id)

    assert page.ways == ()
    assert "No rounds are planned" in page.why_none
    with pytest.raises(Trouble, match="no site"):
        squeeze(desk, 999_999)


def test_ways_come_with_what_they_do_to_every_later_stop(desk, caller):
    lena = a_technician(desk)
    planned_sites(desk, lena, THURSDAY)

    page = squeeze(desk, caller.id)

    assert page.n_rounds == 1
    assert [way.harm_min for way in page.ways] == sorted(way.harm_min for way in page.ways)
    between = next(way for way in page.ways if way.position == 1)
    assert between.after == f"1 Reed Road, {THURSDAY}"
    assert [stop.address for stop in between.later] == [
        f"{k} Reed Road, {THURSDAY}" for k in (2, 3)
    ]
    for stop in between.later:
        assert stop.then_min > stop.now_min
    last = next(way for way in page.ways if way.position == 3)
    assert last.later == ()


def test_ways_after_the_promise_come_last(desk, caller):
    lena = a_technician(desk)
    planned_sites(desk, lena, THURSDAY)
    planned_sites(desk, lena, FRIDAY, n=1)
    by_at = desk.clock.instant(THURSDAY, 12 * 60)

    ways = squeeze(desk, caller.id, by_at=by_at).ways

    kept = [way.keeps_promise for way in ways]
    assert kept == sorted(kept, reverse=True)
    assert True in kept
    assert not any(way.keeps_promise for way in ways if way.day == FRIDAY)


def test_a_told_visit_is_never_put_off_another_may_be(desk, caller):
    lena = a_technician(desk, day_until_min=480 + 230, overtime_min=0, break_min=0)
    sites = planned_sites(desk, lena, THURSDAY, n=4)
    for site in sites:
        a_contract(desk, site, from_on=date(2026, 8, 1), until_on=date(2027, 8, 1))
    open_day = planned_sites(desk, lena, FRIDAY, n=1)

    page = squeeze(desk, caller.id, days=3)

    offs = [way.put_off for way in page.ways if way.put_off is not None]
    assert offs
    assert any(off.to_day == FRIDAY for off in offs)
    assert open_day


def test_told_visits_stay(desk, caller):
    lena = a_technician(desk, day_until_min=480 + 230, overtime_min=0, break_min=0)
    for site in planned_sites(desk, lena, THURSDAY, n=4, told=True):
        a_contract(desk, site, from_on=date(2026, 8, 1), until_on=date(2027, 8, 1))

    assert not [way for way in squeeze(desk, caller.id).ways if way.put_off is not None]


def test_today_only_what_is_still_to_come_counts(desk, caller):
    lena = a_technician(desk)
    planned_sites(desk, lena, TODAY, n=6)

    ways = squeeze(desk, caller.id, days=1).ways

    assert ways
    # 10:46 am at the office of the tests
    assert all(way.begin_min >= 646 for way in ways)


def test_days_on_which_the_site_is_closed_are_left_out(desk):
    lena = a_technician(desk)
    planned_sites(desk, lena, THURSDAY, n=1)
    planned_sites(desk, lena, FRIDAY, n=1)
    shy = a_site(desk, "4 Shy Lane", lat_deg=30.05, lon_deg=-94.0, visiting_days=[4])

    ways = squeeze(desk, shy.id).ways

    assert {way.day for way in ways} == {FRIDAY}


def test_nobody_who_is_off_is_sent(desk, caller):
    lena = a_technician(desk)
    planned_sites(desk, lena, THURSDAY, n=1)
    with desk.store.change(desk.who, "Ill") as work:
        work.add(DayOff(technician_id=lena.id, from_on=THURSDAY, until_on=FRIDAY, why="ill"))

    assert squeeze(desk, caller.id).ways == ()
