"""A day on which nobody goes out: one sentence why, and the way on."""

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QVBoxLayout, QWidget

from servicedesk.window.theme import Theme
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.label import Words
from servicedesk.words import say


class EmptyDay(QWidget):
    """Shown instead of map and ribbons."""

    wanted = Signal()  # the next working day

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self.words = Words(theme, "", role="sheet_title", wraps=True)
        self.words.setAlignment(Qt.AlignmentFlag.AlignHCenter)
        self.next = Button(theme, say("Go to the next working day"), icon_name="forward")
        self.next.clicked.connect(self.wanted)
        column = QVBoxLayout(self)
        column.addStretch(2)
        column.addWidget(self.words)
        column.addSpacing(theme.px(12))
        column.addWidget(self.next, 0, Qt.AlignmentFlag.AlignHCenter)
        column.addStretch(3)

    def show_day(self, sentence: str) -> None:
        """Say why nobody goes out."""
        self.words.setText(sentence)
