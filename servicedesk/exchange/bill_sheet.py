"""The list to bill as a workbook: one table, typed cells, filter, frozen head, a sum."""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from io import BytesIO
from typing import Any

from servicedesk.exchange.pattern_sheet import write_text

Cell = str | date | Decimal | None
MOST_WIDE = 44


def bills_xlsx(
    title: str,
    head: Sequence[str],
    rows: Sequence[Sequence[Cell]],
    *,
    digits: int,
    sum_name: str,
    page_of: str,
    letter: bool,
) -> bytes:
    """A workbook with one sheet. A `Decimal` is money with `digits` after the point.

    Below the table stands the sum of its money column as a formula that follows the filter.
    `page_of` is the foot of a printed page in a spreadsheet's own codes. Texts stay texts.
    """
    from openpyxl import Workbook
    from openpyxl.styles import Font
    from openpyxl.utils import get_column_letter

    book = Workbook()
    sheet: Any = book.active
    write_text_title(sheet, title)
    for col, name in enumerate(head, 1):
        write_text(sheet.cell(1, col), name)
        sheet.cell(1, col).font = Font(bold=True)
    money = "#,##0" + ("." + "0" * digits if digits else "")
    for number, row in enumerate(rows, 2):
        for col, value in enumerate(row, 1):
            _write(sheet.cell(number, col), value, money)
    last = len(rows) + 1
    _widths(sheet, head, rows)
    sheet.freeze_panes = "B2"
    sheet.auto_filter.ref = f"A1:{get_column_letter(len(head))}{max(last, 2)}"
    _sum(sheet, rows, last, sum_name, money)
    _print_setup(sheet, page_of, letter=letter)
    buffer = BytesIO()
    book.save(buffer)
    return buffer.getvalue()


def _widths(sheet: Any, head: Sequence[str], rows: Sequence[Sequence[Cell]]) -> None:
    from openpyxl.utils import get_column_letter

    for col, name in enumerate(head, 1):
        widest = max([len(name), *(len(str(row[col - 1] or "")) for row in rows)])
        sheet.column_dimensions[get_column_letter(col)].width = min(MOST_WIDE, widest + 3)


def _sum(sheet: Any, rows: Sequence[Sequence[Cell]], last: int, sum_name: str, money: str) -> None:
    """The sum of the first column of money, of the rows that the filter shows."""
    from openpyxl.styles import Font
    from openpyxl.utils import get_column_letter

    col = next((n for row in rows for n, v in enumerate(row, 1) if isinstance(v, Decimal)), None)
    if col is None:
        return
    at = get_column_letter(col)
    write_text(sheet.cell(last + 2, max(1, col - 1)), sum_name)
    cell = sheet.cell(last + 2, col)
    cell.value = f"=SUBTOTAL(109,{at}2:{at}{last})"
    cell.number_format = money
    cell.font = Font(bold=True)


def write_text_title(sheet: Any, title: str) -> None:
    """The sheet's name, without what a spreadsheet does not take."""
    sheet.title = "".join(" " if sign in r"\/*?:[]" else sign for sign in title)[:31]


def _write(cell: Any, value: Cell, money: str) -> None:
    if isinstance(value, str):
        write_text(cell, value)
    elif isinstance(value, Decimal):
        cell.value = value
        cell.number_format = money
    elif value is not None:
        cell.value = value
        cell.number_format = "yyyy-mm-dd"


def _print_setup(sheet: Any, page_of: str, *, letter: bool) -> None:
    sheet.page_setup.orientation = "landscape"
    sheet.page_setup.paperSize = 1 if letter else 9  # codes of the format for Letter and A4
    sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight = 1, 0
    sheet.sheet_properties.pageSetUpPr.fitToPage = True
    sheet.print_title_rows = "1:1"
    sheet.oddFooter.center.text = page_of
