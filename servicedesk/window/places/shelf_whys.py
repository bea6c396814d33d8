"""Why something cannot be done on the shelf now, in a sentence; None where it can."""

from typing import Any, Protocol

from servicedesk.desk.load import TruckLoad
from servicedesk.desk.order_list import OrderList
from servicedesk.desk.part_history import HistoryLine
from servicedesk.desk.price_list import PriceProposal
from servicedesk.desk.shelf import ShelfLine
from servicedesk.desk.shelf_page import LoadData, MoveRow, OrderRow, ShelfData
from servicedesk.words import say


class Stands(Protocol):
    """How the place stands."""

    data: ShelfData | None
    loads: LoadData | None
    wanted: OrderList | None
    prices: PriceProposal | None

    @property
    def part(self) -> ShelfLine | None: ...
    @property
    def truck(self) -> TruckLoad | None: ...
    def chosen(self, kind: type) -> Any: ...


def why_no_data(place: Stands) -> str | None:
    """Nothing is read yet, or there is no place to put things."""
    if place.data is None:
        return say("The shelf is still being read.")
    return None if place.data.places else say("There is no shelf yet: write one in Set up.")


def why_no_part(place: Stands) -> str | None:
    """Why nothing can be done about a part."""
    if place.part is None:
        return say("Choose a part in the list first.")
    return why_no_data(place)


def why_no_loads(place: Stands) -> str | None:
    """Why there is no list to print."""
    if place.loads is None or not place.loads.loads:
        return say("No truck has a planned visit on these days.")
    return None


def why_not_loaded(place: Stands) -> str | None:
    """Why no truck can be loaded."""
    load = place.truck
    if load is None or not any(one.quantity > one.buy for one in load.picks):
        return say("This truck has nothing to put on from the shelf.")
    return None


def why_no_order(place: Stands) -> str | None:
    """Why no order can arrive."""
    return None if place.chosen(OrderRow) else say("Choose an order under On order first.")


def why_no_claim(place: Stands) -> str | None:
    """Why no claim can be answered."""
    return None if place.chosen(MoveRow) else say("Choose a claim under Claims first.")


def why_no_move(place: Stands) -> str | None:
    """Why no move can be taken back."""
    line = place.chosen(HistoryLine)
    if line is None:
        return say("Open a part with Enter and choose one of its moves.")
    return say("That was taken back already.") if line.is_back else None


def why_no_prices(place: Stands) -> str | None:
    """Why no price list can be written."""
    if place.prices is None:
        return say("Bring in a price list first.")
    return None if place.prices.writes else say("The list changes nothing.")


def why_nothing_to_buy(place: Stands) -> str | None:
    """Why nothing can be ordered."""
    if place.wanted is None:
        return say("What is to be bought is still being worked out.")
    return None if place.wanted.quantities else say("Nothing is at its order point.")
