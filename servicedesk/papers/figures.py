"""The ribbon of a day: data and a width become shapes. Paper and window draw the same list."""

from collections.abc import Sequence
from dataclasses import dataclass

from servicedesk.values.shapes import (
    Box,
    Bracket,
    Font,
    Hatch,
    Line,
    Measure,
    Rect,
    Shape,
    TextBox,
)
from servicedesk.words import say

BLOCK = 20.0  # heights in the unit of the figure at scale 1
LANE = 5.0
GAP = 3.0
AXIS = 14.0


@dataclass(frozen=True, slots=True)
class RibbonStop:
    """A stop on the ribbon, in minutes from local midnight; `key` names it for hit tests."""

    label: str
    arrival_min: int
    leave_min: int
    start_min: int | None = None
    promise_from_min: int | None = None
    promise_until_min: int | None = None
    strong: bool = False
    key: str = ""


@dataclass(frozen=True, slots=True)
class Ribbon:
    """A crew's day from leaving home to being home again."""

    leave_home_min: int
    home_min: int
    stops: tuple[RibbonStop, ...]


@dataclass(frozen=True, slots=True)
class MinuteAxis:
    """Where a minute of the day stands: `from_min` at x, `until_min` at x + width."""

    from_min: float
    until_min: float
    x: float
    width: float

    def at(self, minute: float) -> float:
        """The place of a minute, also outside the axis."""
        span = self.until_min - self.from_min
        return self.x + (minute - self.from_min) / span * self.width

    def minute(self, x: float) -> float:
        """The minute at a place."""
        span = self.until_min - self.from_min
        return self.from_min + (x - self.x) / self.width * span


@dataclass(frozen=True, slots=True)
class Figure:
    """Shapes and the room they take."""

    shapes: tuple[Shape, ...]
    box: Box


def day_axis(ribbon: Ribbon, x: float, width: float) -> MinuteAxis:
    """An axis that shows the whole day, at least one hour of it."""
    minutes = [ribbon.leave_home_min, ribbon.home_min]
    minutes += [m for stop in ribbon.stops for m in (stop.arrival_min, stop.leave_min)]
    return MinuteAxis(min(minutes), max(*minutes, min(minutes) + 60), x, width)


def draw_ribbon(
    ribbon: Ribbon, axis: MinuteAxis, y: float, measure: Measure, *, scale: float = 1.0
) -> Figure:
    """Blocks for time on site, a line for driving, dots for waiting, brackets for promises.

    A promise missed is hatched from the bracket's end to the arrival. Promises that overlap stand
    in lanes above one another. `y` is the upper edge; the figure says how high it became.
    """
    lanes = promise_lanes(ribbon.stops)
    top = y + (max(lanes.values(), default=-1) + 1) * LANE * scale + (GAP * scale if lanes else 0)
    middle = top + BLOCK * scale / 2
    shapes: list[Shape] = _road(ribbon, axis, middle)
    for index, stop in enumerate(ribbon.stops):
        shapes += _block(stop, axis, top, measure, scale)
        if index in lanes:
            shapes += _promise(stop, axis, top, lanes[index], scale)
    bottom = top + BLOCK * scale
    shapes += hour_labels(axis, bottom + 3 * scale, measure, scale=scale)
    return Figure(tuple(shapes), Box(axis.x, y, axis.width, bottom + (3 + AXIS) * scale - y))


def promise_lanes(stops: Sequence[RibbonStop]) -> dict[int, int]:
    """For each stop with a promise the lane of its bracket, 0 nearest to the blocks."""
    lanes: dict[int, int] = {}
    ends: list[float] = []
    spans = [
        (_or(stop.promise_from_min, 0), _or(stop.promise_until_min, 1440), index)
        for index, stop in enumerate(stops)
        if stop.promise_from_min is not None or stop.promise_until_min is not None
    ]
    for begin, end, index in sorted(spans):
        lane = next((i for i, free in enumerate(ends) if free < begin), len(ends))
        ends[lane : lane + 1] = [end]
        lanes[index] = lane
    return lanes


def _or(minute: int | None, otherwise: int) -> int:
    return otherwise if minute is None else minute


def _road(ribbon: Ribbon, axis: MinuteAxis, y: float) -> list[Shape]:
    shapes: list[Shape] = []
    at = ribbon.leave_home_min
    for stop in ribbon.stops:
        start = _or(stop.start_min, stop.arrival_min)
        if stop.arrival_min > at:
            shapes.append(Line(axis.at(at), y, axis.at(stop.arrival_min), y, "ink2", 0.8))
        if start > stop.arrival_min:
            x1, x2 = axis.at(stop.arrival_min), axis.at(start)
            shapes.append(Line(x1, y, x2, y, "ink2", 1.2, (1.2, 2.4)))
        at = stop.leave_min
    if ribbon.home_min > at:
        shapes.append(Line(axis.at(at), y, axis.at(ribbon.home_min), y, "ink2", 0.8))
    return shapes


def _block(
    stop: RibbonStop, axis: MinuteAxis, top: float, measure: Measure, scale: float
) -> list[Shape]:
    start = _or(stop.start_min, stop.arrival_min)
    left = axis.at(start)
    box = Box(left, top, max(axis.at(stop.leave_min) - left, 2 * scale), BLOCK * scale)
    font = Font(9.5 * scale, 600)
    if measure(stop.label, font) > box.width - 2 * scale:
        font = Font(6.5 * scale, 600)
    return [
        Rect(box, "sheet", "ink", 1.5 if stop.strong else 0.8, 3 * scale, key=stop.key),
        TextBox(box, stop.label, font, align="center", key=stop.key),
    ]


def _promise(
    stop: RibbonStop, axis: MinuteAxis, top: float, lane: int, scale: float
) -> list[Shape]:
    y = top - (GAP + (lane + 1) * LANE) * scale
    foot = top - GAP * scale / 2
    left, right = axis.x, axis.x + axis.width
    begin = left if stop.promise_from_min is None else axis.at(stop.promise_from_min)
    end = right if stop.promise_until_min is None else axis.at(stop.promise_until_min)
    x1, x2 = min(max(begin, left), right), min(max(end, left), right)
    shapes: list[Shape] = []
    if x2 > x1:
        shapes.append(
            Bracket(
                x1,
                x2,
                y,
                foot - y,
                "ink",
                1.2,
                open_left=stop.promise_from_min is None or begin < left,
                open_right=stop.promise_until_min is None or end > right,
            )
        )
    late_to = axis.at(stop.arrival_min)
    if stop.promise_until_min is not None and late_to > end:
        shapes.append(Hatch(Box(x2, y, late_to - x2, (LANE - 1) * scale), "ink", 3.0, 0.7))
    return shapes


def hour_labels(axis: MinuteAxis, y: float, measure: Measure, *, scale: float = 1.0) -> list[Shape]:
    """The hours under an axis; as many as stand without touching, noon by its name."""
    font = Font(7.6 * scale)
    shapes: list[Shape] = []
    free = axis.x
    for hour in range(int(axis.from_min // 60), int(axis.until_min // 60) + 1):
        text = say("noon") if hour % 24 == 12 else str((hour - 1) % 12 + 1)
        width = measure(text, font) + 1
        x = axis.at(hour * 60) - width / 2
        if x >= free - 0.01 and x + width <= axis.x + axis.width + 0.01:
            box = Box(x, y, width, AXIS * scale)
            shapes.append(TextBox(box, text, font, "ink2", "center"))
            free = x + width + 4 * scale
    return shapes
