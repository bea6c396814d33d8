"""What if: a year with more sites or a technician less, beside the year as it is."""

from typing import ClassVar

from PySide6.QtCore import Qt, Slot
from PySide6.QtWidgets import QHBoxLayout, QLineEdit, QVBoxLayout, QWidget

from servicedesk.desk.office import Person, technicians_at
from servicedesk.desk.what_if import Answer, Question, what_if
from servicedesk.window.actions import Act
from servicedesk.window.places.base import DeskPlace
from servicedesk.window.shell import Shell
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.choice import Choice
from servicedesk.window.widgets.label import Words
from servicedesk.window.widgets.sheet import Sheet
from servicedesk.window.widgets.what_if_table import WhatIfTable
from servicedesk.window.work import Job
from servicedesk.words import say

MOST_SITES = 10_000


class WhatIfPlace(DeskPlace):
    """A question at the top, twelve months below it, what was assumed beside them."""

    name: ClassVar[str] = "what_if"

    def __init__(self, shell: Shell) -> None:
        super().__init__(shell)
        self._asking: Job | None = None
        self.answer: Answer | None = None
        self._build()

    @property
    def is_asking(self) -> bool:
        """Is an answer under way?"""
        return self._asking is not None

    def acts(self) -> tuple[Act, ...]:
        return (
            Act(id="ask", text=say("Simulate the year"), do=self.ask, shortcut="Ctrl+Return",
                group=say("What if"), icon="again"),
        )  # fmt: skip

    def refresh(self, changed: object) -> None:
        """People may have come or gone; figures stay until they are asked for again."""
        job = self.shell.ask(technicians_at, self.desk, self.desk.today)
        job.done.connect(self._people)
        if self.answer is None and self._asking is None:
            self.ask()

    def first_focus(self) -> QWidget:
        return self.more

    def _build(self) -> None:
        theme = self.theme
        margin = theme.tokens.space.page_margin
        self.more, self.near = QLineEdit(), QLineEdit()
        self.more.setPlaceholderText("80")
        self.more.setFixedWidth(theme.px(70))
        self.more.setAccessibleName(say("more sites"))
        self.near.setAccessibleName(say("near which village"))
        self.near.setPlaceholderText(say("spread like the others"))
        self.near.setFixedWidth(theme.px(190))
        self.without = Choice(theme, say("without whom"))
        self.without.setMinimumWidth(theme.px(150))
        self.wrong = Words(theme, "", role="second", color="clay")
        self.go = Button(theme, say("Simulate the year"), icon_name="again", kind="main",
                         key="Ctrl+Return", shows_only=True)  # fmt: skip
        self.go.clicked.connect(self.ask)
        for line in (self.more, self.near):
            line.returnPressed.connect(self.ask)
        row = QHBoxLayout()
        row.setSpacing(8)
        row.addWidget(Words(theme, say("What if"), role="page_title"))
        row.addSpacing(8)
        fields: tuple[tuple[str, QWidget], ...] = (
            (say("more sites"), self.more), (say("near"), self.near), (say("without"), self.without)
        )  # fmt: skip
        for words, field in fields:
            row.addWidget(Words(theme, words, color="ink2"))
            row.addWidget(field)
        row.addWidget(self.wrong, 1)
        row.addWidget(self.go)
        self.sheet = Sheet(theme, say("A year, month by month"))
        self.table = WhatIfTable(theme, metric=self.desk.company.units == "si")
        self.sheet.body.addWidget(self.table, 1)
        self.basis = Sheet(theme, say("Assumed"))
        self.assumed = Words(theme, "", wraps=True, color="ink2")
        self.assumed.setAlignment(Qt.AlignmentFlag.AlignTop)
        self.basis.body.addWidget(self.assumed, 1)
        self.basis.setFixedWidth(theme.px(330))
        sheets = QHBoxLayout()
        sheets.setSpacing(theme.tokens.space.sheet_gap)
        sheets.addWidget(self.sheet, 1)
        sheets.addWidget(self.basis)
        column = QVBoxLayout(self)
        column.setContentsMargins(margin, 14, margin, 16)
        column.setSpacing(10)
        column.addLayout(row)
        column.addLayout(sheets, 1)

    @Slot()
    def ask(self) -> None:
        """Simulate the year that is asked about, beside the one as it is."""
        text = self.more.text().strip().replace(",", "")
        if text and (not text.isdigit() or int(text) > MOST_SITES):
            self.wrong.setText(say("Write a number of sites, up to 10,000."))
            return
        self.wrong.setText("")
        who = self.without.currentData()
        question = Question(
            more_sites=int(text or 0),
            near=self.near.text().strip() if text else "",
            without=(who,) if who is not None else (),
        )
        if self._asking is not None:
            self._asking.cancel()
        self.sheet.set_title(say("A year, month by month"), say("being simulated"))
        job = self.shell.ask(what_if, self.desk, question, title=say("Simulating a year"))
        self._asking = job
        job.done.connect(self._found)
        job.ended.connect(self._ended)

    @Slot(object)
    def _people(self, people: tuple[Person, ...]) -> None:
        kept = self.without.currentData()
        self.without.clear()
        self.without.addItem(say("nobody less"), None)
        for person in people:
            self.without.addItem(person.name, person.id)
        self.without.setCurrentIndex(max(self.without.findData(kept), 0))

    @Slot(object)
    def _found(self, answer: Answer) -> None:
        if self.sender() is not self._asking:
            return
        self.answer = answer
        self.table.show_answer(answer)
        self.sheet.set_title(
            say("A year, month by month"),
            say("middle of {n} simulated years, in brackets eight of ten", n=answer.n_years),
        )
        self.assumed.setText("\n\n".join(answer.assumed))

    @Slot()
    def _ended(self) -> None:
        if self.sender() is self._asking:
            self._asking = None
            if self.answer is None:
                self.sheet.set_title(say("A year, month by month"))
