"""Rows of the list to bill: what and where, for whom, since when, how it stands, how much."""

from dataclasses import dataclass

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QPainter, QPaintEvent

from servicedesk.desk.bills import BILLED, PAID, TO_BILL, Bill
from servicedesk.window.ink import Ink
from servicedesk.window.models.row_delegate import two_lines
from servicedesk.window.models.row_list import Row
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.axis_rows import AxisHead, AxisPainter, Cell, cell_box
from servicedesk.words import say

ICONS = {"renewal": "note", "job": "check", "part": "shelf", "trip": "rounds", "other": "note"}
COLORS = {TO_BILL: "ochre", BILLED: "water", PAID: "moss"}


@dataclass(frozen=True, slots=True)
class BillCells:
    """What a row says beside its title: for whom, which day, how it stands, how much."""

    bill: Bill
    day: str
    state: str
    more: str
    amount: str


@dataclass(frozen=True, slots=True)
class BillColumns:
    """Where the columns of a row lie, in pixels from the left."""

    what: Cell
    customer: Cell
    day: Cell
    state: Cell
    amount: Cell


def bill_columns(width: float, scale: float) -> BillColumns:
    """Columns for a row of `width` pixels; the amount keeps its own."""
    gap, amount = 16 * scale, 104 * scale
    rest = width - amount - 6 * gap - 30 * scale
    edges, x = [], gap + 30 * scale
    for share in (0.36, 0.22, 0.15, 0.27):
        edges.append((x, x + rest * share))
        x += rest * share + gap
    what, customer, day, state = edges
    return BillColumns(what, customer, day, state, (width - gap - amount, width - gap))


class BillPainter(AxisPainter):
    """Paints `Row`s whose thing is a `BillCells`."""

    def paint_row(self, ink: Ink, box: QRectF, row: Row) -> None:
        cells = row.thing
        if not isinstance(cells, BillCells):
            return
        columns = bill_columns(box.width(), self._theme.scale)
        color = COLORS.get(cells.bill.state, "ink2")
        self.paint_icon(ink, box, row.icon, color)
        two_lines(ink, cell_box(box, columns.what), row.title, cells.bill.address, lead=True)
        ink.text(cell_box(box, columns.customer), cells.bill.customer, color="ink2")
        ink.text(cell_box(box, columns.day), cells.day, color="ink2")
        two_lines(ink, cell_box(box, columns.state), cells.state, cells.more)
        ink.text(cell_box(box, columns.amount), cells.amount, weight=600, align="right",
                 color="clay" if cells.bill.amount_minor is None else "ink")  # fmt: skip


class BillHead(AxisHead):
    """The headings over the rows."""

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme)
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)

    def paintEvent(self, event: QPaintEvent) -> None:
        box = QRectF(self.rect())
        columns = bill_columns(box.width(), self._theme.scale)
        with QPainter(self) as painter:
            ink = Ink(painter, self._theme)
            ink.line(box.bottomLeft(), box.bottomRight(), "edge")
            for words, cell in (
                (say("What, and where"), columns.what),
                (say("Customer"), columns.customer),
                (say("Day"), columns.day),
                (say("How it stands"), columns.state),
            ):
                ink.text(cell_box(box, cell), words, role="second", color="ink2")
            ink.text(cell_box(box, columns.amount), say("Amount"), role="second", color="ink2",
                     align="right")  # fmt: skip
