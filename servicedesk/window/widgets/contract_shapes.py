"""Contracts of a site as shapes: one row a contract, its windows as brackets, what was done.

Every row has its own axis, from the first day of its contract to its last, so that the years of a
site stand under each other and can be compared. Attempts stand apart, below the line.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from servicedesk.desk.contract_file import ContractFile, ContractLife, count_text
from servicedesk.desk.contract_periods import Period
from servicedesk.duties.terms import DueWindow, WindowState
from servicedesk.papers.pattern_figures import PlacedRow
from servicedesk.papers.pattern_text import line_height, shortened
from servicedesk.values.shapes import (
    Box,
    Font,
    Hatch,
    Line,
    Mark,
    Measure,
    Rect,
    Shape,
    TextBox,
)
from servicedesk.words import say

ROW, GAP_ROW, PAD = 50.0, 26.0, 12.0
LEFT, RIGHT = 0.29, 0.25  # shares of the width for the words on either side
_STATE_COLORS = {
    "draft": "ochre", "to begin": "water", "running": "moss", "ending": "ochre",
    "renewed": "ink2", "ended": "ink2", "handed over": "ink2",
}  # fmt: skip
_WINDOW_COLORS = {
    WindowState.CLOSING: "ochre",
    WindowState.LATE: "clay",
    WindowState.MISSED: "clay",
    WindowState.NOT_YET: "edge",
}


@dataclass(frozen=True, slots=True)
class ContractFigure:
    """Shapes, the rows that keys walk (by the key of a contract), and the height."""

    shapes: tuple[Shape, ...]
    rows: tuple[PlacedRow, ...]
    height: float


@dataclass(frozen=True, slots=True)
class _Axis:
    """Days of one contract between two places on the page."""

    left: float
    right: float
    from_on: date
    until_on: date

    def at(self, day: date) -> float:
        """Where a day lies; what is outside stands at the end."""
        whole = max(1, (self.until_on - self.from_on).days)
        share = min(max((day - self.from_on).days / whole, 0.0), 1.0)
        return self.left + (self.right - self.left) * share


def contract_figure(
    file: ContractFile, width: float, measure: Measure, scale: float
) -> ContractFigure:
    """The whole figure: contracts with the latest on top, the days between them without one."""
    shapes: list[Shape] = []
    rows: list[PlacedRow] = []
    y = 0.0
    for life in file.lives:
        for period in life.periods or (None,):
            box = Box(0, y, width, ROW * scale)
            label = file.label_of(period.system_id) if period is not None else ""
            shapes += _row(life, period, label, file.today, box, measure, scale)
            if not rows or rows[-1].key != str(life.row.id):
                rows.append(PlacedRow(str(life.row.id), box, spoken(life)))
            else:  # a second system under the same contract: one row for the keys
                first = rows[-1].box
                whole = Box(0, first.y, width, first.height + box.height)
                rows[-1] = PlacedRow(rows[-1].key, whole, rows[-1].spoken)
            y += ROW * scale
            shapes.append(Line(0, y, width, y, "line"))
    for text in (*reversed(file.gaps), *file.outside):
        shapes += _gap(text, Box(0, y, width, GAP_ROW * scale), measure, scale)
        y += GAP_ROW * scale
    return ContractFigure(tuple(shapes), tuple(rows), y)


def spoken(life: ContractLife) -> str:
    """How a row is read aloud."""
    head = say("Contract {n}, {span}, {state}", n=life.row.number, span=life.span_text,
               state=life.state_text)  # fmt: skip
    return ". ".join((head, ", ".join(life.facts), *life.counts, *life.apart))


def _row(
    life: ContractLife,
    period: Period | None,
    label: str,
    today: date,
    box: Box,
    measure: Measure,
    s: float,
) -> list[Shape]:
    left = Box(PAD * s, box.y, box.width * LEFT - 2 * PAD * s, box.height)
    right_x = box.width * (1 - RIGHT)
    right = Box(right_x + PAD * s, box.y, box.width * RIGHT - 2 * PAD * s, box.height)
    name = say("Contract {n} · {state}", n=life.row.number, state=life.state_text)
    color = _STATE_COLORS[life.state]
    strong = color if color != "ink2" else "ink"
    span = " · ".join(part for part in (label, life.span_text) if part)
    shapes = _two(name, span, left, measure, s, color=strong)
    if period is None:
        price = life.facts[0]
        return shapes + _two(price, "", right, measure, s)
    axis = _Axis(box.width * LEFT, right_x, period.from_on, max(period.until_on, period.from_on))
    middle = box.y + box.height * 0.44
    shapes.append(Line(axis.left, middle, axis.right, middle, "edge", 1.0 * s))
    for window in period.windows:
        shapes += _window(window, axis, middle, s)
    for tried in period.tried:
        x = axis.at(tried.on)
        shapes.append(Mark("cross", x, box.y + box.height * 0.82, 9 * s, "clay", key="tried"))
    for extra in period.extra:
        x = axis.at(extra.on)
        shapes.append(Mark("disc", x, box.y + box.height * 0.82, 8 * s, "ink2", filled=False,
                           key="extra"))  # fmt: skip
    if period.from_on <= today < period.until_on:
        x = axis.at(today)
        shapes.append(Line(x, box.y + 3 * s, x, box.bottom - 3 * s, "ink", 1.4 * s))
    index = next((n for n, one in enumerate(life.periods) if one is period), 0)
    apart = "; ".join(life.apart_of[index])
    return shapes + _two(count_text(period), apart, right, measure, s)


def _window(window: DueWindow, axis: _Axis, middle: float, s: float) -> list[Shape]:
    """A bracket from the day it opens to its last day; in it what was done."""
    color = _WINDOW_COLORS.get(window.state, "water")
    x1 = axis.at(window.opens_on)
    x2 = axis.at(window.closes_on + timedelta(days=1))
    high = 16 * s
    shapes: list[Shape] = []
    if window.state in (WindowState.LATE, WindowState.MISSED):
        shapes.append(Hatch(Box(x1, middle - high / 2, x2 - x1, high), "clay", 5 * s))
    shapes += _legs(x1 + 1, x2 - 1, middle, high, color, s)
    if window.done_on is not None:
        late = window.state is WindowState.DONE_LATE
        kind, tone = ("diamond", "clay") if late else ("disc", "moss")
        at = axis.at(window.done_on)
        shapes.append(Mark(kind, at, middle, (12 if late else 10) * s, tone, key="done"))  # type: ignore[arg-type]
    elif window.state is WindowState.MISSED:
        shapes.append(Mark("cross", (x1 + x2) / 2, middle, 11 * s, "clay", key="missed"))
    return shapes


def _legs(x1: float, x2: float, middle: float, high: float, color: str, s: float) -> list[Shape]:
    """An opening and a closing bracket."""
    leg = min(5 * s, max(1.0, (x2 - x1) / 3))
    top, bottom = middle - high / 2, middle + high / 2
    shapes: list[Shape] = []
    for x, turn in ((x1, 1), (x2, -1)):
        shapes += [
            Line(x, top, x, bottom, color, 1.8 * s),
            Line(x, top, x + turn * leg, top, color, 1.8 * s),
            Line(x, bottom, x + turn * leg, bottom, color, 1.8 * s),
        ]
    return shapes


def _two(
    first: str, second: str, box: Box, measure: Measure, s: float, *, color: str = "ink"
) -> list[Shape]:
    lead, small = Font(13 * s, 600), Font(12 * s)
    top = box.y + (box.height - line_height(lead) - (line_height(small) if second else 0)) / 2
    shapes: list[Shape] = [
        TextBox(Box(box.x, top, box.width, line_height(lead)),
                shortened(first, lead, box.width, measure), lead, color)
    ]  # fmt: skip
    if second:
        under = Box(box.x, top + line_height(lead), box.width, line_height(small))
        shapes.append(TextBox(under, shortened(second, small, box.width, measure), small, "ink2"))
    return shapes


def _gap(text: str, box: Box, measure: Measure, s: float) -> list[Shape]:
    """Days that no contract covered: a dashed strip with a hatch, and the words."""
    font = Font(12 * s, 500)
    sign = Box(PAD * s, box.y + box.height * 0.3, 22 * s, box.height * 0.4)
    words = Box(sign.right + 8 * s, box.y, box.width - sign.right - 20 * s, box.height)
    return [
        Hatch(sign, "ochre", 4 * s),
        Rect(sign, None, "ochre", 1.0, 2 * s, (3 * s, 2 * s)),
        TextBox(words, shortened(text, font, words.width, measure), font, "ochre", key="gap"),
    ]


def legend(width: float, measure: Measure, scale: float) -> tuple[Sequence[Shape], float]:
    """What the marks mean, in one line as far as there is room."""
    font = Font(12 * scale)
    high = line_height(font) + 4 * scale
    items: tuple[tuple[str, tuple[Shape, ...]], ...] = (
        (say("window"), tuple(_legs(1.0, 14 * scale, high / 2, high * 0.7, "water", scale))),
        (say("done"), (Mark("disc", 6 * scale, high / 2, 10 * scale, "moss"),)),
        (say("done late"), (Mark("diamond", 6 * scale, high / 2, 12 * scale, "clay"),)),
        (say("missed"), (Hatch(Box(0, high * 0.25, 14 * scale, high * 0.5), "clay", 4 * scale),
                         Mark("cross", 7 * scale, high / 2, 9 * scale, "clay"))),
        (say("tried in vain, below the line"), (Mark("cross", 6 * scale, high / 2, 9 * scale,
                                                     "clay"),)),
        (say("counts for none"), (Mark("disc", 6 * scale, high / 2, 8 * scale, "ink2",
                                       filled=False),)),
    )  # fmt: skip
    shapes: list[Shape] = []
    x = 0.0
    for words, signs in items:
        wide = measure(words, font) + 2
        if x + 20 * scale + wide > width:
            break
        shapes += [sign.moved(x, 0) for sign in signs]
        shapes.append(TextBox(Box(x + 20 * scale, 0, wide, high), words, font, "ink2"))
        x += 20 * scale + wide + 16 * scale
    return shapes, high
