"""Everything that happened at a site, newest first, filtered and searched as one types."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from PySide6.QtCore import Qt, Signal, Slot
from PySide6.QtWidgets import QAbstractButton, QButtonGroup, QHBoxLayout, QLineEdit, QVBoxLayout

from servicedesk.exchange.addresses import folded_text
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.label import LinkLabel, OneLine, Words
from servicedesk.window.widgets.sheet import Hairline, Sheet
from servicedesk.window.widgets.site_rows import Flow, SignedLine, emptied
from servicedesk.words import say, say_n

_FIRST = 40


@dataclass(frozen=True, slots=True)
class Happened:
    """One entry in words; `kind`: visit, call, told, paper, change."""

    kind: str
    row_id: int
    on: date
    day: str
    title: str
    who: str
    lines: tuple[str, ...]
    color: str = "ink"
    is_kept: bool = False  # a paper whose very bytes lie here

    @property
    def searched(self) -> str:
        """What a search looks through."""
        return folded_text(" ".join((self.day, self.title, self.who, *self.lines)))


_ICONS = {"visit": "check", "call": "phone", "told": "person", "paper": "note", "change": "undo"}


def kinds() -> tuple[tuple[str, str], ...]:
    """Filters with their words."""
    return (
        ("", say("All")),
        ("visit", say("Visits")),
        ("call", say("Calls")),
        ("told", say("Told")),
        ("paper", say("Papers")),
        ("change", say("Changes")),
    )


class SiteHistory(Sheet):
    """A long list is shown in parts; *Show more* brings the next. `paper_opened`: its key."""

    paper_opened = Signal(object)

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme, say("History"), say("newest first"))
        self._theme = theme
        self._all: tuple[Happened, ...] = ()
        self._kind, self._n = "", _FIRST
        self.prints = self._prints()
        self.search = QLineEdit()
        self.search.setPlaceholderText(say("Search the history"))
        self.search.setAccessibleName(say("Search the history"))
        self.search.setMaximumWidth(theme.px(280))
        self.search.textChanged.connect(self._searched)
        self.pills: dict[str, Button] = {}
        group = QButtonGroup(self)
        flow = Flow(gap=8)
        for kind, words in kinds():
            pill = Button(theme, words, kind="pill")
            pill.setObjectName(kind)
            pill.setChecked(kind == "")
            group.addButton(pill)
            self.pills[kind] = pill
            flow.flow.addWidget(pill)
        group.buttonClicked.connect(self._pressed)
        row = QHBoxLayout()
        row.addWidget(flow, 3)
        row.addWidget(self.search, 2)
        self.body.addLayout(row)
        self.rows = QVBoxLayout()
        self.rows.setSpacing(2)
        self.body.addLayout(self.rows)
        self.more = Button(theme, say("Show more"), small=True)
        self.more.clicked.connect(self._show_more)
        self.body.addWidget(self.more)
        self.body.addStretch(1)

    def _prints(self) -> dict[str, Button]:
        found: dict[str, Button] = {}
        for act, words, key in (
            ("print", say("Print history"), "H"),
            ("print_owner", say("For the owner"), "Shift+H"),
        ):
            button = Button(self._theme, words, icon_name="print", key=key, kind="link", small=True,
                            shows_only=True)  # fmt: skip
            found[act] = button
            self.head.addWidget(button)
        return found

    def show_entries(self, entries: Sequence[Happened]) -> None:
        """Show another history."""
        self._all = tuple(entries)
        counts = {kind: sum(e.kind == kind for e in entries) for kind, _ in kinds() if kind}
        counts[""] = len(entries)
        for kind, words in kinds():
            self.pills[kind].setText(f"{words} {counts[kind]}")
        self._fill()

    @property
    def shown(self) -> tuple[Happened, ...]:
        """Entries that pass filter and search."""
        words = folded_text(self.search.text()).split()
        return tuple(
            e
            for e in self._all
            if (not self._kind or e.kind == self._kind)
            and all(word in e.searched for word in words)
        )

    def find_in(self) -> None:
        """The keys go to the search field."""
        self.search.setFocus()

    def show_entry(self, kind: str, row_id: int) -> None:
        """Show only what has to do with one entry: its day."""
        entry = next((e for e in self._all if (e.kind, e.row_id) == (kind, row_id)), None)
        if entry is not None:
            self._kind = ""
            self.pills[""].setChecked(True)
            self.search.setText(entry.day)

    def _fill(self) -> None:
        emptied(self.rows)
        found = self.shown
        for n, entry in enumerate(found[: self._n]):
            if n:
                self.rows.addWidget(Hairline(self._theme))
            self.rows.addLayout(self._row(entry))
        if not found:
            words = say("Nothing has happened here yet.")
            if self._all:
                words = say("Nothing in the history holds all of that.")
            self.rows.addWidget(Words(self._theme, words, color="ink2"))
        left = len(found) - self._n
        self.more.setVisible(left > 0)
        self.more.setText(say_n("Show {n} more", "Show {n} more", left))

    def _row(self, entry: Happened) -> QHBoxLayout:
        row = QHBoxLayout()
        row.setSpacing(12)
        day = OneLine(self._theme, entry.day, role="second", color="ink2")
        day.setFixedWidth(self._theme.px(92))
        row.addWidget(day)
        column = QVBoxLayout()
        column.setSpacing(0)
        title = " · ".join(part for part in (entry.title, entry.who) if part)
        column.addWidget(
            SignedLine(self._theme, _ICONS[entry.kind], title, color=entry.color, strong=True)
        )
        for line in entry.lines:
            words = Words(self._theme, line, role="second", color="ink2", wraps=True)
            words.setContentsMargins(self._theme.px(26), 0, 0, 1)
            column.addWidget(words)
        row.addLayout(column, 1)
        if entry.is_kept:
            link = LinkLabel(self._theme, say("Open as it left"))
            link.setObjectName(f"paper:{entry.row_id}")
            link.clicked.connect(self._open_paper)
            row.addWidget(link, 0, Qt.AlignmentFlag.AlignTop)
        return row

    @Slot()
    def _open_paper(self) -> None:
        self.paper_opened.emit(int(self.sender().objectName().partition(":")[2]))

    @Slot(QAbstractButton)
    def _pressed(self, pressed: QAbstractButton) -> None:
        self._kind, self._n = pressed.objectName(), _FIRST
        self._fill()

    @Slot()
    def _searched(self) -> None:
        self._n = _FIRST
        self._fill()

    @Slot()
    def _show_more(self) -> None:
        self._n += 100
        self._fill()
