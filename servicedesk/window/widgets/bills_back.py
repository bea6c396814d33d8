"""What a list that came back says otherwise: looked at first, then taken as one change or left."""

from PySide6.QtCore import Signal, Slot
from PySide6.QtWidgets import QHBoxLayout

from servicedesk.desk.bills_out import BillsBack
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.label import Words
from servicedesk.window.widgets.sheet import Sheet
from servicedesk.words import say, say_n

MOST_LINES = 12


class BillsBackSheet(Sheet):
    """Hidden until a list was read. `taken` carries what to write."""

    taken = Signal(object)

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme, say("The list that came back"), stripe="ochre")
        self.back: BillsBack | None = None
        self.differs = Words(theme, "", wraps=True)
        self.not_taken = Words(theme, "", color="clay", wraps=True)
        self.same = Words(theme, "", role="second", color="ink2")
        self.take = Button(theme, say("Take it"), icon_name="check", kind="main")
        self.leave = Button(theme, say("Leave it"))
        self.take.clicked.connect(self._take)
        self.leave.clicked.connect(self.hide)
        for part in (self.differs, self.not_taken, self.same):
            self.body.addWidget(part)
        row = QHBoxLayout()
        row.addWidget(self.take)
        row.addWidget(self.leave)
        row.addStretch(1)
        self.body.addLayout(row)
        self.hide()

    @Slot(object)
    def show_back(self, back: BillsBack) -> None:
        """Say what differs, line by line, and what of it cannot be taken."""
        self.back = back
        n = len(back.moves)
        hint = say_n("{name}: {n} line differs", "{name}: {n} lines differ", n, name=back.name)
        self.set_title(say("The list that came back"), hint)
        self.differs.setText(_some(back.told))
        self.differs.setVisible(bool(back.told))
        self.not_taken.setText(_some(back.unread))
        self.not_taken.setVisible(bool(back.unread))
        self.same.setText(say_n("{n} line agrees.", "{n} lines agree.", back.n_same))
        self.take.setVisible(bool(n))
        self.take.setText(say_n("Take {n} line", "Take {n} lines", n))
        self.show()
        (self.take if n else self.leave).setFocus()

    @Slot()
    def _take(self) -> None:
        back, self.back = self.back, None
        self.hide()
        if back is not None:
            self.taken.emit(back)


def _some(texts: tuple[str, ...]) -> str:
    """The first lines, and how many more there are."""
    more = len(texts) - MOST_LINES
    last = (say_n("and {n} more", "and {n} more", more),) if more > 0 else ()
    return "\n".join((*texts[:MOST_LINES], *last))
