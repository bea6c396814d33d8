"""Above the form of a visit: where, whose, by whom, in and out; set aside or finish."""

from PySide6.QtCore import Signal, Slot
from PySide6.QtWidgets import QHBoxLayout, QLineEdit, QVBoxLayout, QWidget

from servicedesk.desk.office import Desk
from servicedesk.desk.writeup_entry import VisitEntry
from servicedesk.desk.writeup_form import VisitForm
from servicedesk.desk.writeup_read import minute_of
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.label import KeyCap, OneLine, Words
from servicedesk.window.widgets.writeup_keys import form_letters
from servicedesk.words import say


class VisitHead(QWidget):
    """`edited` after each key in a time; `finish` and `aside` for the two buttons."""

    edited = Signal()
    finish = Signal()
    aside = Signal()

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme = theme
        self._desk: Desk | None = None
        self.times: dict[str, QLineEdit] = {}
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(8)
        top = QHBoxLayout()
        top.setSpacing(12)
        self._address = OneLine(theme, role="page_title")
        top.addWidget(self._address, 1)
        aside = Button(theme, say("Set aside"), key="Esc", shows_only=True)
        self.finish_button = Button(
            theme, say("Finish visit"), kind="main", key="Ctrl+Return", shows_only=True
        )
        top.addWidget(aside)
        top.addWidget(self.finish_button)
        column.addLayout(top)
        aside.clicked.connect(self.aside)
        self.finish_button.clicked.connect(self.finish)
        column.addLayout(self._second_row())
        self._wrong = Words(theme, color="clay", role="second", weight=600, wraps=True)
        self._wrong.hide()
        column.addWidget(self._wrong)

    def show_form(self, desk: Desk, form: VisitForm, entry: VisitEntry) -> None:
        """Show where, whose and when."""
        self._desk = desk
        self._address.set_text(form.site.address)
        technician = form.technicians.get(entry.technician_id or 0, "")
        day = desk.formats.weekday(form.day)
        parts = (form.site.owner, technician, day)
        self._about.set_text(" · ".join(part for part in parts if part))
        self.times["arrived"].setText(entry.arrived)
        self.times["left"].setText(entry.left)
        self.show_wrong({})
        self._show_length()

    def show_wrong(self, wrong: dict[str, str]) -> None:
        """Say under the times what is wrong with them, by "arrived" and "left"."""
        for name, field in self.times.items():
            field.setProperty("wrong", name in wrong)
            field.setAccessibleDescription(wrong.get(name, ""))
            field.style().unpolish(field)
            field.style().polish(field)
        self._wrong.setText(" ".join(wrong[name] for name in self.times if name in wrong))
        self._wrong.setVisible(bool(wrong))

    def _second_row(self) -> QHBoxLayout:
        row = QHBoxLayout()
        row.setSpacing(8)
        self._about = OneLine(self._theme, color="ink2")
        letter = form_letters()["times"]
        for name, label in (("arrived", say("In")), ("left", say("Out"))):
            words = Words(self._theme, label, color="ink2")
            field = QLineEdit()
            field.setAccessibleName(label)
            field.setFixedWidth(self._theme.px(92))
            field.textEdited.connect(self._edited)
            self.times[name] = field
            row.addWidget(words)
            row.addWidget(field)
            row.addSpacing(6)
        self._length = OneLine(self._theme, color="ink2")
        row.addWidget(KeyCap(self._theme, letter))
        row.addWidget(self._length)
        row.addSpacing(10)
        row.addWidget(self._about, 1)
        return row

    @Slot(str)
    def _edited(self, text: str) -> None:
        self._show_length()
        self.edited.emit()

    def _show_length(self) -> None:
        arrived, left = (minute_of(field.text()) for field in self.times.values())
        known = arrived is not None and left is not None and left > arrived
        if known and self._desk is not None and arrived is not None and left is not None:
            self._length.set_text(self._desk.formats.minutes(left - arrived))
        else:
            self._length.set_text("")
