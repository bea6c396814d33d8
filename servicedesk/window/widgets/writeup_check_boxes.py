"""Where everything of the checks of a trouble stands: one list for paint, hit test and keys.

Pure: checks, a width and measures of text go in, boxes come out. Lengths are logical pixels.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from PySide6.QtCore import QRectF

from servicedesk.window.widgets.writeup_boxes import broken


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckLine:
    """What a check shows. `options` are (result id, words), *not looked at* last.

    `unit` is that of its number, "" where the check is no measure.
    """

    check_id: str
    name: str
    about: str
    effort: str
    cautions: tuple[str, ...]
    options: tuple[tuple[str, str], ...]
    unit: str = ""


_NAME_SHARE = 0.4  # of a row: with less room the number stands under the name
Lines = tuple[tuple[str, QRectF], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckBox:
    """The boxes of one check. `caps` and `words` by result id; `value` is empty without a number.

    `signs`: where the sign before each caution stands.
    """

    line: CheckLine
    box: QRectF
    name: Lines
    effort: QRectF
    about: Lines
    cautions: Lines
    signs: tuple[QRectF, ...]
    value: QRectF
    wrong: QRectF
    caps: dict[str, QRectF]
    words: dict[str, QRectF]


@dataclass(frozen=True, slots=True)
class TextMeasures:
    """Heights and widths of the two kinds of text, and the scale of the look."""

    lead_px: float
    second_px: float
    scale: float
    lead_width: Callable[[str], float]
    second_width: Callable[[str], float]


class _Pen:
    """Goes down the page: each block of lines stands under the one before."""

    def __init__(self, top: float) -> None:
        self.y = top

    def lines(self, texts: Sequence[str], left: float, width: float, height: float) -> Lines:
        """These lines below each other."""
        found = tuple(
            (text, QRectF(left, self.y + n * height, width, height)) for n, text in enumerate(texts)
        )
        self.y += len(texts) * height
        return found


def check_boxes(
    lines: Sequence[CheckLine], width: float, m: TextMeasures, wrong: Sequence[str] = ()
) -> list[CheckBox]:
    """All checks from top to bottom, `width` wide; those in `wrong` have room for a sentence."""
    found: list[CheckBox] = []
    top = 0.0
    for line in lines:
        found.append(_check_box(line, top, width, m, is_wrong=line.check_id in wrong))
        top = found[-1].box.bottom()
    return found


def _check_box(
    line: CheckLine, top: float, width: float, m: TextMeasures, *, is_wrong: bool
) -> CheckBox:
    s = m.scale
    pad = 10 * s
    inner = width - 2 * pad
    pen = _Pen(top + 9 * s)
    effort_w = m.second_width(line.effort) + 4
    effort = QRectF(width - pad - effort_w, pen.y, effort_w, m.lead_px)
    value_w, value_h = 118 * s if line.unit else 0.0, m.lead_px + 8 * s
    value = QRectF(effort.left() - 10 * s - value_w, pen.y - 4 * s, value_w, value_h)
    name_w = effort.left() - 8 * s - pad
    has_room = value.left() - pad > _NAME_SHARE * inner
    if line.unit and has_room:
        name_w = value.left() - 8 * s - pad
    name = pen.lines(broken(line.name, name_w, m.lead_width), pad, name_w, m.lead_px)
    pen.y += 2 * s
    if line.unit:
        if not has_room:  # the number stands under its name
            value.moveTo(pad, pen.y + 2 * s)
        pen.y = max(pen.y, value.bottom() + 2 * s)
    about = pen.lines(broken(line.about, inner, m.second_width), pad, inner, m.second_px)
    pen.y += 4 * s if line.cautions else 0
    signs: list[QRectF] = []
    cautions: Lines = ()
    sign = 16 * s
    for text in line.cautions:
        signs.append(QRectF(pad, pen.y, sign, m.second_px))
        left = pad + sign + 5 * s
        parts = broken(text, width - pad - left, m.second_width)
        cautions += pen.lines(parts, left, width - pad - left, m.second_px)
    pen.y += 6 * s
    caps, words = _options(line, pen, pad, width - pad, m)
    room = m.second_px * (3 if is_wrong else 0)
    wrong = QRectF(pad, pen.y + 2 * s, inner, room)
    return CheckBox(
        line=line,
        box=QRectF(0, top, width, pen.y + room + 10 * s - top),
        name=name,
        effort=effort,
        about=about,
        cautions=cautions,
        signs=tuple(signs),
        value=value,
        wrong=wrong,
        caps=caps,
        words=words,
    )


def _options(
    line: CheckLine, pen: _Pen, left: float, right: float, m: TextMeasures
) -> tuple[dict[str, QRectF], dict[str, QRectF]]:
    """The results one after the other, on a new row where there is no more room."""
    s = m.scale
    cap, gap = 24 * s, 6 * s
    caps: dict[str, QRectF] = {}
    words: dict[str, QRectF] = {}
    x = left
    for result_id, text in line.options:
        text_w = m.second_width(text) + 6
        if x > left and x + cap + gap + text_w > right:
            x = left
            pen.y += cap + 5 * s
        caps[result_id] = QRectF(x, pen.y, cap, cap)
        room = min(text_w, right - x - cap - gap)
        words[result_id] = QRectF(x + cap + gap, pen.y, room, cap)
        x += cap + gap + text_w + 14 * s
    pen.y += cap
    return caps, words
