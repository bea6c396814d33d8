"""Today: what must I do before anything else?"""

from typing import ClassVar

from PySide6.QtCore import Qt, Slot
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QScrollArea, QVBoxLayout, QWidget

from servicedesk.desk.coming import day_title, first_upper
from servicedesk.desk.office import Desk
from servicedesk.desk.owed import OwedLine
from servicedesk.desk.today import CLOSING_DAYS, ClosingWindow, Today, todays_page
from servicedesk.window.models.row_delegate import RowPainter
from servicedesk.window.models.row_list import Row
from servicedesk.window.places.base import Place
from servicedesk.window.places.registry import places
from servicedesk.window.shell import Shell
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.label import LinkedText, Words
from servicedesk.window.widgets.sheet import Sheet
from servicedesk.window.widgets.today_came_back import CameBackSheet
from servicedesk.window.widgets.today_closing import ClosingAxis, ClosingPainter, closing_row
from servicedesk.window.widgets.today_ribbon import OutToday
from servicedesk.window.widgets.today_rows import RowsView
from servicedesk.window.widgets.today_sentence import sentence_html
from servicedesk.window.widgets.today_waiting import WaitingList
from servicedesk.window.widgets.today_year import YearBars
from servicedesk.words import say, say_n

_CLOSING_SHOWN = 8
_OWED_SHOWN = 5
_TWO_COLUMNS_PX = 900


class TodayPlace(Place):
    """The opening page. Read on the worker; what it shows is kept until the next answer."""

    name: ClassVar[str] = "today"

    def __init__(self, shell: Shell) -> None:
        super().__init__(shell)
        self._asked: object = None
        self.page: Today | None = None
        self._there = {kind.id for kind in places()}
        self.column = QVBoxLayout(self)
        self.column.setContentsMargins(0, 0, 0, 0)
        self.area = QScrollArea()
        self.area.setWidgetResizable(True)
        self.area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.column.addWidget(self.area)
        self.area.setWidget(self._built())
        shell.bus.minute.connect(self._minute)

    @property
    def desk(self) -> Desk:
        """The desk that the office sits at now."""
        found = self.shell.office.desk  # type: ignore[attr-defined]
        if not isinstance(found, Desk):
            raise TypeError("the office has no desk")
        return found

    def refresh(self, changed: object) -> None:
        job = self.shell.ask(todays_page, self.desk)
        self._asked = job
        job.done.connect(self._arrived)
        if "came_back" in self._there:
            self.back.read()

    def position(self) -> object:
        return self.area.verticalScrollBar().value()

    def restore(self, position: object) -> None:
        if isinstance(position, int):
            self.area.verticalScrollBar().setValue(position)

    def first_focus(self) -> QWidget:
        rows = self.waiting.rows
        return rows[0].place if rows else self.sentence

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        # large text in a small window: one column, so that addresses can still be read
        is_wide = self.width() >= self.theme.px(_TWO_COLUMNS_PX)
        way = QHBoxLayout.Direction.LeftToRight if is_wide else QHBoxLayout.Direction.TopToBottom
        self.sheets.setDirection(way)

    # building

    def _built(self) -> QWidget:
        theme = self.theme
        space = theme.tokens.space
        inside = QWidget()
        column = QVBoxLayout(inside)
        column.setContentsMargins(space.page_margin, 14, space.page_margin, 18)
        column.setSpacing(8)
        head = QHBoxLayout()
        head.setSpacing(16)
        self.day = Words(theme, role="page_title")
        self.time = Words(theme, color="ink2")
        head.addWidget(self.day, 0, Qt.AlignmentFlag.AlignBaseline)
        head.addWidget(self.time, 1, Qt.AlignmentFlag.AlignBaseline)
        column.addLayout(head)
        self.sentence = LinkedText(theme, role="row_lead_alone")
        self.sentence.setAccessibleName(say("The day in one sentence"))
        self.sentence.linkActivated.connect(self._follow)
        column.addWidget(self.sentence)
        column.addSpacing(4)
        sheets = self.sheets = QHBoxLayout()
        sheets.setSpacing(space.sheet_gap)
        for stretch, made in (
            (16, (self._waiting_sheet(), self._out_sheet(), self._year_sheet())),
            (10, (self._back_sheet(), self._closing_sheet(), self._owed_sheet())),
        ):
            side = QVBoxLayout()
            side.setSpacing(space.sheet_gap)
            for sheet in made:
                side.addWidget(sheet)
            side.addStretch(1)
            sheets.addLayout(side, stretch)
        column.addLayout(sheets)
        column.addStretch(1)
        return inside

    def _waiting_sheet(self) -> Sheet:
        sheet = Sheet(self.theme, say("Waiting for an answer"), say("oldest promise first"))
        self.waiting = WaitingList(self.theme)
        self.waiting.opened.connect(self._open_call)
        self.waiting.placed.connect(self._open_call)
        self.waiting.all_wanted.connect(self._open_phone)
        self.no_calls = Words(self.theme, color="ink2", wraps=True)
        self.no_calls.setText(say("Nobody waits for an answer. A call that is logged stands here."))
        sheet.body.addWidget(self.no_calls)
        sheet.body.addWidget(self.waiting)
        return sheet

    def _out_sheet(self) -> Sheet:
        self.out_sheet = Sheet(self.theme, say("Out today"), say("the upright line is now"))
        self._add_link(self.out_sheet, "rounds", say("Open the day"))
        self.out = OutToday(self.theme, self.desk.formats)
        self.out.opened.connect(self._open_rounds)
        self.no_rounds = Words(self.theme, color="ink2", wraps=True)
        self.no_rounds.setText(
            say("Here stands who is where, once the rounds of today are planned.")
        )
        self.plan = Button(self.theme, say("Plan the day"), icon_name="rounds", kind="main")
        self.plan.clicked.connect(self._open_rounds)
        self.out_sheet.body.addWidget(self.no_rounds)
        self.out_sheet.body.addWidget(self.plan, 0, Qt.AlignmentFlag.AlignLeft)
        self.out_sheet.body.addWidget(self.out)
        return self.out_sheet

    def _back_sheet(self) -> Sheet:
        self.back = CameBackSheet(self.shell)
        if "came_back" not in self._there:
            self.back.hide()
        return self.back

    def _year_sheet(self) -> Sheet:
        self.year_sheet = Sheet(self.theme, say("Inspections of the year"))
        self.bars = YearBars(self.theme)
        self.no_year = Words(self.theme, color="ink2", wraps=True)
        self.no_year.setText(
            say("No contract runs today. With the first one its inspections stand here.")
        )
        self.year_sheet.body.addWidget(self.no_year)
        self.year_sheet.body.addWidget(self.bars)
        return self.year_sheet

    def _closing_sheet(self) -> Sheet:
        hint = say("next {n} days", n=CLOSING_DAYS)
        self.closing_sheet = Sheet(self.theme, say("Windows closing"), hint)
        self._add_link(self.closing_sheet, "ahead", say("All in Ahead"))
        formats = self.desk.formats
        self.axis = ClosingAxis(self.theme, formats)
        self._closing_painter = ClosingPainter(self.theme, formats)
        name = say("Windows closing")
        self.closing = RowsView(self.theme, name, self._closing_painter)
        self.closing.opened.connect(self._open_site)
        self.more_closing = Words(self.theme, role="second", color="ink2")
        self.no_closing = Words(self.theme, color="ink2", wraps=True)
        self.no_closing.setText(say("No window closes in the next {n} days.", n=CLOSING_DAYS))
        for widget in (self.no_closing, self.axis, self.closing, self.more_closing):
            self.closing_sheet.body.addWidget(widget)
        return self.closing_sheet

    def _owed_sheet(self) -> Sheet:
        self.owed_sheet = Sheet(self.theme, say("Owed"), say("soonest first"))
        self._add_link(self.owed_sheet, "owed", say("Open Owed"))
        painter = RowPainter(self.theme, hairlines=True)
        self.owed = RowsView(self.theme, say("Owed"), painter)
        self.owed.opened.connect(self._open_site)
        self.more_owed = Words(self.theme, role="second", color="ink2")
        self.no_owed = Words(self.theme, color="ink2", wraps=True)
        self.no_owed.setText(say("Nothing is owed. What a visit leaves unfinished stands here."))
        for widget in (self.no_owed, self.owed, self.more_owed):
            self.owed_sheet.body.addWidget(widget)
        return self.owed_sheet

    def _add_link(self, sheet: Sheet, place: str, words: str) -> None:
        if place not in self._there:
            return
        key = next((kind.shortcut for kind in places() if kind.id == place), "")
        link = Button(self.theme, words, kind="link", key=key, shows_only=True)
        link.setObjectName(place)
        link.clicked.connect(self._open_named)
        sheet.head.addWidget(link)

    # what comes home

    @Slot(object)
    def _arrived(self, page: Today) -> None:
        if self.sender() is self._asked:
            self.show_page(page)

    def show_page(self, page: Today) -> None:
        """Show the day; rows that are still there stay where they are."""
        desk = self.desk
        self.page = page
        self.day.setText(day_title(desk, page.day))
        self.time.setText(desk.formats.time(page.now_min))
        self.sentence.set_html(sentence_html(desk, page))
        self.waiting.show_calls(desk, page.calls)
        self.waiting.setVisible(bool(page.calls))
        self.no_calls.setVisible(not page.calls)
        has_rounds = any(one.stops for one in page.rounds)
        self.out.show_rounds([one for one in page.rounds if one.stops], page.now_min)
        self.out.setVisible(has_rounds)
        self.no_rounds.setVisible(not has_rounds)
        self.plan.setVisible(not has_rounds and "rounds" in self._there)
        self.bars.show_lines(page.year)
        self.bars.setVisible(bool(page.year))
        self.no_year.setVisible(not page.year)
        self._show_closing(page)
        self._show_owed(page)
        self.year_sheet.set_title(say("Inspections of the year"), _year_hint(desk, page))
        if self.isVisible() and self.focusWidget() in (None, self, self.sentence):
            self.first_focus().setFocus()

    def _show_closing(self, page: Today) -> None:
        desk = self.desk
        self._closing_painter.today = page.day
        self.axis.show_day(page.day)
        shown = page.closing[:_CLOSING_SHOWN]
        self.closing.show_rows([closing_row(one, page.day, desk.formats) for one in shown])
        for widget in (self.axis, self.closing):
            widget.setVisible(bool(shown))
        self.no_closing.setVisible(not shown)
        rest = page.n_closing - len(shown)
        self.more_closing.setText(say_n("and {n} more", "and {n} more", rest) if rest > 0 else "")
        self.more_closing.setVisible(rest > 0)

    def _show_owed(self, page: Today) -> None:
        shown = page.owed[:_OWED_SHOWN]
        self.owed.show_rows([_owed_row(self.desk, one) for one in shown])
        self.owed.setVisible(bool(shown))
        self.no_owed.setVisible(not shown)
        rest = page.n_owed - len(shown)
        self.more_owed.setText(say_n("and {n} more", "and {n} more", rest) if rest > 0 else "")
        self.more_owed.setVisible(rest > 0)

    @Slot()
    def _minute(self) -> None:
        if self.isVisible():
            self.refresh(None)

    # going elsewhere

    def _go(self, place: str, *ids: object, beside: bool = False) -> None:
        if place in self._there:
            self.shell.go(place, *ids, beside=beside)

    @Slot(str)
    def _follow(self, href: str) -> None:
        place, _, call_id = href.partition(":")
        if place == "call":
            self._go("phone", "call", int(call_id))
        elif place == "rounds" and self.page is not None:
            self._open_rounds()
        else:
            self._go(place if place in self._there else "rounds")

    @Slot()
    def _open_named(self) -> None:
        place = self.sender().objectName()
        if place == "rounds":
            self._open_rounds()
        else:
            self._go(place)

    @Slot()
    def _open_rounds(self) -> None:
        self._go("rounds", self.desk.today)

    @Slot()
    def _open_phone(self) -> None:
        self._go("phone")

    @Slot(int)
    def _open_call(self, call_id: int) -> None:
        self._go("phone", "call", call_id)

    @Slot(object, bool)
    def _open_site(self, thing: object, beside: bool) -> None:
        if isinstance(thing, ClosingWindow):
            self._go("sites", thing.site_id, beside=beside)
        elif isinstance(thing, OwedLine):
            self._go("sites", thing.row.site_id, beside=beside)


def _year_hint(desk: Desk, page: Today) -> str:
    if not page.year:
        return ""
    sites = say_n("{n} site", "{n} sites", page.n_sites)
    last = page.year[-1].last_closes_on
    if last is None:
        return sites
    day = desk.formats.day(last, near=page.day)
    return say("{sites}, of the contract years that run now, the last closes {day}",
               sites=sites, day=day)  # fmt: skip


def _owed_row(desk: Desk, one: OwedLine) -> Row:
    """What is owed: the thing, where and since when, and how pressing its last day is."""
    since = desk.formats.day(one.row.since_on, near=desk.today)
    second = say("{address} · since {day}", address=one.row.address, day=since)
    if one.days_left is None:
        right, color = desk.formats.days(one.days_old), "ochre"
        right = say("{days} old", days=right)
    elif one.days_left < 0:
        right, color = say("{days} late", days=desk.formats.days(-one.days_left)), "clay"
    else:
        right, color = say("{days} left", days=desk.formats.days(one.days_left)), "ochre"
    return Row(
        title=first_upper(one.row.what),
        second=second,
        icon="owed",
        right=right,
        right_color=color,
        thing=one,
    )
