"""Rows as a spreadsheet: texts stay texts, numbers numbers, nothing becomes a formula."""

import re
from collections.abc import Sequence
from io import BytesIO
from typing import Any

Cell = str | int | float | None
_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f]")
_NOT_IN_TITLES = re.compile(r"[\\/*?:\[\]]")
MOST_WIDE, TITLE_LENGTH, TEXT_LENGTH = 60, 31, 32_767  # the format's own limits for the last two


def rows_sheet(tables: Sequence[tuple[str, Sequence[str], Sequence[Sequence[Cell]]]]) -> bytes:
    """An xlsx with one sheet for each (title, column names, rows).

    Texts are written as texts whatever they begin with. Equal input gives equal cells; the file
    itself carries the time at which it was made.
    """
    from openpyxl import Workbook
    from openpyxl.styles import Font

    book = Workbook()
    for first in book.worksheets:
        book.remove(first)
    for title, names, rows in tables:
        sheet: Any = book.create_sheet(_NOT_IN_TITLES.sub(" ", title)[:TITLE_LENGTH])
        for col, name in enumerate(names, 1):
            write_text(sheet.cell(1, col), name)
            sheet.cell(1, col).font = Font(bold=True)
        for number, row in enumerate(rows, 2):
            for col, value in enumerate(row, 1):
                _write(sheet.cell(number, col), value)
        sheet.freeze_panes = "A2"
        for col, name in enumerate(names, 1):
            widest = max([len(name), *(len(str(row[col - 1] or "")) for row in rows)])
            letter = sheet.cell(1, col).column_letter
            sheet.column_dimensions[letter].width = min(MOST_WIDE, widest + 2)
    buffer = BytesIO()
    book.save(buffer)
    return buffer.getvalue()


def write_text(cell: Any, text: str) -> None:
    """Write `text` as text: never as a formula, a link or a number."""
    cell.value = _CONTROL.sub(" ", text)[:TEXT_LENGTH]
    cell.data_type = "s"


def _write(cell: Any, value: Cell) -> None:
    if isinstance(value, str):
        write_text(cell, value)
    elif value is not None:
        cell.value = value
