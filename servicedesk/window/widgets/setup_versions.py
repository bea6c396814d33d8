"""Two people changed the same thing: both versions side by side, only what differs."""

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtWidgets import QGridLayout, QHBoxLayout

from servicedesk.window.theme import Theme
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.label import Words
from servicedesk.window.widgets.sheet import Sheet
from servicedesk.words import say
from servicedesk.words.formats import UNKNOWN


@dataclass(frozen=True, slots=True)
class Version:
    """One field in both versions, in words."""

    label: str
    theirs: str
    mine: str


class BothVersions(Sheet):
    """Hidden until two versions meet. Both stay in the history whichever is chosen."""

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme, stripe="ochre")
        self._theme = theme
        self.what = Words(theme, weight=600, wraps=True)
        self.body.addWidget(self.what)
        self.grid = QGridLayout()
        self.grid.setHorizontalSpacing(16)
        self.grid.setColumnStretch(1, 1)
        self.grid.setColumnStretch(2, 1)
        self.body.addLayout(self.grid)
        self.keep_mine = Button(theme, say("Keep mine"), kind="main", small=True)
        self.take_theirs = Button(theme, say("Keep theirs"), small=True)
        row = QHBoxLayout()
        row.addWidget(self.keep_mine)
        row.addWidget(self.take_theirs)
        row.addStretch(1)
        self.body.addLayout(row)
        self.body.addWidget(
            Words(
                theme,
                say("Both are kept in the history whichever you choose."),
                role="second",
                color="ink2",
            )
        )
        self.hide()

    def show_versions(self, what: str, lines: Sequence[Version]) -> None:
        """Say who was first and what differs."""
        self.what.setText(what)
        while self.grid.count():
            item = self.grid.takeAt(0)
            widget = item.widget() if item is not None else None
            if widget is not None:
                widget.deleteLater()
        heads = ("", say("Theirs"), say("Yours")) if lines else ()
        for column, head in enumerate(heads):
            self.grid.addWidget(Words(self._theme, head, role="second", color="ink2"), 0, column)
        for n, line in enumerate(lines, start=1):
            self.grid.addWidget(Words(self._theme, line.label, color="ink2"), n, 0)
            for column, text in ((1, line.theirs), (2, line.mine)):
                words = Words(self._theme, text or UNKNOWN, color="ochre", weight=600, wraps=True)
                self.grid.addWidget(words, n, column)
        self.show()
