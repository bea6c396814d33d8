"""An order of parts to a supplier, as one goes out by mail or e-mail."""

from dataclasses import dataclass

from servicedesk.papers.layout import PAGE_SIZES, PageName, Pages, text_line, wrap
from servicedesk.papers.paint import write_pdf
from servicedesk.papers.parts_table import PartsTable, lines_block, table_block
from servicedesk.values.shapes import Box, Font, Shape

MARGIN, FOOT = 54.0, 36.0
COMPANY, TITLE = Font(14.0, 600, "title"), Font(16.0, 600, "title")
TEXT, STRONG, FINE = Font(10.5), Font(11.0, 600), Font(8.2)


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderPaper:
    """An order in words. `total` "" where a cost is not known; `notes` stand below the lines."""

    company: str
    company_lines: tuple[str, ...]
    to: tuple[str, ...]
    title: str
    second: str
    table: PartsTable
    total: str
    notes: tuple[str, ...]
    foot: str


def order_pdf(order: OrderPaper, size: PageName = "letter") -> bytes:
    """The order as PDF. Equal orders give equal bytes."""
    return write_pdf(order_pages(order, size), PAGE_SIZES[size], order.title)


def order_pages(order: OrderPaper, size: PageName = "letter") -> list[list[Shape]]:
    """The shapes of its pages before they are painted."""
    width, height = PAGE_SIZES[size]
    inner = Box(MARGIN, MARGIN, width - 2 * MARGIN, height - 2 * MARGIN - FOOT)
    pages = Pages(inner, inner.y)
    pages.place(lines_block((order.company,), COMPANY, inner))
    pages.place(lines_block(order.company_lines, FINE, inner, after=22.0))
    pages.place(lines_block(order.to, TEXT, inner, after=18.0))
    pages.place(lines_block((order.title,), TITLE, inner, after=2.0))
    pages.place(lines_block((order.second,), TEXT, inner, after=14.0))
    pages.place(table_block(order.table, inner))
    if order.total:
        pages.place(lines_block(("", order.total), STRONG, inner, after=6.0))
    pages.place(lines_block(("", *order.notes), TEXT, inner))
    return with_foot(pages, order.foot, inner, height)


def with_foot(pages: Pages, foot: str, inner: Box, height: float) -> list[list[Shape]]:
    """Pages with a line at the foot of each, numbered where there are more than one."""
    for number, shapes in enumerate(pages.pages, 1):
        of = f" · {number}/{len(pages.pages)}" if len(pages.pages) > 1 else ""
        shapes += [
            text_line(line, FINE, inner.x, height - FOOT + n * FINE.size * 1.3, color="ink2")
            for n, line in enumerate(wrap(foot + of, FINE, inner.width))
        ]
    return pages.pages
