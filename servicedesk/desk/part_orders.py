"""Orders of parts: written by supplier with a number, arrived whole or in part, given up."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from servicedesk.desk import checking, ledger
from servicedesk.desk.checking import Wrong
from servicedesk.desk.ledger import Move
from servicedesk.desk.office import Desk
from servicedesk.desk.shelf import LEAD_DAYS
from servicedesk.records import order_rows, stock_rows
from servicedesk.records.order_rows import OrderRow
from servicedesk.records.parts import PartOrder
from servicedesk.records.stock_rows import PartRow
from servicedesk.records.store import Changed
from servicedesk.values.trouble import Trouble
from servicedesk.words import say, say_n

SERIES = "part_order"


@dataclass(frozen=True, slots=True)
class Ordered:
    """What was written: the numbers of the orders, one for each supplier."""

    changed: Changed
    numbers: tuple[int, ...]


def open_orders(desk: Desk) -> tuple[OrderRow, ...]:
    """Lines that are still on their way, the oldest order first."""
    with desk.store.read() as session:
        return tuple(order_rows.orders(session, only_open=True))


def order_lines(desk: Desk, number: int) -> tuple[OrderRow, ...]:
    """The lines of one order. Raises Trouble if there is none of that number."""
    with desk.store.read() as session:
        found = tuple(order_rows.orders(session, number=number))
    if not found:
        raise Trouble(
            say("There is no order {number}.", number=number),
            do=say("Look at what is on order: servicedesk shelf order"),
        )
    return found


def order_parts(desk: Desk, wanted: Mapping[int, int], *, note: str = "") -> Ordered:
    """Order so many pieces of each part, one order for each supplier, in one change.

    Cost and day of arrival are as the catalogue expects them today. Raises WrongEntry for numbers
    below one, Trouble for a part that is not in the catalogue.
    """
    says = say("How many is a number from 1 on.")
    checking.refuse(Wrong(str(key), says) for key, n in wanted.items() if n < 1)
    if not wanted:
        raise Trouble(say("Nothing is to be ordered."), do=say("Choose parts and how many."))
    with desk.store.read() as session:
        parts = {one.id: one for one in stock_rows.parts(session, desk.today)}
    for key in wanted:
        if key not in parts:
            raise Trouble(
                say("That part is not in the catalogue any more."),
                do=say("Look at the shelf again and choose anew."),
            )
    by_firm: dict[tuple[str, int], list[PartRow]] = {}
    for key in sorted(wanted, key=lambda one: parts[one].number):
        part = parts[key]
        by_firm.setdefault((part.supplier, part.supplier_id or 0), []).append(part)
    what = say_n("Ordered {n} part", "Ordered {n} parts", len(wanted))
    numbers = []
    with desk.store.change(desk.who, what) as work:
        for _, some in sorted(by_firm.items()):
            number = work.next_number(SERIES)
            numbers.append(number)
            for part in some:
                work.add(_new_line(desk, part, number, wanted[part.id], note))
    return Ordered(work.changed, tuple(numbers))


def _new_line(desk: Desk, part: PartRow, number: int, quantity: int, note: str) -> PartOrder:
    lead = LEAD_DAYS if part.lead_days is None else part.lead_days
    return PartOrder(
        number=number,
        part_id=part.id,
        supplier_id=part.supplier_id,
        quantity=quantity,
        unit_cost_minor=part.cost_minor,
        ordered_on=desk.today,
        expected_on=desk.today + timedelta(days=lead),
        note=note.strip(),
    )


def arrived(
    desk: Desk,
    order_id: int,
    *,
    place_id: int,
    quantity: int | None = None,
    on: date | None = None,
    unit_cost_minor: int | None = None,
    seen: int | None = None,
) -> Changed:
    """An ordered part came, all of it or `quantity`: bought by the ledger, the order closed.

    What is still to come stays on order under the same number. More than was ordered is written as
    it came. `unit_cost_minor` None: as ordered. Raises WrongEntry, StaleEdit, and Trouble for an
    order that is not open.
    """
    day = on or desk.today
    one = _open_line(desk, order_id)
    came = one.quantity if quantity is None else quantity
    checking.refuse(_wrong_arrival(desk, one, place_id, came, day, unit_cost_minor))
    bought = Move(
        part_id=one.part_id,
        why="bought",
        quantity=came,
        to_place_id=place_id,
        on=day,
        unit_cost_minor=one.unit_cost_minor if unit_cost_minor is None else unit_cost_minor,
        details={"order": one.number},
    )
    what = say("Arrived: {n} x {name}", n=came, name=one.part_name)
    with desk.store.change(desk.who, what) as work:
        record = work.fresh(PartOrder, order_id, seen=seen)
        _refuse_closed(record)
        if came < record.quantity:
            work.add(_rest_of(record, came))
        record.quantity, record.arrived_on = came, day
        ledger.add_move(desk, work, bought)
    return work.changed


def _wrong_arrival(
    desk: Desk, one: OrderRow, place_id: int, came: int, day: date, unit_cost_minor: int | None
) -> list[Wrong]:
    wrong = []
    if came < 1:
        wrong.append(Wrong("quantity", say("How many is a number from 1 on.")))
    if day < one.ordered_on:
        wrong.append(Wrong("on", say("It was ordered later than that.")))
    if unit_cost_minor is not None and unit_cost_minor < 0:
        wrong.append(Wrong("unit_cost_minor", say("A price is 0 or more.")))
    with desk.store.read() as session:
        counted = stock_rows.last_counted_on(session, one.part_id, place_id)
    return wrong + ledger.wrong_day(desk, day, counted)


def _rest_of(record: PartOrder, came: int) -> PartOrder:
    """What is still to come of a line."""
    return PartOrder(
        number=record.number,
        part_id=record.part_id,
        supplier_id=record.supplier_id,
        quantity=record.quantity - came,
        unit_cost_minor=record.unit_cost_minor,
        ordered_on=record.ordered_on,
        expected_on=record.expected_on,
        note=record.note,
    )


def give_up(desk: Desk, order_id: int, *, note: str = "", seen: int | None = None) -> Changed:
    """What was ordered will not come. Raises StaleEdit, Trouble for an order that is not open."""
    one = _open_line(desk, order_id)
    what = say("Gave up the order of {n} x {name}", n=one.quantity, name=one.part_name)
    with desk.store.change(desk.who, what) as work:
        record = work.fresh(PartOrder, order_id, seen=seen)
        _refuse_closed(record)
        record.given_up_on = desk.today
        record.note = note.strip() or record.note
    return work.changed


def _open_line(desk: Desk, order_id: int) -> OrderRow:
    with desk.store.read() as session:
        found = [one for one in order_rows.orders(session) if one.id == order_id]
    if not found or not found[0].is_open:
        raise _not_open()
    return found[0]


def _refuse_closed(record: PartOrder) -> None:
    """Somebody else may have written it meanwhile."""
    if record.arrived_on is not None or record.given_up_on is not None:
        raise _not_open()


def _not_open() -> Trouble:
    return Trouble(
        say("That order is not open any more."),
        do=say("Look at what is on order; somebody may have written its arrival."),
    )


def shelf_place(desk: Desk) -> int:
    """Where deliveries are put: the first place that is no truck. Raises Trouble without one."""
    with desk.store.read() as session:
        found = [one.id for one in stock_rows.places(session, desk.today) if one.truck_id is None]
    if not found:
        raise Trouble(
            say("There is no shelf to put it on."), do=say("Write a shelf in Set up first.")
        )
    return found[0]


def by_supplier(lines: Iterable[OrderRow]) -> dict[str, list[OrderRow]]:
    """Lines by the name of their supplier, "" where none is kept."""
    found: dict[str, list[OrderRow]] = {}
    for one in sorted(lines, key=lambda row: (row.supplier.casefold(), row.number, row.id)):
        found.setdefault(one.supplier, []).append(one)
    return found


def total_minor(lines: Iterable[OrderRow]) -> int | None:
    """What lines cost together, None where a cost is not known."""
    costs = [(one.unit_cost_minor, one.quantity) for one in lines]
    if any(cost is None for cost, _ in costs):
        return None
    return sum((cost or 0) * n for cost, n in costs)
