"""Inspections of the year: how many of the first, second, third are done, late, placed, open."""

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QRectF, QSize, Slot
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from servicedesk.desk.today import YearLine
from servicedesk.window.ink import Ink
from servicedesk.window.theme import Theme
from servicedesk.words import say

ROW, LEGEND = 34.0, 30.0
LABEL, MOST_WORDS = 0.15, 0.56  # shares of the width


@dataclass(frozen=True, slots=True)
class Part:
    """One part of a bar: which kind, how many, what share of the bar lies before it and in it."""

    kind: str
    n: int
    before: float
    share: float


def parts_of(line: YearLine) -> tuple[Part, ...]:
    """The parts of one bar from left to right; kinds with none are left out."""
    counts = (
        ("done", line.n_done),
        ("done late", line.n_done_late),
        ("late", line.n_late),
        ("has a day", line.n_with_day),
        ("no day yet", line.n_open),
    )
    total = sum(n for _, n in counts)
    found, before = [], 0
    for kind, n in counts:
        if n:
            found.append(Part(kind, n, before / total, n / total))
        before += n
    return tuple(found)


def ordinal_words(ordinal: int) -> str:
    """First, Second, Third, Fourth; beyond that the number."""
    names = (say("First"), say("Second"), say("Third"), say("Fourth"))
    if 1 <= ordinal <= len(names):
        return names[ordinal - 1]
    return say("Number {n}", n=ordinal)


def line_words(line: YearLine) -> str:
    """As "231 done · 3 done late · 139 have a day · 42 no day yet"."""
    texts = (
        (line.n_done, say("{n} done", n=line.n_done)),
        (line.n_done_late, say("{n} done late", n=line.n_done_late)),
        (line.n_late, say("{n} late", n=line.n_late)),
        (line.n_with_day, say("{n} have a day", n=line.n_with_day)),
        (line.n_open, say("{n} no day", n=line.n_open)),
    )
    return " · ".join(text for n, text in texts if n)


class YearBars(QWidget):
    """One bar for each inspection of the year, and what the marks mean."""

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme = theme
        self._lines: tuple[YearLine, ...] = ()
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAccessibleName(say("Inspections of the year"))
        theme.changed.connect(self._resized)

    def show_lines(self, lines: Sequence[YearLine]) -> None:
        """Show these inspections."""
        self._lines = tuple(lines)
        told = [f"{ordinal_words(one.ordinal)}: {line_words(one)}" for one in self._lines]
        self.setAccessibleDescription(". ".join(told))
        self._resized()

    def sizeHint(self) -> QSize:
        return QSize(520, round((ROW * len(self._lines) + LEGEND) * self._theme.scale))

    def minimumSizeHint(self) -> QSize:
        return QSize(320, self.sizeHint().height())

    def paintEvent(self, event: QPaintEvent) -> None:
        with QPainter(self) as painter:
            ink = Ink(painter, self._theme)
            for n, line in enumerate(self._lines):
                height = ROW * self._theme.scale
                self._paint_line(ink, QRectF(0, n * height, self.width(), height), line)
            self._paint_legend(ink)

    def _paint_line(self, ink: Ink, box: QRectF, line: YearLine) -> None:
        label = QRectF(box.left(), box.top(), box.width() * LABEL, box.height())
        ink.text(label, ordinal_words(line.ordinal), weight=500)
        left = box.width() * LABEL
        words_width = self._words_width(ink, box.width())
        room = box.width() - left - words_width
        height = 16 * self._theme.scale
        top = box.center().y() - height / 2
        for part in parts_of(line):
            width = max(3.0, room * part.share)
            paint_part(ink, QRectF(left + room * part.before, top, width, height), part.kind)
        words = QRectF(left + room + 12, box.top(), words_width - 12, box.height())
        ink.text(words, line_words(line), role="second", color="ink2")

    def _words_width(self, ink: Ink, width: float) -> float:
        """Room at the right for the longest line of words, within reason."""
        longest = max(ink.width_of(line_words(one), "second") for one in self._lines)
        return min(longest + 18, width * MOST_WORDS)

    def _paint_legend(self, ink: Ink) -> None:
        theme = self._theme
        x = self.width() * LABEL
        top = ROW * len(self._lines) * theme.scale + theme.px(8)
        kinds = {part.kind for line in self._lines for part in parts_of(line)}
        for kind, words in _legend().items():
            if kind not in kinds:
                continue
            paint_part(ink, QRectF(x, top + theme.px(2), theme.px(16), theme.px(12)), kind)
            width = ink.width_of(words, "axis") + 4
            place = QRectF(x + theme.px(22), top, width, theme.px(16))
            ink.text(place, words, role="axis", color="ink2")
            x += theme.px(22) + width + theme.px(16)

    @Slot()
    def _resized(self) -> None:
        self.updateGeometry()
        self.update()


def paint_part(ink: Ink, box: QRectF, kind: str) -> None:
    """One part of a bar: shape first, color second."""
    match kind:
        case "done":
            ink.panel(box, fill="moss")
        case "done late":
            ink.panel(box, fill="soft.moss", edge="moss")
            ink.hatch(box.adjusted(1, 1, -1, -1), "clay", gap=4)
        case "late":
            ink.panel(box, fill="soft.clay", edge="clay")
            ink.hatch(box.adjusted(1, 1, -1, -1), "clay", gap=4)
        case "has a day":
            ink.panel(box, fill="soft.water", edge="water")
        case _:
            ink.panel(box, fill="sheet", edge="ochre", dashed=True)


def _legend() -> dict[str, str]:
    return {
        "done": say("done in its window"),
        "done late": say("done late"),
        "late": say("late, not done"),
        "has a day": say("has a day"),
        "no day yet": say("no day yet"),
    }
