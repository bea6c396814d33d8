"""Writes the two workbooks of ``sample_db/sheets`` from ``office_rows.csv``. All of it is invented.

A workbook is no file to write by hand, its rows are: this script only dresses them as an office
does, with merged titles, groups over the headings, real dates and sheets nobody cleaned up.
Run ``python -m sample_db.make_sheets`` after changing the rows.
"""

import csv
import re
from collections.abc import Sequence
from datetime import date, datetime
from pathlib import Path
from typing import Any

FOLDER = Path(__file__).parent / "sheets"
INVENTED = "Invented data - Tarrow County and everybody in it do not exist"
GROUPS = (("Contract", 14, 17), ("Inspections 2025", 18, 20), ("Inspections 2026", 21, 23))
GPS_COLUMN = 8


def office_rows() -> list[list[Any]]:
    """The rows by hand, with figures and ISO days as numbers and dates."""
    with (FOLDER / "office_rows.csv").open(encoding="utf-8", newline="") as lines:
        return [[_typed(text) for text in row] for row in csv.reader(lines)]


def _typed(text: str) -> Any:
    if re.fullmatch(r"\d+", text):
        return int(text)
    if re.fullmatch(r"\d{4}-\d\d-\d\d", text):
        return date.fromisoformat(text)
    return text or None


def office_book(path: Path, *, with_positions: bool) -> None:
    """The workbook: titles, groups, headings on row 4, sections, a repeated heading, totals."""
    import openpyxl
    from openpyxl.styles import Font

    rows = office_rows()
    width = len(rows[0])
    book = openpyxl.Workbook()
    sheet: Any = book.active
    sheet.title = "Customers 2026"
    sheet["A1"] = "SALLOW FORK ONSITE CARE - Maintenance customers"
    sheet["A1"].font = Font(bold=True, size=14)
    sheet["A2"] = INVENTED + ". Updated 10/2/26 Ines"
    shift = 0 if with_positions else 1
    for row in (1, 2):
        sheet.merge_cells(start_row=row, start_column=1, end_row=row, end_column=width - shift)
    for title, first, last in GROUPS:
        sheet.cell(3, first - shift, title)
        sheet.merge_cells(
            start_row=3, start_column=first - shift, end_row=3, end_column=last - shift
        )
    if not with_positions:
        rows = [row[: GPS_COLUMN - 1] + row[GPS_COLUMN:] for row in rows]
    _write(sheet, 4, rows)
    _write(book.create_sheet("2019 list (old)"), 1, [["Name", "Phone"], ["Kemble, Roy", None]])
    lists = book.create_sheet("lists")
    lists.sheet_state = "hidden"
    _write(lists, 1, [["spray"], ["drip"]])
    book.properties.creator = "Invented office"
    book.properties.created = book.properties.modified = datetime(2026, 10, 2)
    book.save(path)


def _write(sheet: Any, at: int, rows: Sequence[Sequence[Any]]) -> None:
    for number, row in enumerate(rows, at):
        for col, value in enumerate(row, 1):
            if value is None:
                continue
            cell = sheet.cell(number, col, value)
            if isinstance(value, date):
                cell.number_format = "m/d/yy"
            elif isinstance(value, str) and value.startswith("="):
                cell.data_type = "s"  # text that looks like a formula, as it was typed


def write_all(folder: Path = FOLDER) -> None:
    """Write both workbooks into `folder`."""
    office_book(folder / "office_list.xlsx", with_positions=True)
    office_book(folder / "office_list_without_positions.xlsx", with_positions=False)


if __name__ == "__main__":
    write_all()
