"""The forms of the shelf: counted, moved, bought, scrapped, came back, arrived, a part, a list."""

from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path
from typing import Any

from servicedesk.desk import ledger, part_orders, parts
from servicedesk.desk.ledger import Move
from servicedesk.desk.office import Desk
from servicedesk.desk.price_list import Ask, PriceProposal, look_at_prices
from servicedesk.desk.shelf import ShelfLine
from servicedesk.desk.shelf_page import MoveRow, OrderRow, PlaceRow, ShelfData
from servicedesk.window.widgets.setup_fields import FieldSpec
from servicedesk.window.widgets.setup_form import EntryForm
from servicedesk.words import say

Values = dict[str, Any]
_PART_FIELDS = (
    "number", "name", "part_kind", "unit", "pack", "supplier_id", "supplier_number", "barcode",
    "reorder_at", "lead_days", "ended_on",
)  # fmt: skip


def _places(places: Sequence[PlaceRow]) -> tuple[tuple[Any, str], ...]:
    return tuple((one.id, one.name) for one in places)


def _quantity() -> FieldSpec:
    return FieldSpec(name="quantity", label=say("How many"), kind="number")


def _note() -> FieldSpec:
    return FieldSpec(name="note", label=say("Note"))


def _hint(data: ShelfData, line: ShelfLine) -> str:
    there = ", ".join(
        say("{place} {n}", place=one.name, n=line.lying.get(one.name, 0)) for one in data.places
    )
    return say("{number} {name}: {there}", number=line.part.number, name=line.part.name,
               there=there)  # fmt: skip


def ask_count(form: EntryForm, desk: Desk, data: ShelfData, line: ShelfLine) -> None:
    """How many are there at a place."""
    place = FieldSpec(name="place_id", label=say("Counted at"), kind="choice",
                      options=_places(data.places), covers=("on",))  # fmt: skip
    there = FieldSpec(name="there", label=say("There are"), kind="number")
    form.open_form(
        say("Count"),
        (place, there, _note()),
        {"place_id": data.places[0].id},
        partial(_count, desk, line.part.id),
        button=say("Write the count"),
        hint=_hint(data, line),
        focus="there",
    )


def _count(desk: Desk, part_id: int, values: Values, _seen: int | None) -> object:
    there = values["there"]
    moved = ledger.count(
        desk, part_id, values["place_id"], -1 if there is None else there, note=values["note"]
    )
    return moved.changed


_WORDS: dict[str, Callable[[], tuple[str, str]]] = {
    "moved": lambda: (say("Move to another place"), say("Write the move")),
    "bought": lambda: (say("Bought"), say("Write what was bought")),
    "scrapped": lambda: (say("Scrapped"), say("Write what was scrapped")),
    "returned": lambda: (say("Came back from a visit"), say("Write what came back")),
}


def ask_move(form: EntryForm, desk: Desk, data: ShelfData, line: ShelfLine, why: str) -> None:
    """One move of a part, of the kind `why`."""
    places = _places(data.places)
    ends = {
        "from": FieldSpec(name="from_place_id", label=say("From"), kind="choice", options=places),
        "to": FieldSpec(name="to_place_id", label=say("To"), kind="choice", options=places),
    }
    wanted = {
        "moved": ("from", "to"), "bought": ("to",), "scrapped": ("from",), "returned": ("to",),
    }[why]  # fmt: skip
    fields = [_quantity(), *(ends[name] for name in wanted)]
    if why == "bought":
        fields.append(
            FieldSpec(name="unit_cost_minor", label=say("Cost of one"), kind="money",
                      currency=desk.company.currency)
        )  # fmt: skip
    title, button = _WORDS[why]()
    first = data.places[0].id
    other = data.places[1].id if len(data.places) > 1 else first
    form.open_form(
        title,
        (*fields, FieldSpec(name="on", label=say("On"), kind="day"), _note()),
        {"from_place_id": first, "to_place_id": other if why == "moved" else first,
         "quantity": 1, "unit_cost_minor": line.part.cost_minor, "on": desk.today},
        partial(_move, desk, line.part.id, why),
        button=button,
        hint=_hint(data, line),
    )  # fmt: skip


def _move(desk: Desk, part_id: int, why: str, values: Values, _seen: int | None) -> object:
    one = Move(
        part_id=part_id,
        why=why,
        quantity=values["quantity"] or 0,
        from_place_id=values.get("from_place_id"),
        to_place_id=values.get("to_place_id"),
        on=values["on"],
        unit_cost_minor=values.get("unit_cost_minor"),
        note=values["note"],
    )
    return ledger.move(desk, one).changed


def ask_arrived(form: EntryForm, desk: Desk, data: ShelfData, one: OrderRow) -> None:
    """An order came, all of it or some."""
    fields = (
        _quantity(),
        FieldSpec(name="place_id", label=say("Put on"), kind="choice",
                  options=_places(data.places)),
        FieldSpec(name="unit_cost_minor", label=say("Cost of one"), kind="money",
                  currency=desk.company.currency),
        FieldSpec(name="on", label=say("On"), kind="day"),
    )  # fmt: skip
    form.open_form(
        say("Arrived"),
        fields,
        {"quantity": one.quantity, "place_id": data.places[0].id,
         "unit_cost_minor": one.unit_cost_minor, "on": desk.today},
        partial(_arrived, desk, one.id),
        button=say("Write the arrival"),
        hint=say("Order {number}: {n} x {name}. What does not come now stays on order.",
                 number=one.number, n=one.quantity, name=one.part_name),
        seen=one.revision,
    )  # fmt: skip


def _arrived(desk: Desk, order_id: int, values: Values, seen: int | None) -> object:
    quantity = values["quantity"]
    return part_orders.arrived(
        desk,
        order_id,
        place_id=values["place_id"],
        quantity=0 if quantity is None else quantity,
        on=values["on"],
        unit_cost_minor=values["unit_cost_minor"],
        seen=seen,
    )


def ask_claim(form: EntryForm, desk: Desk, data: ShelfData, one: MoveRow) -> None:
    """The supplier's answer to a warranty claim."""
    answers = (("credit", say("Credit")), ("refusal", say("Refused")))
    form.open_form(
        say("Answer to the claim"),
        (
            FieldSpec(name="answer", label=say("Answer"), kind="choice", options=answers),
            FieldSpec(name="credit_minor", label=say("Credited"), kind="money",
                      currency=desk.company.currency),
            _note(),
        ),
        {"answer": "credit", "credit_minor": one.unit_cost_minor},
        partial(_claim, desk, one.id),
        button=say("Write the answer"),
        hint=say("{n} x {name}", n=one.quantity, name=data.names.get(one.part_id, "")),
    )  # fmt: skip


def _claim(desk: Desk, claim_id: int, values: Values, _seen: int | None) -> object:
    credit = values["credit_minor"] if values["answer"] == "credit" else None
    return ledger.answer_claim(
        desk, claim_id, values["answer"], credit_minor=credit, note=values["note"]
    )


def part_fields(desk: Desk, data: ShelfData) -> tuple[FieldSpec, ...]:
    """Everything the catalogue keeps of a part."""
    none = say("none")
    kinds = (("", none), *data.choices.kinds)
    firms = ((None, none), *data.choices.firms)
    currency = desk.company.currency
    return (
        FieldSpec(name="number", label=say("Our number")),
        FieldSpec(name="name", label=say("Name")),
        FieldSpec(name="part_kind", label=say("Kind"), kind="choice", options=kinds,
                  hint=say("of the fault knowledge")),
        FieldSpec(name="unit", label=say("Unit"), hint=say("each, foot, box")),
        FieldSpec(name="pack", label=say("Pieces in a pack"), kind="number"),
        FieldSpec(name="barcode", label=say("Barcode"), hint=say("scan it into this field")),
        FieldSpec(name="supplier_id", label=say("Supplier"), kind="choice", options=firms,
                  heading=say("Where it is bought")),
        FieldSpec(name="supplier_number", label=say("Its number there")),
        FieldSpec(name="lead_days", label=say("Days until it comes"), kind="number"),
        FieldSpec(name="reorder_at", label=say("Order when left"), kind="number",
                  hint=say("empty: by its use")),
        FieldSpec(name="cost_minor", label=say("Cost"), kind="money", currency=currency,
                  heading=say("Cost and price; old visits keep theirs")),
        FieldSpec(name="price_minor", label=say("Price"), kind="money", currency=currency),
        FieldSpec(name="from_on", label=say("They hold from"), kind="day"),
        FieldSpec(name="ended_on", label=say("Not kept from"), kind="day",
                  heading=say("No longer in use")),
    )  # fmt: skip


def ask_part(form: EntryForm, desk: Desk, data: ShelfData, line: ShelfLine | None) -> None:
    """A new part, or the chosen one."""
    part = line.part if line else None
    values: Values = {"unit": "each", "pack": 1, "part_kind": ""}
    if part is not None:
        values = {name: getattr(part, name) for name in (*_PART_FIELDS, "cost_minor",
                                                         "price_minor")}  # fmt: skip
    form.open_form(
        say("New part") if part is None else say("Part {number}", number=part.number),
        part_fields(desk, data),
        {**values, "from_on": desk.today},
        partial(_part, desk, part.id if part else None),
        button=say("Write the part"),
        seen=part.revision if part else None,
    )


def _part(desk: Desk, part_id: int | None, values: Values, seen: int | None) -> object:
    given = {name: values[name] for name in _PART_FIELDS}
    if given["pack"] is None:
        given["pack"] = 1
    return parts.write_part_and_price(
        desk,
        given,
        part_id=part_id,
        seen=seen,
        cost_minor=values["cost_minor"],
        price_minor=values["price_minor"],
        from_on=values["from_on"],
    )


def ask_price_list(
    form: EntryForm, desk: Desk, data: ShelfData, file: Path, show: Callable[[PriceProposal], None]
) -> None:
    """Whose list it is and from when it holds; `show` gets on the worker what it would change."""
    fields = (
        FieldSpec(name="supplier_id", label=say("Whose list"), kind="choice",
                  options=data.choices.firms),
        FieldSpec(name="from_on", label=say("Holds from"), kind="day"),
        FieldSpec(name="adds_new", label=say("New parts"), kind="tick",
                  hint=say("also take parts that the catalogue does not have")),
    )  # fmt: skip
    form.open_form(
        say("Price list"),
        fields,
        {"from_on": desk.today},
        partial(_look, desk, file, show),
        button=say("Look at it"),
        hint=file.name,
    )


def _look(
    desk: Desk,
    file: Path,
    show: Callable[[PriceProposal], None],
    values: Values,
    _seen: int | None,
) -> object:
    """On the worker. Nothing is touched yet: only what would change is handed over."""
    ask = Ask(from_on=values["from_on"], adds_new=bool(values["adds_new"]))
    show(look_at_prices(desk, file, values["supplier_id"], ask))
    return None
