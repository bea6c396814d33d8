"""The pick list on a route sheet: what to put on the truck, and what it does for the day."""

from collections.abc import Collection
from dataclasses import replace
from datetime import date, timedelta

from servicedesk.desk.load import PickLine, TruckLoad, truck_loads
from servicedesk.desk.load_text import chance_lines
from servicedesk.desk.office import Desk
from servicedesk.papers.rows import PickItem, RouteSheet
from servicedesk.records import part_line_rows
from servicedesk.words import say


def sheet_loads(
    desk: Desk, day: date, lead_ids: Collection[int] | None = None
) -> dict[int, TruckLoad]:
    """The load of each technician with visits to come on a day, as it is told on the sheets.

    None where the company keeps no parts: there is nothing to pick from.
    """
    with desk.store.read() as session:
        if not part_line_rows.has_parts(session):
            return {}
    loads = truck_loads(desk, day, day + timedelta(days=1), lead_ids=lead_ids)
    return {load.technician_id: load for load in loads}


def with_picks(sheet: RouteSheet, load: TruckLoad) -> RouteSheet:
    """The sheet with its pick list; without a need of parts it stays as it is."""
    if not load.picks and load.before >= load.most:
        return sheet
    picks = tuple(_item(one) for one in load.picks)
    return replace(sheet, picks=picks, pick_chance=chance_lines(load)[0])


def _item(one: PickLine) -> PickItem:
    note = say("buy {n} first", n=one.buy) if one.buy else ""
    return PickItem(one.quantity, one.name, one.numbers, note)
