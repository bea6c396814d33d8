"""Windows that are still open, as shapes: one bracket a site, a diamond at its best day."""

from dataclasses import dataclass
from datetime import date, timedelta

from servicedesk.desk.ahead_windows import BestDay, OpenWindow
from servicedesk.papers.pattern_text import shortened
from servicedesk.values.shapes import (
    Box,
    Font,
    Hatch,
    Icon,
    Line,
    Mark,
    Measure,
    Polyline,
    Rect,
    TextBox,
)
from servicedesk.values.shapes import Shape as AnyShape
from servicedesk.window.widgets.ahead_axis import WeekAxis
from servicedesk.words import say
from servicedesk.words.formats import Formats

ROW, TIGHT_ROW = 38.0, 30.0
TINT = 10.0
TONES = {"late": "clay", "closing": "ochre", "open": "water"}
ADDRESS_SHARE = 0.62  # of the room of names


@dataclass(frozen=True, slots=True, kw_only=True)
class WindowRow:
    """A window with the day that was worked out for it; `is_known`: it was looked for."""

    window: OpenWindow
    best: BestDay | None
    is_known: bool


def window_shapes(
    row: WindowRow,
    box: Box,
    axis: WeekAxis,
    today: date,
    formats: Formats,
    m: Measure,
    s: float,
    *,
    is_chosen: bool = False,
) -> list[AnyShape]:
    """One row: names, tint and brackets, the day, and words where something presses.

    A chosen row has a ground of its own: there the window stands out white.
    """
    one = row.window
    shapes: list[AnyShape] = [Line(0, box.bottom - 0.5, box.right, box.bottom - 0.5, "line")]
    shapes += _names(one, box, axis, m, s)
    end, marks = _span(one, box, axis, today, s, is_chosen=is_chosen)
    shapes += marks
    now = axis.at(today, 0.5)
    shapes.append(Line(now, box.y, now, box.bottom, "ink", 1.4 * s))
    day = one.planned_on or (row.best.day if row.best is not None else None)
    if day is not None and axis.first <= day and axis.at(day) < axis.right:
        x = axis.at(day, 0.5)
        shapes.append(day_mark(x, box.center[1], s, has_day=one.has_day))
        end = max(end, x + 8 * s)
    words = pressing_words(row, today, formats)
    if words:
        shapes += _words(words, TONES[one.state], max(end, now) + 10 * s, box, axis, m, s)
    return shapes


def day_mark(x: float, y: float, s: float, *, has_day: bool) -> Mark:
    """A hollow disc where a visit is planned, a diamond at the day that costs least road."""
    if has_day:
        return Mark("disc", x, y, 11 * s, "water", filled=False, key="planned")
    return Mark("diamond", x, y, 12 * s, "ochre", key="best")


def bracket_shapes(
    x1: float, x2: float, y: float, height: float, color: str, s: float,
    *, opens: bool = True, closes: bool = True,
) -> list[AnyShape]:  # fmt: skip
    """[ and ] round a span; an end that lies off the page is left out."""
    foot = min(4 * s, max(1.0, (x2 - x1) / 3))
    shapes: list[AnyShape] = []
    for there, x, turn in ((opens, x1, foot), (closes, x2, -foot)):
        if there:
            points = ((x + turn, y), (x, y), (x, y + height), (x + turn, y + height))
            shapes.append(Polyline(points, color, 1.8 * s))
    return shapes


def _names(one: OpenWindow, box: Box, axis: WeekAxis, m: Measure, s: float) -> list[AnyShape]:
    room = axis.left - 8 * s - 10 * s
    lead, second = Font(13 * s, 600), Font(12 * s)
    wide = ADDRESS_SHARE * room - 6 * s
    left = 10 * s
    at = left + ADDRESS_SHARE * room
    rest = left + room - at
    return [
        TextBox(Box(left, box.y, wide, box.height), shortened(one.address, lead, wide, m), lead,
                key="address"),
        TextBox(Box(at, box.y, rest, box.height), shortened(one.locality, second, rest, m),
                second, "ink2", key="locality"),
    ]  # fmt: skip


def _span(
    one: OpenWindow, box: Box, axis: WeekAxis, today: date, s: float, *, is_chosen: bool
) -> tuple[float, list[AnyShape]]:
    """Tint and brackets of the window, or the hatch of how late it is; where they end."""
    color, y = TONES[one.state], box.center[1]
    tint = Box(0, y - TINT * s / 2, 0, TINT * s)
    if one.state == "late" and one.closes_on is not None:
        closed = axis.at(one.closes_on + timedelta(days=1))
        x1, x2 = axis.within(closed), axis.at(today, 0.5)
        hatch = Hatch(Box(x1, tint.y, max(2.0, x2 - x1), tint.height), "clay", 4.0, 1.3, key="late")
        high = 18 * s
        edge = bracket_shapes(x1 - 8 * s, x1, y - high / 2, high, color, s, opens=False,
                              closes=closed >= axis.left)  # fmt: skip
        return x2, [hatch, *edge]
    opens = axis.at(one.opens_on) if one.opens_on is not None else axis.left - 1
    closes = axis.at(one.closes_on + timedelta(days=1)) if one.closes_on else axis.right + 1
    x1, x2 = axis.within(opens), axis.within(closes)
    fill = "sheet" if is_chosen else f"soft.{color}"
    span = Rect(Box(x1, tint.y, max(2.0, x2 - x1), tint.height), fill, None, key="span")
    high = 18 * s
    edges = bracket_shapes(x1, x2, y - high / 2, high, color, s, opens=opens >= axis.left,
                           closes=closes <= axis.right)  # fmt: skip
    return x2, [span, *edges]


def _words(
    words: str, color: str, x: float, box: Box, axis: WeekAxis, m: Measure, s: float
) -> list[AnyShape]:
    font = Font(12 * s, 600)
    side = 14 * s
    room = axis.right - x - side - 6 * s
    if room < 60 * s:
        return []
    shown = shortened(words, font, room, m)
    wide = min(room, m(shown, font) + 2)
    icon = Icon("warn", Box(x, box.center[1] - side / 2, side, side), color)
    text = Box(x + side + 6 * s, box.y, wide, box.height)
    return [icon, TextBox(text, shown, font, color, key="words")]


def pressing_words(row: WindowRow, today: date, formats: Formats) -> str:
    """What a window that closes soon, or is late, says beside its bracket."""
    one = row.window
    if one.closes_on is None or one.state == "open" or one.has_day:
        return ""
    if one.state == "late":
        when = say("late since {day}", day=formats.day(one.closes_on, near=today))
    elif one.closes_on == today:
        when = say("closes today")
    else:
        when = say("closes {day}", day=formats.weekday(one.closes_on))
    if not row.is_known:
        return when
    return f"{when}: {best_words(row, formats)}"


def best_words(row: WindowRow, formats: Formats) -> str:
    """The day that costs least road, with whom, and how much."""
    if row.best is None:
        return say("no day with room")
    return say(
        "{who} {day}, {road}",
        who=row.best.technician,
        day=formats.weekday(row.best.day),
        road=formats.signed_minutes(row.best.extra_road_min),
    )


def spoken_window(row: WindowRow, today: date, formats: Formats) -> str:
    """How a row is read aloud, and what stands at the foot for the one that is chosen."""
    one = row.window
    parts = [one.address, one.locality, one.what, window_words(one, today, formats)]
    if one.planned_on is not None:
        parts.append(
            say("planned {day} {who}", day=formats.weekday(one.planned_on), who=one.planned_with)
        )
    elif row.is_known:
        best = best_words(row, formats)
        parts.append(best if row.best is None else say("best day {words}", words=best))
    return " · ".join(part.strip() for part in parts if part.strip())


def window_words(one: OpenWindow, today: date, formats: Formats) -> str:
    """The window in words."""
    if one.closes_on is None:
        return say("no last day")
    closes = formats.day(one.closes_on, near=today)
    if one.state == "late":
        return say("late since {day}", day=closes)
    if one.opens_on is None or one.opens_on <= today:
        return say("until {day}", day=closes)
    return say("{opens} to {closes}", opens=formats.day(one.opens_on, near=today), closes=closes)
