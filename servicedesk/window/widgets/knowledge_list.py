"""The lists of knowledge: five kinds with their counts, a field that finds, and the lines."""

from collections.abc import Mapping, Sequence

from PySide6.QtCore import Qt, Signal, Slot
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QAbstractButton, QButtonGroup, QLineEdit

from servicedesk.desk.knowledge_lists import KnowledgeLine, found_lines
from servicedesk.window.models.row_delegate import RowPainter
from servicedesk.window.models.row_list import Row
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.label import Words
from servicedesk.window.widgets.sheet import Sheet
from servicedesk.window.widgets.site_rows import Flow
from servicedesk.window.widgets.today_rows import RowsView
from servicedesk.words import say

LISTS = ("symptom", "cause", "check", "part", "own")


def list_names() -> Mapping[str, str]:
    """The lists in words."""
    return {
        "symptom": say("Symptoms"),
        "cause": say("Causes"),
        "check": say("Checks"),
        "part": say("Parts"),
        "own": say("Yours"),
    }


class FindInList(QLineEdit):
    """Down and Enter go to the list, Esc empties."""

    left = Signal()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Down, Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.left.emit()
        elif event.key() == Qt.Key.Key_Escape and self.text():
            self.clear()
        else:
            super().keyPressEvent(event)


class KnowledgeList(Sheet):
    """`chosen_changed` carries the `KnowledgeLine` that the keys are on, `opened` one entered."""

    chosen_changed = Signal(object)
    opened = Signal(object, bool)

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme)
        self.setAccessibleName(say("Lists of knowledge"))
        self._lists: Mapping[str, tuple[KnowledgeLine, ...]] = {}
        self.kind = LISTS[0]
        self.pills: dict[str, Button] = {}
        flow, group = Flow(gap=6), QButtonGroup(self)
        for kind, words in list_names().items():
            pill = Button(theme, words, kind="pill")
            pill.setObjectName(kind)
            pill.setChecked(kind == self.kind)
            group.addButton(pill)
            flow.flow.addWidget(pill)
            self.pills[kind] = pill
        group.buttonClicked.connect(self._pressed)
        self.body.addWidget(flow)
        self.field = FindInList()
        self.field.setAccessibleName(say("Find in this list"))
        self.field.setPlaceholderText(say("Find: name or words of it (F)"))
        self.field.setClearButtonEnabled(False)
        self.body.addWidget(self.field)
        self.wrong = Words(theme, color="clay", weight=600, wraps=True)
        self.wrong.hide()
        self.body.addWidget(self.wrong)
        self.nothing = Words(theme, color="ink2", wraps=True)
        self.nothing.hide()
        self.body.addWidget(self.nothing)
        self.rows = RowsView(theme, say("Entries"), RowPainter(theme, hairlines=True), fits=False)
        self.body.addWidget(self.rows, 1)
        self.field.textChanged.connect(self._typed)
        self.field.left.connect(self._to_rows)
        self.rows.current_changed.connect(self._moved)
        self.rows.opened.connect(self.opened)

    @property
    def chosen(self) -> KnowledgeLine | None:
        """What the keys are on."""
        thing = self.rows.chosen
        return thing if isinstance(thing, KnowledgeLine) else None

    def show_lists(self, lists: Mapping[str, tuple[KnowledgeLine, ...]], trouble: str) -> None:
        """Show other lists; what was chosen stays chosen if it is there."""
        self._lists = lists
        self.wrong.setText(trouble)
        self.wrong.setVisible(bool(trouble))
        self._show()

    def show_kind(self, kind: str) -> None:
        """Show another list whole."""
        self.kind = kind
        self.pills[kind].setChecked(True)
        self.field.clear()
        self._show()

    def choose(self, kind: str, entry_id: str) -> bool:
        """Put the keys on an entry, in the list where it stands; False if it is nowhere."""
        homes = (self.kind, *LISTS)
        for home in homes:
            for line in self._lists.get(home, ()):
                if (line.kind, line.id) == (kind, entry_id):
                    return self._choose(home, line)
        return False

    def _choose(self, home: str, line: KnowledgeLine) -> bool:
        is_shown = home == self.kind and any(row.thing == line for row in self.rows.rows.rows)
        if not is_shown:
            self.show_kind(home)
        return self.rows.choose(line)

    def _show(self) -> None:
        text = self.field.text()
        found = {kind: found_lines(lines, text) for kind, lines in self._lists.items()}
        for kind, words in list_names().items():
            self.pills[kind].setText(f"{words} {self._n(kind, found)}")
        lines = found.get(self.kind, ())
        at = max(0, self.rows.currentIndex().row())
        self.rows.show_rows([_row(line) for line in lines])
        self.nothing.setText(say("Nothing here has “{text}”. Esc empties the field.", text=text))
        self.nothing.setVisible(not lines and bool(self._lists))
        if lines and self.chosen is None:
            # the neighbor of what is gone, so that the next key meets a row
            self.rows.choose(lines[min(at, len(lines) - 1)])

    def _n(self, kind: str, found: Mapping[str, Sequence[KnowledgeLine]]) -> int:
        """How many entries; what was learned is a page among ours, not an entry."""
        return sum(line.is_own or kind != "own" for line in found.get(kind, ()))

    @Slot(QAbstractButton)
    def _pressed(self, pressed: QAbstractButton) -> None:
        self.kind = pressed.objectName()
        self._show()

    @Slot(str)
    def _typed(self, _text: str) -> None:
        self._show()

    @Slot()
    def _to_rows(self) -> None:
        self.rows.setFocus()

    @Slot(object)
    def _moved(self, thing: object) -> None:
        if isinstance(thing, KnowledgeLine):
            self.chosen_changed.emit(thing)


def _row(line: KnowledgeLine) -> Row:
    return Row(
        title=line.name,
        second=line.second,
        right=say("yours") if line.is_own else "",
        right_color="moss",
        thing=line,
    )
