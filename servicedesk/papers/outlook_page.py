"""The months to come on paper: the same columns as on the screen, with their sentences."""

from collections.abc import Sequence
from dataclasses import dataclass

from servicedesk.papers.fonts import width_of
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
from servicedesk.papers.outlook_figures import ColumnsShown, columns_figure
from servicedesk.papers.paint import write_pdf
from servicedesk.papers.pattern_wall import in_ink
from servicedesk.values.shapes import Box, Font, Shape, moved

MARGIN, FOOT, SCALE = 48.0, 30.0, 0.82
TITLE, HEAD, TEXT, FINE = Font(18.0, 600, "title"), Font(11.5, 600, "title"), Font(9.2), Font(7.8)


@dataclass(frozen=True, slots=True, kw_only=True)
class OutlookPaper:
    """A title with what it is of, and figures each with a title and sentences below it."""

    title: str
    second: str
    figures: tuple[tuple[str, ColumnsShown, tuple[str, ...]], ...]
    foot: str


def outlook_pdf(paper: OutlookPaper, size: PageName = "letter") -> bytes:
    """The paper; equal input gives equal bytes."""
    return write_pdf(outlook_pages(paper, size), PAGE_SIZES[size], paper.title)


def outlook_pages(paper: OutlookPaper, size: PageName = "letter") -> list[list[Shape]]:
    """Its shapes, page by page. A figure is never cut."""
    width, height = PAGE_SIZES[size]
    inner = Box(MARGIN, MARGIN, width - 2 * MARGIN, height - 2 * MARGIN - FOOT)
    pages = Pages(inner, inner.y)
    pages.place(Block((*_lines(paper.title, TITLE, inner), *_lines(paper.second, TEXT, inner),
                       Strip(8.0))))  # fmt: skip
    for title, shown, notes in paper.figures:
        drawn, high = columns_figure(shown, inner.width, width_of, SCALE)
        strips = [*_lines(title, HEAD, inner), Strip(4.0),
                  Strip(high + 4.0, tuple(in_ink(moved(drawn, inner.x, 0))))]  # fmt: skip
        for note in notes:
            strips += _lines(note, TEXT, inner)
        pages.place(Block((*strips, Strip(14.0))))
    for shapes in pages.pages:
        y = height - MARGIN
        shapes += [text_line(one, FINE, inner.x, y) for one in wrap(paper.foot, FINE, inner.width)]
    return pages.pages


def _lines(text: str, font: Font, inner: Box) -> Sequence[Strip]:
    return [
        Strip(font.size * LINE, (text_line(line, font, inner.x, 0),))
        for line in wrap(text, font, inner.width)
    ]
