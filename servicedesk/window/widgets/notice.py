"""A line above the page that says what was done and offers one thing more."""

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy

from servicedesk.window.theme import Theme
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.label import OneLine
from servicedesk.window.widgets.sheet import Sheet
from servicedesk.words import say


class Notice(Sheet):
    """Hidden until there is something to say; stays until it is put away."""

    asked = Signal()  # the thing offered

    def __init__(self, theme: Theme, offer: str) -> None:
        super().__init__(theme, stripe="moss")
        self.words = OneLine(theme, "", weight=600)
        self.words.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        self.more = OneLine(theme, "", role="second", color="ink2")
        self.more.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        self.button = Button(theme, offer, small=True)
        self.away = Button(theme, icon_name="cross", kind="bare", small=True, name=say("Close"))
        self.button.clicked.connect(self.asked)
        self.away.clicked.connect(self.hide)
        row = QHBoxLayout()
        row.addWidget(self.words, 2)
        row.addWidget(self.more, 3)
        row.addWidget(self.button, 0, Qt.AlignmentFlag.AlignVCenter)
        row.addWidget(self.away, 0, Qt.AlignmentFlag.AlignVCenter)
        self.body.addLayout(row)
        self.hide()

    def tell(self, words: str, more: str) -> None:
        """Say it."""
        self.words.set_text(words)
        self.more.set_text(more)
        self.show()
