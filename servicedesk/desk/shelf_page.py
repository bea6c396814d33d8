"""The page of the shelf in values: trucks with their chance, parts with use and days left."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

from servicedesk.desk import ledger
from servicedesk.desk.cached import cached
from servicedesk.desk.load import TruckLoad, truck_loads
from servicedesk.desk.office import Desk
from servicedesk.desk.part_find import PartChoices, part_choices
from servicedesk.desk.shelf import ShelfPage, shelf, uses_of
from servicedesk.records import order_rows, planning_rows, stock_rows
from servicedesk.records.order_rows import OrderRow
from servicedesk.records.stock_rows import MoveRow, PlaceRow
from servicedesk.stock.lasting import Lasting, lasting

__all__ = ["LoadData", "MoveRow", "OrderRow", "PartUse", "PlaceRow", "ShelfData", "load_data",
           "next_load_day", "shelf_data"]  # fmt: skip

WEEKS = 26
LOOK_AHEAD_DAYS = 14
Span = Literal["day", "week"]


@dataclass(frozen=True, slots=True, kw_only=True)
class PartUse:
    """Use of a part: pieces by week, oldest first, a week on average, and how long it lasts."""

    by_week: tuple[int, ...]
    a_week: float
    lasts: Lasting | None


@dataclass(frozen=True, slots=True, kw_only=True)
class ShelfData:
    """What the page shows besides loads. `places`: the shelf first, then the trucks."""

    page: ShelfPage
    places: tuple[PlaceRow, ...]
    uses: Mapping[int, PartUse]
    orders: tuple[OrderRow, ...]
    claims: tuple[MoveRow, ...]
    names: Mapping[int, str]
    choices: PartChoices
    load_day: date


@dataclass(frozen=True, slots=True)
class LoadData:
    """The loads of some days, `until` excluded."""

    first: date
    until: date
    loads: tuple[TruckLoad, ...]


def shelf_data(desk: Desk) -> ShelfData:
    """Parts, places, orders and claims as of today."""
    page = shelf(desk)
    today = desk.today
    since = today - timedelta(days=7 * WEEKS)
    with desk.store.read() as session:
        places = stock_rows.places(session, today)
        moves = stock_rows.moves(session, whys=["used", "returned"], since=since)
        orders = tuple(order_rows.orders(session, only_open=True))
        names = {one.id: one.name for one in stock_rows.parts(session, today, ended=True)}
    weeks: dict[int, list[int]] = {}
    for move in moves:
        if since < move.moved_on <= today:
            own = weeks.setdefault(move.part_id, [0] * WEEKS)
            n = move.quantity if move.why == "used" else -move.quantity
            own[(move.moved_on - since).days * WEEKS // (7 * WEEKS + 1)] += n
    uses = uses_of(desk)
    return ShelfData(
        page=page,
        places=tuple(sorted(places, key=lambda one: (one.truck_id is not None, one.id))),
        uses={
            line.part.id: PartUse(
                by_week=tuple(max(0, n) for n in weeks.get(line.part.id, [0] * WEEKS)),
                a_week=line.a_year / (365.25 / 7),
                lasts=lasting(uses[line.part.id], line.at_hand) if line.used else None,
            )
            for line in page.lines
        },
        orders=orders,
        claims=ledger.open_claims(desk),
        names=names,
        choices=part_choices(desk),
        load_day=next_load_day(desk),
    )


def next_load_day(desk: Desk) -> date:
    """The next day on which a truck has planned visits, tomorrow if there is none."""
    days = [desk.today + timedelta(days=n) for n in range(1, LOOK_AHEAD_DAYS + 1)]
    with desk.store.read() as session:
        for day in days:
            visits = planning_rows.visits_of_day(session, day)
            if any(v.state == "planned" and v.lead_id is not None for v in visits):
                return day
    return days[0]


def load_data(desk: Desk, day: date, span: Span) -> LoadData:
    """The loads of a day, or of the seven days from it. Kept until something changes."""
    until = day + timedelta(days=7 if span == "week" else 1)
    loads = cached(desk, ("loads", day, until, desk.today), lambda: truck_loads(desk, day, until))
    return LoadData(day, until, loads)
