"""The top of Patterns: title, what is counted, and the papers."""

from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QBoxLayout, QHBoxLayout, QWidget

from servicedesk.window.actions import Actions
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.label import OneLine, Words
from servicedesk.words import say


class PatternsHead(QWidget):
    """Papers stand beside the title, or below it where both have no room side by side."""

    def __init__(self, theme: Theme, keys: Actions) -> None:
        super().__init__()
        self._row = QBoxLayout(QBoxLayout.Direction.LeftToRight, self)
        self._row.setContentsMargins(0, 0, 0, 0)
        self._row.setSpacing(8)
        title = QHBoxLayout()
        self.heading = Words(theme, say("What keeps coming back"), role="page_title")
        self.of = OneLine(theme, color="ink2")
        title.addWidget(self.heading)
        title.addSpacing(14)
        title.addWidget(self.of, 1)
        self._buttons = QHBoxLayout()
        self._buttons.setSpacing(8)
        self.again = self._button(theme, keys, "again", say("Work out"), "again", "R")
        self._button(theme, keys, "sheet", say("Sheet of these rows"), "out", "S")
        self._button(theme, keys, "print", say("Print for the shop wall"), "print", "Ctrl+P")
        self.again.hide()
        self._buttons.addStretch(1)
        self._row.addLayout(title, 1)
        self._row.addLayout(self._buttons)

    def _button(
        self, theme: Theme, keys: Actions, act: str, words: str, icon: str, key: str
    ) -> Button:
        button = Button(theme, words, icon_name=icon, key=key, shows_only=True)
        button.clicked.connect(keys[act].trigger)
        keys[act].enabledChanged.connect(button.setEnabled)
        self._buttons.addWidget(button)
        return button

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        wanted = self.heading.sizeHint().width() + self._buttons.sizeHint().width() + 24
        turn = QBoxLayout.Direction
        self._row.setDirection(turn.LeftToRight if wanted <= self.width() else turn.TopToBottom)
