"""Another day for a customer: places offered, the old one freed, wishes and *told* written."""

from datetime import date

import pytest

from servicedesk.desk.another_day import Wish, other_places, take_other
from servicedesk.desk.day_wishes import DayWishes
from servicedesk.desk.planning import day_case
from servicedesk.desk.tell_list import tell_list
from servicedesk.records.sites import Site
from servicedesk.records.told import Told
from servicedesk.records.undo import undo_change
from servicedesk.records.visits import Visit
from servicedesk.values.trouble import Trouble
from tests.builders import a_site, a_technician
from tests.desk.test_squeeze import FRIDAY, THURSDAY, planned_sites

MONDAY = date(2026, 10, 19)
NOT_FRIDAY_AFTER_ONE = DayWishes(not_days=frozenset({4}), from_min=780, with_whom="my son")


@pytest.fixture
def company(desk):
    """Thursday, Friday and Monday with two or three visits each; the first of Thursday was told."""
    lena = a_technician(desk)
    thursday = planned_sites(desk, lena, THURSDAY, told=True, promise_until_min=700)
    planned_sites(desk, lena, FRIDAY, n=2)
    planned_sites(desk, lena, MONDAY, n=2)
    return thursday


def stop_at(desk, site, day=THURSDAY):
    return next(w for w in day_case(desk, day).wanted.values() if w.site_id == site.id)


def visit_at(desk, site):
    with desk.store.read() as session:
        return session.query(Visit).filter_by(site_id=site.id).one()


def state(desk):
    with desk.store.read() as session:
        visits = [(v.id, v.planned_on, v.place, v.told, v.promise_until_min, dict(v.wishes))
                  for v in session.query(Visit).order_by(Visit.id)]  # fmt: skip
        sites = [(s.id, s.visiting_days, s.visiting_from_min, s.access_note, s.call_before)
                 for s in session.query(Site).order_by(Site.id)]  # fmt: skip
        return visits, sites, session.query(Told).count()


def test_three_other_days_are_offered_and_the_old_one_is_not_among_them(desk, company):
    offer = other_places(desk, stop_at(desk, company[0]), Wish(wishes=DayWishes()))

    assert offer.was_on == THURSDAY
    assert {p.day for p in offer.places} == {FRIDAY, MONDAY}
    assert len(offer.places) == 3
    assert not any(p.breaks for p in offer.places)
    assert offer.places[0].day != offer.places[1].day


def test_a_place_taken_frees_the_old_one_keeps_the_wish_and_writes_told(desk, company):
    site = company[0]
    before = state(desk)
    wish = Wish(wishes=NOT_FRIDAY_AFTER_ONE, whom="Ruth Quillan")
    offer = other_places(desk, stop_at(desk, site), wish)
    way = next(p for p in offer.places if p.day == MONDAY)

    changed = take_other(desk, offer, wish, way)

    visit = visit_at(desk, site)
    assert (visit.planned_on, visit.told) == (MONDAY, True)
    assert visit.wishes == NOT_FRIDAY_AFTER_ONE.kept()
    assert visit.promise_from_min >= 780
    assert visit.promise_from_min <= visit.begin_min <= visit.promise_until_min
    with desk.store.read() as session:
        told = session.query(Told).one()
    assert (told.whom, told.promised_on, told.visit_id) == ("Ruth Quillan", MONDAY, visit.id)
    assert "not on Thu, Oct 15" in told.what
    assert site.id not in {w.site_id for w in day_case(desk, THURSDAY).wanted.values()}
    line = next(o for o in tell_list(desk, MONDAY, date(2026, 10, 20)).lines
                if o.site_id == site.id)  # fmt: skip
    assert line.is_told
    undo_change(desk.store, changed.change_id, who="Ines")
    assert state(desk) == before


def test_for_good_the_site_keeps_it(desk, company):
    wish = Wish(wishes=NOT_FRIDAY_AFTER_ONE, for_good=True)
    offer = other_places(desk, stop_at(desk, company[0]), wish)

    take_other(desk, offer, wish, offer.places[0])

    with desk.store.read() as session:
        site = session.get(Site, company[0].id)
    assert site.visiting_days == [0, 1, 2, 3, 5, 6]
    assert site.visiting_from_min == 780
    assert site.access_note == "only with my son there"
    assert site.call_before


def test_without_a_place_the_visit_waits_with_its_wish_and_no_day(desk, company):
    wish = Wish(wishes=DayWishes(not_days=frozenset({3})))
    offer = other_places(desk, stop_at(desk, company[1]), wish)

    take_other(desk, offer, wish, None)

    visit = visit_at(desk, company[1])
    assert (visit.planned_on, visit.round_id, visit.told) == (None, None, False)
    assert visit.promise_until_min is None
    assert visit.wishes == {"not_days": [3]}
    with desk.store.read() as session:
        assert session.query(Told).one().promised_on is None


def test_after_three_on_the_same_day_is_another_place_too(desk, company):
    offer = other_places(desk, stop_at(desk, company[2]), Wish(wishes=DayWishes(from_min=900)))

    assert THURSDAY in {p.day for p in offer.places}
    assert all(p.begin_min >= 900 for p in offer.places)


def test_what_changed_meanwhile_is_refused_and_nothing_is_written(desk, company):
    wish = Wish(wishes=DayWishes())
    stop = stop_at(desk, company[0])
    offer = other_places(desk, stop, wish)
    take_other(desk, offer, wish, offer.places[0])
    now = state(desk)

    with pytest.raises(Trouble, match="changed meanwhile"):
        take_other(desk, offer, wish, offer.places[1])
    with pytest.raises(Trouble, match="changed meanwhile"):
        take_other(desk, offer, wish, None)
    assert state(desk) == now


def test_a_site_keeps_at_least_one_day(desk, company):
    wish = Wish(wishes=DayWishes(not_days=frozenset(range(7))), for_good=True)
    offer = other_places(desk, stop_at(desk, company[0]), wish)
    before = state(desk)

    with pytest.raises(Trouble, match="No day would be left"):
        take_other(desk, offer, wish, None)
    assert state(desk) == before


def test_where_nobody_goes_there_is_no_place_and_it_is_said(desk):
    site = a_site(desk, lat_deg=30.01, lon_deg=-94.0)
    lena = a_technician(desk)
    placed = planned_sites(desk, lena, THURSDAY, n=1)

    offer = other_places(desk, stop_at(desk, placed[0]), Wish(wishes=DayWishes()))

    assert offer.places == ()
    assert offer.why_none
    assert site.id
