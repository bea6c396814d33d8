"""The shelf: what lies where, what it is used for, what to buy, what lies dead."""

from dataclasses import replace
from datetime import timedelta

import pytest

from servicedesk.desk import ledger, parts
from servicedesk.desk.ledger import Move
from servicedesk.desk.shelf import shelf
from servicedesk.desk.shelf_text import shelf_lines
from servicedesk.records.company import Truck
from servicedesk.records.parts import StockPlace
from servicedesk.stock.intermittent import Use
from servicedesk.stock.reorder import Terms, order_rule
from tests.builders import TODAY, a_done_visit, a_site

LONG_AGO = TODAY - timedelta(days=1461)  # four years


@pytest.fixture
def lie(desk):
    """A shelf and a truck."""
    with desk.store.change(desk.who, "Wrote places") as work:
        truck = work.add(Truck(name="T1"))
        on_shelf = work.add(StockPlace(name="Shelf"))
        on_truck = work.add(StockPlace(name="T1", truck_id=truck.id))
    return on_shelf.id, on_truck.id


def article(desk, number, **values):
    changed = parts.write_part(desk, {"number": number, "name": number, **values})
    return next(iter(changed.rows["part"]))


def bought(desk, part, place, n, on=LONG_AGO):
    ledger.move(desk, Move(part_id=part, why="bought", quantity=n, to_place_id=place, on=on))


def used(desk, part, place, n, on):
    visit = a_done_visit(desk, a_site(desk), on)
    return ledger.move(
        desk,
        Move(part_id=part, why="used", quantity=n, from_place_id=place, visit_id=visit.id, on=on),
    )


def test_order_points_come_from_use_and_count_from_the_shelf(desk, lie):
    on_shelf, on_truck = lie
    part = article(desk, "tablets", pack=4)
    other = article(desk, "never")
    parts.price_part(desk, part, from_on=LONG_AGO, cost_minor=5000, price_minor=None)
    bought(desk, part, on_shelf, 20)
    bought(desk, part, on_truck, 8)
    bought(desk, other, on_shelf, 1)
    for n in range(10):
        used(desk, part, on_shelf, 2, TODAY - timedelta(days=130 * n + 1))
    page = shelf(desk)
    first, second = page.lines

    # by the module of its own checks: 20 uses in 4 years, toward the mean of both parts
    rule = order_rule(Use(20, 4.0, 20 / 8.0), Terms(7, 14, pack=4))
    assert (first.part.id, first.on_shelf, first.at_hand, first.used) == (part, 0, 8, 20)
    assert first.lying == {"T1": 8}
    assert (first.point, first.up_to) == (rule.point, rule.up_to)
    assert first.a_year == pytest.approx(rule.a_year, rel=0.01)
    assert (first.buy, first.cost_minor) == (4, 20_000)
    assert first.runs_out_on > TODAY + timedelta(days=365)
    assert (second.part.id, second.buy, second.is_dead, second.runs_out_on) == (
        other, 0, True, None,
    )  # fmt: skip
    assert (page.n_buy, page.n_dead, page.cost_minor, page.since) == (1, 1, 20_000, LONG_AGO)
    text = "\n".join(shelf_lines(page, desk))
    assert "2 parts · 1 to buy · for $200.00 · 1 lies dead" in text
    assert "lies dead · never used, so none is kept" in text


def test_what_came_back_from_a_visit_was_not_used(desk, lie):
    on_shelf, _ = lie
    part = article(desk, "float")
    bought(desk, part, on_shelf, 5)
    used(desk, part, on_shelf, 3, TODAY)
    ledger.move(desk, Move(part_id=part, why="returned", quantity=2, to_place_id=on_shelf))

    (line,) = shelf(desk).lines
    assert (line.used, line.on_shelf) == (1, 4)


def test_less_than_nothing_is_shouted_first(desk, lie):
    on_shelf, _ = lie
    article(desk, "a-part")
    part = article(desk, "z-part")
    bought(desk, part, on_shelf, 1)
    used(desk, part, on_shelf, 3, TODAY)
    page = shelf(desk)

    assert (page.n_short, page.lines[0].part.id, page.lines[0].short_at) == (1, part, ("Shelf",))
    assert shelf_lines(page, desk)[1] == (
        "! Less than nothing by the book: z-part (Shelf -2). Count it and write what is there."
    )


def test_on_a_day_before_the_ledger_nothing_is_known_and_nothing_breaks(desk, lie):
    part = article(desk, "tablets")
    bought(desk, part, lie[0], 20, on=TODAY)
    long_ago = replace(desk, clock=replace(desk.clock, fixed_day=LONG_AGO))
    (line,) = shelf(long_ago).lines
    assert (line.used, line.a_year, line.buy) == (0, 0, 0)


def test_an_empty_catalogue_is_said(file_desk):
    assert shelf_lines(shelf(file_desk), file_desk) == ["There is no part in the catalogue yet."]
