"""Patterns on paper for the shop wall: the same rows and curves as on the screen, in ink."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from servicedesk.papers.fonts import clean, width_of
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
from servicedesk.papers.life_figures import PlotShown, plots_figure
from servicedesk.papers.paint import write_pdf
from servicedesk.papers.pattern_figures import Look, SectionShown, legend_figure, rows_figure
from servicedesk.values.shapes import (
    Box,
    Bracket,
    Font,
    Line,
    Mark,
    Polyline,
    Rect,
    Shape,
    TextBox,
    moved,
)
from servicedesk.words import say

MARGIN, FOOT = 36.0, 34.0
SCALE = 0.82  # of lengths that are pixels on a screen
TITLE, HEAD = Font(22.0, 600, "title"), Font(13.0, 600, "title")
LEAD, TEXT, FINE = Font(10.0, 600), Font(9.4), Font(7.8)


@dataclass(frozen=True, slots=True)
class WallPattern:
    """One pattern: its title, the strong first sentence, the sentences after it, cautions uncut."""

    title: str
    lead: str
    sentences: tuple[str, ...]
    cautions: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Wall:
    """Everything on the paper, in words. `legend`: what each mark means, `upright` the dashes."""

    title: str
    second: str
    sections: tuple[SectionShown, ...]
    legend: dict[Look, str]
    upright: str
    notes: tuple[str, ...]
    patterns: tuple[WallPattern, ...]
    plots_title: str
    plots: tuple[PlotShown, ...]
    foot: str


def wall_pdf(wall: Wall, size: PageName = "letter") -> bytes:
    """The paper as PDF. The same values give the same bytes."""
    return write_pdf(wall_pages(wall, size), PAGE_SIZES[size], wall.title)


def wall_pages(wall: Wall, size: PageName = "letter") -> list[list[Shape]]:
    """The shapes of each page before they are painted."""
    width, height = PAGE_SIZES[size]
    inner = Box(MARGIN, MARGIN, width - 2 * MARGIN, height - FOOT - MARGIN)
    pages = Pages(inner, inner.y)
    pages.place(Block(tuple(_lines(((wall.title, TITLE), (wall.second, TEXT)), inner))))
    _place_rows(wall, inner, pages)
    for pattern in wall.patterns:
        pages.place(_told(pattern, inner))
    for block in _plots(wall, inner):
        pages.place(block)
    for number, shapes in enumerate(pages.pages, 1):
        shapes.extend(_foot(wall.foot, inner, number, len(pages.pages)))
    return pages.pages


def in_ink(shapes: Iterable[Shape]) -> list[Shape]:
    """The same shapes without color: paper is black on white, tints a light gray."""
    return [_inked(shape) for shape in shapes]


def _inked(shape: Shape) -> Shape:
    match shape:
        case Rect() | Polyline() if shape.fill and shape.fill.startswith("soft."):
            shape = replace(shape, fill="sunken")
    match shape:
        case Line(color="line"):
            return replace(shape, width=0.4)
        case TextBox() | Line() | Mark() | Bracket():
            return replace(shape, color=_ink(shape.color))
        case Polyline() if shape.color:
            return replace(shape, color=_ink(shape.color))
    return shape


def _ink(color: str) -> str:
    return color if color in {"ink", "ink2", "ink3", "edge", "line", "sheet"} else "ink"


def _place_rows(wall: Wall, inner: Box, pages: Pages) -> None:
    """Each factor whole; the axis of its section stands above the first on every page."""
    for section in wall.sections:
        figure = rows_figure([section], inner.width, width_of, scale=SCALE)
        head, *factors = figure.pieces
        above = Strip(head.height, tuple(in_ink(moved(head.shapes, inner.x, -head.y))))
        for n, piece in enumerate(factors):
            strip = Strip(piece.height, tuple(in_ink(moved(piece.shapes, inner.x, -piece.y))))
            turns = strip.height > pages.left
            pages.place(Block((above, strip) if n == 0 or turns else (strip,)))
    drawn, high = legend_figure(wall.legend, wall.upright, wall.notes, inner.width, width_of, SCALE)
    pages.place(Block((Strip(6.0), Strip(high, tuple(in_ink(moved(drawn, inner.x, 0)))))))


def _told(pattern: WallPattern, inner: Box) -> Block:
    head = Strip(10.0, (Line(inner.x, 6, inner.right, 6, "edge", 0.8),))
    parts = [(pattern.title, HEAD), (pattern.lead, LEAD)]
    parts += [(text, TEXT) for text in pattern.sentences]
    strips = [head, *_lines(parts, inner)]
    if pattern.cautions:
        strips += [Strip(3.0), *_lines([(say("Take care:"), Font(7.8, 600))], inner)]
        strips += _lines([(text, FINE) for text in pattern.cautions], inner, indent=8.0)
    return Block(tuple(strips), again=Strip(4.0))


def _plots(wall: Wall, inner: Box) -> list[Block]:
    if not wall.plots:
        return []
    figure = plots_figure(wall.plots, inner.width, width_of, scale=SCALE)
    head = [
        Strip(10.0, (Line(inner.x, 6, inner.right, 6, "edge", 0.8),)),
        *_lines([(wall.plots_title, HEAD)], inner),
        Strip(4.0),
    ]
    blocks = []
    for n, (y, high, shapes) in enumerate(figure.rows):
        strip = Strip(high + 10.0, tuple(in_ink(moved(shapes, inner.x, -y))))
        blocks.append(Block((*head, strip) if n == 0 else (strip,)))
    return blocks


def _lines(parts: Sequence[tuple[str, Font]], inner: Box, *, indent: float = 0.0) -> list[Strip]:
    """Texts below each other, each broken into lines of the width there is."""
    strips = []
    for text, font in parts:
        lines = wrap(text, font, inner.width - indent)
        for n, line in enumerate(lines):
            gap = 2.0 if n == len(lines) - 1 else 0.0
            box = text_line(clean(line), font, inner.x + indent, 0)
            strips.append(Strip(font.size * LINE + gap, (box,)))
    return strips


def _foot(text: str, inner: Box, number: int, of: int) -> list[Shape]:
    y = inner.bottom + 10
    if of > 1:
        text = say("{text} · page {n}/{of}", text=text, n=number, of=of)
    shapes: list[Shape] = [Line(inner.x, y - 4, inner.right, y - 4, "edge", 0.8)]
    for n, line in enumerate(wrap(text, FINE, inner.width)):
        shapes.append(text_line(line, FINE, inner.x, y + n * FINE.size * LINE, color="ink3"))
    return shapes
