"""The year as figures: the ladder of all sites, steps that add up, columns month by month."""

from collections.abc import Sequence
from dataclasses import dataclass

from servicedesk.papers.pattern_text import line_height, text_block
from servicedesk.values.shapes import (
    Box,
    Font,
    Hatch,
    Line,
    Measure,
    Polyline,
    Rect,
    Shape,
    TextBox,
)

Drawn = tuple[list[Shape], float]
LADDER = 96.0  # height of the ladder at 100 %
BAR, GAP = 5.0, 8.0


@dataclass(frozen=True, slots=True, kw_only=True)
class LadderShown:
    """Sums from worst to best. `chosen` stands out, by its number from 0, with its words."""

    values: tuple[int, ...]
    below: str
    above: str
    chosen: int | None = None
    chosen_words: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One step of a sum. A base begins the sum; all others add to it or take away."""

    words: str
    second: str
    minor: int
    text: str
    color: str = "ink2"
    is_base: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class StepsShown:
    """Steps and what they add up to."""

    steps: tuple[Step, ...]
    sum_words: str
    sum_text: str
    is_strong: bool = False


def ladder_slots(n: int, width: float) -> list[tuple[int, int]]:
    """Which values share a column: from, until. One each where there is room of 2 px for it."""
    columns = min(n, max(1, int(width // 2)))
    return [(n * k // columns, n * (k + 1) // columns) for k in range(columns)]


def ladder_at(n: int, width: float, x: float) -> int | None:
    """The number of the value at `x`, None beside them."""
    slots = ladder_slots(n, width)
    if not slots or not 0 <= x < width:
        return None
    first, until = slots[min(len(slots) - 1, int(x / width * len(slots)))]
    return (first + until - 1) // 2


def ladder_figure(shown: LadderShown, width: float, measure: Measure, s: float) -> Drawn:
    """One upright a site from the line of zero: losses below it, what was kept above it.

    Where sites are many some share a column, at their mean. The words stand where no bar is.
    """
    n, height = len(shown.values), LADDER * s
    if not n:
        return [], 0.0
    font, fine = Font(12 * s, 600), Font(11 * s)
    lowest, highest = min(0, shown.values[0]), max(0, shown.values[-1])
    span = max(1, highest - lowest)
    room = height - 2 * line_height(font)
    # at least a line of words fits above and below the line of zero
    above = max(line_height(font), room * highest / span)
    zero = line_height(font) + 4 * s + min(above, room - line_height(font) - 4 * s)
    zero = min(zero, height - 2 * line_height(font) - 8 * s)  # two lines stand below it
    up = (zero - 2 * s) / highest if highest else 0.0
    down = (height - zero - 2 * s) / -lowest if lowest else 0.0
    scale = min(one for one in (up, down) if one) if up or down else 0.0
    shapes: list[Shape] = []
    slots = ladder_slots(n, width)
    wide = width / len(slots)
    for k, (first, until) in enumerate(slots):
        mean = sum(shown.values[first:until]) / (until - first)
        high = abs(mean) * scale
        top = zero - high if mean >= 0 else zero
        color = "moss" if mean >= 0 else "clay"
        bar = Box(k * wide, top, max(1.0, wide - (1.0 if wide >= 3 else 0.5)), max(0.8, high))
        shapes.append(Rect(bar, color, None))
    shapes.append(Line(0, zero, width, zero, "ink2", 1.0))
    shapes += _ladder_words(shown, width, measure, s, zero)
    if shown.chosen is not None and 0 <= shown.chosen < n:
        x = width * (shown.chosen + 0.5) / n
        shapes.append(Line(x, 0, x, height, "ink", 1.4 * s))
        mark = ((x - 4 * s, 0), (x + 4 * s, 0), (x, 6 * s))
        shapes.append(Polyline(mark, None, 1.0, fill="ink"))
        room_right = measure(shown.chosen_words, fine) + 8 * s
        left = x + 7 * s if x + room_right < width else x - room_right
        place = Box(left, 0, room_right, line_height(fine))
        shapes.append(TextBox(place, shown.chosen_words, fine, "ink", key="chosen"))
    return shapes, height


def _ladder_words(
    shown: LadderShown, width: float, measure: Measure, s: float, zero: float
) -> list[Shape]:
    """What was kept is told below its bars, losses above theirs: there nothing is drawn.

    Where the losses have too little room for that, both stand below, right of the losses.
    """
    font = Font(12 * s, 600)
    n_below = sum(value < 0 for value in shown.values)
    edge = width * n_below / len(shown.values)
    shapes: list[Shape] = []
    high = line_height(font)
    wide, right = measure(shown.below, font) + 2, measure(shown.above, font) + 2
    fits = wide <= edge - 4 * s
    left = min(edge + 8 * s, max(0.0, width - max(right, wide if not fits else 0.0)))
    if n_below:
        place = Box(0, zero - high - 2 * s, wide, high)
        if not fits:
            place = Box(left, zero + 5 * s + high, min(wide, width - left), high)
        shapes.append(TextBox(place, shown.below, font, "clay", key="below"))
        dash = (3.0 * s, 3.0 * s)
        shapes.append(Line(edge, zero - 12 * s, edge, zero + 36 * s, "ink2", 1.2 * s, dash))
    if n_below < len(shown.values):
        place = Box(left, zero + 5 * s, min(right, width - left), high)
        shapes.append(TextBox(place, shown.above, font, "moss", key="above"))
    return shapes


def steps_figure(shown: StepsShown, width: float, measure: Measure, s: float) -> Drawn:
    """Each step with its bar where the ones before it ended; a rule, then what they add up to."""
    shapes: list[Shape] = []
    low, high = _reach(shown.steps)
    span = max(1, high - low)
    y, at = 0.0, 0

    def x_of(minor: float) -> float:
        return width * (minor - low) / span

    for step in shown.steps:
        drawn, y = _step_words(step, y, width, measure, s)
        shapes += drawn
        begin, end = (0, step.minor) if step.is_base else (at, at + step.minor)
        at = end
        left, right = sorted((max(0.0, x_of(begin)), x_of(end)))
        shapes.append(Rect(Box(0, y, width, BAR * s), "sunken", None, radius=2 * s))
        bar = Box(left, y, max(1.5 * s, right - left), BAR * s)
        if step.minor < 0:
            shapes += [Rect(bar, "sheet", "clay", 1.0), Hatch(bar, "clay", 4 * s, 1.0)]
        elif step.minor:
            shapes.append(Rect(bar, step.color, None, radius=1 * s))
        if step.is_base and low > 0:  # its bar goes on to the left: the axis does not show zero
            cut = Line(9 * s, y - 2 * s, 5 * s, y + (BAR + 2) * s, "sheet", 2.5 * s)
            shapes.append(cut)
        y += (BAR + GAP) * s
    shapes.append(Line(0, y - 3 * s, width, y - 3 * s, "ink2", 1.2 * s))
    return _step_sum(shown, shapes, y + 3 * s, width, measure, s)


def _reach(steps: Sequence[Step]) -> tuple[int, int]:
    """The axis of the bars. One that begins with a base shows where something moves, not zero."""
    at, seen = 0, [0]
    for step in steps:
        at = step.minor if step.is_base else at + step.minor
        seen.append(at)
    if steps and steps[0].is_base:
        moved = seen[1:]
        low, high = min(moved), max(moved)
        if high > low:
            return max(0, low - (high - low)), high
        return 0, max(1, high)
    return min(seen), max(1, *seen)


def _step_words(
    step: Step, y: float, width: float, measure: Measure, s: float
) -> tuple[list[Shape], float]:
    font, fine = Font(13 * s, 500), Font(11.5 * s)
    wide = measure(step.text, font) + 2
    left = width - wide - 8 * s
    lines, tall = text_block(step.words, font, Box(0, y, left, 0), measure, key="step")
    place = Box(width - wide, y, wide, line_height(font))
    shapes: list[Shape] = [*lines, TextBox(place, step.text, font, "ink", "right", "sum")]
    y += tall
    if step.second:
        more, tall = text_block(
            step.second, fine, Box(0, y, width, 0), measure, color="ink2", key="why"
        )
        shapes += more
        y += tall
    return shapes, y + 3 * s


def _step_sum(
    shown: StepsShown, shapes: list[Shape], y: float, width: float, measure: Measure, s: float
) -> Drawn:
    strong = shown.is_strong
    font = Font((15 if strong else 13) * s, 600)
    price = Font((17 if strong else 14) * s, 600, "title")
    high = (34.0 if strong else 24.0) * s
    pad = 8 * s if strong else 0.0
    if strong:
        shapes.append(Rect(Box(0, y, width, high), "soft.water", None, radius=4 * s))
    wide = measure(shown.sum_text, price) + 2
    color = "water" if strong else "ink"
    room = Box(pad, y, width - wide - 2 * pad - 6 * s, high)
    shapes.append(TextBox(room, shown.sum_words, font, "ink", key="total"))
    place = Box(width - pad - wide, y, wide, high)
    shapes.append(TextBox(place, shown.sum_text, price, color, "right", "total"))
    return shapes, y + high
