"""What to put on each truck: one page a truck, with boxes to tick."""

from collections.abc import Sequence
from dataclasses import dataclass

from servicedesk.papers.layout import PAGE_SIZES, PageName, Pages
from servicedesk.papers.order_paper import FOOT, MARGIN, with_foot
from servicedesk.papers.paint import write_pdf
from servicedesk.papers.parts_table import PartsTable, lines_block, table_block
from servicedesk.values.shapes import Box, Font, Shape

TITLE, HEAD, TEXT = Font(18.0, 600, "title"), Font(11.5, 600), Font(10.5)


@dataclass(frozen=True, slots=True, kw_only=True)
class TruckPage:
    """A truck's load in words: whose it is, the chance it gives, what to put on, what is owed."""

    title: str
    second: str
    chance: tuple[str, ...]
    table: PartsTable
    none: str
    notes: tuple[str, ...]
    foot: str


def pick_list_pdf(trucks: Sequence[TruckPage], title: str, size: PageName = "letter") -> bytes:
    """Every truck on a page of its own. Equal loads give equal bytes."""
    pages = [page for truck in trucks for page in truck_pages(truck, size)]
    return write_pdf(pages, PAGE_SIZES[size], title)


def truck_pages(truck: TruckPage, size: PageName = "letter") -> list[list[Shape]]:
    """The shapes of one truck's pages before they are painted."""
    width, height = PAGE_SIZES[size]
    inner = Box(MARGIN, MARGIN, width - 2 * MARGIN, height - 2 * MARGIN - FOOT)
    pages = Pages(inner, inner.y)
    pages.place(lines_block((truck.title,), TITLE, inner, after=2.0))
    pages.place(lines_block((truck.second,), TEXT, inner, after=8.0))
    pages.place(lines_block(truck.chance[:1], HEAD, inner))
    pages.place(lines_block(truck.chance[1:], TEXT, inner, after=12.0))
    if truck.table.rows:
        pages.place(table_block(truck.table, inner))
    else:
        pages.place(lines_block((truck.none,), TEXT, inner))
    pages.place(lines_block(("", *truck.notes), TEXT, inner))
    return with_foot(pages, truck.foot, inner, height)
