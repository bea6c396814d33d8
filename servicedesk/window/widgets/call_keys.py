"""What do they see, hear or smell: ten keys, and the questions that settle which symptom it is."""

from PySide6.QtCore import QRectF, QSize, Qt, Signal, Slot
from PySide6.QtGui import QKeyEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import (
    QAbstractButton,
    QButtonGroup,
    QGridLayout,
    QHBoxLayout,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from servicedesk.trade.symptoms import PhoneKey, phone_keys
from servicedesk.window.ink import Ink
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.call_asks import AskedWords, TakenAnswer
from servicedesk.window.widgets.call_reported import LETTERS, Reported
from servicedesk.window.widgets.kept_rows import KeptRows
from servicedesk.window.widgets.label import IconSign, Words, key_cap_size
from servicedesk.words import say

_COLUMNS = 5
_STEPS = {
    Qt.Key.Key_Left: -1,
    Qt.Key.Key_Right: 1,
    Qt.Key.Key_Up: -_COLUMNS,
    Qt.Key.Key_Down: _COLUMNS,
}


class SymptomKey(QAbstractButton):
    """One of the ten: icon, number, words; chosen ones are plum with a check."""

    stepped = Signal(int)

    def __init__(self, theme: Theme, key: PhoneKey) -> None:
        super().__init__()
        self._theme, self.key = theme, key
        self.setText(key.name)
        self.setCheckable(True)
        self.setAccessibleName(say("{n}: {name}", n=key.key, name=key.name))
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        theme.changed.connect(self.updateGeometry)

    def sizeHint(self) -> QSize:
        return QSize(self._theme.px(118), self._theme.px(60))

    def minimumSizeHint(self) -> QSize:
        return QSize(self._theme.px(84), self._theme.px(60))

    def paintEvent(self, event: QPaintEvent) -> None:
        theme, box = self._theme, QRectF(self.rect())
        tone = "plum" if self.isChecked() else "ink"
        with QPainter(self) as painter:
            ink = Ink(painter, theme)
            fill = "soft.plum" if self.isChecked() and not theme.outlined else "sheet"
            edge = "plum" if self.isChecked() else "edge"
            width = 2 if self.isChecked() else 1
            ink.panel(box, fill=fill, edge=edge, radius=theme.tokens.radius.control, width=width)
            side, pad = theme.px(17), theme.px(9)
            ink.icon(self.key.icon, QRectF(pad, pad, side, side), tone)
            cap = key_cap_size(theme, str(self.key.key))
            place = QRectF(
                box.right() - cap.width() - theme.px(7), theme.px(7), cap.width(), cap.height()
            )
            ink.key_cap(place, str(self.key.key), "plum" if self.isChecked() else "ink2")
            if self.isChecked():
                ink.icon("check", place.translated(-theme.px(20), 0), "plum")
            painter.setFont(theme.font("chip", weight=600 if self.isChecked() else 500))
            painter.setPen(theme.color(tone))
            words = QRectF(pad, theme.px(26), box.width() - pad - 3, box.height() - theme.px(31))
            flags = Qt.AlignmentFlag.AlignBottom | Qt.TextFlag.TextWordWrap
            painter.drawText(words, flags, self.text())

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.modifiers() == Qt.KeyboardModifier.NoModifier:
            if event.key() in _STEPS:
                self.stepped.emit(_STEPS[Qt.Key(event.key())])
                return
            if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
                self.click()
                return
        super().keyPressEvent(event)


class KeyGrid(QWidget):
    """The ten keys in two rows. `pressed` carries the number."""

    pressed = Signal(int)

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self.buttons = [SymptomKey(theme, key) for key in phone_keys()]
        grid = QGridLayout(self)
        grid.setContentsMargins(4, 4, 4, 4)
        grid.setSpacing(8)
        for n, button in enumerate(self.buttons):
            grid.addWidget(button, n // _COLUMNS, n % _COLUMNS)
            button.clicked.connect(self._clicked)
            button.stepped.connect(self._step)

    def show_chosen(self, reported: Reported) -> None:
        """Mark the keys that were pressed."""
        for button in self.buttons:
            button.setChecked(button.key.key in reported.chosen)

    def focus_first(self) -> None:
        """Give the keys to the grid."""
        self.buttons[0].setFocus()

    @Slot()
    def _clicked(self) -> None:
        button = self.sender()
        if isinstance(button, SymptomKey):
            self.pressed.emit(button.key.key)

    @Slot(int)
    def _step(self, by: int) -> None:
        button = self.sender()
        if isinstance(button, SymptomKey):
            at = self.buttons.index(button) + by
            if 0 <= at < len(self.buttons):
                self.buttons[at].setFocus()


class QuestionRow(QWidget):
    """The question of one key: its answers as letters, one is taken until somebody asks."""

    answered = Signal(int, int)
    reopened = Signal(int)

    def __init__(self, theme: Theme, key: PhoneKey) -> None:
        super().__init__()
        self._theme, self.key = theme, key
        self.group = QButtonGroup(self)
        self.group.setExclusive(True)
        column = QVBoxLayout(self)
        column.setContentsMargins(8, 8, 8, 8)
        column.setSpacing(6)
        head = QHBoxLayout()
        head.setSpacing(8)
        self._ask_sign = IconSign(theme, "ask", "water", 16)
        self._done_sign = IconSign(theme, "check", "moss", 16)
        head.addWidget(self._ask_sign)
        head.addWidget(self._done_sign)
        self._question = AskedWords(theme, key.question or "", weight=600, wraps=True)
        head.addWidget(self._question, 1)
        column.addLayout(head)
        answers = QGridLayout()
        answers.setContentsMargins(theme.px(24), 0, 0, 0)
        answers.setSpacing(6)
        self._pills = QWidget()
        self._pills.setLayout(answers)
        self._taken = TakenAnswer(theme, "", role="row_lead", color="ink")
        self._taken.clicked.connect(self._reopen)
        head.addWidget(self._taken)
        for n, one in enumerate(key.answers):
            button = Button(theme, one.text, kind="pill", key=LETTERS[n], shows_only=True)
            button.setAutoExclusive(True)
            self.group.addButton(button, n)
            answers.addWidget(button, n // 2, n % 2, Qt.AlignmentFlag.AlignLeft)
        answers.setColumnStretch(1, 1)
        column.addWidget(self._pills)
        self.group.idClicked.connect(self._clicked)

    def show_answer(self, at: int | None, *, is_open: bool) -> None:
        """Only the open question shows its answers; the others say in a line what is taken."""
        for n, button in enumerate(self.group.buttons()):
            button.setChecked(n == at)
        self._question.set_weight(600 if is_open else 0)
        self._taken.set_color("ink" if at is not None else "ink3")
        self._pills.setVisible(is_open)
        self._ask_sign.setVisible(at is None)
        self._done_sign.setVisible(at is not None)
        self._taken.setVisible(not is_open)
        taken = self.key.answers[at or 0].text
        words = taken if at is not None else say("not asked: {answer}", answer=taken)
        self._taken.setText(words)
        self._taken.setAccessibleName(
            say("{question} {answer}", question=self.key.question, answer=words)
        )
        self._taken.updateGeometry()

    @Slot(int)
    def _clicked(self, at: int) -> None:
        self.answered.emit(self.key.key, at)

    @Slot()
    def _reopen(self) -> None:
        self.reopened.emit(self.key.key)


class Questions(KeptRows):
    """The questions of the keys pressed, the latest first; rows are kept while they stand."""

    answered = Signal(int, int)
    reopened = Signal(int)

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme)
        self.rows: dict[int, QuestionRow] = {}
        self._none = Words(theme, color="ink2", wraps=True)
        self._none.setText(say("Press a number: the question that settles what it is comes here."))
        self._column.addWidget(self._none)

    def show_reported(self, reported: Reported) -> None:
        """Show the questions of what is chosen now."""
        wanted = [
            number
            for number in reversed(reported.chosen)
            if any(k.key == number and k.question for k in phone_keys())
        ]
        for number in [n for n in self.rows if n not in wanted]:
            self.let_go(self.rows.pop(number))
        for place, number in enumerate(wanted):
            if number not in self.rows:
                key = next(k for k in phone_keys() if k.key == number)
                row = self.rows[number] = QuestionRow(self._theme, key)
                row.answered.connect(self.answered)
                row.reopened.connect(self.reopened)
                self.hear(row.group.buttons())
                self._column.insertWidget(place + 1, row)
        asked = reported.asked
        for number, row in self.rows.items():
            is_open = asked is not None and asked.key == number
            row.show_answer(reported.chosen.get(number), is_open=is_open)
        self._none.setVisible(not wanted)


def numbered(theme: Theme, number: int) -> QWidget:
    """The step's number in a disc, at the left of a sheet's title."""
    return _Number(theme, number)


class _Number(QWidget):
    def __init__(self, theme: Theme, number: int) -> None:
        super().__init__()
        self._theme, self._number = theme, number
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)

    def sizeHint(self) -> QSize:
        return QSize(self._theme.px(24), self._theme.px(24))

    def paintEvent(self, event: QPaintEvent) -> None:
        box = QRectF(self.rect())
        with QPainter(self) as painter:
            ink = Ink(painter, self._theme)
            ink.panel(box, fill="water", radius=box.width() / 2)
            ink.text(box, str(self._number), color="on_water", align="center", weight=600)
