"""Where everything of the rows of an inspection stands: one list for paint, hit test and keys.

Pure: rows, a width and measures of text go in, boxes come out. Lengths are logical pixels.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from PySide6.QtCore import QRectF

Kind = Literal["heading", "item", "number"]
GRADES = ("good", "watch", "failed", "not looked at")
_STRIP_FROM_PX = 560  # a narrower form has no room for the strip beside the reading


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """What a row is about. A row of kind "number" belongs to the item above it."""

    kind: Kind
    name: str
    item_id: str = ""
    number_id: str = ""  # the reading that is written in this row, "" for none


@dataclass(frozen=True, slots=True, kw_only=True)
class RowBox:
    """The boxes of one row; `caps` by grade, none for a row without them."""

    line: Line
    box: QRectF
    name_lines: tuple[tuple[str, QRectF], ...]
    said: QRectF
    value: QRectF
    strip: QRectF
    caps: dict[str, QRectF]


@dataclass(frozen=True, slots=True)
class Measures:
    """Heights of lines of text, the scale of the look, and how wide a name is."""

    name_px: float
    said_px: float
    scale: float
    width_of: Callable[[str], float]


def row_boxes(lines: Sequence[Line], width: float, measures: Measures) -> list[RowBox]:
    """All rows from top to bottom, `width` wide. Names are broken, never cut short."""
    s = measures.scale
    cap, gap, pad = 27 * s, 5 * s, 8 * s
    caps_left = width - pad - 4 * cap - 3 * gap
    has_strip = width >= _STRIP_FROM_PX * s
    value_w, strip_w = 88 * s, (112 * s if has_strip else 0.0)
    value_left = caps_left - 14 * s - strip_w - value_w
    found = []
    top = 0.0
    for line in lines:
        indent = pad + (16 * s if line.kind == "number" else 0)
        name_w = _name_right(line, width - pad, caps_left, value_left) - indent - 8 * s
        parts = broken(line.name, name_w, measures.width_of)
        two = line.kind == "item"
        inner = len(parts) * measures.name_px + (measures.said_px if two else 0)
        height = max(inner + 10 * s, (38 if two else 30 if line.kind == "heading" else 34) * s)
        y = top + (height - inner) / 2
        names = tuple(
            (part, QRectF(indent, y + n * measures.name_px, name_w, measures.name_px))
            for n, part in enumerate(parts)
        )
        middle = top + height / 2
        strip = QRectF(value_left + value_w, middle - 14 * s, strip_w, 28 * s)
        if not has_strip and line.kind == "number":
            strip.setLeft(caps_left)  # no letters here: the strip takes their room
            strip.setRight(width - pad)
        found.append(
            RowBox(
                line=line,
                box=QRectF(0, top, width, height),
                name_lines=names,
                said=QRectF(indent, y + len(parts) * measures.name_px, name_w, measures.said_px),
                value=QRectF(value_left, top + 3, value_w, height - 6),
                strip=strip,
                caps={
                    grade: QRectF(caps_left + n * (cap + gap), middle - cap / 2, cap, cap)
                    for n, grade in enumerate(GRADES)
                }
                if line.kind == "item"
                else {},
            )
        )
        top += height
    return found


def _name_right(line: Line, right: float, caps_left: float, value_left: float) -> float:
    """How far a name may reach: to the reading, to the letters where there is none."""
    if line.kind == "heading":
        return right
    return value_left if line.number_id else caps_left


def broken(text: str, width: float, width_of: Callable[[str], float]) -> list[str]:
    """`text` in lines no wider than `width`, broken at spaces; a longer word stands alone."""
    lines: list[str] = []
    now = ""
    for word in text.split():
        longer = f"{now} {word}" if now else word
        if now and width_of(longer) > width:
            lines.append(now)
            now = word
        else:
            now = longer
    return [*lines, now] if now else lines


@dataclass(frozen=True, slots=True)
class Scale:
    """The axis of a strip: from `low` to `high` over its width."""

    low: float
    high: float

    def x(self, value: Decimal, box: QRectF) -> float:
        """Where a value stands, at the ends at most."""
        share = (float(value) - self.low) / (self.high - self.low)
        return box.left() + min(max(share, 0.0), 1.0) * box.width()


def strip_scale(ends: Sequence[Decimal | None], values: Sequence[Decimal]) -> Scale | None:
    """An axis that holds the usual range and all values with room around; None for nothing."""
    known = [float(one) for one in (*ends, *values) if one is not None]
    if not known:
        return None
    low, high = min(known), max(known)
    room = (high - low) * 0.35 or max(abs(high) * 0.2, 1.0)
    if ends and ends[0] is None and low >= 0:
        return Scale(max(low - room, 0.0), high + room)
    return Scale(low - room, high + room)
