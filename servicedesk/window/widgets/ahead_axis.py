"""The week axis that both sheets of Ahead share: pure places, no painting."""

from dataclasses import dataclass
from datetime import date, timedelta

from servicedesk.values.shapes import Line, Shape

LABEL_PX = 236.0  # room of names at the left, at 100 %


@dataclass(frozen=True, slots=True)
class WeekAxis:
    """Weeks side by side from the Monday `first`, from `left` to `right`."""

    first: date
    n_weeks: int
    left: float
    right: float

    @property
    def week_width(self) -> float:
        """How wide a week is."""
        return (self.right - self.left) / max(1, self.n_weeks)

    def at(self, day: date, part: float = 0.0) -> float:
        """The x of a moment of a day (`part` of it gone), unbounded."""
        return self.left + ((day - self.first).days + part) / 7 * self.week_width

    def within(self, x: float) -> float:
        """The same x, at the edge if it lies beyond."""
        return min(self.right, max(self.left, x))

    def mondays(self) -> list[date]:
        """The first days of the weeks."""
        return [self.first + timedelta(weeks=n) for n in range(self.n_weeks)]

    def grid(self, top: float, bottom: float) -> list[Shape]:
        """Uprights where weeks begin."""
        return [Line(x, top, x, bottom, "line") for x in map(self.at, self.mondays())]


def axis_for(first: date, n_weeks: int, width: float, scale: float) -> WeekAxis:
    """The axis of a sheet of this width."""
    return WeekAxis(first, n_weeks, min(LABEL_PX * scale, 0.4 * width), width - 2 * scale)
