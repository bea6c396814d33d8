"""Out today: one ribbon a technician with what is done, where they are now, what is to come."""

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QSize, Qt, Signal, Slot
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from servicedesk.desk.today import TodayRound, TodayStop
from servicedesk.values.shapes import Box, Font, Hatch, Icon, Line, Rect, Shape, TextBox
from servicedesk.window.ink import Ink
from servicedesk.window.paint_shapes import paint_shapes
from servicedesk.window.theme import Theme
from servicedesk.words import say, say_n
from servicedesk.words.formats import Formats

ROW, TOP, LEGEND = 46.0, 26.0, 30.0
LABEL, VERDICT = 118.0, 132.0
NOTICED_MIN = 5  # less than this is on time
LONGER_MIN = 5

Kind = str  # "done", "there", "by plan", "unwritten" or "to come"


@dataclass(frozen=True, slots=True)
class Block:
    """One stop on the ribbon, in minutes of the day; `longer_from` where it outlasts its plan."""

    kind: Kind
    from_min: int
    until_min: int
    longer_from: int | None
    promise_min: int | None
    late_min: int
    address: str


def blocks_of(round_: TodayRound, now_min: int) -> tuple[Block, ...]:
    """The stops of a round as they went, and as they will go if the crew stays as late as it is."""
    delay = max(0, round_.behind_min or 0)
    return tuple(_block(stop, now_min, delay) for stop in round_.stops)


def _block(stop: TodayStop, now_min: int, delay: int) -> Block:
    planned = max(1, stop.leave_min - stop.begin_min)
    begin, longer = stop.begin_min, None
    if stop.arrived_min is not None and stop.left_min is not None:
        kind, begin, until = "done", stop.arrived_min, max(stop.left_min, stop.arrived_min + 1)
        longer = begin + planned if until - begin >= planned + LONGER_MIN else None
    elif stop.arrived_min is not None:
        kind, begin = "there", stop.arrived_min
        until = max(now_min, begin + planned)
        longer = begin + planned if until - begin >= planned + LONGER_MIN else None
    elif stop.begin_min + delay > now_min:
        kind, begin, until = "to come", begin + delay, begin + delay + planned
    elif stop.leave_min + delay > now_min:
        kind, begin, until = "by plan", begin + delay, begin + delay + planned
    else:
        kind, until = "unwritten", stop.leave_min
    promise = stop.promise_until_min
    late = max(0, begin - promise) if promise is not None else 0
    return Block(kind, begin, until, longer, promise, late, stop.address)


def axis_of(rounds: Sequence[TodayRound], now_min: int) -> tuple[int, int]:
    """First and last full hour on the axis: every stop and the way home lie between them."""
    blocks = [block for round_ in rounds for block in blocks_of(round_, now_min)]
    first = min([r.leave_min for r in rounds if r.leave_min] + [b.from_min for b in blocks])
    last = max([r.home_min for r in rounds] + [b.until_min for b in blocks])
    return first // 60, max(first // 60 + 1, -(-last // 60))


def ribbon_shapes(
    rounds: Sequence[TodayRound], now_min: int, width: float, scale: float, formats: Formats
) -> list[Shape]:
    """Everything on the sheet, in px for a width: one row a round under one axis of hours."""
    made = _Ribbon(tuple(rounds), now_min, width, scale, formats)
    return made.shapes()


def ribbon_height(n_rounds: int, scale: float) -> float:
    """How high the ribbons of so many rounds are."""
    return (TOP + ROW * n_rounds + LEGEND) * scale


@dataclass(frozen=True)
class _Ribbon:
    rounds: tuple[TodayRound, ...]
    now_min: int
    width: float
    scale: float
    formats: Formats

    def shapes(self) -> list[Shape]:
        drawn = self._axis()
        kinds: dict[str, None] = {}
        for n, round_ in enumerate(self.rounds):
            top = (TOP + n * ROW) * self.scale
            blocks = blocks_of(round_, self.now_min)
            drawn += self._label(round_, top)
            drawn += self._way(round_, blocks, top)
            for block in blocks:
                drawn += self._block(block, top)
                kinds[block.kind] = None
                if block.longer_from is not None:
                    kinds["longer"] = None
                if block.promise_min is not None:
                    kinds["promise"] = None
        return drawn + self._now() + self._legend(kinds)

    def x(self, minute: float) -> float:
        """Where a minute of the day stands."""
        first, last = axis_of(self.rounds, self.now_min)
        left = LABEL * self.scale
        room = self.width - left - VERDICT * self.scale
        return left + room * (minute - first * 60) / ((last - first) * 60)

    def _font(self, size: float, weight: int = 400) -> Font:
        return Font(size * self.scale, weight)

    def _axis(self) -> list[Shape]:
        first, last = axis_of(self.rounds, self.now_min)
        bottom = (TOP + ROW * len(self.rounds)) * self.scale
        step = self.x(60) - self.x(0)
        every = 1 if step >= 26 * self.scale else 2
        drawn: list[Shape] = []
        for hour in range(first, last + 1):
            x = self.x(hour * 60)
            drawn.append(Line(x, 20 * self.scale, x, bottom, "line"))
            near_now = abs(x - self.x(self.now_min)) < 30 * self.scale
            if (hour - first) % every == 0 and not near_now:
                box = Box(x - 20 * self.scale, 0, 40 * self.scale, 18 * self.scale)
                text = str((hour - 1) % 12 + 1)
                drawn.append(TextBox(box, text, self._font(11), "ink3", "center"))
        return drawn

    def _label(self, round_: TodayRound, top: float) -> list[Shape]:
        s = self.scale
        n = len(round_.stops)
        second = say_n("{n} stop · {done} done", "{n} stops · {done} done", n, done=round_.n_done)
        text, color, icon = verdict(round_, self.formats)
        right = self.width - VERDICT * s + 14 * s
        lead = Box(0, top + 6 * s, (LABEL - 6) * s, 18 * s)
        return [
            TextBox(lead, round_.technician, self._font(13, 600)),
            TextBox(lead.moved(0, 17 * s), second, self._font(12), "ink2"),
            Icon(icon, Box(right, top + 15 * s, 16 * s, 16 * s), color),
            TextBox(
                Box(right + 22 * s, top + 13 * s, (VERDICT - 36) * s, 20 * s),
                text,
                self._font(12, 600),
                color,
            ),
        ]

    def _way(self, round_: TodayRound, blocks: Sequence[Block], top: float) -> list[Shape]:
        if not blocks:
            return []
        y = top + ROW / 2 * self.scale
        start = min(round_.leave_min or blocks[0].from_min, blocks[0].from_min)
        end = max(round_.home_min, blocks[-1].until_min)
        return [Line(self.x(start), y, self.x(end), y, "ink3", 1.2)]

    def _block(self, block: Block, top: float) -> list[Shape]:
        s = self.scale
        x, right = self.x(block.from_min), self.x(block.until_min)
        box = Box(x + 1, top + 11 * s, max(5.0, right - x - 2), 24 * s)
        fill, stroke, dash = _LOOKS[block.kind]
        drawn: list[Shape] = [Rect(box, fill, stroke, 1.2, 3 * s, dash, key=block.address)]
        end = right
        if block.longer_from is not None:
            end = self.x(block.longer_from)
            drawn.append(Hatch(Box(end, box.y, max(2.0, box.right - end), box.height), "clay", 5))
        if block.kind == "done" and end - x >= 14 * s:
            middle = (x + end) / 2
            drawn.append(Icon("check", Box(middle - 6 * s, top + 17 * s, 12 * s, 12 * s), "moss"))
        return drawn + self._promise(block, top)

    def _promise(self, block: Block, top: float) -> list[Shape]:
        if block.promise_min is None:
            return []
        s = self.scale
        color = "clay" if block.late_min else "water"
        x, y = self.x(block.promise_min), top + 5 * s
        drawn: list[Shape] = [
            Line(x - 12 * s, y, x, y, color, 1.6),
            Line(x, y, x, y + 7 * s, color, 1.6),
        ]
        if block.late_min:
            arrives = self.x(block.from_min)
            drawn.append(Hatch(Box(x, y, max(3.0, arrives - x), 4 * s), "clay", 4))
            text = self.formats.signed_minutes(block.late_min)
            place = Box(arrives + 3 * s, y - 8 * s, 60 * s, 15 * s)
            drawn.append(TextBox(place, text, self._font(11, 600), "clay"))
        return drawn

    def _now(self) -> list[Shape]:
        first, last = axis_of(self.rounds, self.now_min)
        if not first * 60 <= self.now_min <= last * 60:
            return []
        s, x = self.scale, self.x(self.now_min)
        bottom = (TOP + ROW * len(self.rounds)) * s
        chip = Box(x - 21 * s, 0, 42 * s, 18 * s)
        text = self.formats.short_time(self.now_min)
        return [
            Line(x, 18 * s, x, bottom, "ink", 1.6),
            Rect(chip, "ink", None, radius=3 * s),
            TextBox(chip, text, self._font(11, 600), "sheet", "center"),
        ]

    def _legend(self, kinds: dict[str, None]) -> list[Shape]:
        s = self.scale
        x, y = LABEL * s, (TOP + ROW * len(self.rounds) + 10) * s
        drawn: list[Shape] = []
        for kind, words in _legend_words().items():
            if kind not in kinds:
                continue
            box = Box(x, y + 2 * s, 15 * s, 12 * s)
            if kind == "longer":
                drawn.append(Hatch(box, "clay", 5))
            elif kind == "promise":
                drawn += [
                    Line(box.x, box.y + 2, box.right, box.y + 2, "water", 1.6),
                    Line(box.right, box.y + 2, box.right, box.bottom, "water", 1.6),
                ]
            else:
                fill, stroke, dash = _LOOKS[kind]
                drawn.append(Rect(box, fill, stroke, 1.2, 2 * s, dash))
            width = (len(words) * 6.4 + 8) * s
            place = Box(x + 21 * s, y, width, 16 * s)
            drawn.append(TextBox(place, words, self._font(11), "ink2"))
            x += 21 * s + width + 6 * s
        return drawn


_LOOKS: dict[Kind, tuple[str | None, str, tuple[float, ...]]] = {
    "done": ("soft.moss", "moss", ()),
    "there": ("water", "water", ()),
    "by plan": ("soft.water", "water", ()),
    "unwritten": ("sunken", "edge", (3, 3)),
    "to come": ("sheet", "edge", ()),
}


def _legend_words() -> dict[str, str]:
    return {
        "done": say("done"),
        "there": say("there now"),
        "by plan": say("there now by the plan"),
        "unwritten": say("not written up"),
        "to come": say("to come"),
        "longer": say("took longer"),
        "promise": say("promised by"),
    }


def verdict(round_: TodayRound, formats: Formats) -> tuple[str, str, str]:
    """How the round goes: words, color, icon."""
    if round_.state == "draft":
        return say("not handed out"), "ochre", "note"
    behind = round_.behind_min
    if behind is None:
        return say("not begun"), "ink2", "clock"
    if behind >= NOTICED_MIN:
        return say("{time} behind", time=formats.minutes(behind)), "clay", "clock"
    if behind <= -NOTICED_MIN:
        return say("{time} ahead", time=formats.minutes(-behind)), "moss", "check"
    return say("on time"), "moss", "check"


class OutToday(QWidget):
    """The ribbons, painted. Enter or a press opens the day."""

    opened = Signal()

    def __init__(self, theme: Theme, formats: Formats, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme, self._formats = theme, formats
        self._rounds: tuple[TodayRound, ...] = ()
        self._now_min = 0
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAccessibleName(say("Out today"))
        theme.changed.connect(self._resized)

    def show_rounds(self, rounds: Sequence[TodayRound], now_min: int) -> None:
        """Show the rounds at this minute."""
        self._rounds, self._now_min = tuple(rounds), now_min
        self.setAccessibleDescription(". ".join(self._told(one) for one in self._rounds))
        self._resized()

    def sizeHint(self) -> QSize:
        return QSize(520, round(ribbon_height(len(self._rounds), self._theme.scale)))

    def minimumSizeHint(self) -> QSize:
        return QSize(380, self.sizeHint().height())

    def paintEvent(self, event: QPaintEvent) -> None:
        if not self._rounds:
            return
        drawn = ribbon_shapes(
            self._rounds, self._now_min, self.width(), self._theme.scale, self._formats
        )
        with QPainter(self) as painter:
            paint_shapes(Ink(painter, self._theme), drawn)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.opened.emit()
            return
        super().keyPressEvent(event)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        if event.button() is Qt.MouseButton.LeftButton and self.rect().contains(event.pos()):
            self.opened.emit()

    def _told(self, round_: TodayRound) -> str:
        stops = say_n(
            "{n} stop, {done} done", "{n} stops, {done} done", len(round_.stops), done=round_.n_done
        )
        return f"{round_.technician}: {stops}, {verdict(round_, self._formats)[0]}"

    @Slot()
    def _resized(self) -> None:
        self.updateGeometry()
        self.update()
