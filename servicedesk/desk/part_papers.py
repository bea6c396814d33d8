"""Papers of the shelf: orders to suppliers as PDF and XLSX, pick lists of trucks."""

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from servicedesk.desk.load import PickLine, TruckLoad
from servicedesk.desk.office import Desk
from servicedesk.desk.part_orders import order_lines, total_minor
from servicedesk.desk.places_on_disk import papers_folder
from servicedesk.papers.layout import PageName
from servicedesk.records.order_rows import OrderRow
from servicedesk.values.money import Money
from servicedesk.words import say, say_n
from servicedesk.words.formats import minor_digits

if TYPE_CHECKING:
    from servicedesk.papers.pick_list import TruckPage


def write_order_papers(
    desk: Desk, numbers: Sequence[int], folder: Path | None = None
) -> list[Path]:
    """Each order as PDF and as XLSX, whole or not at all: the files written.

    `folder` None: with the other papers. Raises Trouble for a number without order, or a folder
    that cannot be written.
    """
    from servicedesk.desk.morning import write_papers
    from servicedesk.desk.sheets import Paper

    papers = []
    for number in numbers:
        lines = order_lines(desk, number)
        name = say("order-{number}", number=number)
        papers.append(Paper(f"{name}.pdf", order_pdf_of(desk, lines)))
        papers.append(Paper(f"{name}.xlsx", order_sheet_of(desk, lines)))
    return write_papers(papers, folder or papers_folder(desk.store.place))


def order_pdf_of(desk: Desk, lines: Sequence[OrderRow]) -> bytes:
    """One order as PDF."""
    from servicedesk.papers.order_paper import OrderPaper, order_pdf
    from servicedesk.papers.parts_table import Column, PartsTable

    first = lines[0]
    company = desk.company
    total = total_minor(lines)
    paper = OrderPaper(
        company=company.name,
        company_lines=tuple(one for one in (company.address, company.phone) if one),
        to=(first.supplier or say("To the supplier"),),
        title=say("Order {number}", number=first.number),
        second=desk.formats.long_day(first.ordered_on),
        table=PartsTable(
            (
                Column(say("Your number"), 16, strong=True),
                Column(say("What"), 36),
                Column(say("Our number"), 12),
                Column(say("How many"), 12, "right", strong=True),
                Column(say("Unit"), 9),
                Column(say("Each, as we expect"), 15, "right"),
            ),
            tuple(_order_cells(desk, one) for one in lines),
        ),
        total="" if total is None else say("As we expect: {money}", money=_money(desk, total)),
        notes=_order_notes(desk, lines),
        foot=_foot(desk),
    )
    return order_pdf(paper, _size(desk))


def _order_cells(desk: Desk, one: OrderRow) -> tuple[str, ...]:
    cost = "—" if one.unit_cost_minor is None else _money(desk, one.unit_cost_minor)
    number = desk.formats.number(one.quantity)
    return (
        one.supplier_number or "—", one.part_name, one.part_number, number, _unit(one.unit), cost,
    )  # fmt: skip


def _unit(unit: str) -> str:
    return say("each") if unit == "each" else unit


def _order_notes(desk: Desk, lines: Sequence[OrderRow]) -> tuple[str, ...]:
    days = [one.expected_on for one in lines if one.expected_on is not None]
    notes = [one.note for one in lines if one.note]
    if days:
        day = desk.formats.long_day(max(days))
        notes.append(say("We expect everything by {day}. Please tell us if that changes.", day=day))
    return tuple(dict.fromkeys(notes))


def order_sheet_of(desk: Desk, lines: Sequence[OrderRow]) -> bytes:
    """One order as a spreadsheet; costs are numbers in the company's currency."""
    from servicedesk.exchange.pattern_sheet import rows_sheet

    per = 10 ** minor_digits(desk.company.currency)
    names = (
        say("Order"), say("Supplier"), say("Your number"), say("What"), say("Our number"),
        say("How many"), say("Unit"), say("Each, {currency}", currency=desk.company.currency),
        say("Ordered"), say("Expected"),
    )  # fmt: skip
    rows = [
        (
            one.number, one.supplier, one.supplier_number, one.part_name, one.part_number,
            one.quantity, _unit(one.unit),
            None if one.unit_cost_minor is None else one.unit_cost_minor / per,
            one.ordered_on.isoformat(),
            "" if one.expected_on is None else one.expected_on.isoformat(),
        )
        for one in lines
    ]  # fmt: skip
    return rows_sheet([(say("Order {number}", number=lines[0].number), names, rows)])


def write_pick_lists(desk: Desk, loads: Sequence[TruckLoad], folder: Path | None = None) -> Path:
    """The pick lists of some trucks in one PDF: the file. Raises Trouble as orders do."""
    from servicedesk.desk.morning import write_papers
    from servicedesk.desk.sheets import Paper
    from servicedesk.papers.pick_list import pick_list_pdf

    days = sorted({day for load in loads for day in load.days}) or [desk.today]
    pages = [truck_page(desk, load) for load in loads]
    name = say("load-{day}", day=days[0].isoformat())
    data = pick_list_pdf(pages, say("Load lists"), _size(desk))
    (path,) = write_papers([Paper(f"{name}.pdf", data)], folder or papers_folder(desk.store.place))
    return path


def truck_page(desk: Desk, load: TruckLoad) -> "TruckPage":
    """One truck's page in words."""
    from servicedesk.desk.load_text import chance_lines, days_text, left_out_lines
    from servicedesk.papers.parts_table import Column, PartsTable
    from servicedesk.papers.pick_list import TruckPage

    who = load.technician
    if load.truck:
        who = say("{technician}, {truck}", technician=who, truck=load.truck)
    counts = say_n("{n} visit", "{n} visits", load.n_visits)
    return TruckPage(
        title=who,
        second=f"{days_text(load, desk)} · {counts}",
        chance=tuple(chance_lines(load)),
        table=PartsTable(
            (
                Column(say("Put on"), 9, "right", strong=True),
                Column(say("Part"), 38, strong=True),
                Column(say("Number"), 18),
                Column(say("On the truck"), 12, "right"),
                Column(say("Take from"), 23),
            ),
            tuple(_pick_cells(one) for one in load.picks),
            ticks=True,
        ),
        none=say("Nothing to put on: what is on the truck reaches the aim."),
        notes=tuple(left_out_lines(load)),
        foot=_foot(desk),
    )


def _pick_cells(one: PickLine) -> tuple[str, ...]:
    shelf = one.quantity - one.buy
    where = say("shelf") if not one.buy else say("buy {n} first", n=one.buy)
    if one.buy and shelf:
        where = say("shelf {n}, buy {m} first", n=shelf, m=one.buy)
    return str(one.quantity), one.name, one.numbers, str(one.on_truck), where


def _size(desk: Desk) -> PageName:
    return "a4" if desk.company.page_size == "a4" else "letter"


def _money(desk: Desk, minor: int) -> str:
    return desk.formats.money(Money(minor, desk.company.currency))


def _foot(desk: Desk) -> str:
    parts = (desk.company.name, desk.formats.long_day(desk.today), desk.company.invented_note)
    return " · ".join(part for part in parts if part)
