"""Geometry of the life strip: a site's units, calls and visits over time become shapes."""

from collections.abc import Sequence
from datetime import date, timedelta

from servicedesk.values.shapes import (
    Box,
    Font,
    Hatch,
    Icon,
    Line,
    Mark,
    Measure,
    Rect,
    TextBox,
)
from servicedesk.window.widgets.life_strip_axis import (
    FOUND_PX,
    LABEL_PX,
    LOOKED_PX,
    Axis,
    Life,
    LifeFigure,
    LifeMark,
    LifePoint,
    LifeRow,
    LifeUnit,
    LifeWindow,
    View,
    axis_of,
)
from servicedesk.window.widgets.life_strip_legend import legend
from servicedesk.window.widgets.life_strip_thread import (
    THREAD_NAME_PX,
    UNLOOKED_DASH,
    thread_band,
    unlooked_frames,
    unlooked_words,
)
from servicedesk.words import say

ROW_PX = 36.0


def life_figure(
    life: Life, width: float, view: View, measure: Measure, *, scale: float = 1.0
) -> LifeFigure:
    """The strip for a width in pixels: `shapes`, then `clipped` cut at the axis, then `front`."""
    s = scale
    axis = axis_of(life, width, view, s)
    rows = _row_boxes(life, width, s)
    head, bottom = rows[0].y, rows[-1].bottom
    figure = LifeFigure(bottom + 46 * s, axis)
    thread_band(figure, life.thread, rows, measure, s)
    unlooked_frames(figure, life, rows[2:], s)
    _years(figure, life, head, bottom, measure, s)
    for box in rows:
        figure.shapes.append(Line(0, box.y, width, box.y, "line", 1.0))
    right = axis.right + 14 * s
    _lane(figure, say("Calls"), "phone", Box(0, head, width, ROW_PX * s), s)
    _points(figure, life.calls, 0, head + ROW_PX * s / 2, s)
    _lane(figure, say("Visits"), "check", rows[1], s)
    _windows(figure, life.windows, rows[1].y, ROW_PX * s, s)
    _points(figure, life.visits, 1, rows[1].center[1], s)
    for n, (row, box) in enumerate(zip(life.rows, rows[2:], strict=True), start=2):
        _names(figure, row, box, s)
        _units(figure, row, n, box, life, measure, s)
        _right_columns(figure, row, box, right, s)
    small = Font(11 * s)
    for words, x, wide in (
        (say("last looked at"), right, LOOKED_PX * s),
        (say("found"), right + LOOKED_PX * s, FOUND_PX * s),
    ):
        figure.shapes.append(TextBox(Box(x, 6 * s, wide, 16 * s), words, small, "ink3"))
    seam = axis.at(axis.seam_on)
    if axis.shows(seam):
        words = say("last two years drawn wider")
        wide = measure(words, small) + 2
        at = min(seam + 4 * s, axis.right - wide)
        figure.shapes.append(TextBox(Box(at, bottom + 5 * s, wide, 15 * s), words, small, "ink3"))
    _now(figure, life.today, bottom, measure, s)
    figure.height = legend(figure, life, Box(0, bottom + 24 * s, width, 16 * s), measure, s) + 6 * s
    return figure


def _row_boxes(life: Life, width: float, s: float) -> list[Box]:
    """Calls, visits, then the components; a thread is named below its calls."""
    boxes, y = [], 30 * s
    for n in range(2 + len(life.rows)):
        named = THREAD_NAME_PX if n == 0 and life.thread is not None else 0
        boxes.append(Box(0, y, width, (ROW_PX + named) * s))
        y = boxes[-1].bottom
    return boxes


def _years(
    figure: LifeFigure, life: Life, head: float, bottom: float, measure: Measure, s: float
) -> None:
    axis, last = figure.axis, -1e9
    now, room = axis.at(life.today), measure(say("today"), Font(11 * s, 600)) / 2 + 10 * s
    for year in range(axis.life_from.year, axis.life_until.year + 1):
        begin, end = axis.at(date(year, 1, 1)), axis.at(date(year + 1, 1, 1))
        if axis.shows(begin):
            figure.shapes.append(Line(begin, head, begin, bottom, "line", 1.0))
        begin, end = max(begin, axis.x), min(end, axis.right)
        font = Font(11 * s, 600 if year >= life.today.year - 1 else 400)
        width = measure(str(year), font) + 2
        middle = (begin + end) / 2
        if end - begin < width or middle - width / 2 < last + 6 * s:
            continue
        if abs(middle - now) < room + width / 2:  # the chip of today stands there
            continue
        last = middle + width / 2
        box = Box(middle - width / 2, 6 * s, width, 16 * s)
        color = "ink2" if font.weight == 600 else "ink3"
        figure.shapes.append(TextBox(box, str(year), font, color, "center", key="year"))
    seam = axis.at(axis.seam_on)
    if axis.shows(seam):
        figure.shapes.append(Line(seam, head - 8 * s, seam, bottom, "ink3", 1.2, (1.5, 4)))


def _now(figure: LifeFigure, today: date, bottom: float, measure: Measure, s: float) -> None:
    x = figure.axis.at(today)
    if not figure.axis.shows(x):
        return
    font = Font(11 * s, 600)
    words = say("today")
    width = measure(words, font) + 12 * s
    box = Box(x - width / 2, 5 * s, width, 18 * s)
    figure.front += [
        Line(x, 22 * s, x, bottom, "ink", 1.6),
        Rect(box, "ink", None, 0, 3 * s),
        TextBox(box, words, font, "sheet", "center", key="today"),
    ]


def _lane(figure: LifeFigure, name: str, icon: str, box: Box, s: float) -> None:
    figure.shapes.append(Icon(icon, Box(6 * s, box.y + 10 * s, 16 * s, 16 * s), "ink2"))
    place = Box(32 * s, box.y, LABEL_PX * s - 40 * s, box.height)
    figure.shapes.append(TextBox(place, name, Font(13 * s, 600), key="name"))


def _names(figure: LifeFigure, row: LifeRow, box: Box, s: float) -> None:
    color = "plum" if row.unlooked else "ink2"
    figure.shapes.append(Icon(row.icon, Box(6 * s, box.y + 10 * s, 16 * s, 16 * s), color))
    width = LABEL_PX * s - 40 * s
    name_color = "plum" if row.unlooked else "ink"
    lines = [(row.name, Font(13 * s, 600), name_color), (row.second, Font(11 * s), "ink2")]
    lines = [line for line in lines if line[0]]
    heights = [17 * s, 14 * s]
    y = box.y + (box.height - sum(heights[: len(lines)])) / 2
    for (text, font, color), height in zip(lines, heights, strict=False):
        figure.shapes.append(TextBox(Box(32 * s, y, width, height), text, font, color, key="name"))
        y += height


def _right_columns(figure: LifeFigure, row: LifeRow, box: Box, x: float, s: float) -> None:
    color = "plum" if row.is_never else "ink2"
    looked = Box(x, box.y, (LOOKED_PX - 8) * s, box.height)
    found = Box(x + LOOKED_PX * s, box.y, FOUND_PX * s, box.height)
    weight = 600 if row.is_never else 400
    figure.shapes.append(TextBox(looked, row.looked, Font(12 * s, weight), color, key="looked"))
    shown = "?" if row.is_never else row.found
    color = "plum" if row.is_never else "ink"
    figure.shapes.append(TextBox(found, shown, Font(12 * s, 600), color, key="found"))


_POINT_LOOKS = {
    "inspection": ("disc", "moss", True),
    "late": ("diamond", "clay", False),
    "visit": ("square", "ink2", False),
}


def _points(figure: LifeFigure, points: Sequence[LifePoint], row: int, y: float, s: float) -> None:
    for point in sorted(points, key=lambda p: p.on):
        x = figure.axis.at(point.on)
        side = (20 if point.kind == "call" else 11) * s
        if not figure.axis.shows(x, side / 2):
            continue
        box = Box(x - side / 2, y - side / 2, side, side)
        if point.kind == "call":
            fill, ink = ("plum", "sheet") if point.in_thread else ("soft.plum", "plum")
            figure.clipped.append(Rect(box, fill, "plum", 1.2, 4 * s))
            figure.clipped.append(Icon(point.icon or "phone", box.grown(-3.5 * s), ink))
        else:
            kind, color, filled = _POINT_LOOKS[point.kind]
            size = side * (0.85 if kind == "square" else 1)
            figure.clipped.append(Mark(kind, x, y, size, color, filled))  # type: ignore[arg-type]
        figure.marks.append(LifeMark(row, point.on, box, point.words, point.key))


def _windows(
    figure: LifeFigure, windows: Sequence[LifeWindow], y: float, row_px: float, s: float
) -> None:
    axis = figure.axis
    top, bottom = y + 7 * s, y + row_px - 7 * s
    for window in windows:
        x1, x2 = axis.at(window.opens_on), axis.at(window.closes_on + timedelta(days=1))
        if x2 < axis.x or x1 > axis.right:
            continue
        box = Box(x1, top, max(4 * s, x2 - x1), bottom - top)
        soft = f"soft.{window.color}" if window.color in _SOFT else "sunken"
        figure.clipped.append(Rect(box, soft, None))
        foot = min(4 * s, box.width / 3)
        for x, turn in ((box.x, foot), (box.right, -foot)):
            figure.clipped += [
                Line(x, top, x, bottom, window.color, 1.8),
                Line(x, top, x + turn, top, window.color, 1.8),
                Line(x, bottom, x + turn, bottom, window.color, 1.8),
            ]
        if window.planned_on is not None:
            x = axis.at(window.planned_on)
            figure.clipped.append(Mark("disc", x, (top + bottom) / 2, 11 * s, "water", False))
        figure.marks.append(LifeMark(1, window.opens_on, box, window.words))


_SOFT = ("water", "clay", "ochre", "moss", "plum")


def _units(
    figure: LifeFigure, row: LifeRow, n: int, box: Box, life: Life, measure: Measure, s: float
) -> None:
    axis = figure.axis
    top, high = box.y + 9 * s, 18 * s
    crosses = []
    for unit in row.units:
        x1 = axis.at(unit.from_on or axis.life_from)
        x2 = axis.at(unit.until_on or life.today)
        x1, x2 = max(x1, axis.x - 20), min(x2, axis.right + 20)
        if x2 < axis.x or x1 > axis.right:
            continue
        bar = Box(x1, top, max(2.0, x2 - x1), high)
        text_right = _bar(figure, row, unit, bar, measure, s)
        _bar_words(figure, unit, bar, text_right, axis, measure, s)
        if unit.looked_on is not None:
            x = axis.at(unit.looked_on)
            figure.clipped.append(Line(x, bar.bottom - 5 * s, x, bar.bottom, "ink", 1.4))
        if unit.until_on is not None:
            crosses.append(x2)
        unlooked = row.unlooked if unit.until_on is None else ""
        told = ", ".join(words for words in (unit.words, unlooked) if words)
        figure.marks.append(LifeMark(n, unit.from_on or axis.life_from, bar, told))
    for x in crosses:  # after all bars, or the next bar cuts them
        middle = top + high / 2
        ground = Box(x - 7 * s, middle - 7 * s, 14 * s, 14 * s)
        figure.clipped.append(Rect(ground, "sheet", None, 0, 7 * s))
        figure.clipped.append(Mark("cross", x, middle, 7 * s, "clay"))


def _bar(
    figure: LifeFigure, row: LifeRow, unit: LifeUnit, bar: Box, measure: Measure, s: float
) -> float:
    """The bar of a unit and what fills its end; where its own words must end."""
    if row.unlooked and unit.until_on is None:
        figure.clipped.append(Rect(bar, "sheet", "plum", 1.4, 3 * s, UNLOOKED_DASH))
        right = _owed_end(figure, unit, bar, figure.axis, measure, s)
        return unlooked_words(figure, row.unlooked, bar, right, measure, s)
    fill, edge = ("soft.water", "water") if unit.until_on is None else ("sunken", "edge")
    figure.clipped.append(Rect(bar, fill, edge, 1.0, 3 * s))
    return _owed_end(figure, unit, bar, figure.axis, measure, s)


def _owed_end(
    figure: LifeFigure, unit: LifeUnit, bar: Box, axis: Axis, measure: Measure,
    s: float,
) -> float:  # fmt: skip
    """A patch still owed as hatch up to today; where the bar's own words must end."""
    if unit.owed_on is None or unit.until_on is not None:
        return min(bar.right, axis.right)
    left = max(axis.at(unit.owed_on), bar.x, axis.x)
    box = Box(left, bar.y, max(3.0, bar.right - left), bar.height)
    figure.clipped += [Rect(box, "soft.ochre", "ochre", 1.0, 3 * s), Hatch(box, "ochre", 5 * s)]
    font = Font(11 * s, 600)
    wide = measure(unit.owed, font) + 8 * s
    if wide < box.width - 6 * s:
        words = Box(box.x + 5 * s, box.y + 2 * s, wide, box.height - 4 * s)
        figure.clipped += [
            Rect(words, "soft.ochre", None, 0, 2 * s),
            TextBox(words, unit.owed, font, "ochre", "center", key="owed"),
        ]
    return left


def _bar_words(
    figure: LifeFigure, unit: LifeUnit, bar: Box, right: float, axis: Axis, measure: Measure,
    s: float,
) -> None:  # fmt: skip
    left = max(bar.x, axis.x) + (9 * s if bar.x > axis.x and unit.from_on else 5 * s)
    right -= 11 * s if unit.until_on is not None else 5 * s
    font = Font(11 * s)
    since = measure(unit.since, font) + 2
    if unit.since and left + since <= right:
        place = Box(left, bar.y, since, bar.height - 2 * s)
        figure.clipped.append(TextBox(place, unit.since, font, "ink", key="since"))
        left += since + 8 * s
    why = measure(unit.why, font) + 2
    if unit.why and left + why <= right:
        place = Box(right - why, bar.y, why, bar.height - 2 * s)
        figure.clipped.append(TextBox(place, unit.why, font, "clay", "right", key="why"))
