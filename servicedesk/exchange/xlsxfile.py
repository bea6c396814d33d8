"""Workbooks: read by openpyxl without formulas, after a cheap look at each sheet's size."""

import re
import struct
import warnings
import zipfile
import zlib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from io import BytesIO
from typing import Any

from servicedesk.exchange.csvfile import looks_like_formula, too_long
from servicedesk.exchange.guard import pieces_of, save_as_sheet, shown
from servicedesk.exchange.sheetfile import (
    MAX_CELL_CHARS,
    MAX_CELLS,
    MAX_ROWS,
    Area,
    Row,
    SheetFile,
    Table,
    Value,
)
from servicedesk.values.trouble import Trouble
from servicedesk.words import say

MAX_SHARED_BYTES = 60_000_000
MAX_PADDED = 2_500_000  # cells counted with the empty ones left of a far-out column
# the bytes lie in memory: even an OSError speaks of the workbook, not of a disk
_TRIPPED = (
    LookupError,
    ValueError,
    TypeError,
    AttributeError,
    ArithmeticError,
    OSError,
    EOFError,
    RuntimeError,
    struct.error,
)
ERROR_MARKS = frozenset({"#REF!", "#N/A", "#VALUE!", "#DIV/0!", "#NAME?", "#NUM!", "#NULL!"})


def read_workbook(content: bytes, name: str) -> SheetFile:
    """Every sheet of a workbook that `guard` has let through. Raises Trouble."""
    from xml.etree.ElementTree import ParseError

    from defusedxml.common import DefusedXmlException
    from openpyxl.utils.exceptions import InvalidFileException

    try:
        looks = _looks(content)
        tables = _tables(content, looks)
    except _TooMuch as error:
        raise too_long(name) from error
    except (DefusedXmlException, ParseError, InvalidFileException, zipfile.BadZipFile) as error:
        raise _unreadable(name) from error
    except (*_TRIPPED, zlib.error) as error:
        # a damaged or foreign workbook trips openpyxl in many places; the file is the cause,
        # and the original error stays attached for the log
        raise _unreadable(name) from error
    if not any(table.rows for table in tables):
        raise Trouble(
            say("{name} has no filled cell in any of its sheets.", name=shown(name)),
            do=say("Choose the file that holds the list, and check that it was saved."),
        )
    return SheetFile(name=name, kind="xlsx", tables=tuple(tables))


class _TooMuch(Exception):
    """A sheet goes beyond the limits. Turned into words outside of all parsing."""


def _unreadable(name: str) -> Trouble:
    return Trouble(
        say("{name} is not a workbook that can be read.", name=shown(name)), do=save_as_sheet()
    )


@dataclass(frozen=True, slots=True)
class _Look:
    """What one pass over a sheet's XML tells before it is parsed."""

    n_rows: int
    n_cells: int
    has_formulas: bool
    merged: tuple[Area, ...]


def _looks(content: bytes) -> dict[str, _Look]:
    """One look per worksheet part. Raises _TooMuch where a sheet is beyond the limits."""
    looks: dict[str, _Look] = {}
    with zipfile.ZipFile(BytesIO(content)) as package:
        for part in package.infolist():
            if "sharedstrings" in part.filename.lower() and part.file_size > MAX_SHARED_BYTES:
                raise _TooMuch
            if re.search(r"worksheets/[^/]+\.xml$", part.filename):
                looks["/" + part.filename] = _look(pieces_of(package, part.filename))
    if sum(look.n_cells for look in looks.values()) > MAX_CELLS:
        raise _TooMuch
    return looks


def _look(pieces: Iterable[bytes]) -> _Look:
    n_rows = n_cells = 0
    has_formulas = False
    merged: list[Area] = []
    tail = b""
    for piece in pieces:
        seen = tail + piece
        # counted up to the last complete tag, the rest is carried into the next piece
        cut = seen.rfind(b"<")
        cut = len(seen) if cut <= 0 else cut
        part, tail = seen[:cut], seen[cut:][-4096:]
        n_rows += part.count(b"<row") + part.count(b":row ")
        n_cells += part.count(b"<v") + part.count(b"<is") + part.count(b":v>")
        has_formulas = has_formulas or b"<f>" in part or b"<f " in part or b":f>" in part
        merged += [
            area for ref in re.findall(rb'mergeCell ref="([^"]+)"', part) if (area := _area(ref))
        ]
        if n_cells > MAX_CELLS or (n_rows > MAX_ROWS and n_cells > MAX_ROWS):
            raise _TooMuch
    merged += [
        area for ref in re.findall(rb'mergeCell ref="([^"]+)"', tail) if (area := _area(ref))
    ]
    return _Look(n_rows, n_cells, has_formulas, tuple(merged))


def _area(ref: bytes) -> Area | None:
    from openpyxl.utils.cell import range_boundaries

    try:
        first_col, first_row, last_col, last_row = range_boundaries(ref.decode("ascii"))
    except (ValueError, TypeError):
        return None
    if first_col is None or first_row is None or last_col is None or last_row is None:
        return None  # a whole row or column
    return Area(first_row, first_col, last_row, last_col)


def _tables(content: bytes, looks: dict[str, _Look]) -> list[Table]:
    import openpyxl

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # about styles and extensions that do not matter here
        book = openpyxl.load_workbook(
            BytesIO(content), read_only=True, data_only=True, keep_links=False
        )
        written = None
        if any(look.has_formulas for look in looks.values()):
            written = openpyxl.load_workbook(
                BytesIO(content), read_only=True, data_only=False, keep_links=False
            )
        try:
            return [
                _table(sheet, written[sheet.title] if written else None, looks)
                for sheet in book.worksheets
            ]
        finally:
            book.close()
            if written:
                written.close()


def _table(sheet: Any, written: Any, looks: dict[str, _Look]) -> Table:
    part = str(getattr(sheet, "_worksheet_path", ""))
    look = looks.get(part if part.startswith("/") else "/" + part)
    rows: list[Row] = []
    formulas: set[tuple[int, int]] = set()
    broken: set[tuple[int, int]] = set()
    padded = 0
    for number, cells in enumerate(_cells(sheet), 1):
        padded += len(cells)
        if padded > MAX_PADDED or len(rows) > MAX_ROWS:
            raise _TooMuch
        values = _values(cells, number, formulas, broken)
        if any(value not in (None, "") for value in values):
            rows.append(Row(number, values))
    if written is not None and look is not None and look.has_formulas:
        formulas |= _unanswered(written, rows)
    return Table(
        name=str(sheet.title),
        rows=tuple(rows),
        hidden=sheet.sheet_state != "visible",
        merged=look.merged if look else (),
        formulas=frozenset(formulas),
        broken=frozenset(broken),
    )


def _cells(sheet: Any) -> Iterable[Sequence[Any]]:
    # the size a workbook states about itself may be far too large; openpyxl would pad every row
    sheet.reset_dimensions()
    rows: Iterable[Sequence[Any]] = sheet.iter_rows()
    return rows


def _values(
    cells: Sequence[Any], number: int, formulas: set[tuple[int, int]], broken: set[tuple[int, int]]
) -> tuple[Value, ...]:
    values: list[Value] = []
    for col, cell in enumerate(cells, 1):
        value: Any = cell.value
        if isinstance(value, str):
            value = value.strip()[:MAX_CELL_CHARS]
            if value in ERROR_MARKS:
                broken.add((number, col))
                value = None
            elif looks_like_formula(value):
                formulas.add((number, col))
        elif isinstance(value, int) and not isinstance(value, bool):
            value = _with_leading_zeros(value, str(cell.number_format or ""))
        elif value is not None and not isinstance(value, Value.__args__):  # type: ignore[attr-defined]
            value = str(value)
        values.append(value)
    while values and values[-1] in (None, ""):
        values.pop()
    return tuple(values)


def _with_leading_zeros(value: int, number_format: str) -> Value:
    """A postcode kept as number 7030 with the format 00000 reads 07030."""
    if value >= 0 and re.fullmatch(r"0{2,}", number_format):
        return str(value).zfill(len(number_format))
    return value


def _unanswered(written: Any, rows: list[Row]) -> set[tuple[int, int]]:
    """Formulas whose result the file does not hold: their cells would read as empty."""
    values = {row.number: row for row in rows}
    found: set[tuple[int, int]] = set()
    for number, cells in enumerate(_cells(written), 1):
        for col, cell in enumerate(cells, 1):
            if cell.data_type == "f":
                row = values.get(number)
                if row is None or row.value(col) is None:
                    found.add((number, col))
    return found
