"""Text that flows and blocks that fall onto pages. Nothing is cut off: what is long flows on."""

import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal

from servicedesk.papers.fonts import clean, width_of
from servicedesk.values.shapes import Box, Font, Measure, Shape, TextBox, moved

PageName = Literal["letter", "a4"]
# points; ISO 216 for A4, 8.5 x 11 inches for Letter
PAGE_SIZES: dict[PageName, tuple[float, float]] = {
    "letter": (612.0, 792.0),
    "a4": (595.2756, 841.8898),
}
LINE = 1.32  # height of a line over the size of its letters


def wrap(text: str, font: Font, width: float, measure: Measure = width_of) -> list[str]:
    """`text` in lines no wider than `width`; a word wider than that is split.

    Line breaks in the text are kept. Empty text gives no line.
    """
    lines: list[str] = []
    for paragraph in clean(text).split("\n"):
        line = ""
        for word in paragraph.split():
            longer = f"{line} {word}" if line else word
            if measure(longer, font) <= width:
                line = longer
                continue
            if line:
                lines.append(line)
            *full, line = _pieces(word, font, width, measure)
            lines += full
        if line:
            lines.append(line)
    return lines


def _pieces(word: str, font: Font, width: float, measure: Measure) -> list[str]:
    """A word in pieces that fit, at least one letter each; accents stay with their letter."""
    pieces = [""]
    for sign in word:
        longer = pieces[-1] + sign
        fits = measure(longer, font) <= width
        if pieces[-1] and not fits and not unicodedata.combining(sign):
            pieces.append(sign)
        else:
            pieces[-1] = longer
    return pieces


def first_words(text: str, font: Font, width: float, measure: Measure = width_of) -> str:
    """`text`, or its beginning with an ellipsis: for headings repeated from an earlier page."""
    if measure(clean(text), font) <= width:
        return text
    lines = wrap(text, font, width - measure("…", font), measure)
    return lines[0].rstrip(" ·") + "…" if lines else ""


def text_line(text: str, font: Font, x: float, y: float, *, color: str = "ink") -> TextBox:
    """One line with its upper left corner at x, y, in a box of its own width."""
    return TextBox(Box(x, y, width_of(clean(text), font), font.size * LINE), text, font, color)


@dataclass(frozen=True, slots=True)
class Strip:
    """A piece of a block that is never cut: shapes below y = 0, x as on the page."""

    height: float
    shapes: tuple[Shape, ...] = ()


@dataclass(frozen=True, slots=True)
class Block:
    """Strips one below the other, with shapes beside them.

    A block stays on one page if it fits on one; a longer one goes on at the next page under
    `again`. `side` begins at the block's top and is `side_height` high.
    """

    strips: tuple[Strip, ...]
    side: tuple[Shape, ...] = ()
    side_height: float = 0.0
    again: Strip = field(default_factory=lambda: Strip(0.0))

    @property
    def height(self) -> float:
        """The room it needs if not divided."""
        return max(sum(strip.height for strip in self.strips), self.side_height)


class Pages:
    """Pages filled from the top within `frame`; page 1 begins at `first_y`."""

    def __init__(self, frame: Box, first_y: float) -> None:
        self.frame = frame
        self.pages: list[list[Shape]] = [[]]
        self.y = first_y

    @property
    def left(self) -> float:
        """Height still free on the page."""
        return self.frame.bottom - self.y

    def turn(self) -> None:
        """Goes to a new page."""
        self.pages.append([])
        self.y = self.frame.y

    def place(self, block: Block) -> None:
        """Puts the block where it fits."""
        if block.height > self.left:
            too_long = block.height > self.frame.height
            if not too_long or self.left < max(block.side_height, self.frame.height / 4):
                self.turn()
        top = self.y
        self._put(block.side, top)
        for strip in block.strips:
            if strip.height > self.left + 0.01 and self.y > self.frame.y:
                self.turn()
                top = -1.0
                self._put(block.again.shapes, self.y)
                self.y += block.again.height
            self._put(strip.shapes, self.y)
            self.y += strip.height
        if top >= 0:
            self.y = max(self.y, top + block.side_height)

    def _put(self, shapes: Sequence[Shape], y: float) -> None:
        self.pages[-1] += moved(shapes, 0.0, y)
