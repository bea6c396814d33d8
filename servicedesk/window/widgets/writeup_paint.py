"""How one row of an inspection is painted, and what it is painted from."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from PySide6.QtCore import QPointF, QRectF

from servicedesk.window.ink import Ink
from servicedesk.window.widgets.writeup_boxes import RowBox, strip_scale
from servicedesk.window.widgets.writeup_keys import grade_letters
from servicedesk.words import say

_TONE = {"good": "moss", "watch": "ochre", "failed": "clay", "not looked at": "plum"}
_MARK = {"": "disc", "good": "disc", "watch": "diamond", "failed": "triangle"}


@dataclass(frozen=True, slots=True, kw_only=True)
class RowState:
    """What is said of an item (`grade`, `answer`) or read (`typed`, `unit` and where it lies).

    `place`: under, within, over or ""; `usual` the ends of the usual range; `words` all of it
    in one sentence; `wrong` what is wrong with the entry.
    """

    grade: str = ""
    answer: str = ""
    typed: str = ""
    unit: str = ""
    place: str = ""
    value: Decimal | None = None
    usual: tuple[Decimal | None, Decimal | None] = (None, None)
    earlier: tuple[Decimal, ...] = ()
    words: str = ""
    wrong: str = ""


NOTHING = RowState()


def paint_row(
    ink: Ink,
    row: RowBox,
    states: Mapping[str, RowState],
    *,
    is_current: bool,
    has_keys: bool,
) -> None:
    """One row in its boxes."""
    line = row.line
    if line.kind == "heading":
        for text, box in row.name_lines:
            ink.text(box, text, role="axis", color="ink3", weight=600)
        return
    item = states.get(line.item_id, NOTHING) if line.kind == "item" else NOTHING
    number = states.get(f"#{line.number_id}", NOTHING)
    if is_current:
        edge = "focus" if has_keys else "water"
        ink.panel(
            row.box.adjusted(0, 1, 0, -1),
            fill="sheet" if ink.theme.outlined else "soft.water",
            edge=edge if has_keys or ink.theme.outlined else None,
            radius=ink.theme.tokens.radius.control,
            width=ink.theme.tokens.stroke.focus,
        )
    _paint_names(ink, row, item, number)
    _paint_value(ink, row, number)
    letters = grade_letters()
    for grade, box in row.caps.items():
        _paint_cap(ink, box, letters[grade], grade, is_on=item.grade == grade)
    if line.kind == "item" and not is_current:
        ink.line(QPointF(0, row.box.top()), QPointF(row.box.right(), row.box.top()), "line")


def _paint_names(ink: Ink, row: RowBox, item: RowState, number: RowState) -> None:
    tone = _TONE.get(item.grade, "ink") if item.grade in ("watch", "failed") else "ink"
    weight = 600 if item.grade in ("watch", "failed") else 500
    role, color = ("row_lead", tone) if row.line.kind == "item" else ("second", "ink2")
    for text, box in row.name_lines:
        ink.text(box, text, role=role, color=color, weight=weight if role == "row_lead" else 0)
    if row.line.kind == "item":
        text = number.wrong or item.answer
        said = _TONE.get(item.grade, "ink3") if item.grade else "ink3"
        ink.text(row.said, text, role="second", color="clay" if number.wrong else said)


def _paint_cap(ink: Ink, box: QRectF, letter: str, grade: str, *, is_on: bool) -> None:
    radius = ink.theme.tokens.radius.chip
    tone = _TONE[grade]
    if not is_on:
        ink.panel(box, fill="sheet", edge="edge", radius=radius)
        ink.text(box, letter, role="chip", color="ink2", align="center", weight=500)
        return
    ink.panel(box, fill=tone, edge=tone, radius=radius)
    ink.text(box, letter, role="chip", color="sheet", align="center", weight=600)


def _paint_value(ink: Ink, row: RowBox, number: RowState) -> None:
    if not row.line.number_id:
        return
    tone = _TONE[number.grade] if number.grade in ("watch", "failed") else "ink"
    if number.wrong:
        tone = "clay"
    if number.typed:
        place = ink.text(row.value, number.typed, role="row_lead", color=tone)
        rest = row.value.adjusted(place.width() + ink.theme.px(4), 0, 0, 0)
        ink.text(rest, number.unit, role="second", color="ink2")
    else:
        ink.text(row.value, number.unit, role="second", color="ink3")
    if number.wrong and row.line.kind == "number":
        room = QRectF(row.value.right(), row.box.top(), 0, row.box.height())
        room.setRight(row.box.right() - 8)
        ink.text(room, number.wrong, role="second", color="clay", weight=600)
    elif row.strip.width() > 0:
        _paint_strip(ink, row.strip, number, tone)


def _paint_strip(ink: Ink, box: QRectF, number: RowState, tone: str) -> None:
    values = [*number.earlier, *([number.value] if number.value is not None else [])]
    scale = strip_scale(number.usual, values)
    if scale is None:
        return
    track = QRectF(box.left() + 6, box.center().y() - 3, box.width() - 12, 5)
    words = QRectF(box.left(), track.bottom() + 1, box.width(), box.bottom() - track.bottom())
    ink.panel(track, fill="sunken", radius=2.5)
    low, high = number.usual
    if low is not None or high is not None:
        left = scale.x(low, track) if low is not None else track.left()
        right = scale.x(high, track) if high is not None else track.right()
        usual = QRectF(left, track.top(), max(right - left, 2), track.height())
        ink.panel(usual, fill="soft.moss", edge="moss", radius=2.5)
    for one in number.earlier:
        ink.mark("disc", QPointF(scale.x(one, track), track.top() - 4), 3, "ink3")
    if number.value is not None:
        at = QPointF(scale.x(number.value, track), track.center().y())
        ink.mark(_MARK.get(number.grade, "disc"), at, 8, tone)
        ink.text(words, number.place, role="axis", color=tone if tone != "ink" else "ink3",
                 align="center")  # fmt: skip


def place_words(place: str) -> str:
    """Where a reading lies, in one word."""
    return {
        "below": say("under"),
        "within": say("within"),
        "above": say("over"),
    }.get(place, "")
