"""Nothing is owed: what will stand here, how to begin, and what was settled last."""

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHBoxLayout

from servicedesk.window.theme import Theme
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.label import Words
from servicedesk.window.widgets.owed_painter import EmptySign
from servicedesk.window.widgets.sheet import Hairline, Sheet
from servicedesk.words import say


class EmptyOwed(Sheet):
    """`add` begins something, `settled` shows what has ended."""

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme)
        self.title = Words(theme, say("Nothing is owed"), role="sheet_title")
        self.words = Words(
            theme,
            say("Nothing is owed; what a visit leaves unfinished stands here."),
            color="ink2",
        )
        self.add = Button(
            theme, say("Add something owed"), icon_name="plus", kind="main", key="N",
            shows_only=True,
        )  # fmt: skip
        self.settled = Button(theme, say("Show settled"))
        self.last = Words(theme, "", role="second", color="ink2")
        middle = Qt.AlignmentFlag.AlignHCenter
        self.body.addStretch(2)
        self.body.addWidget(EmptySign(theme), 0, middle)
        self.body.addSpacing(8)
        self.body.addWidget(self.title, 0, middle)
        self.body.addWidget(self.words, 0, middle)
        self.body.addSpacing(10)
        row = QHBoxLayout()
        row.addStretch(1)
        row.addWidget(self.add)
        row.addWidget(self.settled)
        row.addStretch(1)
        self.body.addLayout(row)
        self.body.addStretch(3)
        self.body.addWidget(Hairline(theme))
        self.body.addWidget(self.last)
