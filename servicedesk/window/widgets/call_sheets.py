"""The parts of the call page: its head with the time of the call, the keys, the questions."""

from collections.abc import Sequence

from PySide6.QtCore import QElapsedTimer, QObject, Qt, QTimer, Slot
from PySide6.QtWidgets import QHBoxLayout, QPlainTextEdit, QScrollArea, QVBoxLayout, QWidget

from servicedesk.window.theme import Theme
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.call_asks import AskRows
from servicedesk.window.widgets.call_keys import KeyGrid, Questions, numbered
from servicedesk.window.widgets.call_promise import PromiseRow
from servicedesk.window.widgets.label import IconSign, OneLine, Words
from servicedesk.window.widgets.sheet import Sheet
from servicedesk.words import say

_TICK_MS = 1000


class CallHead(QWidget):
    """Title, how long the call has been going on, *Set aside* and *Write the call*."""

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._began = QElapsedTimer()
        self._tick = QTimer(self)
        self._tick.setInterval(_TICK_MS)
        self._tick.timeout.connect(self._show_time)
        self._sign = IconSign(theme, "clock", "clay", 15)
        self.time = Words(theme, color="clay", role="sum_small")
        self.time.setAccessibleName(say("How long the call has been going on"))
        hint = say("written as you go, nothing is lost if you close this")
        self.aside = Button(theme, say("Set aside"), key="Esc", shows_only=True)
        words = say("Write the call")
        self.write = Button(theme, words, key="Ctrl+Return", shows_only=True, kind="main")
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 4, 0)
        row.setSpacing(10)
        row.addWidget(Words(theme, say("On the phone"), role="page_title"))
        row.addWidget(self._sign)
        row.addWidget(self.time)
        self.hint = OneLine(theme, hint, color="ink2")
        row.addWidget(self.hint, 1)
        row.addWidget(self.aside)
        row.addWidget(self.write)
        self.stop()

    def start(self) -> None:
        """The customer is on the phone from now on."""
        self._began.start()
        self._tick.start()
        self._show_time()

    def stop(self) -> None:
        """Nobody is on the phone."""
        self._tick.stop()
        self.time.hide()
        self._sign.hide()

    def show_event(self, title: str, *, is_apart: bool, before: str = "") -> None:
        """Which event the call belongs to, or stands apart from; "" for none.

        `before`: how often they called about this before, in sight on a low window too.
        """
        if not title and before:
            self.hint.set_text(say("About this before: {calls}", calls=before), "plum")
        elif not title:
            self.hint.set_text(say("written as you go, nothing is lost if you close this"), "ink2")
        elif is_apart:
            self.hint.set_text(say("{event}: this call stands apart (V)", event=title), "ink2")
        else:
            words = say("{event}: site and lamp are enough (V: stands apart)", event=title)
            self.hint.set_text(words, "ochre")

    @Slot()
    def _show_time(self) -> None:
        minutes, seconds = divmod(self._began.elapsed() // 1000, 60)
        self.time.setText(f"{minutes}:{seconds:02d}")
        self.time.show()
        self._sign.show()


class SeenSheet(Sheet):
    """What do they see, hear or smell: the ten keys."""

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme)
        hint = say("press the number, more than one is fine")
        self.body.addLayout(_head(theme, 2, say("What do they see, hear or smell?"), hint))
        self.grid = KeyGrid(theme)
        self.body.addWidget(self.grid)


class AskSheet(Sheet):
    """The questions, their own words, and by when we promise an answer."""

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme)
        hint = say("danger first, then what tells most for the time; the letter answers, Tab skips")
        self.body.addLayout(_head(theme, 3, say("Ask"), hint))
        self.dangers = AskRows(theme)
        self.questions = Questions(theme)
        self.checks = AskRows(theme)
        for part in (self.dangers, self.questions, self.checks):
            self.body.addWidget(part)
        self.own_words = QPlainTextEdit()
        self.own_words.setTabChangesFocus(True)
        self.own_words.setAccessibleName(say("In their own words"))
        self.own_words.setPlaceholderText(say("In their own words (W)"))
        self.own_words.setFixedHeight(theme.px(58))
        self.body.addWidget(self.own_words)
        self.promise = PromiseRow(theme)
        self.body.addWidget(self.promise)

    def skips_with(self, keys_filter: QObject) -> None:
        """Let Tab on an answer go through this filter."""
        for part in (self.dangers, self.questions, self.checks):
            part.keys_filter = keys_filter


def scrolled(sheets: Sequence[QWidget], gap: int) -> QScrollArea:
    """Sheets below each other that scroll together; never sideways."""
    area = QScrollArea()
    area.setWidgetResizable(True)
    area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
    area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    inside = QWidget()
    column = QVBoxLayout(inside)
    column.setContentsMargins(0, 0, 4, 0)
    column.setSpacing(gap)
    for sheet in sheets:
        column.addWidget(sheet)
    column.addStretch(1)
    area.setWidget(inside)
    return area


def _head(theme: Theme, number: int, title: str, hint: str) -> QHBoxLayout:
    """The step's number, what it is, and one line of explanation."""
    row = QHBoxLayout()
    row.setSpacing(12)
    row.addWidget(numbered(theme, number))
    row.addWidget(Words(theme, title, role="sheet_title"))
    row.addWidget(OneLine(theme, hint, role="second", color="ink2"), 1)
    return row
