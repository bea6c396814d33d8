"""Orders of parts: by supplier with a number, arrived whole or in part, given up, taken back."""

from datetime import timedelta
from io import BytesIO

import pytest
from openpyxl import load_workbook

from servicedesk.desk import ledger, part_orders, parts
from servicedesk.desk.changes import undo
from servicedesk.desk.checking import WrongEntry
from servicedesk.desk.ledger import Move
from servicedesk.desk.part_papers import write_order_papers
from servicedesk.desk.shelf import shelf
from servicedesk.desk.shelf_text import shelf_lines
from servicedesk.records.parts import StockPlace
from servicedesk.records.people import Firm
from servicedesk.values.trouble import Trouble
from tests.builders import TODAY


@pytest.fixture
def stock(file_desk):
    """A shelf, two suppliers, three parts: two of the first supplier, one of the other."""
    desk = file_desk
    with desk.store.change(desk.who, "Wrote places") as work:
        place = work.add(StockPlace(name="Shelf")).id
        firms = [work.add(Firm(name=name)).id for name in ("Beck Supply", "Amber Electric")]
    made = []
    for number, firm, lead in (("A-1", 0, 10), ("A-2", 0, None), ("R-1", 1, 3)):
        values = {"number": number, "name": f"Part {number}", "supplier_id": firms[firm]}
        values |= {"lead_days": lead, "reorder_at": 2, "supplier_number": f"H{number}"}
        changed = parts.write_part(desk, values)
        made.append(next(iter(changed.rows["part"])))
        parts.price_part(desk, made[-1], from_on=TODAY, cost_minor=1250, price_minor=None)
    return desk, place, made


def line_of(desk, part):
    return next(one for one in shelf(desk).lines if one.part.id == part)


def test_one_change_makes_an_order_for_each_supplier(stock):
    desk, _, (first, second, other) = stock
    ordered = part_orders.order_parts(desk, {first: 4, second: 2, other: 1})
    lines = part_orders.open_orders(desk)

    assert len(ordered.numbers) == 2
    assert {(one.number, one.part_number) for one in lines} == {
        (ordered.numbers[0], "R-1"), (ordered.numbers[1], "A-1"), (ordered.numbers[1], "A-2"),
    }  # fmt: skip
    by_part = {one.part_id: one for one in lines}
    assert by_part[first].expected_on == TODAY + timedelta(days=10)
    assert by_part[second].expected_on == TODAY + timedelta(days=7)  # none is kept: the usual
    assert by_part[first].unit_cost_minor == 1250
    assert part_orders.total_minor(lines) == 7 * 1250

    undo(desk, ordered.changed.change_id)
    assert part_orders.open_orders(desk) == ()


def test_what_is_on_order_is_not_bought_again(stock):
    desk, _, (first, *_) = stock
    wanted = line_of(desk, first).buy
    assert wanted > 0
    part_orders.order_parts(desk, {first: wanted})
    line = line_of(desk, first)

    assert (line.buy, line.on_order) == (0, wanted)
    assert line.expected_on == TODAY + timedelta(days=10)
    assert any(f"{wanted} on order for" in text for text in shelf_lines(shelf(desk), desk))


def test_a_part_of_an_order_arrives_and_the_rest_stays_on_order(stock):
    desk, place, (first, *_) = stock
    part_orders.order_parts(desk, {first: 5})
    (one,) = part_orders.open_orders(desk)
    before = ledger.balances(desk)
    changed = part_orders.arrived(desk, one.id, place_id=place, quantity=2, unit_cost_minor=1300)
    (rest,) = part_orders.open_orders(desk)

    assert ledger.balances(desk) == {(first, place): 2}
    assert (rest.number, rest.quantity, rest.ordered_on) == (one.number, 3, one.ordered_on)
    assert line_of(desk, first).on_order == 3
    later = part_orders.arrived(desk, rest.id, place_id=place)
    assert ledger.balances(desk) == {(first, place): 5}
    assert part_orders.open_orders(desk) == ()

    with pytest.raises(Trouble, match="Arrived: 3 x Part A-1"):
        undo(desk, changed.change_id)  # the rest came since: that is taken back first
    undo(desk, later.change_id)
    undo(desk, changed.change_id)
    assert ledger.balances(desk) == before == {}
    (again,) = part_orders.open_orders(desk)
    assert (again.id, again.quantity) == (one.id, 5)


def test_an_arrival_is_not_taken_back_across_a_count(stock):
    desk, place, (first, *_) = stock
    part_orders.order_parts(desk, {first: 5})
    (one,) = part_orders.open_orders(desk)
    changed = part_orders.arrived(desk, one.id, place_id=place)
    ledger.count(desk, first, place, 4)

    with pytest.raises(Trouble, match="not taken back"):
        undo(desk, changed.change_id)
    assert part_orders.open_orders(desk) == ()
    assert ledger.balances(desk) == {(first, place): 4}


def test_what_was_given_up_or_has_come_cannot_come_again(stock):
    desk, place, (first, second, _) = stock
    part_orders.order_parts(desk, {first: 1, second: 1})
    one, two = part_orders.open_orders(desk)
    part_orders.give_up(desk, one.id, note="out of production")
    part_orders.arrived(desk, two.id, place_id=place)

    for line in (one, two):
        with pytest.raises(Trouble, match="not open"):
            part_orders.arrived(desk, line.id, place_id=place)
        with pytest.raises(Trouble, match="not open"):
            part_orders.give_up(desk, line.id)
    assert part_orders.order_lines(desk, one.number)[0].note == "out of production"


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({"quantity": 0}, "quantity"),
        ({"on": TODAY + timedelta(days=1)}, "on"),
        ({"on": TODAY - timedelta(days=1)}, "on"),
        ({"unit_cost_minor": -1}, "unit_cost_minor"),
    ],
)
def test_a_wrong_arrival_is_refused_by_its_field(stock, values, field):
    desk, place, (first, *_) = stock
    part_orders.order_parts(desk, {first: 5})
    (one,) = part_orders.open_orders(desk)
    with pytest.raises(WrongEntry) as refused:
        part_orders.arrived(desk, one.id, place_id=place, **values)
    assert [wrong.field for wrong in refused.value.wrong] == [field]
    assert ledger.balances(desk) == {}


def test_an_order_goes_out_as_pdf_and_spreadsheet(stock, tmp_path):
    desk, _, (first, second, _) = stock
    ordered = part_orders.order_parts(desk, {first: 4, second: 2})
    pdf, xlsx = write_order_papers(desk, ordered.numbers, tmp_path)
    again = write_order_papers(desk, ordered.numbers, tmp_path / "again")

    assert pdf.read_bytes().startswith(b"%PDF")
    assert pdf.read_bytes() == again[0].read_bytes()
    rows = list(load_workbook(BytesIO(xlsx.read_bytes())).active.values)
    assert [(row[2], row[5], row[7]) for row in rows[1:]] == [("HA-1", 4, 12.5), ("HA-2", 2, 12.5)]
    with pytest.raises(Trouble, match="no order 99"):
        write_order_papers(desk, [99], tmp_path)


def test_moves_of_other_kinds_do_not_close_orders(stock):
    desk, place, (first, *_) = stock
    part_orders.order_parts(desk, {first: 5})
    ledger.move(desk, Move(part_id=first, why="bought", quantity=5, to_place_id=place))
    assert len(part_orders.open_orders(desk)) == 1
