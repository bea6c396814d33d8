"""Where the table begins: title rows, headings on any row, sections, totals, repeated headings.

`layout_of` turns the rows of a sheet into headings and data rows, and says of every row that it
leaves out what it is. How a heading is recognized is handed in, so that this file knows no field.
"""

import re
from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum
from statistics import median

from servicedesk.exchange.dates import read_day
from servicedesk.exchange.sheetfile import Area, Row, Table, column_letters, text_of
from servicedesk.values.trouble import Trouble
from servicedesk.words import say

LOOK_ROWS = 40
_TOTAL = re.compile(
    r"^\W*((grand|sub|over\s*all)[\s\-]*)?totals?\b|^\W*(sum|average|avg|count)\b\W*$|"
    r"^\W*(number of|no\. of|#)?\s*\d*\s*(sites|customers|systems|contracts)"
    r"\s*(in all|total)?\W*\d*$",
    re.IGNORECASE,
)


class Left(StrEnum):
    """Why a row is no site."""

    TITLE = "title"
    HEADING = "heading"
    REPEATED = "repeated heading"
    SECTION = "section"
    TOTAL = "total"
    BELOW = "note below the list"


@dataclass(frozen=True, slots=True)
class Heading:
    """One column: its number from 1 and what stands over it, two lines joined by a space.

    `own` is the lower line alone: "Freq" where `text` is "Contract Freq".
    """

    col: int
    text: str
    own: str = ""

    @property
    def letters(self) -> str:
        """The letters that a spreadsheet shows over it."""
        return column_letters(self.col)


@dataclass(frozen=True, slots=True)
class DataRow:
    """A row of the list and the section title above it ("" if there is none)."""

    row: Row
    section: str = ""


@dataclass(frozen=True, slots=True)
class LeftRow:
    """A row left out: its number, why, and what it says."""

    number: int
    why: Left
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """A sheet taken apart. `sure` is False where no row looks like headings for certain."""

    table: Table
    header_row: int
    headings: tuple[Heading, ...]
    rows: tuple[DataRow, ...]
    left: tuple[LeftRow, ...]
    sure: bool

    def texts(self, col: int, limit: int = 200) -> list[str]:
        """The filled cells of a column, from the top."""
        found = (data.row.text(col) for data in self.rows[: limit * 4])
        return [text for text in found if text][:limit]


def layout_of(
    table: Table, known: Callable[[str], float], *, header_row: int | None = None
) -> Layout:
    """Headings and rows of `table`.

    `known(text)` says from 0 to 1 how surely a text is a heading. `header_row` is the row a person
    chose; without it the row with the most known headings among the first 40 filled ones is taken,
    or, where none is known, the first row of plain words. Raises Trouble for an empty sheet or one
    with headings only.
    """
    if not table.rows:
        raise Trouble(
            say("The sheet {sheet} is empty.", sheet=table.name), do=say("Choose another sheet.")
        )
    chosen, sure = _header(table, known) if header_row is None else (header_row, True)
    header = table.row(chosen)
    if header is None:
        raise Trouble(
            say("Row {row} of the sheet {sheet} is empty.", row=chosen, sheet=table.name),
            do=say("Choose the row with the headings."),
        )
    headings = _headings(table, header)
    rows, left = _rows_below(table, header, headings)
    if not rows:
        raise Trouble(
            say("The sheet {sheet} has headings but no rows below them.", sheet=table.name),
            do=say("Choose the file or sheet that holds the list."),
        )
    return Layout(
        table=table, header_row=chosen, headings=headings, rows=rows, left=left, sure=sure
    )


def header_strength(table: Table, known: Callable[[str], float]) -> float:
    """How many known headings the best row of a sheet has: the likeliest sheet has most."""
    return max((_strength(row, known) for row in table.rows[:LOOK_ROWS]), default=0.0)


def _header(table: Table, known: Callable[[str], float]) -> tuple[int, bool]:
    first = table.rows[:LOOK_ROWS]
    best = max(first, key=lambda row: (_strength(row, known), -row.number))
    if _strength(best, known) >= 2:
        return best.number, True
    widest = max(len(row.filled()) for row in first)
    for row in first:
        texts = [row.text(col) for col in row.filled()]
        if len(texts) >= max(2, 0.6 * widest) and all(_is_words(text) for text in texts):
            return row.number, False
    return first[0].number, False


def _strength(row: Row, known: Callable[[str], float]) -> float:
    """Known headings in a row; figures and long texts speak against it."""
    strength = 0.0
    for col in row.filled():
        text = row.text(col)
        if len(text) > 60:
            strength -= 0.5
            continue
        surely = known(text)
        if surely >= 0.8:
            strength += surely
        elif not _is_words(text) and not isinstance(row.value(col), str):
            strength -= 0.3
        elif re.search(r"\d{3}", text):
            strength -= 0.2
    return strength


def _is_words(text: str) -> bool:
    return (
        bool(re.search(r"[^\W\d_]", text)) and len(text) <= 60 and not re.search(r"\d{4,}|@", text)
    )


def _headings(table: Table, header: Row) -> tuple[Heading, ...]:
    """Every column up to the widest row that has a heading or any content below."""
    width = table.n_columns
    groups = _groups_above(table, header, width)
    headings = []
    for col in range(1, width + 1):
        own = text = header.text(col) or _merged_text(table, header.number, col)
        group = groups.get(col, "")
        if group and group.casefold() not in text.casefold():
            text = f"{group} {text}".strip()
        headings.append(Heading(col, " ".join(text.split()), " ".join(own.split())))
    return tuple(headings)


def _merged_text(table: Table, row: int, col: int) -> str:
    """The text of a heading merged over two rows, for a cell that is not its first."""
    for area in table.merged:
        if area.holds(row, col) and area.first_col == col and area.first_row < row:
            above = table.row(area.first_row)
            return above.text(col) if above else ""
    return ""


def _groups_above(table: Table, header: Row, width: int) -> dict[int, str]:
    """Group headings such as "Inspections 2025" merged over some columns of the row above."""
    groups: dict[int, str] = {}
    above = table.row(header.number - 1)
    if above is None:
        return groups
    for area in table.merged:
        if _is_group(area, header.number - 1, width):
            text = above.text(area.first_col)
            groups.update(dict.fromkeys(range(area.first_col, area.last_col + 1), text))
    return groups


def _is_group(area: Area, row: int, width: int) -> bool:
    columns = area.last_col - area.first_col + 1
    return area.first_row == area.last_row == row and 1 < columns < 0.6 * width


def _rows_below(
    table: Table, header: Row, headings: tuple[Heading, ...]
) -> tuple[tuple[DataRow, ...], tuple[LeftRow, ...]]:
    body = [row for row in table.rows if row.number > header.number]
    usual = median(len(row.filled()) for row in body) if body else 0
    last = max((row.number for row in body if len(row.filled()) >= min(3, usual)), default=0)
    names = {heading.col: heading.text.casefold() for heading in headings}
    rows: list[DataRow] = []
    left = [
        LeftRow(row.number, Left.HEADING if row is header else Left.TITLE, _whole(row))
        for row in table.rows
        if row.number <= header.number
    ]
    section = ""
    for row in body:
        why = _why_left(row, header, names, usual, last)
        if why is None:
            rows.append(DataRow(row, section))
            continue
        if why is Left.SECTION:
            section = _whole(row)
        left.append(LeftRow(row.number, why, _whole(row)))
    return tuple(rows), tuple(left)


def _why_left(row: Row, header: Row, names: dict[int, str], usual: float, last: int) -> Left | None:
    filled = row.filled()
    texts = [row.text(col) for col in filled]
    same = sum(
        text.casefold() in (names.get(col, ""), header.text(col).casefold())
        for col, text in zip(filled, texts, strict=True)
    )
    if len(filled) > 1 and same >= 0.6 * len(filled):
        return Left.REPEATED
    if len(filled) <= max(3, 0.4 * usual) and any(_TOTAL.search(text) for text in texts[:2]):
        return Left.TOTAL
    if usual >= 3 and len(filled) == 1 and filled[0] <= 3 and _is_section(texts[0]):
        return Left.BELOW if row.number > last else Left.SECTION
    return None


def _is_section(text: str) -> bool:
    """A line of words, not a date that continues the row above."""
    from datetime import date

    return read_day(text, day_first=True, today=date(2000, 1, 1)).on is None


def _whole(row: Row) -> str:
    return " | ".join(text_of(row.value(col)) for col in row.filled())[:300]
