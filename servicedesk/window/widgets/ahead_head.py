"""The top of Ahead: title, how it stands, and the buttons."""

from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QWidget

from servicedesk.window.actions import Actions
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.label import OneLine, Words
from servicedesk.words import say


class AheadHead(QWidget):
    """One line; how it stands is shortened where room is short."""

    def __init__(self, theme: Theme, keys: Actions) -> None:
        super().__init__()
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(8)
        self.heading = Words(theme, say("The weeks ahead"), role="page_title")
        self.of = OneLine(theme, color="ink2")
        self.of.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        self.off = Button(theme, say("Days off…"), icon_name="today", key="D", shows_only=True)
        self.fill = Button(theme, say("Fill the weeks"), icon_name="again", kind="main", key="F",
                           shows_only=True)  # fmt: skip
        self.what_if = Button(theme, say("What if…"), icon_name="ask", key="W", shows_only=True)
        row.addWidget(self.heading)
        row.addSpacing(8)
        row.addWidget(self.of, 1)
        for act, button in (
            ("what_if", self.what_if), ("off", self.off), ("fill", self.fill)
        ):  # fmt: skip
            button.clicked.connect(keys[act].trigger)
            keys[act].enabledChanged.connect(button.setEnabled)
            row.addWidget(button)
