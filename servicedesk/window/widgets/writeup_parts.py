"""Parts used: those to take with one key, the lines, and the question about the limit."""

from collections.abc import Sequence
from itertools import pairwise

from PySide6.QtCore import Signal, Slot
from PySide6.QtWidgets import QLineEdit, QVBoxLayout, QWidget

from servicedesk.desk.office import Desk
from servicedesk.desk.writeup_entry import VisitEntry
from servicedesk.desk.writeup_form import VisitForm
from servicedesk.desk.writeup_part_entry import PartEntry
from servicedesk.desk.writeup_parts_find import MOST_OFFERED, offered
from servicedesk.desk.writeup_parts_told import approval_asked, causes_typed
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.choice import Tick
from servicedesk.window.widgets.label import Words
from servicedesk.window.widgets.writeup_part_line import PartLine
from servicedesk.words import say


class PartsUsed(QWidget):
    """Always with an empty line at the end. `edited` after each key, `left` to leave it."""

    edited = Signal()
    left = Signal()

    def __init__(self, theme: Theme, desk: Desk, form: VisitForm) -> None:
        super().__init__()
        self._theme, self._desk, self._here = theme, desk, form.parts
        self._entry: VisitEntry | None = None
        self.offered: tuple[int, ...] = ()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(4)
        self.offers = [self._offer(n) for n in range(MOST_OFFERED)]
        for button in self.offers:
            column.addWidget(button)
        self._column = QVBoxLayout()
        self._column.setSpacing(2)
        column.addLayout(self._column)
        self._asked = Words(theme, color="ochre", role="second", weight=600, wraps=True)
        self.approved_by = QLineEdit()
        self.approved_by.setPlaceholderText(say("Agreed by: name"))
        self.approved_by.setAccessibleName(say("Who agreed to it"))
        self.approval_owed = Tick(theme, say("Nobody yet: it stays owed"))
        self._approval = (self._asked, self.approved_by, self.approval_owed)
        for widget in self._approval:
            column.addWidget(widget)
            widget.hide()
        self.approved_by.textEdited.connect(self._approval_typed)
        self.approval_owed.toggled.connect(self._approval_ticked)
        self.lines: list[PartLine] = []
        self._grow()

    def _offer(self, n: int) -> Button:
        button = Button(
            self._theme, key=f"Alt+{n + 1}", shows_only=True, small=True, wide=True, kind="plain"
        )
        button.setObjectName(str(n))
        button.clicked.connect(self._offer_pressed)
        button.hide()
        return button

    def entries(self) -> tuple[PartEntry, ...]:
        """What stands here, empty lines left out."""
        return tuple(line.entry for line in self.lines if not line.is_empty)

    def show_entries(self, parts: Sequence[PartEntry]) -> None:
        """Show these."""
        while len(self.lines) > 1:
            line = self.lines.pop()
            self._column.removeWidget(line)
            line.hide()
            line.deleteLater()
        self.lines[0].show_entry(PartEntry(quantity=""))
        for n, one in enumerate(parts):
            self.lines[n].show_entry(one)
            self._grow()

    def judge(self, entry: VisitEntry) -> None:
        """What follows from the parts with the causes found: terms, offers, the limit."""
        self._entry = entry
        causes = causes_typed(entry)
        for line in self.lines:
            line.judge(causes)
        written = [one.part_id for one in entry.parts]
        found = offered(self._here, causes.values(), written)
        self.offered = tuple(part.id for part in found)
        for n, button in enumerate(self.offers):
            button.setVisible(n < len(found))
            if n < len(found):
                button.setText(found[n].name)
        if self.approved_by.text() != entry.approved_by:
            self.approved_by.setText(entry.approved_by)
        self.approval_owed.blockSignals(True)
        self.approval_owed.setChecked(entry.approval_owed)
        self.approval_owed.blockSignals(False)
        asked = approval_asked(self._desk, self._here, entry)
        self._asked.setText(asked)
        for widget in self._approval:
            widget.setVisible(bool(asked))

    def take_offered(self, n: int) -> None:
        """The nth part offered, from 0, in a line of its own; how many is asked next."""
        if n < len(self.offered):
            self.lines[-1].take(self.offered[n])

    def first_empty(self) -> QLineEdit:
        """The field to write the next one in."""
        return self.lines[-1].text

    def show_wrong(self, n: int, name: str, sentence: str) -> None:
        """Say at the nth filled line what is wrong with it."""
        filled = [line for line in self.lines if not line.is_empty]
        line = filled[n] if n < len(filled) else self.lines[-1]
        line.show_wrong(name, sentence)

    def ask_approval(self) -> None:
        """Take the question about the limit in hand."""
        self.approved_by.setFocus()

    def clear_wrong(self) -> None:
        """Nothing is wrong, or not judged yet."""
        for line in self.lines:
            for name in line.fields:
                line.show_wrong(name, "")

    def _grow(self) -> None:
        line = PartLine(self._theme, self._desk, self._here)
        line.edited.connect(self._edited)
        line.finished.connect(self._next)
        line.left.connect(self.left)
        self.lines.append(line)
        self._column.addWidget(line)
        line.show()  # at once: the next key may come before the layout
        chain = [widget for one in self.lines for widget in one.chain]
        for first, second in pairwise((*chain, self.approved_by, self.approval_owed)):
            QWidget.setTabOrder(first, second)

    @Slot()
    def _next(self) -> None:
        self.first_empty().setFocus()

    @Slot()
    def _offer_pressed(self) -> None:
        self.take_offered(int(self.sender().objectName()))

    @Slot(str)
    def _approval_typed(self, text: str) -> None:
        if text.strip():
            self.approval_owed.setChecked(False)
        self.edited.emit()

    @Slot(bool)
    def _approval_ticked(self, on: bool) -> None:
        if on:
            self.approved_by.setText("")
        self.edited.emit()

    @Slot()
    def _edited(self) -> None:
        if not self.lines[-1].is_empty:
            self._grow()
        self.edited.emit()
