"""What a figure is made of: shapes with places, read by painters, hit tests and tests alike.

Lengths are px on a screen and points on paper; x grows to the right and y downwards. A color is a
token name ("ink", "soft.water"), never a value: each painter has its own meaning for it.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Literal, Protocol, Self

Family = Literal["text", "title"]
Align = Literal["left", "center", "right"]
MarkKind = Literal["disc", "square", "diamond", "pentagon", "triangle", "cross", "tick"]


@dataclass(frozen=True, slots=True)
class Font:
    """Family role, weight (400, 500, 600) and size of a text."""

    size: float
    weight: int = 400
    family: Family = "text"


class Measure(Protocol):
    """Width of a text in a font, in the unit of the font's size."""

    def __call__(self, text: str, font: Font, /) -> float:
        """The advance width of `text` on one line."""


@dataclass(frozen=True, slots=True)
class Box:
    """An upright rectangle by its upper left corner."""

    x: float
    y: float
    width: float
    height: float

    @property
    def right(self) -> float:
        """The right edge."""
        return self.x + self.width

    @property
    def bottom(self) -> float:
        """The lower edge."""
        return self.y + self.height

    @property
    def center(self) -> tuple[float, float]:
        """The middle."""
        return self.x + self.width / 2, self.y + self.height / 2

    def moved(self, dx: float, dy: float) -> "Box":
        """The same box elsewhere."""
        return Box(self.x + dx, self.y + dy, self.width, self.height)

    def grown(self, by: float) -> "Box":
        """Larger by `by` on every side (smaller if negative)."""
        return Box(self.x - by, self.y - by, self.width + 2 * by, self.height + 2 * by)

    def touches(self, other: "Box") -> bool:
        """Whether the two share more than an edge."""
        return (
            self.x < other.right
            and other.x < self.right
            and self.y < other.bottom
            and other.y < self.bottom
        )

    def holds(self, other: "Box", slack: float = 0.0) -> bool:
        """Whether `other` lies inside, up to `slack`."""
        return (
            other.x >= self.x - slack
            and other.y >= self.y - slack
            and other.right <= self.right + slack
            and other.bottom <= self.bottom + slack
        )


def box_around(points: Iterable[tuple[float, float]]) -> Box:
    """The smallest box around at least one point."""
    xs, ys = zip(*points, strict=True)
    return Box(min(xs), min(ys), max(xs) - min(xs), max(ys) - min(ys))


class _Boxed:
    """Shapes whose place is one box."""

    __slots__ = ()
    box: Box

    @property
    def bounds(self) -> Box:
        """The room it takes."""
        return self.box

    def moved(self, dx: float, dy: float) -> Self:
        """The same shape elsewhere."""
        return replace(self, box=self.box.moved(dx, dy))  # type: ignore[type-var]


@dataclass(frozen=True, slots=True)
class TextBox(_Boxed):
    """One line of text, in the middle of its box's height. `key` names the thing it stands for."""

    box: Box
    text: str
    font: Font
    color: str = "ink"
    align: Align = "left"
    key: str = ""


@dataclass(frozen=True, slots=True)
class Rect(_Boxed):
    """A filled or outlined box, corners rounded by `radius`."""

    box: Box
    fill: str | None = None
    stroke: str | None = "ink"
    width: float = 1.0
    radius: float = 0.0
    dash: tuple[float, ...] = ()
    key: str = ""


@dataclass(frozen=True, slots=True)
class Hatch(_Boxed):
    """Slanted lines, cut at the box."""

    box: Box
    color: str = "ink"
    step: float = 4.0
    width: float = 0.8
    key: str = ""


@dataclass(frozen=True, slots=True)
class Icon(_Boxed):
    """An icon of ``resources/icons`` by its name."""

    name: str
    box: Box
    color: str = "ink"


@dataclass(frozen=True, slots=True)
class QrCode(_Boxed):
    """A QR code of `text`. The white margin of four modules lies outside the box."""

    box: Box
    text: str


@dataclass(frozen=True, slots=True)
class Line:
    """A straight line."""

    x1: float
    y1: float
    x2: float
    y2: float
    color: str = "ink"
    width: float = 1.0
    dash: tuple[float, ...] = ()

    @property
    def bounds(self) -> Box:
        """The room it takes, without its width."""
        return box_around(((self.x1, self.y1), (self.x2, self.y2)))

    def moved(self, dx: float, dy: float) -> "Line":
        """The same line elsewhere."""
        return replace(self, x1=self.x1 + dx, y1=self.y1 + dy, x2=self.x2 + dx, y2=self.y2 + dy)


@dataclass(frozen=True, slots=True)
class Polyline:
    """Points joined by straight lines; `fill` closes and fills it."""

    points: tuple[tuple[float, float], ...]
    color: str | None = "ink"
    width: float = 1.0
    dash: tuple[float, ...] = ()
    fill: str | None = None

    @property
    def bounds(self) -> Box:
        """The room it takes, without its width."""
        return box_around(self.points)

    def moved(self, dx: float, dy: float) -> "Polyline":
        """The same line elsewhere."""
        return replace(self, points=tuple((x + dx, y + dy) for x, y in self.points))


@dataclass(frozen=True, slots=True)
class Bracket:
    """A window of time: a level line with a leg of `drop` at each end that lies on the page."""

    x1: float
    x2: float
    y: float
    drop: float
    color: str = "ink"
    width: float = 1.4
    open_left: bool = False
    open_right: bool = False

    @property
    def bounds(self) -> Box:
        """The room it takes, without its width."""
        return Box(self.x1, self.y, self.x2 - self.x1, self.drop)

    def moved(self, dx: float, dy: float) -> "Bracket":
        """The same bracket elsewhere."""
        return replace(self, x1=self.x1 + dx, x2=self.x2 + dx, y=self.y + dy)


@dataclass(frozen=True, slots=True)
class Mark:
    """A sign of `size` across, around a point; hollow when `filled` is false."""

    kind: MarkKind
    x: float
    y: float
    size: float
    color: str = "ink"
    filled: bool = True
    key: str = ""

    @property
    def bounds(self) -> Box:
        """The room it takes."""
        return Box(self.x - self.size / 2, self.y - self.size / 2, self.size, self.size)

    def moved(self, dx: float, dy: float) -> "Mark":
        """The same mark elsewhere."""
        return replace(self, x=self.x + dx, y=self.y + dy)


Shape = TextBox | Rect | Hatch | Icon | QrCode | Line | Polyline | Bracket | Mark


def moved(shapes: Iterable[Shape], dx: float, dy: float) -> list[Shape]:
    """All shapes elsewhere."""
    return [shape.moved(dx, dy) for shape in shapes]
