"""The page of one list: questions and columns at the left, rows at the right, the foot below."""

from PySide6.QtCore import Qt, Signal, Slot
from PySide6.QtWidgets import (
    QAbstractButton,
    QButtonGroup,
    QHBoxLayout,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from servicedesk.desk.bring_in_page import SAME, STATES, BringInPage, PageLine
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.bring_in_columns import BringInColumns
from servicedesk.window.widgets.bring_in_foot import BringInFoot
from servicedesk.window.widgets.bring_in_questions import BringInQuestions
from servicedesk.window.widgets.bring_in_rows import BringInRows, state_words
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.label import Words
from servicedesk.window.widgets.sheet import Sheet
from servicedesk.words import say, say_n

ALL = "all"
PILLS_A_ROW = 5


class BringInView(QWidget):
    """`taken`: the person wants what is shown to be written."""

    taken = Signal()

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme = theme
        self.page: BringInPage | None = None
        self._filter = ALL
        self.questions = BringInQuestions(theme)
        self.columns = BringInColumns(theme)
        self.assumed = Sheet(theme, say("Taken for granted"))
        self.assumed_words = Words(theme, "", role="second", color="ink2", wraps=True)
        self.assumed.body.addWidget(self.assumed_words)
        self.rows = BringInRows(theme)
        self.foot = BringInFoot(theme)
        self.pills: dict[str, Button] = {}
        self._group = QButtonGroup(self)
        self._pill_rows = (QHBoxLayout(), QHBoxLayout())
        gap = theme.tokens.space.sheet_gap
        across = QHBoxLayout()
        across.setSpacing(gap)
        across.addWidget(self._left(), 4)
        across.addWidget(self._right(), 7)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(gap)
        column.addLayout(across, 1)
        column.addWidget(self.foot)
        self.rows.ticks_changed.connect(self._show_foot)
        self.foot.wanted.connect(self.taken)
        self._group.buttonClicked.connect(self._filtered)

    def show_page(self, page: BringInPage) -> None:
        """Show a list as it was understood; ticks that are still possible stay."""
        self.page = page
        possible = frozenset(line.tick for line in page.lines if line.tick is not None)
        self.rows.clear_ticks(keep=possible)
        self.questions.show_questions(page.questions)
        self.columns.setVisible(page.proposal is not None)
        if page.proposal is not None:
            self.columns.show_columns(page.proposal.mapping, page.proposal.samples)
        self.assumed.setVisible(bool(page.assumed))
        self.assumed_words.setText("\n".join(f"\u2022 {text}" for text in page.assumed))
        self._show_pills(page)
        self._show_lines()
        self._show_foot()

    def _left(self) -> QScrollArea:
        inside = QWidget()
        column = QVBoxLayout(inside)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(self._theme.tokens.space.sheet_gap)
        for sheet in (self.questions, self.assumed, self.columns):
            column.addWidget(sheet)
        column.addStretch(1)
        area = QScrollArea()
        area.setWidgetResizable(True)
        area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        area.setWidget(inside)
        area.setMinimumWidth(self._theme.px(320))
        return area

    def _right(self) -> Sheet:
        sheet = Sheet(self._theme, say("Row by row"))
        for state in (ALL, *STATES):
            button = Button(self._theme, "", kind="pill", parent=self)
            button.setObjectName(state)
            self._group.addButton(button)
            self.pills[state] = button
            button.hide()
        for row in self._pill_rows:
            row.setSpacing(self._theme.px(6))
            sheet.body.addLayout(row)
        sheet.body.addWidget(self.rows, 1)
        return sheet

    def _show_pills(self, page: BringInPage) -> None:
        counts = {state: page.count(state) for state in STATES}
        counts[ALL] = len(page.lines) - counts[SAME]
        if not counts.get(self._filter):
            self._filter = ALL
        offered = [state for state in self.pills if state == ALL or counts[state]]
        for n, row in enumerate(self._pill_rows):
            while row.count():
                row.takeAt(0)
            for state in offered[n * PILLS_A_ROW : (n + 1) * PILLS_A_ROW]:
                row.addWidget(self.pills[state], 0, Qt.AlignmentFlag.AlignVCenter)
            row.addStretch(1)
        for state, button in self.pills.items():
            words = say("All") if state == ALL else state_words(state)
            button.setText(f"{words} {counts[state]}")
            button.setVisible(state in offered)
            button.setChecked(state == self._filter)

    def _passes(self, line: PageLine) -> bool:
        if self._filter == ALL:
            return line.state != SAME
        return line.state == self._filter

    def _show_lines(self) -> None:
        if self.page is not None:
            self.rows.show_lines([line for line in self.page.lines if self._passes(line)])

    @Slot()
    def _show_foot(self) -> None:
        page = self.page
        if page is None:
            return
        ticks = len(self.rows.ticked)
        asked = any(question.code == "day_first" and question.answer is None
                    for question in page.questions)  # fmt: skip
        words = page.button
        if ticks:
            more = say_n("overwrite {n} cell", "overwrite {n} cells", ticks)
            words = say("{what}, {more}", what=words, more=more)
            if page.why_not and not asked:
                words = say_n("Overwrite {n} cell", "Overwrite {n} cells", ticks)
        can = not page.why_not or (ticks > 0 and not asked)
        note = page.why_not if not can else say("One change: undo takes all of it back.")
        self.foot.offer(page.summary, note, words, can=can)

    @Slot(QAbstractButton)
    def _filtered(self, button: QAbstractButton) -> None:
        self._filter = button.objectName()
        self._show_lines()
