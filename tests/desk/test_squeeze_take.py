"""A way to squeeze a call in, taken and taken back: with a visit put off to another day, too."""

from datetime import date

import pytest

from servicedesk.desk.carry import best_on, carry_to_day
from servicedesk.desk.planning import day_case
from servicedesk.desk.squeeze import squeeze, squeeze_stop
from servicedesk.desk.squeeze_take import take_squeezed, take_stop
from servicedesk.records.rounds import Round
from servicedesk.records.undo import undo_change
from servicedesk.records.visits import Job, Visit
from servicedesk.values.trouble import Trouble
from tests.builders import a_call, a_contract, a_round, a_site, a_technician, a_visit
from tests.desk.test_squeeze import FRIDAY, THURSDAY, planned_sites


@pytest.fixture
def caller(desk):
    return a_site(desk, "9 Caller Lane", lat_deg=30.05, lon_deg=-94.0)


def rounds(desk) -> dict[date, list[int]]:
    """Sites by day in the order of the rounds."""
    with desk.store.read() as session:
        found = session.query(Visit).filter(Visit.round_id.is_not(None))
        placed = sorted((v.planned_on, v.place, v.site_id) for v in found)
    days: dict[date, list[int]] = {}
    for day, _, site in placed:
        days.setdefault(day, []).append(site)
    return days


def a_full_day(desk):
    """A Thursday without room and a Friday with some."""
    lena = a_technician(desk, day_until_min=480 + 230, overtime_min=0, break_min=0)
    sites = planned_sites(desk, lena, THURSDAY, n=4)
    for site in sites:
        a_contract(desk, site, from_on=date(2026, 8, 1), until_on=date(2027, 8, 1))
    return sites, planned_sites(desk, lena, FRIDAY, n=1)


def test_a_call_takes_its_place_and_gives_it_back(desk, caller):
    lena = a_technician(desk)
    sites = planned_sites(desk, lena, THURSDAY)
    call = a_call(desk, caller)
    before = rounds(desk)
    way = next(w for w in squeeze(desk, caller.id, call_id=call.id).ways if w.position == 1)

    changed = take_squeezed(desk, call.id, way)

    first, *others = [site.id for site in sites]
    assert rounds(desk) == {THURSDAY: [first, caller.id, *others]}
    with desk.store.read() as session:
        assert session.query(Job).filter_by(call_id=call.id).count() == 1
    undo_change(desk.store, changed.change_id, who="Ines")
    assert rounds(desk) == before


def test_a_technician_without_a_stop_that_day_may_take_the_call(desk, caller):
    planned_sites(desk, a_technician(desk), THURSDAY)
    free = a_technician(desk, "Ada Quested")
    call = a_call(desk, caller)
    before = rounds(desk)
    ways = squeeze(desk, caller.id, call_id=call.id).ways
    way = next(w for w in ways if w.technician_id == free.id)
    assert (way.day, way.position, way.later) == (THURSDAY, 0, ())
    assert {w.day for w in ways} == {THURSDAY}, "days that nobody has planned yet wait for the plan"

    changed = take_squeezed(desk, call.id, way)

    with desk.store.read() as session:
        visit = session.query(Visit).filter_by(site_id=caller.id).one()
        assert session.get(Round, visit.round_id).lead_id == free.id
    undo_change(desk.store, changed.change_id, who="Ines")
    assert rounds(desk) == before


def test_a_visit_put_off_goes_to_the_day_that_was_shown_in_the_same_change(desk, caller):
    thursday, friday = a_full_day(desk)
    call = a_call(desk, caller)
    before = rounds(desk)
    ways = squeeze(desk, caller.id, days=3, call_id=call.id).ways
    way = next(w for w in ways if w.day == THURSDAY and w.put_off and w.put_off.to_day == FRIDAY)

    changed = take_squeezed(desk, call.id, way)

    after = rounds(desk)
    with desk.store.read() as session:
        off = session.get(Visit, way.put_off.visit_id).site_id
    assert sorted(after[THURSDAY]) == sorted([caller.id, *(s.id for s in thursday if s.id != off)])
    assert after[THURSDAY].index(caller.id) == way.position
    assert sorted(after[FRIDAY]) == sorted([off, friday[0].id])
    undo_change(desk.store, changed.change_id, who="Ines")
    assert rounds(desk) == before


def test_rounds_that_have_changed_since_are_refused(desk, caller):
    a_full_day(desk)
    call = a_call(desk, caller)
    ways = squeeze(desk, caller.id, days=3, call_id=call.id).ways
    way = next(w for w in ways if w.put_off and w.put_off.to_day == FRIDAY and w.day == THURSDAY)
    take_squeezed(desk, call.id, way)
    now = rounds(desk)
    again = a_call(desk, a_site(desk, "11 Caller Lane", lat_deg=30.05, lon_deg=-94.0))

    with pytest.raises(Trouble, match="changed meanwhile"):
        take_squeezed(desk, again.id, way)
    assert rounds(desk) == now


def the_visit(desk, site):
    with desk.store.read() as session:
        return session.query(Visit).filter_by(site_id=site.id).one()


def wanted_at(desk, site, day):
    return next(w for w in day_case(desk, day).wanted.values() if w.site_id == site.id)


def test_a_stop_that_has_its_place_gets_another_on_another_day(desk):
    lena = a_technician(desk)
    thursday = planned_sites(desk, lena, THURSDAY)
    friday = planned_sites(desk, lena, FRIDAY, n=2)
    before = rounds(desk)
    moved = thursday[1]
    stop = wanted_at(desk, moved, THURSDAY)
    page = squeeze_stop(desk, stop)
    way = next(w for w in page.ways if w.day == FRIDAY and w.position == 1 and not w.put_off)

    changed = take_stop(desk, stop, way)

    assert rounds(desk) == {
        THURSDAY: [thursday[0].id, thursday[2].id],
        FRIDAY: [friday[0].id, moved.id, friday[1].id],
    }
    undo_change(desk.store, changed.change_id, who="Ines")
    assert rounds(desk) == before


@pytest.mark.parametrize("position", [1, 2])
def test_effects_are_counted_from_the_round_as_it_stands(desk, position):
    lena = a_technician(desk)
    planned_sites(desk, lena, THURSDAY)
    stand = day_case(desk, THURSDAY).stand.days[0]
    begins = {s.stop_id: s.begin_min for s in stand.stops}
    stop = day_case(desk, THURSDAY).wanted[stand.order[0]]

    way = next(w for w in squeeze_stop(desk, stop).ways if w.position == position)

    take_stop(desk, stop, way)
    after = {s.stop_id: s.begin_min for s in day_case(desk, THURSDAY).stand.days[0].stops}
    later = [begins[i] for i in stand.order[1:] if after[i] > begins[i]]
    assert [s.now_min for s in way.later] == later
    assert way.begin_min == after[stop.id]


def test_who_was_told_another_day_is_to_be_told_anew(desk):
    lena = a_technician(desk)
    site = planned_sites(desk, lena, THURSDAY, n=1, told=True, promise_until_min=600)[0]
    planned_sites(desk, lena, FRIDAY, n=1)
    stop = wanted_at(desk, site, THURSDAY)
    way = next(w for w in squeeze_stop(desk, stop).ways if w.day == FRIDAY)

    take_stop(desk, stop, way)

    visit = the_visit(desk, site)
    assert (visit.planned_on, visit.told, visit.promise_until_min) == (FRIDAY, False, None)


def test_a_stop_moved_by_somebody_else_meanwhile_is_refused(desk):
    lena = a_technician(desk)
    site = planned_sites(desk, lena, THURSDAY)[0]
    planned_sites(desk, lena, FRIDAY, n=1)
    stop = wanted_at(desk, site, THURSDAY)
    way = next(w for w in squeeze_stop(desk, stop).ways if w.day == FRIDAY)
    carry_to_day(desk, day_case(desk, THURSDAY), stop.id, FRIDAY)
    now = rounds(desk)

    with pytest.raises(Trouble, match="changed meanwhile"):
        take_stop(desk, stop, way)
    assert rounds(desk) == now


def test_a_day_that_does_not_suit_is_not_offered(desk):
    lena = a_technician(desk)
    site = planned_sites(desk, lena, THURSDAY, wishes={"not_days": [4], "from_min": 900})[0]
    planned_sites(desk, lena, FRIDAY, n=1)

    ways = squeeze_stop(desk, wanted_at(desk, site, THURSDAY)).ways

    assert {way.day for way in ways} == {THURSDAY}
    assert min(way.begin_min for way in ways) >= 900


def test_a_stop_goes_to_the_best_place_of_another_day(desk):
    lena = a_technician(desk)
    thursday = planned_sites(desk, lena, THURSDAY)
    planned_sites(desk, lena, FRIDAY, n=2)
    case = day_case(desk, THURSDAY)
    stop = wanted_at(desk, thursday[0], THURSDAY)
    best = best_on(desk, case, stop.id, FRIDAY)

    changed = carry_to_day(desk, case, stop.id, FRIDAY)

    assert rounds(desk)[FRIDAY].index(thursday[0].id) == best.place.position
    undo_change(desk.store, changed.change_id, who="Ines")
    assert rounds(desk)[THURSDAY] == [site.id for site in thursday]


def test_a_day_without_room_is_refused(desk):
    lena = a_technician(desk)
    thursday = planned_sites(desk, lena, THURSDAY)
    case = day_case(desk, THURSDAY)

    with pytest.raises(Trouble, match="has room"):
        carry_to_day(desk, case, wanted_at(desk, thursday[0], THURSDAY).id, date(2026, 10, 17))


def test_who_gains_by_the_move_is_not_told_as_later(desk):
    lena = a_technician(desk)
    round_ = a_round(desk, lena, THURSDAY)
    for n, lat in enumerate((30.5, 30.03, 30.06), start=1):
        site = a_site(desk, f"{n} Gain Road", lat_deg=lat, lon_deg=-94.0)
        a_visit(desk, site, planned_on=THURSDAY, round_id=round_.id, place=n, service_min=30)
    case = day_case(desk, THURSDAY)
    far = case.wanted[case.stand.days[0].order[0]]

    # by hand: 0.5 + 0.47 + 0.03 degrees to the last one now, 0.03 + 0.47 + 0.44 with far second
    way = next(w for w in squeeze_stop(desk, far).ways if w.position == 1)

    assert way.later == ()
