"""Plain lists with fixed headings: calls `site,date,symptom`, sites `site,start_date`.

Any text table or workbook that `sheetfile` reads; further columns are passed over. Nothing is lost
in silence: whatever is left out or taken differently than written becomes a note with its rows.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from servicedesk.exchange.dates import DAY, day_order, read_day
from servicedesk.exchange.sheetfile import Row, read_sheet_file, text_of
from servicedesk.values.trouble import Trouble
from servicedesk.words import say

CALL_COLUMNS = ("site", "date", "symptom")
SITE_COLUMNS = ("site", "start_date")
FIRST_YEAR, LAST_YEAR = 1900, 2199
SHOWN_ROWS = 8


@dataclass(frozen=True, slots=True)
class ListedCall:
    """One row of a list of calls, `site` and `symptom` as written; `row` of the file."""

    row: int
    site: str
    on: date
    symptom: str


@dataclass(frozen=True, slots=True)
class ListedSite:
    """One row of a list of sites; `start_on` None where no day can be read."""

    row: int
    site: str
    start_on: date | None


@dataclass(frozen=True, slots=True)
class BareList:
    """The rows of one file under the headings asked for; `cells[i]` as in `rows[i]`."""

    name: str
    heading: Row
    rows: tuple[Row, ...]
    columns: tuple[int, ...]

    def text(self, row: Row, number: int) -> str:
        """What stands in `row` under heading `number` (from 0)."""
        return row.text(self.columns[number])

    def notes_on_width(self) -> list[str]:
        """A note about rows that hold more than the headings do."""
        last = max(self.heading.filled())
        wide = [row.number for row in self.rows if max(row.filled(), default=0) > last]
        if not wide:
            return []
        return [
            say(
                "{file}, {rows}: more cells than headings; put quotation marks around words that "
                "hold the separator.",
                file=self.name,
                rows=rows_text(wide),
            )
        ]


def read_calls(
    file: Path, *, day_first: bool | None, today: date
) -> tuple[tuple[ListedCall, ...], tuple[str, ...]]:
    """The calls in a file and notes about rows that were left out.

    `today` decides the century of a year of two digits. Raises Trouble for a file that cannot be
    read, a missing column, dates in an unknown order, and a list of which no row can be used.
    """
    those = _bare_list(file, CALL_COLUMNS)
    first = _order(those, 1, day_first=day_first)
    calls: list[ListedCall] = []
    without: dict[str, list[int]] = {"site": [], "symptom": []}
    no_day: list[tuple[int, str]] = []
    for row in those.rows:
        site, symptom = those.text(row, 0), those.text(row, 2)
        on = _day(those, row, 1, day_first=first, today=today)
        if not site or not symptom:
            without["symptom" if site else "site"].append(row.number)
        elif on is None:
            no_day.append((row.number, those.text(row, 1)))
        else:
            calls.append(ListedCall(row.number, site, on, symptom))
    notes = those.notes_on_width() + [
        say(
            "{file}, {rows}: no {what}; left out.", file=those.name, rows=rows_text(rows), what=what
        )
        for what, rows in without.items()
        if rows
    ]
    if no_day:
        notes.append(_no_day(those.name, no_day) + " " + say("Left out."))
    if those.rows and not calls:
        raise Trouble(
            say("No row of {file} can be used.", file=those.name),
            means=" ".join(notes),
            do=say("Each row needs a site, a day such as 2026-10-14, and a symptom."),
        )
    return tuple(calls), tuple(notes)


def read_sites(
    file: Path, *, day_first: bool | None, today: date
) -> tuple[tuple[ListedSite, ...], tuple[str, ...]]:
    """The sites in a file, and notes; a site without a readable day stays, with none.

    Raises Trouble as `read_calls` does.
    """
    those = _bare_list(file, SITE_COLUMNS)
    first = _order(those, 1, day_first=day_first)
    sites: list[ListedSite] = []
    nameless: list[int] = []
    no_day: list[tuple[int, str]] = []
    for row in those.rows:
        site = those.text(row, 0)
        if not site:
            nameless.append(row.number)
            continue
        start_on = _day(those, row, 1, day_first=first, today=today)
        if start_on is None:
            no_day.append((row.number, those.text(row, 1)))
        sites.append(ListedSite(row.number, site, start_on))
    notes = those.notes_on_width()
    if nameless:
        notes.append(
            say("{file}, {rows}: no site; left out.", file=those.name, rows=rows_text(nameless))
        )
    if no_day:
        ending = say("Counted from the first call of all.")
        notes.append(_no_day(those.name, no_day) + " " + ending)
    return tuple(sites), tuple(notes)


def rows_text(rows: Iterable[int]) -> str:
    """As "row 7" or "rows 4, 9, 12 and 3 more"."""
    every = sorted(rows)
    if len(every) == 1:
        return say("row {n}", n=every[0])
    shown = ", ".join(str(number) for number in every[:SHOWN_ROWS])
    if len(every) <= SHOWN_ROWS:
        return say("rows {rows}", rows=shown)
    return say("rows {rows} and {n} more", rows=shown, n=len(every) - SHOWN_ROWS)


def _bare_list(file: Path, wanted: Sequence[str]) -> BareList:
    """The first table of a file, its first row as headings. Raises Trouble if one is missing."""
    sheet = read_sheet_file(file)
    table = next((one for one in sheet.tables if one.rows and not one.hidden), sheet.tables[0])
    if not table.rows:
        raise Trouble(say("{file} has no rows.", file=file.name))
    heading = table.rows[0]
    columns = []
    for name in wanted:
        places = [col for col in heading.filled() if _folded(heading.text(col)) == name]
        if len(places) != 1:
            raise _heading_trouble(file.name, heading, name, wanted, n=len(places))
        columns.append(places[0])
    return BareList(file.name, heading, table.rows[1:], tuple(columns))


def _heading_trouble(
    file: str, heading: Row, name: str, wanted: Sequence[str], *, n: int
) -> Trouble:
    there = ", ".join(heading.text(col) for col in heading.filled())[:200]
    what = (
        say("{file} has more than one column “{name}”.", file=file, name=name)
        if n
        else say("{file} has no column “{name}”.", file=file, name=name)
    )
    return Trouble(
        what,
        means=say("Its first row reads: {headings}.", headings=there),
        do=say("The first row must name the columns: {columns}.", columns=",".join(wanted)),
    )


def _folded(heading: str) -> str:
    return "_".join(heading.casefold().replace("_", " ").replace("-", " ").split())


def _order(those: BareList, number: int, *, day_first: bool | None) -> bool | None:
    """Whether days come before months. Raises Trouble where nothing settles it."""
    if day_first is not None:
        return day_first
    values = (row.value(those.columns[number]) for row in those.rows)
    order = day_order(value for value in values if isinstance(value, str))
    if order.must_ask:
        raise Trouble(
            say(
                "{file}: does {example} begin with the day or with the month?",
                file=those.name,
                example=order.open[0],
            ),
            do=say("Say --day-first or --no-day-first."),
        )
    return order.day_first


def _day(
    those: BareList, row: Row, number: int, *, day_first: bool | None, today: date
) -> date | None:
    """The day in a cell; None where it names none, only a month, or a year far away."""
    read = read_day(row.value(those.columns[number]), day_first=day_first, today=today)
    if read.on is None or read.precision != DAY:
        return None
    return read.on if FIRST_YEAR <= read.on.year <= LAST_YEAR else None


def _no_day(file: str, rows: Sequence[tuple[int, str]]) -> str:
    written = next((text_of(text)[:40] for _row, text in rows if text), "")
    where = rows_text(number for number, _text in rows)
    if not written:
        return say("{file}, {rows}: no day is written there.", file=file, rows=where)
    return say(
        "{file}, {rows}: no day can be read (“{text}”).", file=file, rows=where, text=written
    )
