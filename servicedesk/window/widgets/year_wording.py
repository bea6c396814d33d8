"""The wording of letters: choose one, write, put fields in by a press, see what is wrong."""

from PySide6.QtCore import Qt, QTimer, Slot
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QHBoxLayout, QPlainTextEdit, QVBoxLayout, QWidget

from servicedesk.desk.checking import WrongEntry
from servicedesk.desk.letter_wording import (
    Wording,
    letter_kinds,
    wording_of,
    write_wording,
    wrong_wording,
)
from servicedesk.desk.office import Desk
from servicedesk.values.trouble import Trouble
from servicedesk.window.shell import Shell
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.choice import Choice
from servicedesk.window.widgets.label import Words
from servicedesk.window.widgets.site_rows import Flow, emptied
from servicedesk.window.widgets.veil import Veil
from servicedesk.words import say

_LOOK_MS = 250  # after the last key


class WordingEditor(Veil):
    """Letters as `desk.letter_wording` knows them; what is written is one change."""

    def __init__(self, shell: Shell, desk: Desk, home: QWidget) -> None:
        super().__init__(shell.theme, home, width_px=760, height_px=620)
        self._shell, self._desk = shell, desk
        self._wording: Wording | None = None
        self._meant: str | None = None
        self._soon = QTimer(self)
        self._soon.setSingleShot(True)
        self._soon.setInterval(_LOOK_MS)
        self._soon.timeout.connect(self._look)
        self._build()

    def _build(self) -> None:
        theme = self.theme
        self.which = Choice(theme, say("Which letter"))
        for kind in letter_kinds():
            self.which.addItem(kind.name, kind.id)
        self.which.activated.connect(self._chosen)
        self.own = Words(theme, color="ink2")
        self.text = QPlainTextEdit()
        self.text.setAccessibleName(say("Wording of the letter"))
        self.text.setTabChangesFocus(True)
        self.text.textChanged.connect(self._soon.start)
        self.fields = Flow(gap=6)
        self.wrong = Words(theme, color="clay", weight=500, wraps=True)
        self.fix = Button(theme, key="Alt+U", small=True)
        self.fix.clicked.connect(self._put_right)
        self.ours = Button(theme, say("Our own wording again"))
        self.ours.clicked.connect(self._take_ours)
        self.away = Button(theme, say("Close"), key="Esc", shows_only=True)
        self.away.clicked.connect(self.close_veil)
        self.button = Button(theme, say("Keep this wording"), kind="main", key="Ctrl+Return",
                             shows_only=True)  # fmt: skip
        self.button.clicked.connect(self.write)
        inner = QVBoxLayout()
        inner.setContentsMargins(20, 16, 20, 16)
        inner.setSpacing(10)
        inner.addWidget(Words(theme, say("Wording of the letters"), role="sheet_title"))
        row = QHBoxLayout()
        row.addWidget(self.which)
        row.addSpacing(8)
        row.addWidget(self.own, 1)
        inner.addLayout(row)
        inner.addWidget(self.text, 1)
        hint = say("Press a field to put it in. Paragraphs are apart by an empty line.")
        inner.addWidget(Words(theme, hint, role="second", color="ink2"))
        inner.addWidget(self.fields)
        inner.addWidget(self.wrong)
        inner.addWidget(self.fix, 0, Qt.AlignmentFlag.AlignLeft)
        foot = QHBoxLayout()
        foot.setSpacing(10)
        foot.addWidget(self.ours)
        foot.addStretch(1)
        foot.addWidget(self.away)
        foot.addWidget(self.button)
        inner.addLayout(foot)
        self.column.addLayout(inner, 1)

    def open_wording(self, desk: Desk) -> None:
        """Show the letter that is chosen, as it is worded now."""
        self._desk = desk
        self._read()
        self.open_with(self.text)

    @Slot()
    def write(self) -> None:
        """Keep the wording if it can be filled in."""
        if self._wording is None:
            return
        self._look()
        job = self._shell.work.start(
            write_wording, self._desk, self._wording.kind.id, self.text.toPlainText(),
            seen=self._wording.seen, title=say("Writing the wording"),
        )  # fmt: skip
        job.done.connect(self._written)
        job.failed.connect(self._failed)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        is_enter = event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter)
        if is_enter and event.modifiers() == Qt.KeyboardModifier.ControlModifier:
            self.write()
            return
        super().keyPressEvent(event)

    @Slot(int)
    def _chosen(self, _at: int) -> None:
        self._read()

    def _read(self) -> None:
        job = self._shell.ask(wording_of, self._desk, str(self.which.currentData()))
        job.done.connect(self._arrived)

    @Slot(object)
    def _arrived(self, wording: Wording) -> None:
        self._wording = wording
        self.text.setPlainText(wording.text)
        self.own.setText(say("your own wording") if wording.is_own else say("our wording"))
        emptied(self.fields.flow)
        for name in wording.kind.fields:
            pill = Button(self.theme, f"{{{name}}}", small=True)
            pill.setObjectName(name)
            pill.clicked.connect(self._put_in)
            self.fields.flow.addWidget(pill)
        self._look()

    @Slot()
    def _put_in(self) -> None:
        sender = self.sender()
        if sender is not None:
            self.text.insertPlainText(f"{{{sender.objectName()}}}")
            self.text.setFocus()

    @Slot()
    def _look(self) -> None:
        """Say what is wrong with what stands there."""
        if self._wording is not None:
            self._show_wrong(wrong_wording(self.text.toPlainText(), self._wording.kind.fields))

    def _show_wrong(self, says: str, meant: str | None = None) -> None:
        self._meant = meant
        self.wrong.setText(says)
        self.wrong.setVisible(bool(says))
        self.fix.setVisible(meant is not None)
        self.fix.setText(say("Put the nearest field in"))

    @Slot()
    def _put_right(self) -> None:
        if self._meant is not None:
            self.text.setPlainText(self._meant)
            self._look()

    @Slot()
    def _take_ours(self) -> None:
        if self._wording is not None:
            self.text.setPlainText(self._wording.kind.ours)

    @Slot(object)
    def _written(self, touched: object) -> None:
        self.close_veil()
        self._shell.bus.changed.emit(touched)

    @Slot(object)
    def _failed(self, trouble: Trouble) -> None:
        if isinstance(trouble, WrongEntry):
            first = trouble.wrong[0]
            self._show_wrong(first.says, first.meant)
            self.text.setFocus()
            return
        self._show_wrong(" ".join(part for part in (trouble.what, trouble.do) if part))
