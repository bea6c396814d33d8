"""Somebody is ill or leaves: their stops go to the others, nobody else's stop moves."""

from datetime import date, timedelta

import pytest

from servicedesk.desk.absence import ill, leaves, take_absence
from servicedesk.desk.planning import day_case
from servicedesk.desk.tell_list import tell_changed
from servicedesk.desk.told import About, tell
from servicedesk.records.company import DayOff, Technician, Truck
from servicedesk.records.parts import Part, StockMove, StockPlace
from servicedesk.records.sites import SiteKey
from servicedesk.records.undo import undo_change
from servicedesk.records.visits import Visit
from servicedesk.values.trouble import Trouble
from tests.builders import TODAY, a_site, a_technician, a_visit
from tests.desk.test_squeeze import FRIDAY, THURSDAY, planned_sites

MONDAY = date(2026, 10, 19)


def visits(desk):
    """By site: day, leading technician, place, told, held."""
    with desk.store.read() as session:
        return {
            v.site_id: (v.planned_on, v.round_id, v.place, v.told, v.held, v.promise_until_min)
            for v in session.query(Visit)
        }


def crew_order(desk, day):
    case = day_case(desk, day)
    return {
        crew: [case.wanted[i].site_id for i in order] for crew, order in case.stand.orders.items()
    }


@pytest.fixture
def two(desk):
    """Lena and Tobin with three stops each on Thursday; Tobin goes out on Friday, too."""
    lena, tobin = a_technician(desk, "Lena Hobb"), a_technician(desk, "Tobin Ashe")
    hers = planned_sites(desk, lena, THURSDAY)
    his = planned_sites(desk, tobin, THURSDAY)
    planned_sites(desk, tobin, FRIDAY, n=1)
    return lena, tobin, hers, his


def test_all_of_the_days_stops_go_to_the_others_whose_own_stay_in_order(desk, two):
    lena, tobin, hers, his = two
    before = visits(desk)

    asked = ill(desk, lena.id, THURSDAY)

    assert visits(desk) == before  # only looked at
    assert [one.to_technician for one in asked.stops] == ["Tobin"] * 3
    assert asked.waiting == ()
    changed = take_absence(desk, asked)
    order = crew_order(desk, THURSDAY)
    assert str(lena.id) not in order
    mine = order[str(tobin.id)]
    assert sorted(mine) == sorted(s.id for s in (*hers, *his))
    assert [i for i in mine if i in {s.id for s in his}] == [s.id for s in his]
    begins = {w.site_id: w.visit.begin_min for w in day_case(desk, THURSDAY).wanted.values()}
    shown = {one.address: one.begins for one in asked.stops}
    assert {s.address: begins[s.id] for s in hers} == shown
    with desk.store.read() as session:
        off = session.query(DayOff).one()
    assert (off.technician_id, off.from_on, off.until_on) == (lena.id, THURSDAY, FRIDAY)
    undo_change(desk.store, changed.change_id, who="Ines")
    assert visits(desk) == before
    with desk.store.read() as session:
        assert session.query(DayOff).count() == 0


def test_who_was_told_is_placed_first_and_the_rest_goes_to_the_next_day_or_waits(desk):
    lena = a_technician(desk, "Lena Hobb")
    # Tobin's day holds little more than one stop more, and he may work no longer
    tobin = a_technician(desk, "Tobin Ashe", day_until_min=480 + 115, overtime_min=0, break_min=0)
    planned_sites(desk, tobin, THURSDAY, n=1, service_min=40)
    hers = planned_sites(desk, lena, THURSDAY, n=3, service_min=40)
    with desk.store.change("Ines", "Promised") as work:
        last = work.session.query(Visit).filter_by(site_id=hers[2].id).one()
        last.told = True

    asked = ill(desk, lena.id, THURSDAY)

    told = next(one for one in asked.stops if one.address == hers[2].address)
    assert told.is_agreed
    assert (told.to_day, told.to_technician) == (THURSDAY, "Tobin")
    others = [one for one in asked.stops if one is not told]
    assert all(one.to_day != THURSDAY for one in others)


def test_what_finds_no_place_waits_and_who_knew_the_day_is_on_the_tell_list(desk):
    lena = a_technician(desk)
    site = planned_sites(desk, lena, THURSDAY, n=1)[0]
    with desk.store.read() as session:
        visit = session.query(Visit).filter_by(site_id=site.id).one()
    tell(desk, About(visit_id=visit.id), whom="Owner", what="Thursday", promised_on=THURSDAY)
    with desk.store.change("Ines", "window") as work:
        jobs = work.get(Visit, visit.id)
        jobs.service_min = 900  # nobody has so long a day

    asked = ill(desk, lena.id, THURSDAY)
    take_absence(desk, asked)

    assert [one.visit_id for one in asked.waiting] == [visit.id]
    assert visits(desk)[site.id][0] is None
    assert [line.why for line in tell_changed(desk).lines] == ["called_off"]


def test_held_stops_go_too_and_stops_made_already_stay(desk, two):
    lena, tobin, hers, _ = two
    with desk.store.change("Ines", "Held, and one made") as work:
        records = {v.site_id: v for v in work.session.query(Visit)}
        records[hers[0].id].arrived_at = desk.clock.instant(THURSDAY, 490)
        records[hers[0].id].left_at = desk.clock.instant(THURSDAY, 530)
        records[hers[1].id].held = True
        records[hers[1].id].held_crew_id = lena.id

    asked = ill(desk, lena.id, THURSDAY)

    assert {one.address for one in asked.stops} == {s.address for s in hers[1:]}
    take_absence(desk, asked)
    held = visits(desk)[hers[1].id]
    assert held[4]
    assert crew_order(desk, THURSDAY)[str(tobin.id)].count(hers[1].id) == 1


def test_anything_changed_since_is_refused(desk, two):
    lena, *_ = two
    asked = ill(desk, lena.id, THURSDAY)
    a_site(desk, "1 New Road")
    before = visits(desk)

    with pytest.raises(Trouble, match="changed since"):
        take_absence(desk, asked)
    assert visits(desk) == before


def test_who_leaves_leaves_rounds_promises_keys_and_the_stock_of_the_truck(desk, two):
    lena, tobin, _, his = two
    with desk.store.change("Ines", "What Tobin has") as work:
        truck = work.add(Truck(name="Truck 2"))
        place = work.add(StockPlace(name="Truck 2", truck_id=truck.id))
        part = work.add(Part(number=1, name="Sealed connector"))
        work.add(StockMove(part_id=part.id, quantity=4, to_place_id=place.id, why="count",
                           moved_on=TODAY, written_at=work.at))  # fmt: skip
        work.get(Technician, tobin.id).truck_id = truck.id
        work.add(SiteKey(site_id=his[0].id, label="west gate", technician_id=tobin.id))
    planned_sites(desk, lena, MONDAY, n=1)
    before = visits(desk)

    asked = leaves(desk, tobin.id, THURSDAY)

    assert asked.n_rounds == 2
    assert len(asked.stops) == 4
    assert asked.waiting == ()
    assert [(k.address, k.label) for k in asked.holds.keys] == [(his[0].address, "west gate")]
    assert asked.holds.parts == (("Sealed connector", 4),)
    changed = take_absence(desk, asked)
    with desk.store.read() as session:
        assert session.get(Technician, tobin.id).until_on == THURSDAY
    assert str(tobin.id) not in crew_order(desk, FRIDAY)
    undo_change(desk.store, changed.change_id, who="Ines")
    assert visits(desk) == before
    with desk.store.read() as session:
        assert session.get(Technician, tobin.id).until_on is None


def test_a_window_that_closes_is_not_put_after_its_last_day(desk):
    lena, tobin = a_technician(desk, "Lena Hobb"), a_technician(desk, "Tobin Ashe")
    planned_sites(desk, tobin, FRIDAY, n=1)
    site = a_site(desk, "8 Closing Lane", lat_deg=30.02, lon_deg=-94.0)
    round_ = planned_sites(desk, lena, THURSDAY, n=1)
    with desk.store.read() as session:
        hers = session.query(Visit).filter_by(site_id=round_[0].id).one()
    a_visit(desk, site, planned_on=THURSDAY, round_id=hers.round_id, place=2,
            job={"window_until": THURSDAY})  # fmt: skip
    with desk.store.change("Ines", "Tobin off on Thursday") as work:
        work.add(DayOff(technician_id=tobin.id, from_on=THURSDAY, until_on=FRIDAY))

    asked = ill(desk, lena.id, THURSDAY)

    goes = {one.address: one.to_day for one in asked.stops}
    assert goes["8 Closing Lane"] is None
    assert goes[round_[0].address] == FRIDAY


def test_a_time_that_has_passed_is_refused(desk, two):
    with pytest.raises(Trouble, match="has passed"):
        leaves(desk, two[0].id, TODAY - timedelta(days=1))
    with pytest.raises(Trouble, match="over"):
        ill(desk, two[0].id, TODAY - timedelta(days=3))
