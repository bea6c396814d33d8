"""What stands on a life strip, and its axis: days to pixels, with a seam.

One axis for all rows: what lies before the last two years takes 46 % of the width.
"""

from dataclasses import dataclass, field
from datetime import date, timedelta

from servicedesk.values.shapes import Box, Shape

SEAM_SHARE = 0.46
SEAM_DAYS = 731
FOUND_PX, LABEL_PX, LOOKED_PX = 112.0, 196.0, 92.0


@dataclass(frozen=True, slots=True)
class LifeUnit:
    """One unit: `since` and `until` in words for its ends, `owed` a patch that is still owed."""

    from_on: date | None
    until_on: date | None
    since: str
    why: str
    words: str
    looked_on: date | None = None
    owed_on: date | None = None
    owed: str = ""


@dataclass(frozen=True, slots=True)
class LifeRow:
    """A component: its units oldest first, and what stands at the right.

    `unlooked`: the trouble in view may sit here, and nobody looked since it began, in words.
    """

    name: str
    second: str
    icon: str
    units: tuple[LifeUnit, ...]
    looked: str = ""
    found: str = ""
    is_never: bool = False
    unlooked: str = ""


@dataclass(frozen=True, slots=True)
class LifePoint:
    """A call or visit. `kind`: call, inspection, late, visit; `key` names its entry.

    `in_thread`: a call of the trouble in view.
    """

    kind: str
    on: date
    words: str
    key: tuple[str, int]
    icon: str = ""
    in_thread: bool = False


@dataclass(frozen=True, slots=True)
class LifeWindow:
    """A window of the contract year; `state` chooses its color, `planned_on` a hollow disc."""

    opens_on: date
    closes_on: date
    color: str
    words: str
    planned_on: date | None = None


@dataclass(frozen=True, slots=True)
class LifeThread:
    """The trouble in view, from its first to its last call; `words` name and count it.

    `told`: the same with how long it is quiet, for the ear and the hand that points.
    """

    from_on: date
    until_on: date
    words: str
    told: str


@dataclass(frozen=True, slots=True)
class Life:
    """All that stands on a strip. `thread`: the trouble in view, None if there is none."""

    today: date
    rows: tuple[LifeRow, ...]
    calls: tuple[LifePoint, ...]
    visits: tuple[LifePoint, ...]
    windows: tuple[LifeWindow, ...]
    thread: LifeThread | None = None

    @property
    def begins_on(self) -> date:
        """The first day on the axis: the first thing known, three years back at the latest."""
        days = [self.today - timedelta(days=3 * 365)]
        days += [u.from_on for row in self.rows for u in row.units if u.from_on is not None]
        days += [point.on for point in (*self.calls, *self.visits)]
        return min(days)

    @property
    def ends_on(self) -> date:
        """The last day on the axis: a little after today or after the last window."""
        ends = [self.today + timedelta(days=60)]
        ends += [window.closes_on + timedelta(days=14) for window in self.windows]
        return max(ends)


@dataclass(frozen=True, slots=True)
class View:
    """The part of the axis that is shown, in shares of the whole: 0 to 1."""

    left: float = 0.0
    right: float = 1.0

    def stretched(self, by: float, around: float) -> "View":
        """Closer (`by` > 1) or wider around a share of the whole."""
        width = min(1.0, max(0.04, (self.right - self.left) / by))
        left = around - (around - self.left) * width / (self.right - self.left)
        return View(left, left + width).kept()

    def moved(self, by: float) -> "View":
        """Moved by a share of the whole."""
        return View(self.left + by, self.right + by).kept()

    def kept(self) -> "View":
        """Inside the whole."""
        width = min(1.0, self.right - self.left)
        left = min(max(0.0, self.left), 1.0 - width)
        return View(left, left + width)


@dataclass(frozen=True, slots=True)
class Axis:
    """Days to pixels."""

    life_from: date
    seam_on: date
    life_until: date
    x: float
    width: float
    view: View

    def share(self, day: date) -> float:
        """Where a day stands in the whole life, 0 to 1."""
        before = max(1, (self.seam_on - self.life_from).days)
        after = max(1, (self.life_until - self.seam_on).days)
        if day <= self.seam_on:
            return SEAM_SHARE * (day - self.life_from).days / before
        return SEAM_SHARE + (1 - SEAM_SHARE) * (day - self.seam_on).days / after

    def at(self, day: date) -> float:
        """The pixel of a day; may lie outside what is shown."""
        wide = self.view.right - self.view.left
        return self.x + (self.share(day) - self.view.left) / wide * self.width

    @property
    def right(self) -> float:
        """The right end in pixels."""
        return self.x + self.width

    def shows(self, x: float, slack: float = 0.0) -> bool:
        """Whether a pixel lies on the axis."""
        return self.x - slack <= x <= self.right + slack


@dataclass(frozen=True, slots=True)
class LifeMark:
    """Something to stand on with the keys: in which row, where, and in words."""

    row: int
    on: date
    box: Box
    words: str
    key: tuple[str, int] | None = None


@dataclass(slots=True)
class LifeFigure:
    """Shapes back to front, the marks by row, and how high it all is."""

    height: float
    axis: Axis
    shapes: list[Shape] = field(default_factory=list)
    clipped: list[Shape] = field(default_factory=list)
    front: list[Shape] = field(default_factory=list)
    marks: list[LifeMark] = field(default_factory=list)

    def in_row(self, row: int) -> list[LifeMark]:
        """Marks of a row, oldest first."""
        return sorted((m for m in self.marks if m.row == row), key=lambda m: m.on)

    def mark_at(self, x: float, y: float) -> LifeMark | None:
        """The mark at a point, the one drawn last if there are several."""
        for mark in reversed(self.marks):
            if mark.box.x <= x <= mark.box.right and mark.box.y <= y <= mark.box.bottom:
                return mark
        return None


def axis_of(life: Life, width: float, view: View, scale: float) -> Axis:
    """The axis between the names at the left and the two columns at the right."""
    left = LABEL_PX * scale
    right = (FOUND_PX + LOOKED_PX + 18) * scale
    begins = min(life.begins_on, life.today - timedelta(days=SEAM_DAYS + 365))
    return Axis(begins, life.today - timedelta(days=SEAM_DAYS), life.ends_on, left,
                max(120.0, width - left - right), view)  # fmt: skip
