"""One site's file: when are you coming, its life, people, windows, wires, history."""

from typing import Any

from PySide6.QtCore import Qt, Slot
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QScrollArea, QVBoxLayout, QWidget

from servicedesk.desk.office import Desk
from servicedesk.window.places.registry import places
from servicedesk.window.places.sites_another_day import SiteAnotherDay
from servicedesk.window.places.sites_contracts import ContractsSheet
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.label import Chip, OneLine, Words
from servicedesk.window.widgets.life_strip import LifeStrip
from servicedesk.window.widgets.sheet import Sheet
from servicedesk.window.widgets.site_file_data import SiteSeen, read_secrets, read_site
from servicedesk.window.widgets.site_files import FilesSheet
from servicedesk.window.widgets.site_history import SiteHistory
from servicedesk.window.widgets.site_look import CHIP_LOOKS
from servicedesk.window.widgets.site_papers import SitePapers
from servicedesk.window.widgets.site_rows import Flow, emptied
from servicedesk.window.widgets.site_sheets import (
    ComingSheet,
    PeopleSheet,
    SystemsSheet,
    WiresSheet,
    YearSheet,
)
from servicedesk.window.widgets.site_trouble import SiteTrouble
from servicedesk.window.widgets.site_verbs import Page, SiteVerbs
from servicedesk.window.widgets.site_visits import SiteVisits
from servicedesk.words import say

_THREE_PX = 1120


class SiteFilePage(SiteVerbs, QWidget):
    """Shows what `read` brought; its verbs open forms."""

    def __init__(self, page: Page) -> None:
        super().__init__()
        self._page = page
        self._theme = page.theme
        self._seen: SiteSeen | None = None
        self._site_id = 0
        self._codes_shown = False
        self._has = {kind.id for kind in places()}
        self._build()

    @property
    def address(self) -> str:
        """For the trail."""
        return self._seen.file.head.address if self._seen is not None else ""

    @property
    def seen(self) -> SiteSeen | None:
        """What is shown."""
        return self._seen

    @property
    def scrolled(self) -> int:
        """How far down."""
        return int(self.scroller.verticalScrollBar().value())

    def scroll_to(self, value: object) -> None:
        """As far down as before."""
        if isinstance(value, int):
            self.scroller.verticalScrollBar().setValue(value)

    def first_focus(self) -> QWidget:
        """The strip: it can be walked at once."""
        return self.strip

    def read(self, desk: Desk, site_id: int) -> SiteSeen:
        """On the worker."""
        return read_site(desk, site_id)

    def begin(self, site_id: int) -> None:
        """Another site will be shown; nothing of the one before stays visible."""
        if site_id == self._site_id:
            return
        self._site_id, self._seen, self._codes_shown = site_id, None, False
        self.title.set_text("…")
        self.line.set_text("")
        self.inside.setVisible(False)
        self.trouble.begin()
        self.visits.show_seen(None)
        self.another_day.show_seen(None)
        self.files.show_seen(None)
        self.papers.show_site(None)
        self.scroller.verticalScrollBar().setValue(0)

    def show_seen(self, seen: SiteSeen) -> None:
        """Show a site."""
        self._seen = seen
        file, desk = seen.file, self._page.desk
        self.title.set_text(file.head.address)
        self.line.set_text(file.line)
        self._show_chips(seen)
        self.coming.show_file(
            file, has_rounds="rounds" in self._has, has_phone="phone" in self._has
        )
        self.strip.show_life(seen.life)
        self._show_text()
        self.trouble.show_seen(seen)
        self.visits.show_seen(seen)
        self.another_day.show_seen(seen)
        self.files.show_seen(seen)
        self.papers.show_site(file.head.id)
        self.people.show_file(file, desk)
        self.contracts.show_site(file.head.id)
        self.year.show_file(file, seen.windows, desk)
        self.systems.show_file(file, desk)
        self.wires.show_file(file, desk)
        self.history.show_entries(seen.history)
        self.notes.setVisible(self._visit_to_write() is not None)
        self.inside.setVisible(True)
        self._codes_shown = False
        self._arrange()

    @Slot()
    def _to_contracts(self) -> None:
        """The file was opened for its contracts."""
        self.inside.adjustSize()
        self.scroll_to(self.contracts.y())

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._arrange()

    # verbs

    def turn_secrets(self) -> None:
        """F8: show the codes, or hide them."""
        if self._seen is None:
            return
        if self._codes_shown:
            self._codes_shown = False
            self.systems.show_codes(self._seen.file.secrets, ())
            return
        job = self._page.shell.ask(read_secrets, self._page.desk, self._site_id)
        job.done.connect(self._show_codes)

    def turn_text(self) -> None:
        """T: the strip as text, or drawn."""
        self.as_text.setVisible(not self.as_text.isVisibleTo(self))
        self.strip.setVisible(not self.as_text.isVisibleTo(self))
        self._show_text()

    @Slot()
    def start_notes(self) -> None:
        """Write up the stop of this site."""
        visit = self._visit_to_write()
        if visit is not None:
            self._page.shell.go("writeup", "visit", visit)

    # building

    def _build(self) -> None:
        theme = self._theme
        margin, gap = theme.tokens.space.page_margin, theme.tokens.space.sheet_gap
        outer = QVBoxLayout(self)
        outer.setContentsMargins(margin, 14, margin, 0)
        outer.setSpacing(10)
        outer.addLayout(self._head())
        self.chips = Flow()
        outer.addWidget(self.chips)
        self.inside = QWidget()
        column = QVBoxLayout(self.inside)
        column.setContentsMargins(0, 2, 4, 16)
        column.setSpacing(gap)
        self.coming = ComingSheet(theme)
        self.people, self.year = PeopleSheet(theme), YearSheet(theme)
        self.systems, self.wires = SystemsSheet(theme), WiresSheet(theme)
        self.history = SiteHistory(theme)
        for act, button in self.history.prints.items():
            button.clicked.connect(self._page.keys[act].trigger)
        self.visits = SiteVisits(self._page, self)
        self.another_day = SiteAnotherDay(self._page, self.visits.notice, self)
        column.addWidget(self.coming)
        column.addWidget(self.another_day.sheet)
        column.addWidget(self._strip_sheet())
        self.trouble = SiteTrouble(self._page)
        self.trouble.life_changed.connect(self.strip.show_life)
        column.addWidget(self.trouble)
        self.contracts = ContractsSheet(self._page)
        self.contracts.came.connect(self._to_contracts)
        column.addWidget(self.contracts)
        self.grid = QGridLayout()
        self.grid.setSpacing(gap)
        column.addLayout(self.grid)
        self.papers = SitePapers(self._page, self)
        self.files = FilesSheet(self._page, self.papers.notice)
        self.files.add.clicked.connect(self._page.keys["add_files"].trigger)
        column.addWidget(self.files)
        column.addWidget(self.history)
        column.addStretch(1)
        self.scroller = QScrollArea()
        self.scroller.setWidgetResizable(True)
        self.scroller.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.scroller.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.scroller.setWidget(self.inside)
        self.history.paper_opened.connect(self.papers.open_sent)
        self.coming.plan.clicked.connect(self._page.keys["plan"].trigger)
        self.coming.another.clicked.connect(self._page.keys["another_day"].trigger)
        outer.addWidget(self.trouble.notice)
        outer.addWidget(self.visits.notice)
        outer.addWidget(self.papers.notice)
        outer.addWidget(self.scroller, 1)
        self.coming.day_opened.connect(self._open_day)
        self.coming.call_opened.connect(self._open_call)

    def _head(self) -> QHBoxLayout:
        theme, keys = self._theme, self._page.keys
        row = QHBoxLayout()
        row.setSpacing(10)
        names = QVBoxLayout()
        names.setSpacing(0)
        self.title = OneLine(theme, "", role="page_title")
        self.line = OneLine(theme, "", color="ink2")
        names.addWidget(self.title)
        names.addWidget(self.line)
        row.addLayout(names, 1)
        self.buttons: dict[str, Button] = {}
        looks = (
            ("edit", say("Edit"), "panel", "E"),
            ("owe", say("Owe…"), "owed", "O"),
            ("told", say("Told them…"), "person", "D"),
        )
        for act, words, icon, key in looks:
            button = Button(theme, words, icon_name=icon, key=key, shows_only=True)
            button.clicked.connect(keys[act].trigger)
            self.buttons[act] = button
            row.addWidget(button)
        self.call = Button(theme, say("Log a call"), icon_name="phone")
        self.call.clicked.connect(self._page.log_call)
        if "phone" not in self._has:
            self.call.hide()
        self.notes = Button(theme, say("Start visit notes"), icon_name="note", kind="main")
        self.notes.clicked.connect(self.start_notes)
        self.notes.hide()
        row.addWidget(self.call)
        row.addWidget(self.notes)
        return row

    def _strip_sheet(self) -> Sheet:
        theme = self._theme
        self.strip_sheet = Sheet(
            theme,
            say("Life strip"),
            say("arrows walk, Shift + wheel stretches, drag moves, Home whole life, End last year"),
        )
        self.as_list = Button(theme, say("As text"), key="T", kind="link", small=True,
                              shows_only=True)  # fmt: skip
        self.as_list.clicked.connect(self.turn_text)
        self.strip_sheet.head.addWidget(self.as_list)
        self.strip = LifeStrip(theme)
        self.strip.opened.connect(self._open_entry)
        self.strip.told.connect(self._tell_mark)
        self.strip.stood.connect(self._stood_on)
        hint = say(
            "Arrow keys walk from mark to mark; Enter shows the one stood on in the history."
        )
        self.stood_on = OneLine(theme, hint, role="second", color="ink2")
        self.as_text = QWidget()
        self.text_rows = QVBoxLayout(self.as_text)
        self.text_rows.setContentsMargins(0, 0, 0, 0)
        self.text_rows.setSpacing(2)
        self.as_text.hide()
        self.strip_sheet.body.addWidget(self.strip)
        self.strip_sheet.body.addWidget(self.as_text)
        self.strip_sheet.body.addWidget(self.stood_on)
        return self.strip_sheet

    def _arrange(self) -> None:
        """Three sheets side by side, two where room is short."""
        sheets: list[Sheet] = [self.year, self.people, self.systems]
        if self._seen is not None and self._seen.file.wires:
            sheets.append(self.wires)
        columns = 3 if self.width() >= self._theme.px(_THREE_PX) else 2
        for sheet in sheets:
            self.grid.removeWidget(sheet)
        for n, sheet in enumerate(sheets):
            self.grid.addWidget(sheet, n // columns, n % columns)
        for column in range(3):
            self.grid.setColumnStretch(column, 1 if column < columns else 0)

    def _show_chips(self, seen: SiteSeen) -> None:
        emptied(self.chips.flow)
        chips = [(chip.kind, chip.text) for chip in seen.file.chips]
        if seen.file.position_state != "known":
            none = seen.file.position is None
            chips.append(("place", say("Place not known") if none else say("Place guessed")))
        if seen.trouble_thread is not None:
            one = seen.trouble_thread
            words = say("It came back: {name}, {span}", name=one.name.lower(), span=one.span)
            self.chips.flow.addWidget(Chip(self._theme, words, "plum", "again"))
        for kind, text in chips:
            tone, icon = CHIP_LOOKS.get(kind, ("ink2", "note"))
            self.chips.flow.addWidget(Chip(self._theme, text, tone, icon))

    def _show_text(self) -> None:
        emptied(self.text_rows)
        if not self.as_text.isVisibleTo(self):
            return
        last = ""
        for name, words in self.strip.lines():
            if name != last:
                self.text_rows.addWidget(Words(self._theme, name, role="row_lead"))
                last = name
            self.text_rows.addWidget(Words(self._theme, words, color="ink2", wraps=True))

    def _visit_to_write(self) -> int | None:
        """The stop whose notes can be begun now: planned for today or before."""
        if "writeup" not in self._has or self._seen is None:
            return None
        today = self._page.desk.today
        due = [
            v.id
            for v in self._seen.file.planned
            if v.planned_on is not None and v.planned_on <= today
        ]
        return due[0] if due else None

    # what is pressed

    @Slot(object)
    def _show_codes(self, codes: Any) -> None:
        if self._seen is not None:
            self._codes_shown = True
            self.systems.show_codes(self._seen.file.secrets, codes)

    @Slot(object)
    def _open_day(self, day: object) -> None:
        self._page.shell.go("rounds", day, self._site_id)

    @Slot(object)
    def _open_call(self, call_id: object) -> None:
        self._page.shell.go("phone", "call", call_id)

    @Slot(object)
    def _open_entry(self, key: tuple[str, int]) -> None:
        self.history.show_entry(*key)
        self.scroller.ensureWidgetVisible(self.history)
        self.history.find_in()

    @Slot(object)
    def _stood_on(self, key: tuple[str, int] | None) -> None:
        if key is not None and key[0] == "call":
            self.trouble.choose_call(key[1])

    @Slot(str)
    def _tell_mark(self, words: str) -> None:
        self.stood_on.set_text(words)
