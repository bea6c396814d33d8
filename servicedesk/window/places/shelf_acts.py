"""What can be done on the shelf: the table of its actions."""

from functools import partial
from typing import Protocol

from servicedesk.window.actions import Act
from servicedesk.window.places import shelf_whys as whys
from servicedesk.words import say


class ShowsShelf(whys.Stands, Protocol):
    """What the actions ask of the place."""

    def print_loads(self) -> None: ...
    def write_loaded(self) -> None: ...
    def turn_span(self) -> None: ...
    def count_part(self) -> None: ...
    def move_part(self, why: str) -> None: ...
    def add_part(self) -> None: ...
    def edit_part(self) -> None: ...
    def write_orders(self) -> None: ...
    def arrived(self) -> None: ...
    def give_up(self) -> None: ...
    def answer_claim(self) -> None: ...
    def take_back(self) -> None: ...
    def bring_prices(self) -> None: ...
    def take_prices(self) -> None: ...
    def find_part(self) -> None: ...
    def back(self) -> None: ...


def shelf_acts(place: ShowsShelf) -> tuple[Act, ...]:
    """All actions of the place, single letters among them."""
    return (*_load_acts(place), *_part_acts(place), *_buying_acts(place))


def _load_acts(place: ShowsShelf) -> tuple[Act, ...]:
    load = say("What goes on the trucks")
    return (
        Act(id="print_loads", text=say("Print load lists"), shortcut=("P", "Ctrl+P"),
            group=load, do=place.print_loads, when=partial(whys.why_no_loads, place)),
        Act(id="loaded", text=say("Loaded"), shortcut="L", group=load, do=place.write_loaded,
            when=partial(whys.why_not_loaded, place)),
        Act(id="span", text=say("A day or a week"), shortcut="W", group=load,
            do=place.turn_span),
    )  # fmt: skip


def _part_acts(place: ShowsShelf) -> tuple[Act, ...]:
    part, data = say("The chosen part"), partial(whys.why_no_data, place)
    one = partial(whys.why_no_part, place)
    return (
        Act(id="find_part", text=say("Scan or type a part"), shortcut="F", group=part,
            do=place.find_part),
        Act(id="count", text=say("Count…"), shortcut="C", group=part, do=place.count_part,
            when=one),
        Act(id="move", text=say("Move…"), shortcut="M", group=part, when=one,
            do=partial(place.move_part, "moved")),
        Act(id="bought", text=say("Bought…"), shortcut="B", group=part, when=one,
            do=partial(place.move_part, "bought")),
        Act(id="scrap", text=say("Scrap…"), shortcut="X", group=part, when=one,
            do=partial(place.move_part, "scrapped")),
        Act(id="returned", text=say("Came back…"), shortcut="R", group=part, when=one,
            do=partial(place.move_part, "returned")),
        Act(id="edit", text=say("Edit…"), shortcut="E", group=part, do=place.edit_part,
            when=one),
        Act(id="new", text=say("New part…"), shortcut="N", group=part, do=place.add_part,
            when=data),
        Act(id="take_back", text=say("Take the move back"), shortcut="U", group=part,
            do=place.take_back, when=partial(whys.why_no_move, place)),
        Act(id="back", text=say("Back to the parts"), shortcut="Esc", group=part,
            do=place.back),
    )  # fmt: skip


def _buying_acts(place: ShowsShelf) -> tuple[Act, ...]:
    buy, data = say("Buying"), partial(whys.why_no_data, place)
    return (
        Act(id="order", text=say("Order what is to buy"), shortcut="O", group=buy,
            do=place.write_orders, when=partial(whys.why_nothing_to_buy, place)),
        Act(id="arrived", text=say("Arrived…"), shortcut="A", group=buy, do=place.arrived,
            when=partial(whys.why_no_order, place)),
        Act(id="give_up", text=say("Will not come"), shortcut="G", group=buy, do=place.give_up,
            when=partial(whys.why_no_order, place)),
        Act(id="claim", text=say("Claim answered…"), shortcut="Q", group=buy,
            do=place.answer_claim, when=partial(whys.why_no_claim, place)),
        Act(id="prices", text=say("Price list…"), shortcut="I", group=buy,
            do=place.bring_prices, when=data),
        Act(id="take_prices", text=say("Write the price list"), shortcut="Ctrl+Return",
            group=buy, do=place.take_prices, when=partial(whys.why_no_prices, place)),
    )  # fmt: skip
