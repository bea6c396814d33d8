"""Small plots over years: the share still working, and how calls add up. For screen and paper."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from servicedesk.papers.pattern_text import line_height, shortened, text_block, wrapped
from servicedesk.values.shapes import (
    Box,
    Bracket,
    Font,
    Icon,
    Line,
    Mark,
    Measure,
    Polyline,
    Shape,
    TextBox,
)
from servicedesk.words import say

# Lengths at 100 %.
PLOT, LEAST_WIDTH, GAP = 112.0, 168.0, 16.0
LEFT = 24.0
YEAR_STEPS = (1, 2, 5, 10, 20)
TICK_APART = 5.0
Point = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Stair:
    """A value by years, constant between steps: (years, value, low, high); low and high or None.

    It begins at `start` with `first` and is drawn as far as `end`. `dash` at 100 %.
    """

    steps: tuple[tuple[float, float, float | None, float | None], ...]
    start: float
    first: float
    end: float
    color: str
    dash: tuple[float, ...] = ()

    def at(self, years: float) -> float:
        """The value at an age."""
        value = self.first
        for step in self.steps:
            if step[0] > years:
                break
            value = step[1]
        return value


@dataclass(frozen=True, slots=True, kw_only=True)
class PlotShown:
    """One plot. `marked`: the age at which half have failed. `ticks`: ages of units in service.

    `span`: ages within which replacing early costs nearly the same, with the best between.
    `top`: value at the upper edge. `said`: one line below the title. `note`: sentences below.
    """

    key: str
    title: str
    icon: str
    stairs: tuple[Stair, ...]
    top: float
    levels: tuple[tuple[float, str], ...]
    color: str
    said: str = ""
    note: str = ""
    marked: float | None = None
    ticks: tuple[float, ...] = ()
    span: tuple[float, float, float] | None = None


@dataclass(frozen=True, slots=True)
class PlotsFigure:
    """Plots side by side: shapes and height; `rows` of plots, which are never cut apart."""

    height: float
    rows: tuple[tuple[float, float, tuple[Shape, ...]], ...]

    @property
    def shapes(self) -> tuple[Shape, ...]:
        """Everything."""
        return tuple(shape for row in self.rows for shape in row[2])


def year_axis(plots: Sequence[PlotShown]) -> tuple[int, int]:
    """End of the axis in years, and its step: the same for plots side by side."""
    reach = max([stair.end for plot in plots for stair in plot.stairs], default=1.0)
    step = next((one for one in YEAR_STEPS if reach <= 4 * one), YEAR_STEPS[-1])
    return max(step, math.ceil(reach / step - 1e-9) * step), step


def plots_figure(
    plots: Sequence[PlotShown], width: float, measure: Measure, *, scale: float = 1.0
) -> PlotsFigure:
    """As many plots side by side as find room, all on one axis of years."""
    if not plots:
        return PlotsFigure(0.0, ())
    gap = GAP * scale
    across = max(1, int((width + gap) // (LEAST_WIDTH * scale + gap)))
    across = min(across, 3, max(len(plots), 2))
    wide = (width - gap * (across - 1)) / across
    axis, y, rows = year_axis(plots), 0.0, []
    for first in range(0, len(plots), across):
        side = plots[first : first + across]
        drawers = [
            _Plot(plot, Box(n * (wide + gap), y, wide, 0), measure, scale, axis)
            for n, plot in enumerate(side)
        ]
        head = max(drawer.head_height for drawer in drawers)
        drawn = [drawer.draw(head) for drawer in drawers]
        height = max(high for _, high in drawn)
        rows.append((y, height, tuple(shape for shapes, _ in drawn for shape in shapes)))
        y += height + gap
    return PlotsFigure(y - gap, tuple(rows))


class _Plot:
    """Draws one plot from the top of its box down."""

    def __init__(
        self, plot: PlotShown, box: Box, measure: Measure, s: float, axis: tuple[int, int]
    ) -> None:
        self.plot, self.box, self.measure, self.s = plot, box, measure, s
        self.until, self.step = axis
        self.strong, self.small = Font(12 * s, 600), Font(11 * s)
        self.title_room = box.width - (20 * s if plot.icon else 0)

    @property
    def head_height(self) -> float:
        """Title and the line below it."""
        n = len(wrapped(self.plot.title, self.strong, self.title_room, self.measure))
        said = line_height(self.strong) if self.plot.said else 0.0
        return n * line_height(self.strong) + said + 4 * self.s

    def draw(self, head: float) -> tuple[list[Shape], float]:
        """All shapes and how high they are; the plot begins `head` below the top."""
        box, s, plot = self.box, self.s, self.plot
        room = Box(box.right - self.title_room, box.y, self.title_room, 0)
        title, high = text_block(
            plot.title, self.strong, room, self.measure, color=plot.color, key="title"
        )
        shapes: list[Shape] = [*title]
        if plot.icon:
            icon = Box(box.x, box.y + 1 * s, 14 * s, 14 * s)
            shapes.append(Icon(plot.icon, icon, plot.color))
        if plot.said:
            words = shortened(plot.said, self.small, self.title_room, self.measure)
            place = Box(room.x, box.y + high, self.title_room, line_height(self.strong))
            shapes.append(TextBox(place, words, self.small, "ink2", key="said"))
        area = Box(box.x + LEFT * s, box.y + head + 4 * s, box.width - (LEFT + 8) * s, PLOT * s)
        shapes += self._frame(area)
        for stair in plot.stairs:  # all shades first, so that no line lies under one
            band = self._band(stair, area)
            if len(band) > 2:
                shapes.append(Polyline(band, None, fill=f"soft.{stair.color}"))
        shapes += [self._stair(stair, area) for stair in plot.stairs]
        shapes += self._half(area)
        shapes += self._span(area)
        bottom = area.bottom + 4 * s + line_height(self.small)
        note, tall = text_block(
            plot.note,
            self.small,
            Box(box.x, bottom + 3 * s, box.width, 0),
            self.measure,
            color="ink2",
            key="note",
        )
        return [*shapes, *note], bottom + (3 * s if note else 0) + tall - box.y

    def _x(self, years: float, area: Box) -> float:
        return area.x + area.width * min(1.0, max(0.0, years / self.until))

    def _y(self, value: float, area: Box) -> float:
        return area.bottom - area.height * min(1.0, max(0.0, value / self.plot.top))

    def _frame(self, area: Box) -> list[Shape]:
        s, font = self.s, self.small
        high = line_height(font)
        shapes: list[Shape] = []
        for value, words in self.plot.levels:
            y = self._y(value, area)
            shapes.append(Line(area.x, y, area.right, y, "edge" if value == 0 else "line"))
            place = Box(self.box.x, y - high / 2, area.x - 5 * s - self.box.x, high)
            shapes.append(TextBox(place, words, font, "ink3", "right", "level"))
        for years in range(0, self.until + 1, self.step):
            is_last = years + self.step > self.until
            words = say("{n} y", n=years) if is_last else str(years)
            wide = self.measure(words, font) + 2
            x = min(self._x(years, area) - wide / 2, self.box.right - wide)
            place = Box(x, area.bottom + 4 * s, wide, high)
            shapes.append(TextBox(place, words, font, "ink3", "center", "years"))
        return shapes

    def _stair(self, stair: Stair, area: Box) -> Polyline:
        points: list[Point] = [(stair.start, stair.first)]
        for years, value, _low, _high in stair.steps:
            if years <= stair.end:
                points += [(years, points[-1][1]), (years, value)]
        points.append((max(stair.end, points[-1][0]), points[-1][1]))
        line = tuple((self._x(years, area), self._y(value, area)) for years, value in points)
        dash = tuple(length * self.s for length in stair.dash)
        return Polyline(line, stair.color, 1.6 * self.s, dash)

    def _band(self, stair: Stair, area: Box) -> tuple[Point, ...]:
        known = [
            (years, low, high)
            for years, _value, low, high in stair.steps
            if low is not None and high is not None and years <= stair.end
        ]
        if not known:
            return ()
        upper, lower = [(known[0][0], stair.first)], [(known[0][0], stair.first)]
        for years, low, high in known:
            upper += [(years, upper[-1][1]), (years, high)]
            lower += [(years, lower[-1][1]), (years, low)]
        end = max(stair.end, known[-1][0])
        upper.append((end, upper[-1][1]))
        lower.append((end, lower[-1][1]))
        around = upper + lower[::-1]
        return tuple((self._x(years, area), self._y(value, area)) for years, value in around)

    def _half(self, area: Box) -> list[Shape]:
        """The upright at which half have failed, and ticks where units still work."""
        s, plot = self.s, self.plot
        shapes: list[Shape] = []
        free = -math.inf
        for age in plot.ticks if plot.stairs else ():
            x = self._x(age, area)
            if x - free < TICK_APART * s or age > plot.stairs[0].end:
                continue
            y = self._y(plot.stairs[0].at(age), area)
            shapes.append(Line(x, y - 4 * s, x, y, plot.color, 1.0 * s))
            free = x
        if plot.marked is not None:
            x, y = self._x(plot.marked, area), self._y(plot.top / 2, area)
            shapes.append(Line(x, y, x, area.bottom, plot.color, 1.3 * s, (3 * s, 3 * s)))
        return shapes

    def _span(self, area: Box) -> list[Shape]:
        """The span of ages at which replacing early pays, as a bracket on the axis."""
        if self.plot.span is None:
            return []
        s, (best, low, high) = self.s, self.plot.span
        left, right = self._x(low, area), max(self._x(high, area), self._x(low, area) + 3 * s)
        y = area.bottom - 8 * s
        return [
            Bracket(left, right, y, 6 * s, "moss", 1.6 * s),
            Mark("diamond", self._x(best, area), y, 7 * s, "moss"),
        ]
