"""What only a person can tell of a list: choices to press, or a short text."""

from collections.abc import Sequence

from PySide6.QtCore import Qt, Signal, Slot
from PySide6.QtWidgets import QButtonGroup, QHBoxLayout, QLineEdit, QVBoxLayout, QWidget

from servicedesk.desk.bring_in_page import PageQuestion
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.label import Words
from servicedesk.window.widgets.sheet import Sheet
from servicedesk.words import say


class BringInQuestions(Sheet):
    """Hidden without a question. `answered` carries the question's code and the answer."""

    answered = Signal(str, object)

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme, say("Only you can tell"), stripe="ochre")
        self._theme = theme
        self._shown: tuple[PageQuestion, ...] = ()
        self._rows: QWidget | None = None
        self._groups: list[QButtonGroup] = []
        self.buttons: dict[tuple[str, object], Button] = {}
        self.fields: dict[str, QLineEdit] = {}
        self.hide()

    def show_questions(self, questions: Sequence[PageQuestion]) -> None:
        """Show these; open ones stand out."""
        self.setVisible(bool(questions))
        if tuple(questions) == self._shown:
            return
        self._shown = tuple(questions)
        if self._rows is not None:
            self.body.removeWidget(self._rows)
            self._rows.deleteLater()
        self._groups, self.buttons, self.fields = [], {}, {}
        self._rows = QWidget()
        column = QVBoxLayout(self._rows)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(self._theme.px(12))
        for question in questions:
            column.addLayout(self._question(question))
        self.body.addWidget(self._rows)
        is_open = any(question.answer is None for question in questions)
        self.set_stripe("ochre" if is_open else "")
        self.set_title(say("Only you can tell") if is_open else say("As you said"))

    def _question(self, question: PageQuestion) -> QVBoxLayout:
        theme = self._theme
        column = QVBoxLayout()
        column.setSpacing(theme.px(4))
        column.addWidget(Words(theme, question.text, role="row_lead", wraps=True))
        if question.examples:
            examples = say("in the list: {examples}", examples=question.examples)
            column.addWidget(Words(theme, examples, role="second", color="ink2", wraps=True))
        row = QHBoxLayout()
        row.setSpacing(theme.px(8))
        if question.choices:
            self._add_choices(row, question)
        else:
            self._add_field(row, question)
        row.addStretch(1)
        column.addLayout(row)
        return column

    def _add_choices(self, row: QHBoxLayout, question: PageQuestion) -> None:
        group = QButtonGroup(self._rows)
        group.setExclusive(True)
        for value, words in question.choices:
            button = Button(self._theme, words, kind="pill", name=f"{question.text} {words}")
            button.setProperty("code", question.code)
            button.setProperty("answer", value)
            group.addButton(button)
            button.setChecked(question.answer is not None and value == question.answer)
            button.clicked.connect(self._pressed)
            self.buttons[question.code, value] = button
            row.addWidget(button, 0, Qt.AlignmentFlag.AlignVCenter)
        self._groups.append(group)

    def _add_field(self, row: QHBoxLayout, question: PageQuestion) -> None:
        field = QLineEdit(question.suggestion)
        field.setAccessibleName(question.text)
        field.setFixedWidth(self._theme.px(110))
        field.setObjectName(question.code)
        field.returnPressed.connect(self._entered)
        button = Button(self._theme, say("Use it"), small=True)
        button.setObjectName(question.code)
        button.clicked.connect(self._entered)
        self.fields[question.code] = field
        row.addWidget(field)
        row.addWidget(button, 0, Qt.AlignmentFlag.AlignVCenter)

    @Slot()
    def _pressed(self) -> None:
        button = self.sender()
        self.answered.emit(button.property("code"), button.property("answer"))

    @Slot()
    def _entered(self) -> None:
        code = self.sender().objectName()
        text = self.fields[code].text().strip()
        if text:
            self.answered.emit(code, text)
