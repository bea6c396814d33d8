"""A file of tables as it lies on the disk: rows of plain values with their true addresses.

`read_sheet_file` is the only way in. It opens nothing that `guard` has not looked at, and every
file that cannot be read becomes one `Trouble` with a sentence. Nothing here knows what the columns
mean: that is the work of `headers` (where the table begins) and `understood` (what it says).
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date, datetime, time
from pathlib import Path

Value = str | int | float | bool | datetime | date | time | None
"""What one cell holds. Text files hold only text; a workbook also numbers, dates, times."""

MAX_BYTES = 60_000_000  # a list of 10,000 sites with ten years of visits stays below 10 MB
MAX_ROWS = 100_000  # ten years of visits at 3,000 sites, a line each
MAX_CELLS = 400_000  # of a workbook: about 4 seconds of reading on 2 quiet cores, measured
MAX_TEXT_CELLS = 1_500_000  # of a text file, which reads ten times as fast
MAX_CELL_CHARS = 32_767  # the most that a spreadsheet itself lets a cell hold; from memory


def column_letters(col: int) -> str:
    """The letters of column `col`, counted from 1: 1 is "A", 27 is "AA"."""
    letters = ""
    while col > 0:
        col, rest = divmod(col - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters


def text_of(value: Value) -> str:
    """`value` as a person would read it in the cell; empty cells give "".

    Whole numbers lose the ".0" that a spreadsheet adds; days are written as ISO 8601.
    """
    if isinstance(value, str):
        return value.replace("\xa0", " ").strip()
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return str(int(value)) if value.is_integer() and abs(value) < 1e15 else repr(value)
    if isinstance(value, datetime):
        midnight = value.time() == time()
        return value.date().isoformat() if midnight else value.isoformat(" ", "minutes")
    if isinstance(value, (date, time)):
        return value.isoformat()
    return str(value)


@dataclass(frozen=True, slots=True)
class Cell:
    """One cell: `row` and `col` count from 1 as in the file itself."""

    row: int
    col: int
    value: Value

    @property
    def ref(self) -> str:
        """The address a spreadsheet shows: "C17"."""
        return f"{column_letters(self.col)}{self.row}"

    @property
    def text(self) -> str:
        """What a person reads in it."""
        return text_of(self.value)


@dataclass(frozen=True, slots=True)
class Row:
    """One row that holds something: its number in the file and its values from column A on."""

    number: int
    values: tuple[Value, ...]

    def value(self, col: int) -> Value:
        """The value in column `col` (from 1), None beyond the end."""
        return self.values[col - 1] if 0 < col <= len(self.values) else None

    def text(self, col: int) -> str:
        """The text in column `col` (from 1)."""
        return text_of(self.value(col))

    def cell(self, col: int) -> Cell:
        """The cell in column `col` with its address."""
        return Cell(self.number, col, self.value(col))

    def filled(self) -> list[int]:
        """The columns (from 1) that hold something."""
        return [i for i, value in enumerate(self.values, 1) if text_of(value)]


@dataclass(frozen=True, slots=True)
class Area:
    """Cells merged into one; all four bounds are inside."""

    first_row: int
    first_col: int
    last_row: int
    last_col: int

    def holds(self, row: int, col: int) -> bool:
        """Is the cell one of the merged ones?"""
        inside_rows = self.first_row <= row <= self.last_row
        return inside_rows and self.first_col <= col <= self.last_col


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """One sheet. `rows` leaves out empty rows; each knows its own number.

    `formulas`: addresses whose content is a formula written as text, or one whose result is not
    in the file. `broken`: addresses holding a spreadsheet's own error mark such as #REF!.
    """

    name: str
    rows: tuple[Row, ...]
    hidden: bool = False
    merged: tuple[Area, ...] = ()
    formulas: frozenset[tuple[int, int]] = field(default_factory=frozenset)
    broken: frozenset[tuple[int, int]] = field(default_factory=frozenset)

    @property
    def n_columns(self) -> int:
        """The widest row."""
        return max((len(row.values) for row in self.rows), default=0)

    def row(self, number: int) -> Row | None:
        """The row with this number in the file, None if it is empty."""
        return next((row for row in self.rows if row.number == number), None)

    def cells(self) -> Iterator[Cell]:
        """Every cell that holds something, row by row."""
        for row in self.rows:
            for col in row.filled():
                yield row.cell(col)


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetFile:
    """What was read: `tables` in the order of the file, `encoding` and `delimiter` of a text file.

    `decimal_comma` is True where a text file separates by something else than the comma and
    writes numbers with one ("12,50"), as offices outside North America do.
    """

    name: str
    kind: str
    tables: tuple[Table, ...]
    encoding: str = ""
    delimiter: str = ""
    decimal_comma: bool = False

    def table(self, name: str) -> Table:
        """The sheet called `name`; KeyError if there is none."""
        for table in self.tables:
            if table.name == name:
                return table
        raise KeyError(name)


def read_sheet_file(source: Path | bytes, *, name: str = "") -> SheetFile:
    """The tables in a CSV or XLSX file, given as a path or as its bytes with a `name`.

    Raises Trouble with one clear sentence for everything else: a folder, an empty file, another
    kind of file under a false name, a damaged, locked, oversized or hostile workbook. Reads at
    most `MAX_ROWS` rows a sheet and `MAX_CELLS` cells (`MAX_TEXT_CELLS` in a text file); more is
    refused, never cut off silently.
    """
    from servicedesk.exchange import csvfile, guard, xlsxfile

    content = guard.content_of(source)
    shown = name or (source.name if isinstance(source, Path) else "")
    kind = guard.kind_of(content, shown)
    if kind == "xlsx":
        return xlsxfile.read_workbook(content, shown)
    return csvfile.read_text_table(content, shown)
