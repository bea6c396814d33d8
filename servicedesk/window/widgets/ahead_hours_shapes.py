"""Hours placed of the hours there are, as shapes: one row a technician, one cell a week."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from servicedesk.desk.ahead_hours import PersonWeeks, WeekLoad
from servicedesk.papers.pattern_figures import PlacedRow
from servicedesk.papers.pattern_text import line_height, shortened
from servicedesk.values.shapes import Box, Font, Hatch, Line, Measure, Rect, Shape, TextBox
from servicedesk.window.widgets.ahead_axis import WeekAxis, axis_for
from servicedesk.words import say
from servicedesk.words.formats import Formats

HEAD, ROW = 26.0, 52.0
BAR_TOP, BAR = 9.0, 17.0
FULL = 0.86  # of a cell is a full week; the rest shows what is over
PAD = 6.0


@dataclass(frozen=True, slots=True)
class HoursFigure:
    """Shapes, and the cells that answer to hand and key: row by row, week by week."""

    shapes: tuple[Shape, ...]
    cells: tuple[PlacedRow, ...]
    height: float


def cell_key(technician_id: int, monday: date) -> str:
    """The key of one technician's week."""
    return f"{technician_id}/{monday.isoformat()}"


def hours_figure(
    people: Sequence[PersonWeeks],
    first: date,
    n_weeks: int,
    today: date,
    formats: Formats,
    width: float,
    measure: Measure,
    scale: float,
) -> HoursFigure:
    """The whole figure in `width`."""
    axis = axis_for(first, n_weeks, width, scale)
    height = (HEAD + ROW * len(people)) * scale
    shapes: list[Shape] = [*axis.grid(0, height)]
    shapes += _heads(axis, today, formats, measure, scale)
    now = axis.at(today, 0.5)
    cells: list[PlacedRow] = []
    for n, person in enumerate(people):
        top = (HEAD + n * ROW) * scale
        shapes.append(Line(0, top, width, top, "line"))
        shapes += _names(person, top, axis.left, measure, scale)
        for week in person.weeks:
            box = Box(axis.at(week.monday), top, axis.week_width, ROW * scale)
            shapes += _cell(week, person, box, measure, scale)
            key = cell_key(person.technician_id, week.monday)
            cells.append(PlacedRow(key, box, _spoken(person, week, formats)))
        bar_ends = top + (BAR_TOP + BAR + 2) * scale
        shapes.append(Line(now, top + 2, now, bar_ends, "ink", 1.4 * scale))
    return HoursFigure(tuple(shapes), tuple(cells), height)


def _heads(
    axis: WeekAxis, today: date, formats: Formats, measure: Measure, s: float
) -> list[Shape]:
    shapes: list[Shape] = []
    free = -1.0
    for monday in axis.mondays():
        is_now = 0 <= (today - monday).days < 7
        font = Font(12 * s, 600 if is_now else 400)
        words = formats.day(monday, near=monday)
        wide = measure(words, font) + 2
        x = axis.at(monday) + PAD * s
        if x < free or x + wide > axis.right + 2 * s:
            continue
        box = Box(x, 2 * s, wide, (HEAD - 6) * s)
        shapes.append(TextBox(box, words, font, "ink" if is_now else "ink2", key="week"))
        free = x + wide + 4 * s
    return shapes


def _names(person: PersonWeeks, top: float, left: float, m: Measure, s: float) -> list[Shape]:
    name, second = Font(14 * s, 600), Font(12 * s)
    room = left - 10 * s
    high = line_height(name)
    y = top + (ROW * s - high - line_height(second)) / 2
    return [
        TextBox(Box(0, y, room, high), shortened(person.name, name, room, m), name, key="name"),
        TextBox(
            Box(0, y + high, room, line_height(second)),
            shortened(person.second, second, room, m), second, "ink2", key="second",
        ),
    ]  # fmt: skip


def _cell(week: WeekLoad, person: PersonWeeks, box: Box, measure: Measure, s: float) -> list[Shape]:
    inner = Box(box.x + PAD * s, box.y + BAR_TOP * s, box.width - 2 * PAD * s, BAR * s)
    font = Font(12 * s)
    if not week.there and not week.placed:
        return _away(inner, font, measure, s)
    share = week.share
    is_over = share is None or share > 1.004
    shapes = _bar(week, person, inner, is_over=is_over)
    words = say("{n}%", n=round(100 * share)) if share is not None else say("over")
    strong = Font(12 * s, 600) if is_over else font
    wide = measure(words, strong) + 2
    y, high = inner.bottom + 3 * s, line_height(font)
    at = Box(inner.right - wide, y, wide, high)
    shapes.append(TextBox(at, words, strong, "clay" if is_over else "ink2", "right", key="share"))
    if week.n_off:
        off = say("{n} off", n=week.n_off)
        room = measure(off, font) + 2
        if inner.x + room + 4 * s <= at.x:
            shapes.append(TextBox(Box(inner.x, y, room, high), off, font, "ink2", key="off"))
    return shapes


def _away(inner: Box, font: Font, measure: Measure, s: float) -> list[Shape]:
    words = say("away")
    wide = min(inner.width, measure(words, font) + 2)
    middle = inner.center[1]
    shapes: list[Shape] = [
        TextBox(Box(inner.x, inner.y, wide, inner.height), words, font, "ink2", key="off")
    ]
    if inner.x + wide + 6 * s < inner.right:
        start = inner.x + wide + 4 * s
        shapes.append(Line(start, middle, inner.right, middle, "ink3", 1.2 * s, (1.5, 3.5)))
    return shapes


def _bar(week: WeekLoad, person: PersonWeeks, inner: Box, *, is_over: bool) -> list[Shape]:
    """Parts side by side within the hours there are; what is over stands hatched beyond."""
    full = FULL * inner.width
    per_min = full / person.usual_week if person.usual_week else 0.0
    end = inner.x + min(inner.width, week.there * per_min)
    shapes: list[Shape] = []
    if not is_over:
        room = Box(inner.x + 0.5, inner.y + 0.5, end - inner.x, inner.height - 1)
        shapes.append(Rect(room, "sheet", "edge", 1.0, dash=(2.0, 2.0), key="there"))
    x = inner.x
    parts = (
        (week.inspections, "water", "solid"),
        (week.repairs, "moss", "solid"),
        (week.callbacks, "plum", "solid"),
        (week.usual, "plum", "hatch"),
    )
    for minutes, color, kind in parts:
        right = min(end, x + minutes * per_min)
        if right > x + 0.2:
            part = Box(x, inner.y, right - x, inner.height)
            if kind == "solid":
                shapes.append(Rect(part, color, None, key=color))
            else:
                shapes.append(Hatch(part, color, 5.0, 1.3, key="usual"))
        x = max(x, right)
    if is_over:
        beyond = min(inner.right, inner.x + (week.placed + week.usual) * per_min)
        wide = max(3.0, beyond - end)
        shapes.append(Hatch(Box(end, inner.y, wide, inner.height), "clay", 4.0, 1.4, key="over"))
        shapes.append(Line(end, inner.y - 2, end, inner.bottom + 2, "clay", 2.0))
    return shapes


def _spoken(person: PersonWeeks, week: WeekLoad, formats: Formats) -> str:
    day = formats.day(week.monday, near=week.monday)
    if not week.there and not week.placed:
        return say("{who}, week of {day}: away", who=person.name, day=day)
    parts = [
        say("{who}, week of {day}: {placed} placed of {there}",
            who=person.name, day=day, placed=formats.minutes(week.placed),
            there=formats.minutes(week.there)),
    ]  # fmt: skip
    if week.usual:
        parts.append(say("{time} set aside for callbacks", time=formats.minutes(week.usual)))
    if week.n_off:
        parts.append(say("{days} off", days=formats.days(week.n_off)))
    if week.share is not None and week.share > 1.004:
        parts.append(say("over by {time}",
                         time=formats.minutes(week.placed + week.usual - week.there)))  # fmt: skip
    return ", ".join(parts)


def hours_legend(width: float, measure: Measure, s: float) -> tuple[list[Shape], float]:
    """What the parts of a bar mean, from the right, over as many lines as they need."""
    items = (
        ("water", "solid", say("inspections")),
        ("moss", "solid", say("repairs")),
        ("plum", "solid", say("callbacks")),
        ("plum", "hatch", say("callbacks, as usual")),
        ("edge", "free", say("free")),
        ("clay", "hatch", say("over")),
    )
    return legend(items, width, measure, s)


def legend(
    items: Sequence[tuple[str, str, str]], width: float, measure: Measure, s: float
) -> tuple[list[Shape], float]:
    """Swatches with their words; each line ends at the right edge."""
    font = Font(12 * s)
    swatch, gap, high = 14 * s, 16 * s, max(18 * s, line_height(font))
    lines: list[list[tuple[str, str, str, float]]] = [[]]
    used = 0.0
    for color, kind, words in items:
        wide = swatch + 6 * s + measure(words, font) + 2
        if lines[-1] and used + gap + wide > width:
            lines.append([])
            used = 0.0
        lines[-1].append((color, kind, words, wide))
        used += wide + (gap if used else 0.0)
    shapes: list[Shape] = []
    for n, line in enumerate(lines):
        x = width - sum(one[3] for one in line) - gap * (len(line) - 1)
        for color, kind, words, wide in line:
            box = Box(x, n * high + (high - 12 * s) / 2, swatch, 12 * s)
            shapes += _swatch(box, color, kind, s)
            text = Box(x + swatch + 6 * s, n * high, wide - swatch - 6 * s, high)
            shapes.append(TextBox(text, words, font, "ink2", key="legend"))
            x += wide + gap
    return shapes, high * len(lines)


def _swatch(box: Box, color: str, kind: str, s: float) -> list[Shape]:
    from servicedesk.window.widgets.ahead_windows_shapes import bracket_shapes, day_mark

    match kind:
        case "solid":
            return [Rect(box, color, None)]
        case "hatch":
            return [Hatch(box, color, 5.0, 1.3)]
        case "free":
            return [Rect(box, "sheet", color, 1.0, dash=(2.0, 2.0))]
        case "bracket":
            return bracket_shapes(box.x, box.right, box.y, box.height, color, s)
        case "now":
            x = box.center[0]
            return [Line(x, box.y - s, x, box.bottom + s, color, 1.4 * s)]
    return [day_mark(box.center[0], box.center[1], s, has_day=kind == "planned")]
