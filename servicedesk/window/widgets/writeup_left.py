"""How the site was left: the list before driving off, and a note."""

from PySide6.QtCore import Qt, Signal, Slot
from PySide6.QtGui import QMouseEvent
from PySide6.QtWidgets import QHBoxLayout, QLineEdit, QVBoxLayout, QWidget

from servicedesk.trade.readings import Part, catalogue
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.choice import Tick
from servicedesk.window.widgets.field import SentenceField
from servicedesk.window.widgets.label import Words
from servicedesk.words import say, say_n


class TickWords(Words):
    """Words beside a tick that can be pressed like it."""

    def __init__(self, theme: Theme, text: str, tick: Tick) -> None:
        super().__init__(theme, text, wraps=True)
        self._tick = tick

    def mousePressEvent(self, event: QMouseEvent) -> None:
        self._tick.toggle()


class LeavingList(QWidget):
    """The lines of the list with their ticks. `edited` after each."""

    edited = Signal()

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme = theme
        self.ticks: dict[str, Tick] = {}
        self._words: dict[str, Words] = {}
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(3)
        for item in catalogue().parts[Part.LEAVING]:
            tick = Tick(theme, "")
            tick.setAccessibleName(item.name)
            words = TickWords(theme, item.name, tick)
            row = QHBoxLayout()
            row.setContentsMargins(3, 0, 0, 0)
            row.setSpacing(4)
            row.addWidget(tick, 0, Qt.AlignmentFlag.AlignTop)
            row.addWidget(words, 1)
            column.addLayout(row)
            self.ticks[item.id] = tick
            self._words[item.id] = words
            tick.toggled.connect(self._toggled)
        self._wrong = Words(theme, color="clay", role="second", weight=600, wraps=True)
        column.addSpacing(4)
        column.addWidget(self._wrong)
        self.note = QLineEdit()
        column.addWidget(SentenceField(theme, say("As left"), self.note, label_px=62))
        self.note.textEdited.connect(self._text_edited)
        self._sentence = ""
        self._show_count()

    def leaving(self) -> dict[str, bool]:
        """Which lines are ticked; empty while none is."""
        said = {item: tick.isChecked() for item, tick in self.ticks.items()}
        return said if any(said.values()) else {}

    def show_entry(self, leaving: dict[str, bool], note: str) -> None:
        """Show this."""
        for item, tick in self.ticks.items():
            tick.blockSignals(True)
            tick.setChecked(bool(leaving.get(item, False)))
            tick.blockSignals(False)
        self.note.setText(note)
        self._show_count()

    def tick_all(self) -> None:
        """Every line is so; all of them were already: none."""
        on = not all(tick.isChecked() for tick in self.ticks.values())
        self.show_entry(dict.fromkeys(self.ticks, on), self.note.text())
        self.edited.emit()

    def show_wrong(self, sentence: str) -> None:
        """Say under the list what must not be left so; "" for nothing."""
        self._sentence = sentence
        self._show_count()

    @Slot(bool)
    def _toggled(self, on: bool) -> None:
        self._show_count()
        self.edited.emit()

    @Slot(str)
    def _text_edited(self, text: str) -> None:
        self.edited.emit()

    def _show_count(self) -> None:
        for item, tick in self.ticks.items():
            self._words[item].set_color("ink2" if tick.isChecked() else "ink")
        left = sum(not tick.isChecked() for tick in self.ticks.values())
        count = (
            say_n("{n} thing before you drive off", "{n} things before you drive off", left)
            if left
            else ""
        )
        self._wrong.setText(self._sentence or count)
        self._wrong.setVisible(bool(self._sentence or count))
