"""How many parts ask for action, for the spine: to be bought, or less than nothing by the book."""

from servicedesk.desk.cached import cached_for
from servicedesk.desk.office import Desk

_RESTS_ON = ("part", "stock_move", "stock_place", "part_order")


def shelf_waiting(desk: Desk) -> int:
    """As the page counts them; counted anew only where parts, moves, places or orders changed."""
    return cached_for(desk, _RESTS_ON, ("shelf waiting", desk.today), lambda: _count(desk))


def _count(desk: Desk) -> int:
    # loaded when it is asked for: the window opens without the mathematics of demand
    from servicedesk.desk.shelf import shelf

    page = shelf(desk)
    return page.n_buy + page.n_short
