"""Knowledge: what the program knows about faults, and what the company added to it."""

from dataclasses import replace
from typing import ClassVar, Literal

from PySide6.QtCore import Slot
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from servicedesk.desk.knowledge_bits import PageLine
from servicedesk.desk.knowledge_lists import LEARNED, KnowledgeLine, KnowledgeSeen, knowledge_seen
from servicedesk.desk.knowledge_page import page_of
from servicedesk.desk.learned import learned
from servicedesk.trouble.learning import Learned
from servicedesk.window.actions import Act
from servicedesk.window.places.base import DeskPlace
from servicedesk.window.places.knowledge_acts import KnowledgeVerbs
from servicedesk.window.shell import Shell
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.knowledge_list import KnowledgeList
from servicedesk.window.widgets.knowledge_page import PageSheet
from servicedesk.window.widgets.label import OneLine, Words
from servicedesk.window.widgets.site_rows import Flow
from servicedesk.words import say, say_n

Shown = tuple[str, str]


class KnowledgePlace(DeskPlace):
    """Lists at the left, the chosen entry as a page at the right.

    Reading is done on the worker, own cases are counted after that. `show_record` takes kind and
    id: symptom, cause, check, part, own, learned.
    """

    name: ClassVar[str] = "knowledge"

    def __init__(self, shell: Shell) -> None:
        self.seen: KnowledgeSeen | None = None
        self.shown: Shown | None = None
        self._asked: object = None
        self._counting: object = None
        self._wanted: Shown | None = None
        self._scroll: int | None = None
        self._reads_page = False
        self.verbs = KnowledgeVerbs(self, shell)
        super().__init__(shell)
        margin = self.theme.tokens.space.page_margin
        column = QVBoxLayout(self)
        column.setContentsMargins(margin, 14, margin, 16)
        column.setSpacing(10)
        head = QHBoxLayout()
        head.setSpacing(12)
        head.addWidget(Words(self.theme, say("Knowledge"), role="page_title"))
        self.told = OneLine(self.theme, "", role="second", color="ink2")
        head.addWidget(self.told, 1)
        column.addLayout(head)
        column.addWidget(self._buttons())
        for act_id in ("write_file", "read_file"):
            head.addWidget(self._button(act_id))
        self.list = KnowledgeList(self.theme)
        self.sheet = PageSheet(self.theme)
        self.page = self.sheet.page
        self.forget = self._button("forget")
        self.forget.hide()
        self.sheet.head.addWidget(self.forget)
        parts = QHBoxLayout()
        parts.setSpacing(self.theme.tokens.space.sheet_gap)
        parts.addWidget(self.list, 4)
        parts.addWidget(self.sheet, 7)
        column.addLayout(parts, 1)
        self.list.chosen_changed.connect(self._chosen_changed)
        self.list.opened.connect(self._open_entry)
        self.page.opened.connect(self._follow)
        self.page.current_changed.connect(self.keys.refresh)

    def acts(self) -> tuple[Act, ...]:
        return self.verbs.acts()

    def title(self) -> str:
        return self.sheet.title_label.text() if self.shown else ""

    def show_record(self, ids: tuple[object, ...]) -> None:
        """Show an entry; () leaves what is shown."""
        self._reads_page = len(ids) == 2
        if len(ids) == 2:
            self._wanted = (str(ids[0]), str(ids[1]))
            self._show_wanted()

    def refresh(self, changed: object) -> None:
        job = self.shell.ask(knowledge_seen, self.desk)
        self._asked = job
        job.done.connect(self._arrived)

    def first_focus(self) -> QWidget:
        return self.page if self._reads_page else self.list.rows

    def position(self) -> object:
        return (self.shown, self.page.verticalScrollBar().value())

    def restore(self, position: object) -> None:
        if isinstance(position, tuple) and position[0] is not None:
            self._wanted, self._scroll = position
            self._show_wanted()

    def find_here(self) -> None:
        """Put the keys in the field of the list."""
        self.list.field.setFocus()
        self.list.field.selectAll()

    # what comes home

    @Slot(object)
    def _arrived(self, seen: KnowledgeSeen) -> None:
        if self.sender() is not self._asked:
            return
        before = self.seen
        if before is not None and before.is_counted:
            seen = replace(seen, learned=before.learned, is_counted=True)
        self.seen = seen
        self.list.show_lists(seen.lists, seen.trouble)
        self._tell()
        if not self._show_wanted():
            self._show_page()
        if not seen.trouble:
            job = self.shell.ask(learned, self.desk)
            self._counting = job
            job.done.connect(self._counted)

    @Slot(object)
    def _counted(self, found: Learned) -> None:
        if self.sender() is not self._counting or self.seen is None:
            return
        before = self.seen
        self.seen = replace(before, learned=found, is_counted=True)
        if not before.is_counted or before.learned != found:
            self._tell()
            self._show_page()

    def _tell(self) -> None:
        seen = self.seen
        if seen is None:
            return
        n_own = sum(row.ended_on is None for row in seen.own)
        n_cases = sum(seen.learned.n_cases(symptom) for symptom in seen.learned.causes)
        parts = [
            say_n("{n} own entry", "{n} own entries", n_own),
            say_n("{n} own case counted", "{n} own cases counted", n_cases)
            if seen.is_counted
            else say("own cases are being counted"),
            say("version {version}", version=seen.known.version),
        ]
        self.told.set_text(" · ".join(parts))

    # going about

    @Slot(object)
    def _chosen_changed(self, line: KnowledgeLine) -> None:
        if (line.kind, line.id) != self.shown:
            self.shown = (line.kind, line.id)
            self._show_page()
            self.trail_changed.emit()

    @Slot(object, bool)
    def _open_entry(self, thing: object, beside: bool) -> None:
        if isinstance(thing, KnowledgeLine):
            self.shell.go(self.name, thing.kind, thing.id, beside=beside)

    @Slot(object, bool)
    def _follow(self, thing: object, beside: bool) -> None:
        if isinstance(thing, PageLine) and thing.to is not None:
            self.shell.go(self.name, *thing.to, beside=beside)

    def _show_wanted(self) -> bool:
        """Show what somebody asked for, if it has been read; False if nothing was shown."""
        if self.seen is None or self._wanted is None:
            return False
        wanted, self._wanted = self._wanted, None
        self.shown = wanted
        self.list.choose(*wanted)
        self._show_page()
        self.trail_changed.emit()
        return True

    def _show_page(self) -> None:
        seen = self.seen
        if seen is None or self.shown is None:
            return
        at = self.page.verticalScrollBar().value()
        lines = page_of(self.desk, seen, *self.shown)
        is_same = bool(lines) and lines[0].text == self.sheet.title_label.text()
        self.sheet.show_page(lines)
        self.forget.setVisible(self.shown[0] == LEARNED)
        wanted = self._scroll if self._scroll is not None else at if is_same else 0
        self._scroll = None
        self.page.scroll_to(wanted)
        if self.page.hasFocus():
            self.page.setCurrentIndex(self.page.rows.index(max(0, self.page.rows.step(-1, 1))))
        self.keys.refresh()

    def _buttons(self) -> Flow:
        flow = Flow(gap=8)
        for act_id in ("new_cause", "new_check", "new_part", "copy", "often", "change", "end"):
            flow.flow.addWidget(self._button(act_id))
        return flow

    def _button(self, act_id: str) -> Button:
        words, key, icon = self.verbs.buttons()[act_id]
        kind: Literal["main", "plain"] = "main" if act_id == "new_cause" else "plain"
        button = Button(
            self.theme, words, key=key, icon_name=icon, small=True, shows_only=True, kind=kind
        )
        button.clicked.connect(self.keys[act_id].trigger)
        self.keys[act_id].enabledChanged.connect(button.setEnabled)
        button.setEnabled(self.keys[act_id].isEnabled())
        return button
