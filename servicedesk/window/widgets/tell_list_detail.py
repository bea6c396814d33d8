"""One line of the tell list whole: the words, editable, and the ways to say them."""

from PySide6.QtCore import Qt, Signal, Slot
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QAbstractButton, QButtonGroup, QHBoxLayout, QPlainTextEdit

from servicedesk.desk.tell_list import ToTell, way_text
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.label import Words
from servicedesk.window.widgets.sheet import Sheet
from servicedesk.window.widgets.tell_list_rows import open_text
from servicedesk.words import say

LINES = 9
WAYS = ("phone", "text", "email", "letter")


class TellDetail(Sheet):
    """Shows a `ToTell`; what was typed stays while the same line is shown."""

    way_chosen = Signal()

    def __init__(self, theme: Theme, *, open_: QAction, copy: QAction, told: QAction) -> None:
        super().__init__(theme, say("What to tell"))
        self.line: ToTell | None = None
        self.where = Words(theme, color="ink2", wraps=True)
        self.note = Words(theme, color="ochre", wraps=True)
        self.words = QPlainTextEdit()
        self.words.setAccessibleName(say("What is said"))
        self.words.setTabChangesFocus(True)
        self.body.addWidget(self.where)
        self.body.addWidget(self.note)
        self.body.addLayout(self._ways(theme))
        self.body.addWidget(self.words)
        row = QHBoxLayout()
        row.setSpacing(8)
        self.open = Button(theme, key="O", shows_only=True)
        self.copy = Button(theme, copy.text(), icon_name="note", key="C", shows_only=True)
        self.told = Button(theme, told.text(), icon_name="check", kind="main", key="T",
                           shows_only=True)  # fmt: skip
        for button, action in ((self.open, open_), (self.copy, copy), (self.told, told)):
            button.clicked.connect(action.trigger)
            action.enabledChanged.connect(button.setEnabled)
            row.addWidget(button, 0, Qt.AlignmentFlag.AlignLeft)
        row.addStretch(1)
        self.body.addLayout(row)
        self.body.addStretch(1)
        self._fit()
        theme.changed.connect(self._fit)

    @Slot()
    def _fit(self) -> None:
        """Room for the longest of our texts and some more of one's own."""
        self.words.setFixedHeight(LINES * self.words.fontMetrics().lineSpacing() + 24)

    def _ways(self, theme: Theme) -> QHBoxLayout:
        row = QHBoxLayout()
        row.setSpacing(6)
        row.addWidget(Words(theme, say("Told by"), role="second", color="ink2"))
        self.pills: dict[str, Button] = {}
        group = QButtonGroup(self)
        for n, way in enumerate(WAYS, 1):
            pill = Button(theme, f"{n} {way_text(way)}", kind="pill", name=way_text(way))
            pill.setObjectName(way)
            group.addButton(pill)
            self.pills[way] = pill
            row.addWidget(pill)
        group.buttonClicked.connect(self._pressed)
        row.addStretch(1)
        return row

    @property
    def way(self) -> str:
        """The way chosen."""
        return next((way for way, pill in self.pills.items() if pill.isChecked()), "phone")

    @property
    def text(self) -> str:
        """The words as they stand."""
        return self.words.toPlainText().strip()

    @property
    def link(self) -> str:
        """What opens the way chosen; "" if nothing does."""
        return self.line.links.get(self.way, "") if self.line is not None else ""

    def show_line(self, line: ToTell) -> None:
        """Show another line, or the same one as it is now."""
        is_same = self.line is not None and (self.line.visit_id, self.line.text) == (
            line.visit_id, line.text
        )  # fmt: skip
        way = self.way if is_same else line.way
        self.line = line
        self.set_title(line.whom, line.why_text)
        address = line.address if line.whom != line.address else ""
        told = say("told {when}", when=line.told_at) if line.is_told and line.told_at else ""
        parts = (line.day_text, line.arrives_text, address, told)
        self.where.setText(" · ".join(one for one in parts if one))
        self.note.setText(f"{line.note}." if line.note else "")
        self.note.setVisible(bool(line.note))
        if not is_same:
            self.words.setPlainText(line.text)
        self.words.setReadOnly(line.is_told)
        self.choose_way(way)

    def choose_way(self, way: str) -> None:
        """Tell it in this way."""
        self.pills[way].setChecked(True)
        self._dress_open()

    @Slot(QAbstractButton)
    def _pressed(self, _pill: QAbstractButton) -> None:
        self._dress_open()
        self.way_chosen.emit()

    def _dress_open(self) -> None:
        if self.line is not None:
            self.open.setText(open_text(self.way, self.line))
            self.open.setVisible(bool(self.link))
