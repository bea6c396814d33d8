"""Rows as CSV for any spreadsheet (RFC 4180), in which no text becomes a formula."""

import csv
from collections.abc import Iterable, Sequence
from io import StringIO

Cell = str | int | float | None
_FORMULA = ("=", "+", "-", "@", "\t", "\r")


def csv_bytes(rows: Iterable[Sequence[Cell]]) -> bytes:
    """UTF-8 with a mark at the start, as spreadsheet programs want it; lines end with CRLF.

    A text that a spreadsheet would reckon with gets an apostrophe before it; a number as text
    ("-94.05", "+14095550100") stays as it is.
    """
    buffer = StringIO()
    writer = csv.writer(buffer, lineterminator="\r\n")
    for row in rows:
        writer.writerow([_safe(cell) for cell in row])
    return b"\xef\xbb\xbf" + buffer.getvalue().encode("utf-8", "replace")


def _safe(cell: Cell) -> Cell:
    if isinstance(cell, str) and cell.startswith(_FORMULA) and not _is_number(cell):
        return "'" + cell
    return cell


def _is_number(text: str) -> bool:
    return text[1:].replace(".", "", 1).isdigit() and text.isascii()
