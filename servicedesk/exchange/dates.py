"""Days as people write them, and whether the day or the month comes first.

Day/month order is never guessed: `day_order` looks at all dates of a file and says what settles
it, or that nothing does; `read_day` then reads one cell, and leaves an ambiguous one undecided
where no order was given. ISO 8601 writings and written-out months need no order.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import cache

from servicedesk.exchange.sheetfile import Value

DAY, MONTH = "day", "month"
SERIAL_ZERO = date(1899, 12, 30)  # day 0 of the usual spreadsheet calendar; from memory
SERIALS = range(20_000, 80_000)  # 1954 to 2119
YEARS_AHEAD = 20  # "46" written in 2026 is 2046, "47" is 1947: contracts run ahead, houses do not
MONTH_LANGUAGES = ("en", "es", "fr", "de")

_NUMERIC = re.compile(r"(\d{1,2})\s*([/.\-])\s*(\d{1,2})(?:\s*\2\s*(\d{4}|\d{2}))?(?!\d)")
_ISO = re.compile(r"(\d{4})([-/.])(\d{1,2})\2(\d{1,2})(?!\d)")
_ISO_MONTH = re.compile(r"(\d{4})[-/](\d{1,2})(?![-/\d])")
_ISO_WEEK = re.compile(r"(\d{4})-?W(\d{2})(?:-?(\d))?(?!\d)", re.IGNORECASE)
_ISO_BASIC = re.compile(r"(?<!\d)((?:19|20)\d{2})(\d{2})(\d{2})(?!\d)")
_MONTH_YEAR = re.compile(r"(\d{1,2})\s*[/\-]\s*(\d{4})(?![/\-\d])")
_WORD = r"([^\W\d_]{3,})\.?"
_WORD_FIRST = re.compile(
    _WORD + r"[\s\-]*(\d{1,2})(?:st|nd|rd|th)?(?:\s*[,\s\-/]\s*['’]?(\d{4}|\d{2}))?(?![\d:/])"
)
_DAY_FIRST = re.compile(
    r"(?<!\d)(\d{1,2})(?:st|nd|rd|th)?[\s.\-/]*(?:of |de )?\s*"
    + _WORD
    + r"(?:[,\s\-/]*(?:of |de )?['’]?(\d{4}|\d{2}))?(?!\d)"
)
_WORD_YEAR = re.compile(_WORD + r"[\s\-/,]*['’]?(\d{4}|(?<=['’\-/ ])\d{2})(?!\d)")


@dataclass(frozen=True, slots=True)
class DayRead:
    """What one cell says about a day.

    `on` is None where nothing could be read or the order is undecided; then `either` holds the
    two days it may mean. `precision` is "month" where only month and year are written (`on` is
    the first of it). `rest` is what else stands in the cell. `impossible` marks a day that no
    calendar has, such as 2/30.
    """

    on: date | None = None
    precision: str = DAY
    either: tuple[date, date] | None = None
    rest: str = ""
    impossible: bool = False
    was_serial: bool = False


@dataclass(frozen=True, slots=True)
class _Around:
    """What is known around one cell."""

    day_first: bool | None
    today: date
    year: int | None


@dataclass(frozen=True, slots=True)
class DayOrder:
    """What the dates of a file say about their own order.

    `day_first` is True or False where a date settles it (one number above 12), None where nothing
    does or where dates speak for both. `for_day`, `for_month`, `open` are examples of each kind.
    """

    day_first: bool | None
    for_day: tuple[str, ...] = ()
    for_month: tuple[str, ...] = ()
    open: tuple[str, ...] = ()

    @property
    def must_ask(self) -> bool:
        """Are there dates that read both ways, and nothing that settles them?"""
        return bool(self.open) and self.day_first is None


def day_order(texts: Iterable[str]) -> DayOrder:
    """The order of day and month in all `texts` of one file; up to five examples of each kind."""
    for_day: list[str] = []
    for_month: list[str] = []
    unclear: list[str] = []
    for text in texts:
        if _ISO.search(text):
            continue
        for found in _NUMERIC.finditer(text):
            first, second = int(found.group(1)), int(found.group(3))
            if not (found.group(4) and 1 <= first <= 31 and 1 <= second <= 31):
                continue
            if first > 12 >= second:
                for_day.append(found.group(0))
            elif second > 12 >= first:
                for_month.append(found.group(0))
            elif first != second and first <= 12:
                unclear.append(found.group(0))
    settled: bool | None = None
    if bool(for_day) != bool(for_month):
        settled = bool(for_day)
    return DayOrder(settled, tuple(for_day[:5]), tuple(for_month[:5]), tuple(unclear[:5]))


def read_day(
    value: Value, *, day_first: bool | None, today: date, year: int | None = None
) -> DayRead:
    """The day in a cell. `day_first`: the order of the file, None if it is not known.

    `today` decides the century of a year of two digits: from 79 years back to 20 years ahead.
    `year` completes "3/12" where the heading of the column names a year.
    """
    if isinstance(value, datetime):
        return DayRead(value.date())
    if isinstance(value, date):
        return DayRead(value)
    if isinstance(value, bool) or value is None:
        return DayRead()
    if isinstance(value, (int, float)):
        return _serial(value)
    text = str(value).strip()
    around = _Around(day_first, today, year)
    if re.fullmatch(r"\d{5}(\.0+)?", text):
        return _serial(float(text))
    for reader in (_iso, _iso_week, _numeric, _written, _month_only):
        read = reader(text, around)
        if read is not None:
            return read
    return DayRead(rest=text)


def full_year(digits: str, today: date) -> int:
    """The year meant by two or four digits: two lie from 79 years back to 20 years ahead."""
    year = int(digits)
    if len(digits) > 2:
        return year
    year += today.year // 100 * 100
    while year > today.year + YEARS_AHEAD:
        year -= 100
    while year <= today.year + YEARS_AHEAD - 100:
        year += 100
    return year


@cache
def month_names() -> dict[str, int]:
    """Month numbers by folded name: full and short names of four languages (CLDR data)."""
    from babel import Locale

    names: dict[str, int] = {}
    for language in MONTH_LANGUAGES:
        months = Locale(language).months
        for context in ("format", "stand-alone"):
            for width in ("wide", "abbreviated"):
                for number, name in months[context][width].items():
                    names.setdefault(name.rstrip(".").casefold(), number)
    names["sept"] = 9
    return names


def _serial(number: float) -> DayRead:
    """A spreadsheet's count of days that lost its date format."""
    if int(number) in SERIALS:
        return DayRead(SERIAL_ZERO + timedelta(days=int(number)), was_serial=True)
    return DayRead(rest=f"{number:g}")


def _without(text: str, start: int, end: int) -> str:
    """What remains of the cell: no clock time, no dangling punctuation."""
    rest = f"{text[:start]} {text[end:]}"
    rest = re.sub(
        r"^\s*T?\s*\d{1,2}:\d{2}(:\d{2}(\.\d+)?)?\s*(Z|[ap]\.?m\.?)?",
        " ",
        rest,
        flags=re.IGNORECASE,
    )
    rest = re.sub(r"^\s*(mon|tue|wed|thu|fri|sat|sun)[a-z]*\b\.?,?", " ", rest, flags=re.IGNORECASE)
    return " ".join(rest.split()).strip(" ,;:-–/()[]|")


def _made(year: int, month: int, day: int, rest: str) -> DayRead:
    try:
        return DayRead(date(year, month, day), rest=rest)
    except ValueError:
        return DayRead(rest=rest, impossible=True)


def _iso(text: str, _around: _Around) -> DayRead | None:
    found = _ISO.search(text)
    if found:
        year, month, day = int(found.group(1)), int(found.group(3)), int(found.group(4))
        return _made(year, month, day, _without(text, *found.span()))
    basic = _ISO_BASIC.fullmatch(text)
    if basic:
        return _made(int(basic.group(1)), int(basic.group(2)), int(basic.group(3)), "")
    return None


def _iso_week(text: str, _around: _Around) -> DayRead | None:
    found = _ISO_WEEK.search(text)
    if not found:
        return None
    year, week, weekday = int(found.group(1)), int(found.group(2)), int(found.group(3) or 1)
    try:
        return DayRead(
            date.fromisocalendar(year, week, weekday), rest=_without(text, *found.span())
        )
    except ValueError:
        return DayRead(impossible=True, rest=_without(text, *found.span()))


def _numeric(text: str, around: _Around) -> DayRead | None:
    found = _NUMERIC.search(text)
    if not found or (not found.group(4) and around.year is None):
        return None
    if _MONTH_YEAR.fullmatch(text):
        return None
    rest = _without(text, *found.span())
    first, second = int(found.group(1)), int(found.group(3))
    its_year = full_year(found.group(4), around.today) if found.group(4) else int(around.year or 0)
    if first > 12 >= second or (first <= 12 and first == second):
        return _made(its_year, second, first, rest)
    if second > 12 >= first:
        return _made(its_year, first, second, rest)
    if around.day_first is None:
        as_month = _made(its_year, first, second, rest).on
        as_day = _made(its_year, second, first, rest).on
        if as_month is None or as_day is None:
            return DayRead(rest=rest, impossible=True)
        return DayRead(either=(as_month, as_day), rest=rest)
    day, month = (first, second) if around.day_first else (second, first)
    return _made(its_year, month, day, rest)


def _written(text: str, around: _Around) -> DayRead | None:
    for pattern, word_at, day_at in ((_DAY_FIRST, 2, 1), (_WORD_FIRST, 1, 2)):
        for found in pattern.finditer(text):
            month = month_names().get(found.group(word_at).casefold())
            digits = found.group(3)
            if month is None or not (digits or around.year):
                continue
            its_year = full_year(digits, around.today) if digits else int(around.year or 0)
            return _made(its_year, month, int(found.group(day_at)), _without(text, *found.span()))
    return None


def _month_only(text: str, around: _Around) -> DayRead | None:
    found = _ISO_MONTH.fullmatch(text)
    if found and 1 <= int(found.group(2)) <= 12:
        return DayRead(date(int(found.group(1)), int(found.group(2)), 1), MONTH)
    found = _MONTH_YEAR.fullmatch(text)
    if found and 1 <= int(found.group(1)) <= 12:
        return DayRead(date(int(found.group(2)), int(found.group(1)), 1), MONTH)
    for found in _WORD_YEAR.finditer(text):
        month = month_names().get(found.group(1).casefold())
        if month:
            its_year = full_year(found.group(2), around.today)
            return DayRead(date(its_year, month, 1), MONTH, rest=_without(text, *found.span()))
    if around.year is not None:
        for found in re.finditer(_WORD, text):
            month = month_names().get(found.group(1).casefold())
            if month:
                return DayRead(
                    date(around.year, month, 1), MONTH, rest=_without(text, *found.span())
                )
    return None
