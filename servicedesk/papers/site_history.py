"""Everything that happened at a site, in order of time: as many pages as it takes, nothing cut."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import groupby

from servicedesk.papers.layout import (
    LINE,
    PAGE_SIZES,
    Block,
    PageName,
    Pages,
    Strip,
    text_line,
    wrap,
)
from servicedesk.papers.paint import write_pdf
from servicedesk.papers.stop_block import SMALL, STRONG, TEXT, Columns, item
from servicedesk.values.shapes import Box, Font, Line, Shape
from servicedesk.words import say

MARGIN, FOOT = 42.0, 40.0
DAY_WIDTH = 66.0
INDENT = 15.5
TITLE, YEAR = Font(18.0, 600, "title"), Font(12.0, 600, "title")
FINE = Font(7.8)


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperEntry:
    """One thing that happened, in words; `icon` by kind."""

    on: date
    day: str
    icon: str
    title: str
    lines: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class HistoryPaper:
    """The paper in words. `note` says what was left out and why, if anything was."""

    letterhead: tuple[str, ...]
    address: str
    facts: tuple[str, ...]
    day: str
    entries: tuple[PaperEntry, ...]
    note: str
    foot: str


def history_pdf(paper: HistoryPaper, size: PageName = "letter") -> bytes:
    """The history as PDF, oldest first. The same paper gives the same bytes."""
    title = say("History of {address}", address=paper.address)
    return write_pdf(history_pages(paper, size), PAGE_SIZES[size], title)


def history_pages(paper: HistoryPaper, size: PageName = "letter") -> list[list[Shape]]:
    """The shapes of each page before they are painted."""
    width, height = PAGE_SIZES[size]
    inner = Box(MARGIN, MARGIN, width - 2 * MARGIN, height - MARGIN - FOOT - 14)
    pages = Pages(inner, inner.y)
    pages.place(Block(tuple(_head(paper, inner))))
    for year, some in groupby(paper.entries, key=lambda entry: entry.on.year):
        heading = _year(str(year), inner)
        for number, entry in enumerate(some):
            block = _entry(entry, inner)
            # the year never stands alone at the foot of a page
            pages.place(block if number else Block((*heading, *block.strips), again=block.again))
    if not paper.entries:
        pages.place(Block(tuple(_lines((say("Nothing has happened here yet."),), TEXT, inner))))
    for number, shapes in enumerate(pages.pages, 1):
        shapes.extend(_foot(paper, inner, number, len(pages.pages)))
    return pages.pages


def _head(paper: HistoryPaper, inner: Box) -> Iterable[Strip]:
    first, *rest = paper.letterhead or ("",)
    yield from _lines((first,), STRONG, inner)
    yield from _lines(rest, SMALL, inner)
    yield Strip(14.0)
    title = say("History of {address}", address=paper.address)
    yield from _lines((title,), TITLE, inner)
    yield from _lines(paper.facts, TEXT, inner)
    yield from _lines((paper.day,), TEXT, inner)
    if paper.note:
        yield Strip(3.0)
        yield from _lines((paper.note,), SMALL, inner)
    yield Strip(6.0)


def _lines(texts: Sequence[str], font: Font, inner: Box) -> Iterable[Strip]:
    for text in texts:
        for line in wrap(text, font, inner.width):
            yield Strip(font.size * LINE + 1, (text_line(line, font, inner.x, 0),))


def _year(words: str, inner: Box) -> tuple[Strip, ...]:
    return (
        Strip(8.0),
        Strip(
            YEAR.size * LINE + 7,
            (
                Line(inner.x, 0, inner.right, 0, "edge", 0.8),
                text_line(words, YEAR, inner.x, 4),
            ),
        ),
    )


def _entry(entry: PaperEntry, inner: Box) -> Block:
    """The day at the left, beside it what happened; a long one goes on under its day."""
    middle = inner.x + DAY_WIDTH
    cols = Columns(inner.x, middle, inner.right - middle, inner.right, 0.0)
    first, *rest = item(entry.icon, entry.title, STRONG, cols)
    strips = [
        Strip(first.height, (*first.shapes, text_line(entry.day, SMALL, inner.x, 0.6))),
        *rest,
    ]
    for text in entry.lines:
        for line in wrap(text, SMALL, cols.middle_width - INDENT):
            shown = text_line(line, SMALL, middle + INDENT, 0)
            strips.append(Strip(SMALL.size * LINE + 0.6, (shown,)))
    again = Strip(SMALL.size * LINE, (text_line(entry.day, SMALL, inner.x, 0.6),))
    return Block((*strips, Strip(5.0)), again=again)


def _foot(paper: HistoryPaper, inner: Box, number: int, of: int) -> list[Shape]:
    y = inner.bottom + 14
    pages = say("page {n} of {of}", n=number, of=of)
    shapes: list[Shape] = [Line(inner.x, y - 5, inner.right, y - 5, "edge", 0.8)]
    text = f"{paper.address} · {paper.foot} · {pages}"
    for index, line in enumerate(wrap(text, FINE, inner.width)):
        shapes.append(text_line(line, FINE, inner.x, y + index * FINE.size * LINE, color="ink3"))
    return shapes
