"""The questions on the call page as rows: answered with what it changed, open, to come."""

from collections.abc import Sequence

from PySide6.QtCore import QRectF, Qt, Signal, Slot
from PySide6.QtGui import QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import (
    QAbstractButton,
    QButtonGroup,
    QGridLayout,
    QHBoxLayout,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from servicedesk.desk.phone_questions import PhoneQuestion
from servicedesk.window.ink import Ink
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.call_asked import Line
from servicedesk.window.widgets.kept_rows import KeptRows
from servicedesk.window.widgets.label import IconSign, LinkLabel, Words
from servicedesk.words import say

_LONG_ANSWER = 26  # letters; longer ones stand below each other
_RIGHT_PX, _RIGHT_NARROW_PX = 190, 132  # room for what an answer changed
_NARROW_PX = 600  # a row narrower than this gives it less
_ANSWER_PX = 104  # so that short answers stand below each other


class AskedWords(Words):
    """Words that stand out while they are read aloud."""

    def set_weight(self, weight: int) -> None:
        """Write bolder or plainer from now on."""
        self._weight = weight
        self._dress()


class TakenAnswer(LinkLabel):
    """The answer given; pressing it asks again."""

    def set_color(self, color: str) -> None:
        """Write in another color of the look from now on."""
        self._color = color
        self.update()


class AskRow(QWidget):
    """One question. `answered` carries its id and the place of the answer, `reopened` its id."""

    answered = Signal(str, int)
    reopened = Signal(str)

    def __init__(self, theme: Theme, question: PhoneQuestion) -> None:
        super().__init__()
        self._theme, self.question = theme, question
        self.state = ""
        self.group = QButtonGroup(self)
        self._signs = {
            "done": IconSign(theme, "check", "moss", 16),
            "danger": IconSign(theme, "warn", "clay", 16),
            "open": IconSign(theme, "ask", "focus", 16),
        }
        self._words = AskedWords(theme, question.text, wraps=True)
        self._how = Words(theme, question.how, role="second", color="ink2", wraps=True)
        self.taken = TakenAnswer(theme, "", role="row_lead", color="ink")
        self.taken.clicked.connect(self._reopen)
        self.right = Words(theme, role="second", color="ink2", wraps=True)
        self.right.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        self.right.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Preferred)
        self.taken.setMinimumWidth(theme.px(_ANSWER_PX))
        self.setMinimumHeight(theme.px(34))
        self._pills = QWidget()
        self._build()

    @property
    def pills(self) -> list[QAbstractButton]:
        """The answers as buttons."""
        return self.group.buttons()

    def _build(self) -> None:
        column = QVBoxLayout(self)
        column.setContentsMargins(8, 5, 8, 5)
        column.setSpacing(4)
        head = QHBoxLayout()
        head.setSpacing(8)
        room = QHBoxLayout()
        room.setContentsMargins(0, 0, 0, 0)
        for sign in self._signs.values():
            room.addWidget(sign)
        signs = QWidget()
        signs.setLayout(room)
        signs.setFixedWidth(self._theme.px(16))
        head.addWidget(signs)
        head.addWidget(self._words, 1)
        head.addWidget(self.taken)
        head.addWidget(self.right)
        column.addLayout(head)
        grid = QGridLayout(self._pills)
        grid.setSpacing(6)
        texts = [one.text for one in self.question.answers]
        is_short = [one.key for one in self.question.answers][:2] == ["Y", "N"]
        columns = 1 if max(map(len, texts)) > _LONG_ANSWER else 2
        for n, one in enumerate(self.question.answers):
            button = Button(self._theme, one.text, kind="pill", key=one.key, shows_only=True)
            self.group.addButton(button, n)
            at = (0, n) if is_short else (n // columns, n % columns)
            grid.addWidget(button, *at, Qt.AlignmentFlag.AlignLeft)
        self.group.idClicked.connect(self._clicked)
        if is_short:
            grid.setContentsMargins(0, 0, 0, 0)
            head.addWidget(self._pills)
        else:
            grid.setContentsMargins(self._theme.px(24), 2, 0, 2)
            grid.setColumnStretch(columns, 1)
        self._how.setContentsMargins(self._theme.px(24), 0, 0, 0)
        column.addWidget(self._how)
        if not is_short:
            column.addWidget(self._pills)

    def show_line(self, line: Line) -> None:
        """As it stands now."""
        self.state = line.state
        is_open, is_done = line.state == "open", line.state == "done"
        is_bad = is_done and line.tone == "clay"
        self._signs["done"].setVisible(is_done and not is_bad)
        self._signs["danger"].setVisible(is_bad)
        self._signs["open"].setVisible(is_open)
        self._words.set_color("ink" if is_open or is_done else "ink2")
        self._words.set_weight(600 if is_open else 0)
        self._pills.setVisible(is_open)
        self._how.setVisible(is_open and bool(self.question.how))
        for button in self.pills:
            button.setChecked(False)
        self.taken.setVisible(bool(line.answer))
        self.taken.setText(line.answer)
        self.taken.set_color("ink3" if line.state == "skipped" else line.tone)
        self.taken.setAccessibleName(
            say("{question} {answer}", question=self.question.text, answer=line.answer)
        )
        self.right.setText(line.right)
        self.right.set_color("clay" if is_bad else "ink2")
        self._show_right()
        parts = (self.question.text, self.question.how if is_open else "", line.answer, line.right)
        self.setAccessibleName(". ".join(part for part in parts if part))
        self.update()

    def resizeEvent(self, event: QResizeEvent) -> None:
        is_narrow = self.width() < self._theme.px(_NARROW_PX)
        self.right.setFixedWidth(self._theme.px(_RIGHT_NARROW_PX if is_narrow else _RIGHT_PX))
        self._show_right()
        super().resizeEvent(event)

    def _show_right(self) -> None:
        """The column stands empty too, so that answers stand below each other, if there is room."""
        is_wide = self.width() >= self._theme.px(_NARROW_PX)
        self.right.setVisible(self.state != "open" and (is_wide or bool(self.right.text())))

    def paintEvent(self, event: QPaintEvent) -> None:
        box = QRectF(self.rect())
        with QPainter(self) as painter:
            ink = Ink(painter, self._theme)
            if self.state == "open":
                fill = "sheet" if self._theme.outlined else "soft.water"
                radius = self._theme.tokens.radius.control
                ink.panel(box, fill=fill, edge="focus", radius=radius, width=2)
            else:
                inner = box.adjusted(self._theme.px(8), 0, -self._theme.px(8), -1)
                ink.line(inner.bottomLeft(), inner.bottomRight(), "line")

    @Slot(int)
    def _clicked(self, at: int) -> None:
        self.answered.emit(self.question.id, at)

    @Slot()
    def _reopen(self) -> None:
        self.reopened.emit(self.question.id)


class AskRows(KeptRows):
    """Questions below each other; rows are kept while their questions stand."""

    answered = Signal(str, int)
    reopened = Signal(str)

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme)
        self.rows: dict[str, AskRow] = {}

    @property
    def open_row(self) -> AskRow | None:
        """The row that is asked now."""
        return next((row for row in self.rows.values() if row.state == "open"), None)

    @property
    def has_keys(self) -> bool:
        """Whether an answer in one of the rows has the keys."""
        return any(pill.hasFocus() for row in self.rows.values() for pill in row.pills)

    def show_lines(self, lines: Sequence[Line]) -> None:
        """Show these questions in this order."""
        wanted = {line.question.id for line in lines}
        for gone in [one for one in self.rows if one not in wanted]:
            self.let_go(self.rows.pop(gone))
        for place, line in enumerate(lines):
            row = self.rows.get(line.question.id) or self._added(line.question)
            if self._column.indexOf(row) != place:
                self._column.insertWidget(place, row)
            row.show_line(line)
        self.setVisible(bool(lines))

    def _added(self, question: PhoneQuestion) -> AskRow:
        row = self.rows[question.id] = AskRow(self._theme, question)
        row.answered.connect(self.answered)
        row.reopened.connect(self.reopened)
        self.hear(row.pills)
        return row
