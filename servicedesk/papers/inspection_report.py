"""A report of a visit on paper, for the owner or the authority; letters about it look alike."""

from collections.abc import Iterable, Sequence

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
from servicedesk.papers.report_rows import Fact, ReportPaper, ReportRow, ReportSection
from servicedesk.values.shapes import Box, Font, Icon, Line, Mark, Rect, Shape
from servicedesk.words import say

MARGIN, FOOT = 46.0, 42.0
COMPANY = Font(14.0, 600, "title")
TITLE = Font(18.0, 600, "title")
HEAD = Font(10.8, 600, "title")
TEXT = Font(9.4)
STRONG = Font(9.4, 600)
LABEL = Font(8.4)
FINE = Font(8.2)
GAP = 8.0  # between columns
SIGN = 12.0  # room of the sign before a row
LABEL_WIDTH = 92.0
ROOM_TO_WRITE = 20.0  # above a line that is written on by hand
FIRST_ROWS = 3  # of a table that stay with its heading
SIGNED_WITH = 160.0  # a last piece up to this height goes to the page of the signature


def report_pdf(paper: ReportPaper, size: PageName = "letter") -> bytes:
    """The paper as PDF. The same rows give the same bytes."""
    title = f"{paper.title}: {paper.subtitle}" if paper.subtitle else paper.title
    return write_pdf(report_pages(paper, size), PAGE_SIZES[size], title)


def report_pages(paper: ReportPaper, size: PageName = "letter") -> list[list[Shape]]:
    """The shapes of each page before they are painted."""
    width, height = PAGE_SIZES[size]
    inner = Box(MARGIN, MARGIN - 8, width - 2 * MARGIN, height - MARGIN + 8 - FOOT - 12)
    pages = Pages(inner, inner.y)
    pages.place(_top(paper, inner))
    pages.place(_facts(paper.facts, inner))
    if paper.changed:
        pages.place(_framed(say("What was changed"), paper.changed, inner))
    parts = [(_pieces(section, inner), _again(section, inner)) for section in paper.sections]
    if paper.cautions:
        parts.append((_cautions(paper.cautions, inner), Strip(0.0)))
    _with_signature(parts, _signature(paper, inner))
    for pieces, again in parts:
        _flow(pages, pieces, again)
    for number, shapes in enumerate(pages.pages, 1):
        shapes.extend(_foot(paper, inner, number, len(pages.pages)))
    return pages.pages


def _lines(
    texts: Iterable[str], font: Font, x: float, width: float, *, color: str = "ink"
) -> list[Strip]:
    """Texts wrapped to a width, one strip a line."""
    return [
        Strip(font.size * LINE, (text_line(line, font, x, 0, color=color),))
        for text in texts
        for line in wrap(text, font, width)
    ]


def _top(paper: ReportPaper, inner: Box) -> Block:
    """The letterhead, whom it goes to, number and day at the right, the title."""
    name, *rest = paper.letterhead or ("",)
    strips = _lines([name], COMPANY, inner.x, inner.width)
    strips += _lines(rest, LABEL, inner.x, inner.width)
    rule = Line(inner.x, 4, inner.right, 4, "ink", 1.2)
    strips.append(Strip(16.0, (rule,)))
    half = inner.width * 0.55
    left = [line for text in paper.to for line in wrap(text, TEXT, half)]
    right = [(paper.number, STRONG), (paper.day, TEXT)]
    for row in range(max(len(left), len(right))):
        shapes: list[Shape] = []
        if row < len(left):
            shapes.append(text_line(left[row], TEXT, inner.x, 0))
        if row < len(right) and right[row][0]:
            shapes += _at_right(right[row][0], right[row][1], inner)
        strips.append(Strip(TEXT.size * LINE, tuple(shapes)))
    strips.append(Strip(12.0))
    strips += _lines([paper.title], TITLE, inner.x, inner.width)
    if paper.subtitle:
        strips += _lines([paper.subtitle], TEXT, inner.x, inner.width)
    return Block((*strips, Strip(6.0)))


def _at_right(text: str, font: Font, inner: Box) -> list[Shape]:
    line = text_line(text, font, 0, 0)
    return [line.moved(inner.right - line.bounds.width, 0)]


def _facts(facts: Sequence[Fact], inner: Box) -> Block:
    """Labels and texts in two columns, read down the left one first."""
    half = (inner.width - 18) / 2
    n_left = (len(facts) + 1) // 2
    columns = [_fact_lines(some, half) for some in (facts[:n_left], facts[n_left:])]
    strips = []
    for row in range(max(len(lines) for lines in columns)):
        shapes: list[Shape] = []
        for column, lines in enumerate(columns):
            x = inner.x + column * (half + 18)
            if row < len(lines):
                label, text = lines[row]
                shapes += [text_line(label, LABEL, x, 1, color="ink3")] if label else []
                shapes.append(text_line(text, TEXT, x + LABEL_WIDTH, 0))
        strips.append(Strip(TEXT.size * LINE + 1.4, tuple(shapes)))
    return Block((*strips, Strip(6.0)))


def _fact_lines(facts: Iterable[Fact], width: float) -> list[tuple[str, str]]:
    found = []
    for fact in facts:
        labels = wrap(fact.label, LABEL, LABEL_WIDTH - 6)
        texts = wrap(fact.text, TEXT, width - LABEL_WIDTH) or [""]
        for row in range(max(len(labels), len(texts))):
            label = labels[row] if row < len(labels) else ""
            found.append((label, texts[row] if row < len(texts) else ""))
    return found


def _framed(title: str, texts: Sequence[str], inner: Box) -> Block:
    """A part that nobody may overlook: a bar beside it."""
    strips = [Strip(4.0), *_lines([title], STRONG, inner.x + 12, inner.width - 12)]
    strips += _lines(texts, TEXT, inner.x + 12, inner.width - 12)
    barred = [
        Strip(s.height, (*s.shapes, Rect(Box(inner.x, 0, 3, s.height), "ink", None)))
        for s in strips
    ]
    return Block((*barred, Strip(8.0)))


def _heading(title: str, inner: Box) -> Strip:
    return Strip(
        HEAD.size * LINE + 10,
        (
            Line(inner.x, 4, inner.right, 4, "edge", 0.8),
            text_line(title, HEAD, inner.x, 7),
        ),
    )


def _flow(pages: Pages, pieces: Sequence[Block], again: Strip) -> None:
    """Pieces one below the other; where they go on at a new page, `again` stands over them."""
    for number, piece in enumerate(pieces):
        if number and piece.height > pages.left:
            pages.turn()
            pages.place(Block((again,)))
        pages.place(piece)


def _pieces(section: ReportSection, inner: Box) -> list[Block]:
    """A section in pieces that stay whole: the heading with the first rows, then row by row."""
    first = [_heading(section.title, inner)]
    first += _lines(section.text, TEXT, inner.x, inner.width)
    if section.text and section.rows:
        first.append(Strip(3.0))
    if section.head and section.rows:
        first += _row(ReportRow(section.head), section, inner, FINE, color="ink3")
    rows = [_row(row, section, inner, STRONG if row.strong else TEXT) for row in section.rows]
    for row in rows[:FIRST_ROWS]:
        first += row
    pieces = [tuple(first), *(tuple(row) for row in rows[FIRST_ROWS:])]
    tail = [Strip(3.0)]
    if section.note:
        tail = [
            Strip(2.0),
            *_lines([section.note], FINE, inner.x, inner.width, color="ink3"),
            *tail,
        ]
    pieces[-1] = (*pieces[-1], *tail)
    again = _again(section, inner)
    return [Block(strips, again=again) for strips in pieces]


def _again(section: ReportSection, inner: Box) -> Strip:
    """What stands over the rest of a section on the next page: its title and column heads."""
    title = say("{title}, continued", title=section.title)
    shapes: list[Shape] = [text_line(title, FINE, inner.x, 0, color="ink3")]
    height = FINE.size * LINE + 4
    if section.head:
        for strip in _row(ReportRow(section.head), section, inner, FINE, color="ink3"):
            shapes += [shape.moved(0, height) for shape in strip.shapes]
            height += strip.height
    return Strip(height, tuple(shapes))


def _row(
    row: ReportRow, section: ReportSection, inner: Box, font: Font, *, color: str = "ink"
) -> list[Strip]:
    """A row of a table, a strip a line so that a long one can go on at the next page."""
    edges = _edges(section, inner)
    cells = [wrap(text, font, width) for text, (_, width) in zip(row.cells, edges, strict=True)]
    strips = []
    n_lines = max(1, *(len(lines) for lines in cells))
    for index in range(n_lines):
        shapes: list[Shape] = [
            text_line(lines[index], font, x, 0, color=color)
            for lines, (x, _) in zip(cells, edges, strict=True)
            if index < len(lines)
        ]
        if index == 0 and row.mark:
            shapes += _sign(row.mark, inner.x, font)
        last = 2.2 if index == n_lines - 1 else 0.0
        strips.append(Strip(font.size * LINE + last, tuple(shapes)))
    return strips


def _edges(section: ReportSection, inner: Box) -> list[tuple[float, float]]:
    """Left edge and width of each column; rows with a sign begin a little further in."""
    indent = SIGN if any(row.mark for row in section.rows) else 0.0
    room = inner.width - indent - GAP * (len(section.widths) - 1)
    total = sum(section.widths)
    edges, x = [], inner.x + indent
    for share in section.widths:
        width = room * share / total
        edges.append((x, width))
        x += width + GAP
    return edges


def _sign(mark: str, x: float, font: Font) -> list[Shape]:
    """A sign before a row. The words of the row say the same: nothing by the sign alone."""
    middle = font.size * LINE / 2
    if mark in ("watch", "failed"):
        return [Icon("warn", Box(x - 1, middle - 4.5, 9, 9))]
    if mark == "good":
        return [Icon("check", Box(x - 1, middle - 4.5, 9, 9))]
    return [Mark("disc", x + 3.5, middle, 4.5, "ink", filled=False)]


def _cautions(texts: Sequence[str], inner: Box) -> list[Block]:
    """Cautions in full, each with its sign; the heading stays with the first."""
    pieces = []
    for number, text in enumerate(texts):
        lines = _lines([text], FINE, inner.x + SIGN, inner.width - SIGN)
        if lines:
            icon = Icon("warn", Box(inner.x - 1, 0.5, 9, 9))
            lines[0] = Strip(lines[0].height, (*lines[0].shapes, icon))
        head = [] if number else [_heading(say("Take care"), inner)]
        pieces.append(Block((*head, *lines, Strip(2.0))))
    return pieces


def _signature(paper: ReportPaper, inner: Box) -> Block:
    """Who signed; an empty line to sign on where nobody has. An empty text leaves room."""
    strips = [Strip(14.0)]
    if paper.signed:
        for text in paper.signed:
            lines = _lines([text], TEXT, inner.x, inner.width)
            strips += lines or [Strip(ROOM_TO_WRITE)]
        return Block(tuple(strips))
    strips.append(Strip(22.0))
    strips.append(Strip(3.0, (Line(inner.x, 0, inner.x + 220, 0, "ink", 0.8),)))
    strips += _lines(
        [say("Signature, name and license: waiting for signature")], FINE, inner.x, inner.width
    )
    return Block(tuple(strips))


def _with_signature(parts: list[tuple[list[Block], Strip]], signature: Block) -> None:
    """Nobody signs an empty page: the last piece before it stays with the signature."""
    if parts and parts[-1][0] and parts[-1][0][-1].height < SIGNED_WITH:
        last = parts[-1][0][-1]
        parts[-1][0][-1] = Block((*last.strips, *signature.strips), again=last.again)
    else:
        parts.append(([signature], Strip(0.0)))


def _foot(paper: ReportPaper, inner: Box, number: int, of: int) -> list[Shape]:
    y = inner.bottom + 10
    shapes: list[Shape] = [Line(inner.x, y - 4, inner.right, y - 4, "edge", 0.8)]
    page = text_line(say("page {n} of {of}", n=number, of=of), FINE, 0, y, color="ink3")
    shapes.append(page.moved(inner.right - page.bounds.width, 0))
    text = " · ".join(part for part in (paper.foot, paper.invented) if part)
    room = inner.width - page.bounds.width - 12
    for index, line in enumerate(wrap(text, FINE, room)):
        shapes.append(text_line(line, FINE, inner.x, y + index * FINE.size * LINE, color="ink3"))
    return shapes
