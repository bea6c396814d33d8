"""Text tables: which encoding, which separator, and the rows."""

import codecs
import csv
import re
from collections import Counter
from io import StringIO

from servicedesk.exchange.guard import empty, save_as_sheet, shown
from servicedesk.exchange.sheetfile import (
    MAX_CELL_CHARS,
    MAX_ROWS,
    MAX_TEXT_CELLS,
    Row,
    SheetFile,
    Table,
)
from servicedesk.values.trouble import Trouble
from servicedesk.words import say

SEPARATORS = (",", ";", "\t", "|")
SAMPLE_LINES = 60


def read_text_table(content: bytes, name: str) -> SheetFile:
    """The one table of a text file. Raises Trouble if it is no text or too long."""
    text, encoding = decoded(content, name)
    delimiter, text = _declared(text)
    delimiter = delimiter or likely_separator(text)
    rows = _rows(text, delimiter, name)
    if not rows:
        raise empty(name)
    formulas = frozenset(
        (row.number, col)
        for row in rows
        for col in row.filled()
        if looks_like_formula(row.text(col))
    )
    title = name.rsplit(".", 1)[0] or say("List")
    return SheetFile(
        name=name,
        kind="text",
        tables=(Table(name=title, rows=tuple(rows), formulas=formulas),),
        encoding=encoding,
        delimiter=delimiter,
        decimal_comma=delimiter != "," and _has_decimal_commas(rows),
    )


def decoded(content: bytes, name: str = "") -> tuple[str, str]:
    """The text and the encoding it was in: UTF-8, UTF-16, or Windows code page 1252.

    UTF-8 refuses nearly every other encoding by itself, so it is tried first; the five bytes that
    code page 1252 leaves undefined are read as ISO 8859-1. Raises Trouble for null bytes, which
    no text holds, and for text that is mostly control characters.
    """
    if content.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        text, encoding = content.decode("utf-16", errors="replace"), "utf-16"
    elif _looks_like_bare_utf16(content):
        wide = "utf-16-le" if content[1:2] == b"\x00" else "utf-16-be"
        text, encoding = content.decode(wide, errors="replace"), wide
    else:
        text, encoding = _narrow(content)
    if "\x00" in text:
        raise Trouble(
            say("{name} holds null bytes, which no text file has.", name=shown(name)),
            means=say("It is damaged, or not a list at all."),
            do=save_as_sheet(),
        )
    controls = sum(text.count(chr(code)) for code in range(32) if code not in (9, 10, 11, 12, 13))
    if controls * 50 > len(text):
        raise Trouble(
            say("{name} is not a text file that can be read.", name=shown(name)),
            do=save_as_sheet(),
        )
    return text, encoding


def _narrow(content: bytes) -> tuple[str, str]:
    try:
        return content.decode("utf-8-sig"), "utf-8"
    except UnicodeDecodeError:
        pass
    try:
        return content.decode("cp1252"), "cp1252"
    except UnicodeDecodeError:
        return content.decode("latin-1"), "latin-1"


def _looks_like_bare_utf16(content: bytes) -> bool:
    """UTF-16 without its mark: in Latin text nearly every second byte is null."""
    head = content[:400]
    if len(head) < 8 or len(content) % 2:
        return False
    odd, even = head[1::2].count(0), head[0::2].count(0)
    half = len(head) // 2
    return (odd > 0.8 * half and even == 0) or (even > 0.8 * half and odd == 0)


def _declared(text: str) -> tuple[str, str]:
    """Some programs write the separator in a first line "sep=;"."""
    found = re.match(r'"?sep=(.)"?\r?\n', text)
    return (found.group(1), text[found.end() :]) if found else ("", text)


def likely_separator(text: str) -> str:
    """The separator that cuts the first lines into the same number of pieces most often.

    Text inside quotes does not count. A file with one column gives the comma.
    """
    best, best_score = ",", 0.0
    sample = _first_lines(text)
    for separator in SEPARATORS:
        widths = Counter(
            len(row) for row in csv.reader(StringIO(sample), delimiter=separator) if row
        )
        wide = {width: n for width, n in widths.items() if width > 1}
        if not wide:
            continue
        width, n = max(wide.items(), key=lambda item: (item[1] * min(item[0], 12), item[0]))
        score = n / widths.total() * min(width, 12)
        if score > best_score:
            best, best_score = separator, score
    return best


def _first_lines(text: str) -> str:
    return "\n".join(text[:200_000].splitlines()[:SAMPLE_LINES])


def _rows(text: str, delimiter: str, name: str) -> list[Row]:
    if text.count("\n") > 5 * MAX_ROWS:  # even if many line ends stand inside quotes
        raise too_long(name)
    rows: list[Row] = []
    n_cells = 0
    number = 0
    previous = csv.field_size_limit(MAX_CELL_CHARS)
    try:
        for number, values in enumerate(csv.reader(StringIO(text), delimiter=delimiter), 1):
            if number > MAX_ROWS or n_cells > MAX_TEXT_CELLS:
                raise too_long(name)
            cells = tuple(value.strip() for value in values)
            if any(cells):
                rows.append(Row(number, cells))
                n_cells += len(cells)
    except csv.Error as error:
        raise Trouble(
            say("{name} cannot be read after row {row}.", name=shown(name), row=number),
            means=say("Perhaps a quotation mark is opened there and never closed."),
            do=save_as_sheet(),
        ) from error
    finally:
        csv.field_size_limit(previous)
    return rows


def too_long(name: str) -> Trouble:
    """The sentence for a list beyond the limits."""
    return Trouble(
        say(
            "{name} has more than {n} rows or is far too wide; nothing was read.",
            n=MAX_ROWS,
            name=shown(name),
        ),
        do=say("Delete what is not the list of sites, or cut the list into several files."),
    )


def looks_like_formula(text: str) -> bool:
    """Would a spreadsheet run it: "=SUM(A1)", "+cmd|..."? A phone "+1 250 555 0199" is none."""
    if text.startswith("=") and len(text) > 1:
        return True
    return bool(re.match(r"[@+\-][A-Za-z(]\w*[(|!]", text))


def _has_decimal_commas(rows: list[Row]) -> bool:
    comma = point = 0
    for row in rows[:500]:
        for value in row.values:
            if isinstance(value, str):
                comma += bool(re.fullmatch(r"\D{0,3}\d+,\d{1,2}\D{0,3}|-?\d{1,3},\d{4,}", value))
                point += bool(re.fullmatch(r"\D{0,3}\d+\.\d{1,2}\D{0,3}|-?\d{1,3}\.\d{4,}", value))
    return comma > point
