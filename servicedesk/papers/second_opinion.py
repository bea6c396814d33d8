"""A second opinion on paper: one page where it fits, and nothing cut off where it does not."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

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
from servicedesk.papers.stop_block import MEDIUM, SMALL, STRONG, TEXT, Columns, item
from servicedesk.values.shapes import Box, Font, Line, Rect, Shape
from servicedesk.words import say

TITLE = Font(18.0, 600, "title")
HEAD = Font(10.6, 600, "title")
FINE = Font(7.6)
BAR_WIDTH, BAR_HEIGHT = 120.0, 6.0


@dataclass(frozen=True, slots=True)
class _Room:
    """How generous the page is, in points: its edges, what stands over a title, its long list."""

    margin: float
    foot: float
    over_title: float
    listed: Font


# a page that would run over is laid out tighter before it may: one sheet goes to the site
_USUAL = _Room(34.0, 38.0, 8.0, MEDIUM)
_TIGHT = _Room(28.0, 30.0, 6.0, SMALL)


@dataclass(frozen=True, slots=True)
class PageCause:
    """A cause with its chance, 0..1."""

    name: str
    chance: float


@dataclass(frozen=True, slots=True)
class PageCheck:
    """A check: its name, minutes, how it is made."""

    name: str
    minutes: str
    how: str


@dataclass(frozen=True, slots=True, kw_only=True)
class OpinionPage:
    """The page in words. `facts`: what it rests on; `notes`: why nobody can be sure, if so.

    `fix`: the lasting fix of the first cause. `foot`: company, day, and that data is invented
    where it is.
    """

    address: str
    symptoms: str
    facts: str
    causes: tuple[PageCause, ...]
    notes: tuple[str, ...]
    fix: str
    next_title: str
    next_checks: tuple[PageCheck, ...]
    never_done: tuple[str, ...]
    to_bring: tuple[str, ...]
    cautions: tuple[str, ...]
    foot: str


def opinion_pdf(page: OpinionPage, size: PageName = "letter") -> bytes:
    """The page as PDF. The same page gives the same bytes."""
    title = say("Second opinion: {address}", address=page.address)
    return write_pdf(opinion_pages(page, size), PAGE_SIZES[size], title)


def opinion_pages(page: OpinionPage, size: PageName = "letter") -> list[list[Shape]]:
    """The shapes of each page before they are painted; one page if that can be."""
    usual = _laid_out(page, size, _USUAL)
    if len(usual) == 1:
        return usual
    tight = _laid_out(page, size, _TIGHT)
    return tight if len(tight) < len(usual) else usual


def _laid_out(page: OpinionPage, size: PageName, room: _Room) -> list[list[Shape]]:
    width, height = PAGE_SIZES[size]
    margin = room.margin
    inner = Box(margin, margin, width - 2 * margin, height - room.foot - margin)
    cols = Columns(inner.x, inner.x, inner.width, inner.right, 0.0)
    pages = Pages(inner, inner.y)
    pages.place(Block(tuple(_top(page, inner))))
    pages.place(_section(say("What it may be"), _causes(page, inner), inner, room))
    for title, strips in _parts(page, cols, room):
        if strips:
            pages.place(_section(title, strips, inner, room))
    for number, shapes in enumerate(pages.pages, 1):
        shapes.extend(_foot(page, inner, number, len(pages.pages)))
    return pages.pages


def _parts(page: OpinionPage, cols: Columns, room: _Room) -> Iterable[tuple[str, list[Strip]]]:
    yield say("Why nobody can be sure yet"), _items("note", page.notes, SMALL, cols)
    yield page.next_title, _checks(page.next_checks, cols)
    yield (
        say("Never done here, or not since the part was changed"),
        _items("ask", ["; ".join(page.never_done)], room.listed, cols),
    )
    yield say("Lasting fix of the first cause"), _items("owed", [page.fix], SMALL, cols)
    yield say("Bring"), _items("truck", [", ".join(page.to_bring)], SMALL, cols)
    yield say("Take care"), _items("warn", page.cautions, FINE, cols)


def _top(page: OpinionPage, inner: Box) -> list[Strip]:
    strips = [
        Strip(TITLE.size * LINE, (text_line(line, TITLE, inner.x, 0),))
        for line in wrap(page.address, TITLE, inner.width)
    ]
    for text, font in ((page.symptoms, MEDIUM), (page.facts, SMALL)):
        strips += [
            Strip(font.size * LINE + 1, (text_line(line, font, inner.x, 0),))
            for line in wrap(text, font, inner.width)
        ]
    return [*strips, Strip(4.0)]


def _section(title: str, strips: Sequence[Strip], inner: Box, room: _Room) -> Block:
    head = Strip(
        HEAD.size * LINE + room.over_title,
        (
            Line(inner.x, 3, inner.right, 3, "edge", 0.8),
            text_line(title, HEAD, inner.x, room.over_title - 2),
        ),
    )
    return Block((head, *strips), again=Strip(4.0))


def _causes(page: OpinionPage, inner: Box) -> list[Strip]:
    """A bar for each chance, its number, and the name beside it."""
    strips = []
    for cause in page.causes:
        bar = Box(inner.x, 3.5, BAR_WIDTH * cause.chance, BAR_HEIGHT)
        percent = say("{n} %", n=round(100 * cause.chance))
        at = inner.x + BAR_WIDTH + 8
        lines = wrap(cause.name, TEXT, inner.right - at - 34)
        shapes: list[Shape] = [
            Rect(Box(inner.x, 3.5, BAR_WIDTH, BAR_HEIGHT), None, "edge", 0.6),
            Rect(bar, "ink", None),
            text_line(percent, STRONG, at, 0),
        ]
        shapes += [
            text_line(line, TEXT, at + 34, index * TEXT.size * LINE)
            for index, line in enumerate(lines)
        ]
        strips.append(Strip(max(1, len(lines)) * TEXT.size * LINE + 2, tuple(shapes)))
    return strips


def _checks(checks: Iterable[PageCheck], cols: Columns) -> list[Strip]:
    texts = [
        say("{n}. {name} ({time}): {how}", n=n, name=one.name, time=one.minutes, how=one.how)
        for n, one in enumerate(checks, 1)
    ]
    return _items("ask", texts, SMALL, cols)


def _items(icon: str, texts: Iterable[str], font: Font, cols: Columns) -> list[Strip]:
    return [strip for text in texts if text for strip in item(icon, text, font, cols)]


def _foot(page: OpinionPage, inner: Box, number: int, of: int) -> list[Shape]:
    y = inner.bottom + 10
    shapes: list[Shape] = [Line(inner.x, y - 4, inner.right, y - 4, "edge", 0.8)]
    text = page.foot
    if of > 1:
        text = say("{text} · page {n} of {of}", text=text, n=number, of=of)
    for index, line in enumerate(wrap(text, FINE, inner.width)):
        shapes.append(text_line(line, FINE, inner.x, y + index * FINE.size * LINE, color="ink3"))
    return shapes
