"""A trouble on one line: its calls as marks, between them how long it was quiet and what was done.

The geometry is a pure function of the thread and the width; paint and tests read one list.
"""

from collections.abc import Sequence

from PySide6.QtCore import QSize
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from servicedesk.desk.knowledge import knowledge_of
from servicedesk.desk.office import Desk
from servicedesk.desk.threads import ThreadCallLine, TroubleThread
from servicedesk.trade.faults import Knowledge
from servicedesk.trouble.threads import ThreadCall, Tried
from servicedesk.values.shapes import Box, Font, Icon, Line, Measure, Rect, Shape, TextBox
from servicedesk.window.ink import Ink
from servicedesk.window.paint_shapes import ScreenMeasure, paint_shapes
from servicedesk.window.theme import Theme
from servicedesk.words import say
from servicedesk.words.alert_reasons import outcome_text

HEIGHT_PX = 64.0
_MARK_PX = 22.0
_MOST_CALLS = 6
_LEAST_STEP_PX = 96.0  # from call to call, so that a day with its year has room


def quiet_shapes(
    calls: Sequence[tuple[str, str, str]], icon: str, width: float, measure: Measure, s: float
) -> list[Shape]:
    """Shapes of a line. `calls`: day, quiet days after it, what was done after it, oldest first.

    The last call is filled: it is the one that waits or the latest.
    """
    n = len(calls)
    if n == 0:
        return []
    font = Font(11 * s)
    first, last = measure(calls[0][0], font), measure(calls[-1][0], font)
    left = max(_MARK_PX * s, first) / 2 + 2
    right = width - max(_MARK_PX * s, last) / 2 - 2
    step = (right - left) / max(1, n - 1)
    y = 33 * s
    shapes: list[Shape] = [Line(left, y, right, y, "ink3", 1.4)] if n > 1 else []
    for at, (day, quiet, did) in enumerate(calls):
        x = left + at * step
        shapes += _mark(x, y, icon, s, filled=at == n - 1)
        half = max(step, 60 * s) / 2
        shapes.append(
            TextBox(Box(x - half, y + 13 * s, 2 * half, 15 * s), day, font, "ink2", "center")
        )
        if at + 1 < n:
            gap = step - (_MARK_PX + 8) * s
            between = Box(x + (_MARK_PX / 2 + 4) * s, y - 17 * s, gap, 15 * s)
            shapes.append(TextBox(between, cut(quiet, font, gap, measure), font, "ink2", "center"))
            bold = Font(11 * s, 600)
            above = Box(x + 3 * s, y - 33 * s, step - 6 * s, 15 * s)
            short = cut(did, bold, above.width, measure)
            shapes.append(TextBox(above, short, bold, "ink", "center"))
    return shapes


def cut(text: str, font: Font, width: float, measure: Measure) -> str:
    """The text, shortened with … where it is wider than `width`."""
    if measure(text, font) <= width:
        return text
    kept = text
    while kept and measure(kept + "…", font) > width:
        kept = kept[:-1]
    return kept.rstrip() + "…" if kept else ""


def _mark(x: float, y: float, icon: str, s: float, *, filled: bool) -> list[Shape]:
    side = _MARK_PX * s
    box = Box(x - side / 2, y - side / 2, side, side)
    inner = Box(box.x + 4 * s, box.y + 4 * s, side - 8 * s, side - 8 * s)
    fill = "plum" if filled else "soft.plum"
    return [
        Rect(box, fill, "plum", 1.2, 5 * s),
        Icon(icon, inner, "sheet" if filled else "plum"),
    ]


def calls_that_fit(width: float) -> int:
    """How many calls have room on a line; the latest are shown, two at least."""
    return max(2, min(_MOST_CALLS, 1 + int((width - 70) / _LEAST_STEP_PX)))


class QuietLine(QWidget):
    """The last calls of a thread on one line."""

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme = theme
        self._calls: tuple[tuple[str, str, str], ...] = ()
        self._icon = "phone"
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        theme.changed.connect(self._resized)

    def show_thread(self, one: TroubleThread, desk: Desk, icon: str) -> None:
        """Show another thread."""
        self._icon = icon
        known = knowledge_of(desk)
        some = zip(one.calls, one.thread.calls, strict=True)
        self._calls = tuple(_told(desk, *two, known) for two in some)[-_MOST_CALLS:]
        told = ("; ".join(part for part in call if part) for call in self._calls)
        self.setAccessibleName(". ".join(told))
        self.update()

    def sizeHint(self) -> QSize:
        return QSize(300, self._theme.px(HEIGHT_PX))

    def minimumSizeHint(self) -> QSize:
        return QSize(200, self._theme.px(HEIGHT_PX))

    def paintEvent(self, event: QPaintEvent) -> None:
        with QPainter(self) as painter:
            theme = self._theme
            shapes = quiet_shapes(
                self._calls[-calls_that_fit(self.width() / theme.scale) :],
                self._icon,
                self.width(),
                ScreenMeasure(theme),
                theme.scale,
            )
            paint_shapes(Ink(painter, theme), shapes)

    def _resized(self) -> None:
        self.updateGeometry()
        self.update()


def _told(
    desk: Desk, call: ThreadCallLine, facts: ThreadCall, known: Knowledge
) -> tuple[str, str, str]:
    did = short_text(facts.visits[-1], known) if facts.visits else say("nobody went")
    quiet = "" if call.quiet_days is None else desk.formats.days(call.quiet_days)
    return desk.formats.day(call.on, near=desk.today), quiet, did


def short_text(visit: Tried, known: Knowledge) -> str:
    """What a visit did in two or three words: the part it changed, else what it came to."""
    names = [known.part_kinds[part].name for part in visit.parts if part in known.part_kinds]
    if names:
        short = names[0].partition(",")[0].partition(" (")[0]
        return say("{part} changed", part=short.lower())
    return outcome_text(visit.outcome) or say("visited")
