"""A way to squeeze a call in, taken and taken back: with a visit put off to another day, too."""

from datetime import date

import pytest

from servicedesk.desk.squeeze import squeeze
from servicedesk.desk.squeeze_take import take_squeezed
from servicedesk.records.undo import undo_change
from servicedesk.records.visits import Job, Visit
from servicedesk.values.trouble import Trouble
from tests.builders import a_call, a_contract, a_site, a_technician
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
