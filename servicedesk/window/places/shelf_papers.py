"""What the shelf's worker does in one go: reads the order list, writes lists and orders."""

from collections.abc import Callable

from servicedesk.desk import part_orders
from servicedesk.desk.office import Desk
from servicedesk.desk.order_list import OrderList, order_list
from servicedesk.desk.part_papers import write_order_papers, write_pick_lists
from servicedesk.desk.shelf_page import LoadData, ShelfData


def read_order_list(desk: Desk, data: ShelfData) -> OrderList:
    """On the worker: what to buy, with what the patterns say."""
    return order_list(desk, page=data.page)


def write_lists(desk: Desk, loads: LoadData) -> tuple[str, str]:
    """On the worker: the pick lists as one PDF; its folder and name."""
    path = write_pick_lists(desk, loads.loads)
    return str(path.parent), path.name


def write_orders(desk: Desk, wanted: OrderList, tell: Callable[[object], None]) -> object:
    """On the worker: the orders in one change, then their papers."""
    ordered = part_orders.order_parts(desk, wanted.quantities)
    paths = write_order_papers(desk, ordered.numbers)
    tell((str(paths[0].parent), paths[0].name))
    return ordered.changed
