"""Threads of calls as lines: what each visit tried, how long it was quiet, whether it holds."""

from PySide6.QtCore import QRectF, Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent, QMouseEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QFrame, QHBoxLayout, QVBoxLayout, QWidget

from servicedesk.desk.coming import first_upper
from servicedesk.desk.office import Desk
from servicedesk.desk.threads import ThreadCallLine, TroubleThread
from servicedesk.window.ink import Ink
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.label import IconSign, Words
from servicedesk.window.widgets.paragraph import Paragraph
from servicedesk.window.widgets.site_words import symptom_icon
from servicedesk.words import say

_STEPS = {Qt.Key.Key_Down: 1, Qt.Key.Key_Up: -1}


class ThreadHead(QWidget):
    """The trouble itself: how often, how long quiet, the chance that the last fix holds."""

    def __init__(self, theme: Theme, one: TroubleThread) -> None:
        super().__init__()
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 2, 0, 0)
        row.setSpacing(theme.px(8))
        came_back = one.thread.n > 1
        color = "plum" if came_back and one.thread.is_open else "ink2"
        icon = "again" if came_back else "phone"
        row.addWidget(IconSign(theme, icon, color, 17), 0, Qt.AlignmentFlag.AlignTop)
        column = QVBoxLayout()
        column.setSpacing(1)
        title = say("{name}: {span}", name=one.name, span=one.span)
        column.addWidget(Words(theme, title, color=color, weight=600, wraps=True))
        told = [one.quiet, one.chance, one.by_hand]
        words = first_upper("; ".join(part for part in told if part))
        column.addWidget(Words(theme, words, role="second", color="ink2", wraps=True))
        row.addLayout(column, 1)


class ThreadCallRow(QFrame):
    """One call of a thread. Focus chooses it; Enter opens the call, arrows walk the rows."""

    chosen = Signal(object)  # call id
    opened = Signal(object)  # call id
    walked = Signal(object, int)  # call id, by

    def __init__(self, theme: Theme, desk: Desk, call: ThreadCallLine, symptom: str) -> None:
        super().__init__()
        self._theme = theme
        self.call_id = call.call_id
        self.is_chosen = False
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        row = QHBoxLayout(self)
        row.setContentsMargins(theme.px(26), 3, theme.px(8), 3)
        row.setSpacing(theme.px(8))
        icon = IconSign(theme, symptom_icon(symptom), "plum", 16)
        row.addWidget(icon, 0, Qt.AlignmentFlag.AlignTop)
        column = QVBoxLayout()
        column.setSpacing(0)
        said = f"“{call.own_words}”" if call.own_words else ""
        parts = (call.day, call.symptom_text, said)
        title = " · ".join(part for part in parts if part)
        lines = call_lines(desk, call)
        column.addWidget(Paragraph(theme, title))
        for words in lines:
            column.addWidget(Paragraph(theme, words, role="second", color="ink2"))
        row.addLayout(column, 1)
        self.setAccessibleName("; ".join((title, *lines)))

    def choose(self, *, is_chosen: bool) -> None:
        """Let it be the one that the keys act on."""
        self.is_chosen = is_chosen
        self.update()

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self.chosen.emit(self.call_id)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.opened.emit(self.call_id)
        elif event.key() in _STEPS:
            self.walked.emit(self.call_id, _STEPS[Qt.Key(event.key())])
        else:
            super().keyPressEvent(event)

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        self.opened.emit(self.call_id)

    def paintEvent(self, event: QPaintEvent) -> None:
        if not self.is_chosen:
            return
        with QPainter(self) as painter:
            ink = Ink(painter, self._theme)
            edge = "plum" if self._theme.outlined else None
            ink.panel(QRectF(self.rect()), fill="soft.plum", edge=edge, radius=4)
            ink.panel(QRectF(0, 0, 3, self.height()), fill="plum", radius=1)


def call_lines(desk: Desk, call: ThreadCallLine) -> tuple[str, ...]:
    """What each visit for it tried, then how long it was quiet."""
    lines = [" · ".join(part for part in (one.day, one.who, one.did) if part) for one in call.tried]
    if not lines:
        lines = [say("nobody has been there for it yet")]
    quiet = quiet_words(desk, call)
    if quiet:
        lines[-1] = say("{what}; {quiet}", what=lines[-1], quiet=quiet)
    return tuple(lines)


def quiet_words(desk: Desk, call: ThreadCallLine) -> str:
    """How long it was quiet after the visits for a call, "" where nobody went."""
    if call.quiet_days is None:
        return ""
    days = desk.formats.days(call.quiet_days)
    return say("quiet {days} since", days=days) if call.still_quiet else say(
        "then quiet {days}", days=days)  # fmt: skip
