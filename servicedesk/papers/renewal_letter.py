"""Letters that offer the next contract: one page each, longer ones go on."""

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
from servicedesk.values.shapes import Box, Font, Shape

MARGIN, FOOT = 64.0, 40.0
COMPANY, SUBJECT = Font(14.0, 600, "title"), Font(11.5, 600)
TEXT, FINE = Font(10.5), Font(8.2)


@dataclass(frozen=True, slots=True, kw_only=True)
class Letter:
    """A letter in words. `paragraphs` are wrapped; a line break within one stays."""

    company: str
    company_lines: tuple[str, ...]
    to: tuple[str, ...]
    day: str
    subject: str
    paragraphs: tuple[str, ...]
    foot: str


def letters_pdf(letters: Sequence[Letter], title: str, size: PageName = "letter") -> bytes:
    """All letters in one PDF, each on a page of its own. Equal letters give equal bytes."""
    pages = [page for letter in letters for page in letter_pages(letter, size)]
    return write_pdf(pages, PAGE_SIZES[size], title)


def letter_pages(letter: Letter, size: PageName = "letter") -> list[list[Shape]]:
    """The shapes of a letter's pages before they are painted."""
    width, height = PAGE_SIZES[size]
    inner = Box(MARGIN, MARGIN, width - 2 * MARGIN, height - 2 * MARGIN - FOOT)
    pages = Pages(inner, inner.y)
    space = (Strip(18.0),)
    blocks: tuple[Iterable[Strip], ...] = (
        _lines((letter.company,), COMPANY, inner),
        (*_lines(letter.company_lines, FINE, inner), Strip(40.0)),
        (*_lines(letter.to, TEXT, inner), *space),
        (*_lines((letter.day,), TEXT, inner), *space),
        (*_lines((letter.subject,), SUBJECT, inner), Strip(8.0)),
    )
    for strips in blocks:
        pages.place(Block(tuple(strips)))
    for paragraph in letter.paragraphs:
        pages.place(Block((*_lines(paragraph.splitlines(), TEXT, inner), Strip(9.0))))
    for shapes in pages.pages:
        y = height - FOOT
        shapes += [
            text_line(line, FINE, inner.x, y) for line in wrap(letter.foot, FINE, inner.width)
        ]
    return pages.pages


def _lines(texts: Iterable[str], font: Font, inner: Box) -> list[Strip]:
    return [
        Strip(font.size * LINE, (text_line(line, font, inner.x, 0),))
        for text in texts
        for line in wrap(text, font, inner.width)
    ]
