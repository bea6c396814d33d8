"""A week on one page for the wall: people x days, place names large, open windows at the foot."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from servicedesk.papers.fonts import clean, width_of
from servicedesk.papers.layout import LINE, PAGE_SIZES, PageName, first_words, wrap
from servicedesk.papers.paint import write_pdf
from servicedesk.values.shapes import Box, Font, Rect, Shape, TextBox
from servicedesk.values.shapes import Line as Rule
from servicedesk.words import say, say_n

MARGIN = 30.0
TITLE = Font(22.0, 600, "title")
DAY = Font(13.0, 600, "title")
FOOT_HEAD, FOOT, FINE = Font(10.5, 600, "title"), Font(8.5), Font(7.5)
# the first ones with addresses below, the first ones one below the other, the rest in one flow
PLACE_SIZES = (19.0, 16.5, 14.0, 12.0, 10.5, 9.0, 8.0, 7.0)
STREETS_WITH, STACKED_UNTIL, STREET_SIZE = 3, 4, 8.5
PERSON_SIZES, WORD_SIZES = (15.0, 12.0, 10.0, 8.5), (10.0, 8.5, 7.0)
PAD = 5.0
NAME_WIDTH = 84.0
FOOT_ROWS, FOOT_COLUMNS = 7, 3
Lines = list[tuple[str, Font]]


@dataclass(frozen=True, slots=True)
class WallPlace:
    """A place a round leads to, with the addresses there in their order; `mark` goes before one."""

    name: str
    addresses: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class WallCell:
    """A person's day: its places in order, or `words` where there is no round (off, nothing)."""

    places: tuple[WallPlace, ...] = ()
    words: str = ""

    @property
    def n_stops(self) -> int:
        """Stops of the day."""
        return sum(len(place.addresses) for place in self.places)


@dataclass(frozen=True, slots=True)
class WallPerson:
    """One row: a name and a cell for each day of the page."""

    name: str
    cells: tuple[WallCell, ...]


@dataclass(frozen=True, slots=True)
class WallWindow:
    """An inspection that has no day yet: by when, and where."""

    by: str
    where: str
    is_late: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class WeekPage:
    """The page in words. `days` head the columns; `windows` soonest first; `foot` is company, day
    of print and that data is invented where it is.
    """

    title: str
    days: tuple[str, ...]
    people: tuple[WallPerson, ...]
    windows: tuple[WallWindow, ...]
    foot: str


def week_page(page: WeekPage, *, size: PageName = "letter") -> bytes:
    """One page, lying. The more people, the smaller the places; nothing is left out unsaid.

    Raises ValueError for a person whose cells are not one a day.
    """
    for person in page.people:
        if len(person.cells) != len(page.days):
            raise ValueError(f"{person.name}: {len(person.cells)} cells for {len(page.days)} days")
    height, width = PAGE_SIZES[size]
    frame = Box(MARGIN, MARGIN, width - 2 * MARGIN, height - 2 * MARGIN)
    foot = _foot(page, frame)
    shapes: list[Shape] = [
        TextBox(Box(frame.x, frame.y, frame.width, TITLE.size * LINE), page.title, TITLE),
        *foot,
    ]
    top = frame.y + TITLE.size * LINE + 6
    bottom = min((shape.bounds.y for shape in foot), default=frame.bottom) - 10
    shapes += _grid(page, Box(frame.x, top, frame.width, bottom - top))
    return write_pdf([shapes], (width, height), page.title)


def _grid(page: WeekPage, box: Box) -> list[Shape]:
    """The table: one line of days, and rows as high as their people's weeks are full."""
    head = DAY.size * LINE + 4
    wide = (box.width - NAME_WIDTH) / max(1, len(page.days))
    shapes: list[Shape] = []
    for n, day in enumerate(page.days):
        at = Box(box.x + NAME_WIDTH + n * wide + PAD, box.y, wide - 2 * PAD, head)
        shapes.append(TextBox(at, first_words(day, DAY, at.width), DAY))
    y = box.y + head
    for person, high in zip(page.people, _heights(page.people, box.height - head), strict=True):
        shapes.append(Rule(box.x, y, box.right, y, width=1.2))
        shapes += _name(person.name, Box(box.x, y, NAME_WIDTH, high))
        for n, cell in enumerate(person.cells):
            x = box.x + NAME_WIDTH + n * wide
            shapes += cell_shapes(cell, Box(x, y, wide, high))
        y += high
    shapes.append(Rule(box.x, y, box.right, y, width=1.2))
    for n in range(len(page.days)):
        x = box.x + NAME_WIDTH + n * wide
        shapes.append(Rule(x, box.y, x, y, width=0.5))
    return shapes


def _heights(people: Sequence[WallPerson], room: float) -> list[float]:
    """The room shared by the fullest cell of each row, at least half an equal share for each."""
    if not people:
        return []
    needs = [max((len(c.places) + c.n_stops for c in p.cells), default=0) + 2 for p in people]
    equal = room / len(people) / 2
    return [equal + room / 2 * need / sum(needs) for need in needs]


def _name(name: str, box: Box) -> list[Shape]:
    """A name in the largest letters in which none of its words is cut."""
    for size in PERSON_SIZES:
        font = Font(size, 600, "title")
        lines = [(line, font) for line in wrap(name, font, box.width - PAD)]
        whole = len(lines) <= len(name.split())
        if whole and _height(lines) <= box.height - PAD:
            break
    else:
        lines = [(first_words(name, font, box.width - PAD), font)]
    return _stacked(lines, Box(box.x, box.y + PAD, box.width - PAD, box.height - PAD))


def cell_shapes(cell: WallCell, box: Box) -> list[Shape]:
    """A cell in the largest letters in which it fits: places with their addresses, then places
    alone, then places in one flow; what does not fit even so is counted in words.
    """
    inner = Box(box.x + PAD, box.y + PAD - 1, box.width - 2 * PAD, box.height - 2 * PAD + 2)
    ways = _ways(cell, inner.width) if cell.places else _words(cell.words, inner.width)
    for lines in ways:
        if _height(lines) <= inner.height:
            return _stacked(lines, inner)
    return _stacked(_what_fits(cell, inner), inner)


def _words(words: str, width: float) -> Iterator[Lines]:
    for size in WORD_SIZES:
        yield [(line, Font(size)) for line in wrap(words, Font(size), width)]
    yield [(first_words(words, Font(size), width), Font(size))]


def _ways(cell: WallCell, width: float) -> Iterator[Lines]:
    for size in PLACE_SIZES[:STREETS_WITH]:
        if _stands(cell.places, size, width):
            yield _lines(cell.places, size, width, with_streets=True)
    for size in PLACE_SIZES[:STACKED_UNTIL]:
        if _stands(cell.places, size, width):
            yield _lines(cell.places, size, width, with_streets=False)
    for size in PLACE_SIZES[STREETS_WITH:]:
        yield _flow(cell.places, size, width)


def _head(place: WallPlace) -> str:
    n = len(place.addresses)
    return place.name if n == 1 else f"{place.name} ×{n}"


def _stands(places: Sequence[WallPlace], size: float, width: float) -> bool:
    """Whether every place's name stands on one line: a count alone on a line says nothing."""
    return all(width_of(clean(_head(place)), Font(size, 600)) <= width for place in places)


def _lines(places: Sequence[WallPlace], size: float, width: float, *, with_streets: bool) -> Lines:
    lines: Lines = []
    street_font = Font(STREET_SIZE)
    for place in places:
        lines.append((_head(place), Font(size, 600)))
        if with_streets:
            for address in place.addresses:
                lines += [(line, street_font) for line in wrap(address, street_font, width)]
    return lines


def _flow(places: Sequence[WallPlace], size: float, width: float, more: str = "") -> Lines:
    """Places one after the other, lines broken between them where one does not fit any more."""
    font = Font(size, 600)
    lines: list[str] = []
    heads = [_head(place) for place in places] + ([more] if more else [])
    for head in heads:
        longer = f"{lines[-1]} · {head}" if lines else head
        if lines and width_of(clean(longer), font) <= width:
            lines[-1] = longer
        else:
            lines += wrap(head, font, width)
    return [(line, font) for line in lines]


def _what_fits(cell: WallCell, box: Box) -> Lines:
    """As many places as fit in the smallest letters, and how many stops are not among them."""
    size = PLACE_SIZES[-1]
    for n in range(len(cell.places) - 1, -1, -1):
        left = sum(len(place.addresses) for place in cell.places[n:])
        more = say_n("and {n} stop more", "and {n} stops more", left)
        lines = _flow(cell.places[:n], size, box.width, more)
        if _height(lines) <= box.height:
            return lines
    return lines


def _height(lines: Sequence[tuple[str, Font]]) -> float:
    return sum(font.size * _leading(font) for _, font in lines)


def _leading(font: Font) -> float:
    return 1.15 if font.weight == 600 else 1.22


def _stacked(lines: Sequence[tuple[str, Font]], box: Box) -> list[Shape]:
    shapes: list[Shape] = []
    y = box.y
    for text, font in lines:
        high = font.size * _leading(font)
        shapes.append(TextBox(Box(box.x, y, box.width, high), text, font))
        y += high
    return shapes


def _foot(page: WeekPage, frame: Box) -> list[Shape]:
    """The open windows in columns, and the last line of the page; from the bottom up."""
    fine = Box(frame.x, frame.bottom - FINE.size * LINE, frame.width, FINE.size * LINE)
    shapes: list[Shape] = [
        TextBox(fine, first_words(page.foot, FINE, fine.width), FINE, color="ink2")
    ]
    most = FOOT_ROWS * FOOT_COLUMNS
    shown = page.windows if len(page.windows) <= most else page.windows[: most - 1]
    texts = [_window(one) for one in shown]
    if len(shown) < len(page.windows):
        more = len(page.windows) - len(shown)
        texts.append(("", say_n("and {n} more", "and {n} more", more), False))
    rows = min(FOOT_ROWS, -(-len(texts) // FOOT_COLUMNS))
    high = FOOT.size * LINE
    top = fine.y - 4 - max(1, rows) * high
    wide = frame.width / FOOT_COLUMNS
    for n, (by, where, late) in enumerate(texts):
        x, y = frame.x + n // max(1, rows) * wide, top + n % max(1, rows) * high
        shapes += _window_shapes(by, where, Box(x, y, wide - 12, high), is_late=late)
    head = say("No day yet, by when the window closes")
    if any(late for _, _, late in texts):
        head = say("No day yet, by when the window closes (framed: has closed)")
    if not texts:
        nothing = say("Every window that closes soon has its day.")
        shapes.append(TextBox(Box(frame.x, top, frame.width, high), nothing, FOOT))
    at = Box(frame.x, top - FOOT_HEAD.size * LINE - 1, frame.width, FOOT_HEAD.size * LINE)
    shapes.append(TextBox(at, head, FOOT_HEAD))
    return shapes


def _window(one: WallWindow) -> tuple[str, str, bool]:
    return one.by, one.where, one.is_late


def _window_shapes(by: str, where: str, box: Box, *, is_late: bool) -> list[Shape]:
    strong = Font(FOOT.size, 600)
    left = 50.0 if by else 0.0
    rest = box.width - left
    shapes: list[Shape] = [
        TextBox(Box(box.x + left, box.y, rest, box.height), first_words(where, FOOT, rest), FOOT)
    ]
    if by:
        at = Box(box.x + 3, box.y, left - 7, box.height)
        shapes.insert(0, TextBox(at, by, strong))
        if is_late:  # a frame, since black on white has no color to say it with
            wide = width_of(clean(by), strong) + 6
            shapes.insert(0, Rect(Box(at.x - 3, at.y + 0.8, wide, box.height - 1.6), width=0.8))
    return shapes
