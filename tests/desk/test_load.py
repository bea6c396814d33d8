"""The load of a truck: owed parts exactly, callbacks by their causes, takes of inspections."""

from datetime import timedelta

import pytest

from servicedesk.desk import ledger, parts
from servicedesk.desk.cases import case_of
from servicedesk.desk.ledger import Move
from servicedesk.desk.load import truck_loads
from servicedesk.desk.load_text import load_lines
from servicedesk.records.company import Truck
from servicedesk.records.parts import StockPlace
from servicedesk.records.visits import Job, PartLine
from servicedesk.trade.faults import knowledge
from servicedesk.trouble.causes import rank
from tests.builders import (
    TODAY,
    a_call,
    a_done_visit,
    a_round,
    a_site,
    a_technician,
    a_visit,
    something_owed,
    system_of,
)

TOMORROW = TODAY + timedelta(days=1)


@pytest.fixture
def crew(desk):
    """A technician with a truck and a round today; shelf and truck as places."""
    with desk.store.change(desk.who, "Wrote a truck") as work:
        truck = work.add(Truck(name="T1"))
        shelf = work.add(StockPlace(name="Shelf"))
        place = work.add(StockPlace(name="T1", truck_id=truck.id))
    lena = a_technician(desk, truck_id=truck.id)
    return lena, a_round(desk, lena), shelf.id, place.id


def article(desk, kind, *, shelf=None, n=0, cost=2000):
    changed = parts.write_part(desk, {"number": kind, "name": kind.title(), "part_kind": kind})
    part = next(iter(changed.rows["part"]))
    parts.price_part(desk, part, from_on=TODAY, cost_minor=cost, price_minor=None)
    if n:
        ledger.move(desk, Move(part_id=part, why="bought", quantity=n, to_place_id=shelf))
    return part


def the_load(desk, **values):
    (load,) = truck_loads(desk, TODAY, TOMORROW, **values)
    return load


def owed_visit(desk, round_, *kinds):
    site = a_site(desk)
    owed = something_owed(desk, site, needs_parts=list(kinds))
    return a_visit(
        desk, site, planned_on=TODAY, round_id=round_.id, kind_of="owed", job={"owed_id": owed.id}
    )


def test_owed_work_takes_its_parts_from_truck_shelf_and_supplier(desk, crew):
    _, round_, shelf, truck = crew
    article(desk, "spray-head", shelf=truck, n=1)
    article(desk, "check-valve", shelf=shelf, n=5)
    article(desk, "timer-clock")
    owed_visit(desk, round_, "spray-head", "check-valve", "timer-clock", "ball-valve")
    load = the_load(desk)

    assert [(p.key, p.quantity, p.buy, p.on_shelf) for p in load.picks] == [
        ("check-valve", 1, 0, 5),
        ("timer-clock", 1, 1, 0),
    ]
    assert (load.before, load.unbought, load.after, load.most) == (0, 0, 1, 1)
    assert [chance for _, chance in load.not_kept] == [1.0]
    lines = load_lines(load, desk)
    assert lines[0] == (
        "Lena Hobb, T1 · Oct 14, 2026 · 1 visit · 0 inspections · 0 callbacks · 1 owed"
    )
    assert lines[1] == ("All finished at the first visit: 0% as the truck is, 100% with this list")
    assert any("Ball valve (100%)" in line for line in lines)


def test_a_callback_takes_the_parts_of_its_causes(desk, crew):
    """The chance is that of the causes whose parts are there, summed by hand."""
    _, round_, shelf, _ = crew
    known = knowledge()
    for kind in known.part_kinds:
        article(desk, kind, shelf=shelf, n=2)
    site = a_site(desk)
    call = a_call(desk, site)
    a_visit(
        desk, site, planned_on=TODAY, round_id=round_.id, kind_of="callback",
        job={"call_id": call.id},
    )  # fmt: skip
    load = the_load(desk)
    ranking = rank(case_of(desk, site_id=site.id, symptoms=["high-water-alarm"]), known)
    there = {pick.key for pick in load.picks}
    lacking = sum(c.chance for c in ranking.causes if set(known.causes[c.cause].parts) - there
                  and c.chance >= 0.0005)  # fmt: skip

    taking = sum(c.chance for c in ranking.causes if known.causes[c.cause].parts)
    unknown = ranking.unlisted * taking / (1 - ranking.unlisted)
    assert load.most == pytest.approx(1 - unknown, abs=1e-6)
    assert load.after == pytest.approx(1 - unknown - lacking, abs=0.03)
    assert load.after >= 0.95 * load.most - 1e-9
    assert load.before < load.after
    assert the_load(desk, service=0.5).after < load.after
    assert load.unclear == ()


def test_a_call_without_symptom_is_said_and_not_counted(desk, crew):
    _, round_, _, _ = crew
    site = a_site(desk)
    call = a_call(desk, site, symptoms=[])
    a_visit(
        desk, site, planned_on=TODAY, round_id=round_.id, kind_of="callback",
        job={"call_id": call.id},
    )  # fmt: skip
    load = the_load(desk)

    assert load.unclear == ("118 Dry Hollow Lane",)
    assert load.after == 1


def test_inspections_take_what_they_usually_took(desk, crew):
    _, round_, shelf, _ = crew
    part = article(desk, "tablets-wastewater", shelf=shelf, n=9)
    site = a_site(desk)
    system = system_of(desk, site).id
    for n in range(4):
        visit = a_done_visit(
            desk, site, TODAY - timedelta(days=100 * (n + 1)), job={"system_id": system}
        )
        with desk.store.change(desk.who, "Used tablets") as work:
            if n < 3:
                jobs = work.session.query(Job).filter_by(visit_id=visit.id).all()
                work.add(PartLine(visit_id=visit.id, job_id=jobs[0].id, part_id=part,
                                  text="tablets", quantity=2))  # fmt: skip
    a_visit(
        desk, site, planned_on=TODAY, round_id=round_.id, kind_of="inspection",
        job={"system_id": system},
    )  # fmt: skip
    load = the_load(desk)

    # 3 of 4 inspections; the only system is the fleet, so that its share stands
    assert load.before == pytest.approx(0.25)
    assert [(p.key, p.quantity) for p in load.picks] == [("tablets-wastewater", 2)]
    assert load.after == 1


def test_two_trucks_do_not_take_the_same_piece_from_the_shelf(desk, crew):
    _, round_, shelf, _ = crew
    article(desk, "timer-clock", shelf=shelf, n=1)
    owed_visit(desk, round_, "timer-clock")
    tobin = a_technician(desk, "Tobin Hask")
    owed_visit(desk, a_round(desk, tobin), "timer-clock")
    loads = truck_loads(desk, TODAY, TOMORROW)

    assert [(load.technician, load.picks[0].buy) for load in loads] == [
        ("Lena Hobb", 0),
        ("Tobin Hask", 1),
    ]
    # a sheet printed for one alone promises no piece that another sheet has
    (alone,) = truck_loads(desk, TODAY, TOMORROW, lead_ids=[tobin.id])
    assert alone == loads[1]
    assert truck_loads(desk, TODAY, TOMORROW, lead_ids=[loads[0].technician_id]) == loads[:1]
    assert truck_loads(desk, TOMORROW, TOMORROW + timedelta(days=1)) == ()


def test_articles_of_no_kind_that_nobody_ever_took_are_not_asked_for(desk, crew):
    """A supplier's list of thousands of new parts must not make thousands of needs."""
    _, round_, shelf, _ = crew
    part = article(desk, "tablets-wastewater", shelf=shelf, n=9)
    for n in range(5):
        parts.write_part(desk, {"number": f"X{n}", "name": f"Thing {n}"})
    site = a_site(desk)
    system = system_of(desk, site).id
    visit = a_done_visit(desk, site, TODAY - timedelta(days=100), job={"system_id": system})
    with desk.store.change(desk.who, "Used tablets") as work:
        (job,) = work.session.query(Job).filter_by(visit_id=visit.id).all()
        work.add(PartLine(visit_id=visit.id, job_id=job.id, part_id=part, text="tablets"))
    a_visit(
        desk, site, planned_on=TODAY, round_id=round_.id, kind_of="inspection",
        job={"system_id": system},
    )  # fmt: skip
    load = the_load(desk)

    assert [pick.key for pick in load.picks] == ["tablets-wastewater"]
    assert load.further == ()
