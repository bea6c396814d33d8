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
    set_up = Signal()  # where the first technician is named

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self.words = Words(theme, "", role="sheet_title", wraps=True)
        self.words.setAlignment(Qt.AlignmentFlag.AlignHCenter)
        self.next = Button(theme, say("Go to the next working day"), icon_name="forward")
        self.next.clicked.connect(self.wanted)
        self.first = Button(theme, say("Name the first technician"), icon_name="plus", kind="main")
        self.first.clicked.connect(self.set_up)
        self.first.hide()
        column = QVBoxLayout(self)
        column.addStretch(2)
        column.addWidget(self.words)
        column.addSpacing(theme.px(12))
        column.addWidget(self.next, 0, Qt.AlignmentFlag.AlignHCenter)
        column.addWidget(self.first, 0, Qt.AlignmentFlag.AlignHCenter)
        column.addStretch(3)

    def show_day(self, sentence: str, *, is_unstaffed: bool = False) -> None:
        """Say why nobody goes out. Without any technician the next day is no way on."""
        self.words.setText(sentence)
        self.first.setVisible(is_unstaffed)
        self.next.setVisible(not is_unstaffed)
