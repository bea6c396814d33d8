"""One stop of a route sheet as a block.

Number, time and code at the left, what to know in the middle, lines to write on at the right.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from servicedesk.papers.fonts import width_of
from servicedesk.papers.layout import LINE, Block, Strip, first_words, text_line, wrap
from servicedesk.papers.paint import qr_modules
from servicedesk.papers.rows import SheetStop
from servicedesk.values.position import Position
from servicedesk.values.shapes import Box, Font, Icon, Line, QrCode, Rect, Shape, TextBox
from servicedesk.words import say
from servicedesk.words.formats import Formats

TITLE = Font(12.6, 600, "title")
TEXT = Font(9.3)
STRONG = Font(9.3, 600)
MEDIUM = Font(9.3, 500)
SMALL = Font(8.6)
ICON = 10.0
INDENT = 15.5
MODULE_PT = 1.56  # 0.55 mm a module: a code of 25 modules with its margin is 18 mm
QUIET = 4  # white modules around a code, ISO/IEC 18004
LONGEST_FRAME = 14  # lines; a longer text is not framed, so that it can go on at the next page


@dataclass(frozen=True, slots=True)
class Columns:
    """Left edges and widths of the three columns of a page."""

    left: float
    middle: float
    middle_width: float
    side: float
    side_width: float

    @property
    def right(self) -> float:
        """The right edge of the page's matter."""
        return self.side + self.side_width


def columns(frame: Box) -> Columns:
    """The three columns of a frame."""
    side_width = 123.0
    middle = frame.x + 50.0
    side = frame.right - side_width
    return Columns(frame.x, middle, side - 12.0 - middle, side, side_width)


def geo_uri(position: Position) -> str:
    """The place as a geo URI (RFC 5870, section 3.3), to about one meter: "geo:29.9412,-97.0221".

    Trailing zeros are left out; at the poles the longitude is 0 (section 3.4.2).
    """
    lon = 0.0 if abs(position.lat_deg) == 90 else position.lon_deg
    return f"geo:{_decimal(position.lat_deg)},{_decimal(lon)}"


def _decimal(degrees: float) -> str:
    text = f"{degrees:.5f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def stop_block(stop: SheetStop, cols: Columns, formats: Formats, *, secrets: bool) -> Block:
    """The block of a stop. `secrets` prints gate codes and the like if the row carries them."""
    left = _left(stop, cols, formats)
    side, side_height = _side(stop, cols)
    strips = [Strip(8.5), *_middle(stop, cols, formats, secrets=secrets), Strip(6.0)]
    rule = Line(cols.left, 0, cols.right, 0, "edge", 1.0)
    below = max(shape.bounds.bottom for shape in left)
    again_text = say("{n}, {address}, goes on", n=stop.order, address=stop.address)
    again_text = first_words(again_text, SMALL, cols.middle_width)
    again = Strip(20, (text_line(again_text, SMALL, cols.middle, 4, color="ink3"),))
    return Block(tuple(strips), (rule, *left, *side), max(side_height, below + 8), again)


def _left(stop: SheetStop, cols: Columns, formats: Formats) -> list[Shape]:
    badge = Box(cols.left, 9, 19, 19)
    number = Font(10.0 if stop.order < 100 else 8.0, 600)
    shapes: list[Shape] = [
        Rect(badge, "ink", None, radius=3),
        TextBox(badge, str(stop.order), number, "sheet", "center"),
        text_line(formats.short_time(stop.arrival_min), Font(9.8, 600), cols.left + 0.5, 30.5),
    ]
    if stop.position is not None:
        uri = geo_uri(stop.position)
        side = len(qr_modules(uri)) * MODULE_PT
        shapes.append(QrCode(Box(cols.left + 0.5, 44 + QUIET * MODULE_PT, side, side), uri))
    return shapes


def _middle(stop: SheetStop, cols: Columns, formats: Formats, *, secrets: bool) -> list[Strip]:
    kinds = " + ".join(job.kind for job in stop.jobs if job.kind)
    promise = promise_text(stop, formats)
    facts = " · ".join(part for part in (stop.locality, stop.customer) if part)
    kinds = ", ".join(part for part in (kinds, promise) if part)
    strips = _heading(stop.address, " · ".join(part for part in (facts, kinds) if part), cols)
    strips += _chips(_access(stop, secrets=secrets), cols)
    for job in stop.jobs:
        strips += item("note", job.why, TEXT, cols)
    strips += item("again", stop.came_back, STRONG, cols)
    for past in stop.past:
        told = say("{day}: {what}", day=formats.day(past.on), what=past.text)
        strips += item("year", told, SMALL, cols)
    for note in stop.notes:
        strips += item("note", note, TEXT, cols)
    for first in (stop.untested, *(job.first_check for job in stop.jobs)):
        strips += framed("ask", first, STRONG, cols)
    for owed in stop.owed:
        since = say("(since {month})", month=formats.month(owed.since_on)) if owed.since_on else ""
        strips += item("owed", " ".join(part for part in (owed.text, since) if part), STRONG, cols)
    for caution in stop.cautions:
        strips += item("warn", caution, MEDIUM, cols)
    bring = ", ".join(stop.bring) or "—"
    return strips + item("truck", say("Bring: {what}", what=bring), TEXT, cols)


def promise_text(stop: SheetStop, formats: Formats) -> str:
    """What was promised: "promised 11:00 to 1:00", with am and pm where only one end is set."""
    begin, end = stop.promise_from_min, stop.promise_until_min
    if begin is not None and end is not None:
        return say(
            "promised {begin} to {end}",
            begin=formats.short_time(begin),
            end=formats.short_time(end),
        )
    if begin is not None:
        return say("promised after {time}", time=formats.time(begin))
    return "" if end is None else say("promised by {time}", time=formats.time(end))


def _access(stop: SheetStop, *, secrets: bool) -> list[tuple[str, str]]:
    """Icon and text of everything about getting in."""
    items: list[tuple[str, str]] = []
    if stop.place_guessed:
        items.append(("ask", say("The place on the map is guessed: ask for the way")))
    items += [("pin", text) for text in stop.access]
    items += [
        (icon, text)
        for icon, text in (
            ("lid", stop.lids),
            ("dog", stop.dogs),
            ("clock", stop.visiting_hours),
            ("phone", stop.call_before),
        )
        if text
    ]
    if secrets and stop.secrets:
        items += [("key", text) for text in stop.secrets]
    return items


def _heading(address: str, facts: str, cols: Columns) -> list[Strip]:
    lines = wrap(address, TITLE, cols.middle_width)
    height = TITLE.size * LINE
    strips = [Strip(height, (text_line(line, TITLE, cols.middle, 0),)) for line in lines[:-1]]
    last = lines[-1] if lines else ""
    used = width_of(last, TITLE) + 9
    shapes: list[Shape] = [text_line(last, TITLE, cols.middle, 0)] if last else []
    if used + width_of(facts, SMALL) <= cols.middle_width:
        shapes.append(text_line(facts, SMALL, cols.middle + used, 3.0))
        return [*strips, Strip(height + 2.5, tuple(shapes))]
    strips.append(Strip(height, tuple(shapes)))
    return (
        strips
        + [
            Strip(SMALL.size * LINE + 1, (text_line(line, SMALL, cols.middle, 0),))
            for line in wrap(facts, SMALL, cols.middle_width)
        ]
        + [Strip(2.0)]
    )


def _row(font: Font) -> float:
    return font.size * LINE + 1.0


def _icon(name: str, x: float, font: Font) -> Icon:
    return Icon(name, Box(x, (font.size * LINE - ICON) / 2, ICON, ICON))


def item(icon: str, text: str, font: Font, cols: Columns) -> list[Strip]:
    """A text behind its icon, one strip a line, so that a long one can go on at the next page."""
    lines = wrap(text, font, cols.middle_width - INDENT)
    strips = []
    for index, line in enumerate(lines):
        shapes: list[Shape] = [text_line(line, font, cols.middle + INDENT, 0)]
        if index == 0:
            shapes.append(_icon(icon, cols.middle, font))
        height = _row(font) + (2.4 if index == len(lines) - 1 else 0)
        strips.append(Strip(height, tuple(shapes)))
    return strips


def _chips(items: Iterable[tuple[str, str]], cols: Columns) -> list[Strip]:
    """Short texts behind their icons, side by side while they fit."""
    strips: list[Strip] = []
    row: list[Shape] = []
    x = cols.middle
    end = cols.middle + cols.middle_width
    for icon, text in items:
        width = INDENT + width_of(text, MEDIUM)
        if row and x + width > end:
            strips.append(Strip(_row(MEDIUM) + 2.4, tuple(row)))
            row, x = [], cols.middle
        if "\n" in text or width > cols.middle_width:
            strips += item(icon, text, MEDIUM, cols)
            continue
        row += [_icon(icon, x, MEDIUM), text_line(text, MEDIUM, x + INDENT, 0)]
        x += width + 12
    return [*strips, Strip(_row(MEDIUM) + 2.4, tuple(row))] if row else strips


def framed(icon: str, text: str, font: Font, cols: Columns) -> list[Strip]:
    lines = wrap(text, font, cols.middle_width - INDENT - 14)
    if not lines or len(lines) > LONGEST_FRAME:
        return item(icon, text, font, cols)
    height = len(lines) * _row(font) + 10
    box = Box(cols.middle, 1.5, cols.middle_width, height)
    shapes: list[Shape] = [Rect(box, None, "ink", 1.1, 3, (5, 3))]
    shapes.append(_icon(icon, cols.middle + 7, font).moved(0, 6.5))
    shapes += [
        text_line(line, font, cols.middle + 7 + INDENT, 6.5 + index * _row(font))
        for index, line in enumerate(lines)
    ]
    return [Strip(height + 5.5, tuple(shapes))]


def _side(stop: SheetStop, cols: Columns) -> tuple[list[Shape], float]:
    """Lines to write on and boxes to tick, and how high they are."""
    labels = [say("in"), say("out")]
    if any(job.write_up for job in stop.jobs):
        labels += [say("found"), say("did"), say("left")]
    shapes: list[Shape] = []
    y = 24.5
    for label in labels:
        shapes += [
            text_line(label, Font(8.0), cols.side, y - 13),
            Line(cols.side + 29, y + 0.5, cols.right, y + 0.5, "edge", 0.8),
        ]
        y += 22.0
    y -= 10.0
    shapes += _boxes(((0.0, say("done")), (56.0, say("patched"))), cols, y)
    shapes += _boxes(((0.0, say("could not")),), cols, y + 17)
    why = cols.side + 20 + width_of(say("could not"), SMALL)
    shapes.append(Line(why, y + 28, cols.right, y + 28, "edge", 0.8))
    return shapes, y + 38.0


def _boxes(boxes: Sequence[tuple[float, str]], cols: Columns, y: float) -> list[Shape]:
    shapes: list[Shape] = []
    for x, label in boxes:
        shapes += [
            Rect(Box(cols.side + x, y, 11, 11), None, "ink", 1.1, 0.5),
            text_line(label, SMALL, cols.side + x + 16, y - 0.2),
        ]
    return shapes
