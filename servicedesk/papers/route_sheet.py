"""The sheet a crew takes along: ribbon, stops with lines to write on, load, map.

Black on white; the same rows give the same bytes.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from servicedesk.papers.figures import Ribbon, RibbonStop, day_axis, draw_ribbon
from servicedesk.papers.fonts import width_of
from servicedesk.papers.layout import (
    LINE,
    PAGE_SIZES,
    Block,
    PageName,
    Pages,
    Strip,
    first_words,
    text_line,
    wrap,
)
from servicedesk.papers.maps import MapName, MapStop, RoundMap, draw_map
from servicedesk.papers.paint import write_pdf
from servicedesk.papers.pick_block import pick_block
from servicedesk.papers.rows import RouteSheet
from servicedesk.papers.stop_block import (
    MEDIUM,
    SMALL,
    STRONG,
    TEXT,
    Columns,
    columns,
    framed,
    item,
    stop_block,
)
from servicedesk.values.shapes import Box, Font, Line, Shape
from servicedesk.words import say, say_n
from servicedesk.words.formats import Formats

MARGIN = 33.0
FOOT = 50.0
NAME = Font(24.5, 600, "title")
LONG_NAME = Font(15.0, 600, "title")
DAY = Font(14.4, 400, "title")
COMPANY = Font(9.4, 600, "title")
NOTE = Font(7.6)
MAP_LOWEST, MAP_HIGHEST, MAP_ALONE = 230.0, 470.0, 600.0


@dataclass(frozen=True, slots=True)
class SheetOptions:
    """How sheets are printed: paper, and whether gate codes and the like are on them."""

    page: PageName = "letter"
    secrets: bool = False


def route_sheet(sheet: RouteSheet, formats: Formats, options: SheetOptions | None = None) -> bytes:
    """One crew's sheet as PDF."""
    return route_sheets([sheet], formats, options)


def route_sheets(
    sheets: Sequence[RouteSheet], formats: Formats, options: SheetOptions | None = None
) -> bytes:
    """The sheets of a day in one PDF, each beginning on a new page, numbered in this order."""
    chosen = options or SheetOptions()
    pages = [
        page
        for number, sheet in enumerate(sheets, 1)
        for page in sheet_pages(sheet, formats, chosen, number, len(sheets))
    ]
    names = ", ".join(sheet.technician for sheet in sheets)
    title = say("Route sheet {names}", names=names)
    return write_pdf(pages, PAGE_SIZES[chosen.page], title)


def sheet_pages(
    sheet: RouteSheet,
    formats: Formats,
    options: SheetOptions,
    number: int = 1,
    of_sheets: int = 1,
) -> list[list[Shape]]:
    """The shapes of each page of a sheet, before they are painted."""
    width, height = PAGE_SIZES[options.page]
    inner = Box(MARGIN, MARGIN - 6, width - 2 * MARGIN, height - FOOT - (MARGIN - 6))
    cols = columns(inner)
    head, head_bottom = _head(sheet, formats, inner)
    later = Box(inner.x, inner.y + 18, inner.width, inner.height - 18)
    pages = Pages(later, head_bottom)
    pages.pages[0] += head
    for block in _warnings(sheet, cols):
        pages.place(block)
    for stop in sheet.stops:
        pages.place(stop_block(stop, cols, formats, secrets=options.secrets))
    if not sheet.stops:
        pages.place(Block((Strip(10), *_full(say("No stops on this day."), TEXT, cols))))
    pages.place(_load(sheet, cols))
    if sheet.pick_chance:
        pages.place(pick_block(sheet.picks, sheet.pick_chance, cols))
    _place_map(sheet, pages, cols)
    for page_no, page in enumerate(pages.pages, 1):
        if page_no > 1:
            page.extend(_later_head(sheet, formats, inner))
        place = (number, of_sheets, page_no, len(pages.pages))
        page.extend(_foot(sheet, formats, options, inner, place))
    return pages.pages


def _head(sheet: RouteSheet, formats: Formats, inner: Box) -> tuple[list[Shape], float]:
    """Name, day, company, sums and the ribbon; and where the rest begins."""
    right, right_bottom = _right_head(sheet, formats, inner)
    room = inner.width - max(shape.bounds.width for shape in right) - 16
    shapes: list[Shape] = list(right)
    y = inner.y - 2
    font = NAME if width_of(sheet.technician, NAME) <= room else LONG_NAME
    names = wrap(sheet.technician, font, room)
    for line in names:
        shapes.append(text_line(line, font, inner.x, y))
        y += font.size * LINE
    used = (width_of(names[-1], font) if names else 0.0) + 16
    day = formats.long_day(sheet.day)
    if names and used + width_of(day, DAY) <= room:
        shapes.append(
            text_line(
                day, DAY, inner.x + used, y - font.size * LINE + (font.size - DAY.size) * 0.76
            )
        )
    else:
        shapes.append(text_line(day, DAY, inner.x, y))
        y += DAY.size * LINE
    y = max(y, right_bottom) + 8
    if not sheet.stops:
        return shapes, y + 6
    ribbon = _ribbon(sheet)
    figure = draw_ribbon(ribbon, day_axis(ribbon, inner.x, inner.width), y, width_of)
    shapes += figure.shapes
    bottom = figure.box.bottom + 5
    shapes.append(Line(inner.x, bottom, inner.right, bottom, "ink", 1.4))
    return shapes, bottom


def _right_head(sheet: RouteSheet, formats: Formats, inner: Box) -> tuple[list[Shape], float]:
    sums = [
        say("truck {name}", name=sheet.truck) if sheet.truck else "",
        say("with {names}", names=sheet.with_whom) if sheet.with_whom else "",
        say_n("{n} stop", "{n} stops", len(sheet.stops)),
        say("{time} driving", time=formats.minutes(sheet.road_min)),
        say("home {time}", time=formats.time(sheet.home_min)),
    ]
    rows = [
        (" · ".join(part for part in (sheet.company, sheet.phone) if part), COMPANY),
        (" · ".join(part for part in sums if part), Font(9.0)),
    ]
    if sheet.stops:
        rows.append((say("leave at {time}", time=formats.time(sheet.leave_home_min)), Font(9.0)))
    shapes: list[Shape] = []
    y = inner.y
    for text, font in rows:
        for line in wrap(text, font, inner.width * 0.5):
            box = text_line(line, font, 0, y)
            shapes.append(box.moved(inner.right - box.box.width, 0))
            y += font.size * LINE + 1
    return shapes, y


def _ribbon(sheet: RouteSheet) -> Ribbon:
    return Ribbon(
        sheet.leave_home_min,
        sheet.home_min,
        tuple(
            RibbonStop(
                label=str(stop.order),
                arrival_min=stop.arrival_min,
                leave_min=stop.leave_min,
                start_min=stop.start_min,
                promise_from_min=stop.promise_from_min,
                promise_until_min=stop.promise_until_min,
                strong=stop.promise_from_min is not None or stop.promise_until_min is not None,
                key=f"stop:{stop.order}",
            )
            for stop in sheet.stops
        ),
    )


def _wide(cols: Columns) -> Columns:
    """One column over the whole width."""
    return Columns(cols.left, cols.left, cols.right - cols.left, cols.right, 0.0)


def _full(text: str, font: Font, cols: Columns, x: float = 0.0) -> list[Strip]:
    width = cols.right - cols.left - x
    return [
        Strip(font.size * LINE + 1, (text_line(line, font, cols.left + x, 0),))
        for line in wrap(text, font, width)
    ]


def _warnings(sheet: RouteSheet, cols: Columns) -> list[Block]:
    """What changed since handing out, then the cautions of the whole day, in full."""
    strips: list[Strip] = []
    if sheet.changed:
        text = say("Changed since handed out: {what}", what="\n".join(sheet.changed))
        strips += [Strip(7), *framed("again", text, STRONG, _wide(cols))]
    if sheet.cautions:
        strips.append(Strip(7))
        for caution in sheet.cautions:
            strips += item("warn", caution, MEDIUM, _wide(cols))
        strips.append(Strip(3))
    return [Block(tuple(strips))] if strips else []


def _load(sheet: RouteSheet, cols: Columns) -> Block:
    things = [" ".join(part for part in (thing.name, thing.amount) if part) for thing in sheet.load]
    text = say("Load for the day: {things}", things=" · ".join(things) or "—")
    rule = Strip(8, (Line(cols.left, 0, cols.right, 0, "ink", 1.4),))
    return Block((rule, *_full(text, Font(9.0, 500), cols)))


def _place_map(sheet: RouteSheet, pages: Pages, cols: Columns) -> None:
    known = [stop for stop in sheet.stops if stop.position is not None]
    missing = [str(stop.order) for stop in sheet.stops if stop.position is None]
    if not known:
        if sheet.stops:
            text = say("No map: none of these places has a position yet.")
            pages.place(Block((Strip(8), *_full(text, SMALL, cols))))
        return
    data = RoundMap(
        stops=tuple(MapStop(str(s.order), s.position) for s in known if s.position),
        start=sheet.start,
        names=tuple(MapName(place.name, place.position) for place in sheet.places),
        legs=sheet.legs,
        credit=sheet.map_credit
        if sheet.legs or sheet.ground
        else say("straight lines, times estimated"),
        metric=sheet.metric,
        ground=sheet.ground,
    )
    lost: list[Strip] = []
    if missing:
        text = say("Without a position, not on the map: {numbers}", numbers=", ".join(missing))
        lost = [Strip(4), *_full(text, SMALL, cols)]
    above = 12.0
    rest = above + sum(strip.height for strip in lost)
    height = min(MAP_ALONE, pages.frame.height - rest)
    if pages.left >= MAP_LOWEST + rest:
        height = min(MAP_HIGHEST, pages.left - rest)
    box = Box(cols.left, above, cols.right - cols.left, height)
    drawn = Strip(above + height, tuple(draw_map(data, box, width_of)))
    pages.place(Block((drawn, *lost)))


def _later_head(sheet: RouteSheet, formats: Formats, inner: Box) -> list[Shape]:
    day = formats.long_day(sheet.day)
    left = f"{sheet.technician} · {day}"
    company = first_words(sheet.company, SMALL, inner.width / 2)
    right = text_line(company, SMALL, 0, inner.y)
    room = inner.width - right.box.width - 12
    if width_of(left, STRONG) > room:  # the whole name stands on the first page
        left = first_words(f"{day} · {sheet.technician}", STRONG, room)
    return [
        text_line(left, STRONG, inner.x, inner.y - 0.5),
        right.moved(inner.right - right.box.width, 0),
        Line(inner.x, inner.y + 18, inner.right, inner.y + 18, "ink", 1.4),
    ]


def _foot(
    sheet: RouteSheet,
    formats: Formats,
    options: SheetOptions,
    inner: Box,
    place: tuple[int, int, int, int],
) -> list[Shape]:
    if options.secrets and any(stop.secrets for stop in sheet.stops):
        left = say("Gate codes are on this sheet: keep it with you, destroy it after the round.")
    elif sheet.phone:
        left = say(
            "Sensitive notes are left out. Gate codes: the office, {phone}.", phone=sheet.phone
        )
    else:
        left = say("Sensitive notes are left out. Gate codes: the office.")
    number, of_sheets, page, of_pages = place
    day = formats.weekday(sheet.printed_on)
    parts = [
        sheet.invented,
        say("printed {day}, {time}", day=day, time=formats.time(sheet.printed_min)),
        say("sheet {n} of {all}", n=number, all=of_sheets),
    ]
    if of_pages > 1:
        parts.append(say("page {n} of {all}", n=page, all=of_pages))
    right = wrap(" · ".join(part for part in parts if part), NOTE, inner.width * 0.6)
    used = max(width_of(line, NOTE) for line in right)
    shapes: list[Shape] = []
    for lines, end in ((right, inner.right), (wrap(left, NOTE, inner.width - used - 14), None)):
        for index, line in enumerate(reversed(lines)):  # the last lines stand level
            y = inner.bottom + 14 - index * NOTE.size * LINE
            box = text_line(line, NOTE, inner.x, y)
            shapes.append(box if end is None else box.moved(end - box.box.right, 0))
    return shapes
