"""Somebody is away: where each of their stops would go, before it is written."""

from collections.abc import Sequence

from PySide6.QtCore import QSize, Qt, Signal, Slot
from PySide6.QtGui import QKeyEvent

from servicedesk.window.models.row_delegate import RowPainter
from servicedesk.window.models.row_list import Row
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.label import Words
from servicedesk.window.widgets.sheet import Sheet
from servicedesk.window.widgets.today_rows import RowsView
from servicedesk.words import say


class AwaySheet(Sheet):
    """A list and two buttons."""

    taken = Signal()
    left = Signal()

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme, say("Away"))
        self._theme = theme
        self.back = Button(theme, say("Back"), key="Esc", kind="link", small=True, shows_only=True)
        self.back.clicked.connect(self.left)
        self.head.addStretch(1)
        self.head.addWidget(self.back)
        self.words = Words(theme, "", role="second", color="ink2", wraps=True)
        self.list = RowsView(theme, say("Where the stops go"), RowPainter(theme, hairlines=True),
                             fits=False)  # fmt: skip
        self.take = Button(theme, say("Write it"), icon_name="check", kind="main")
        self.take.clicked.connect(self.taken)
        self.body.addWidget(self.words)
        self.body.addWidget(self.list, 1)
        self.body.addWidget(self.take)

    def show_asking(self, title: str) -> None:
        """Somebody for whom it is worked out."""
        self.show_rows(title, say("Looking where the stops could go"), ())
        self.take.hide()

    def show_rows(self, title: str, words: str, rows: Sequence[Row]) -> None:
        """Show where every stop goes."""
        self.set_title(title)
        self.words.setText(words)
        self.words.setVisible(bool(words))
        self.list.show_rows(rows)
        self.take.show()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.left.emit()
            return
        super().keyPressEvent(event)

    def minimumSizeHint(self) -> QSize:
        return QSize(300, self._theme.px(150))

    def hasHeightForWidth(self) -> bool:
        """No: its list scrolls."""
        return False

    @Slot()
    def focus_take(self) -> None:
        """Put the keys on the button."""
        self.take.setFocus(Qt.FocusReason.OtherFocusReason)
