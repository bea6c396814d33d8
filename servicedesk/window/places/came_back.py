"""It came back: alerts of repeat calls in a list, one of them whole beside it."""

from typing import ClassVar

from PySide6.QtCore import Qt, QTimer, Slot
from PySide6.QtWidgets import QAbstractButton, QButtonGroup, QHBoxLayout, QVBoxLayout, QWidget

from servicedesk.desk import alerts
from servicedesk.desk.alert_lines import AlertLine
from servicedesk.desk.alert_page import AlertLists, AlertPage, alert_lists, alert_page
from servicedesk.desk.put_check import put_on_next_visit
from servicedesk.desk.second_opinion_file import write_second_opinion
from servicedesk.window.actions import Act
from servicedesk.window.places.base import DeskPlace
from servicedesk.window.places.came_back_acts import (
    came_back_acts,
    dial_and_look,
    filters,
    nothing_text,
)
from servicedesk.window.places.registry import places
from servicedesk.window.shell import Shell
from servicedesk.window.widgets import alert_forms as forms
from servicedesk.window.widgets.alert_page import AlertView, checks_to_do
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.came_back_rows import AlertPainter, alert_row
from servicedesk.window.widgets.label import Words
from servicedesk.window.widgets.opinion_notice import OpinionNotice
from servicedesk.window.widgets.setup_form import Forms
from servicedesk.window.widgets.sheet import Sheet
from servicedesk.window.widgets.today_rows import RowsView
from servicedesk.words import say

_READ_AFTER_MS = 120
_LIST_PX, _NARROW_PX, _WIDE_FROM_PX = 384, 312, 1100


class CameBackPlace(DeskPlace):
    """() is the list with its first alert; (id,) that alert."""

    name: ClassVar[str] = "came_back"

    def __init__(self, shell: Shell) -> None:
        super().__init__(shell)
        self._there = {kind.id for kind in places()}
        self._asked: object = None
        self._reading: object = None
        self._fleet: object = None
        self._wanted: int | None = None
        self._filter = "open"
        self.lists: AlertLists | None = None
        self.page: AlertPage | None = None
        self._forms = Forms(shell, self)
        self._soon = QTimer(self)
        self._soon.setSingleShot(True)
        self._soon.setInterval(_READ_AFTER_MS)
        self._soon.timeout.connect(self._read_alert)
        self._build()

    @property
    def chosen(self) -> AlertLine | None:
        """The alert that the keys act on."""
        thing = self.list.chosen
        return thing if isinstance(thing, AlertLine) else None

    # what the frame asks

    def acts(self) -> tuple[Act, ...]:
        return came_back_acts(self)

    def title(self) -> str:
        return self.chosen.address if self.chosen is not None else ""

    def show_record(self, ids: tuple[object, ...]) -> None:
        if ids and isinstance(ids[0], int):
            self._wanted = ids[0]
            self._choose_wanted()

    def refresh(self, changed: object) -> None:
        job = self.shell.ask(alert_lists, self.desk)
        self._asked = job
        job.done.connect(self._arrived)

    def position(self) -> object:
        return (self._filter, self.chosen.id if self.chosen else None)

    def restore(self, position: object) -> None:
        if isinstance(position, tuple) and len(position) == 2:
            self._filter, self._wanted = position
            self._choose_wanted()

    def first_focus(self) -> QWidget:
        return self.list if self.list.isVisibleTo(self) else self.look

    # building

    def _build(self) -> None:
        margin = self.theme.tokens.space.page_margin
        column = QVBoxLayout(self)
        column.setContentsMargins(margin, 14, margin, 16)
        column.setSpacing(10)
        column.addLayout(self._head())
        self.notice = OpinionNotice(self.theme)
        column.addWidget(self.notice)
        self.nothing = Sheet(self.theme)
        self.none_words = Words(self.theme, color="ink2", wraps=True)
        self.look = Button(self.theme, say("Look now"), icon_name="find", kind="main")
        self.look.clicked.connect(self.look_now)
        self.nothing.body.addWidget(self.none_words)
        self.nothing.body.addWidget(self.look, 0, Qt.AlignmentFlag.AlignLeft)
        self.nothing.body.addStretch(1)
        self.nothing.hide()
        column.addWidget(self.nothing, 1)
        self.both = QWidget()
        row = QHBoxLayout(self.both)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(self.theme.tokens.space.sheet_gap)
        self.list_sheet = Sheet(self.theme)
        self.list_sheet.setAccessibleName(say("Alerts"))
        self._tighten()
        self.theme.changed.connect(self._tighten)
        self.list = RowsView(self.theme, say("Alerts"), AlertPainter(self.theme), fits=False)
        self.list.opened.connect(self._open_thing)
        self.list.current_changed.connect(self._moved)
        self.list_sheet.body.addWidget(self.list, 1)
        self.view = AlertView(self.theme, self.keys)
        self.view.head.site_wanted.connect(self.open_site)
        row.addWidget(self.list_sheet)
        row.addWidget(self.view, 1)
        column.addWidget(self.both, 1)
        self.both.hide()

    def _head(self) -> QHBoxLayout:
        row = QHBoxLayout()
        row.setSpacing(8)
        row.addWidget(Words(self.theme, say("It came back"), role="page_title"))
        row.addSpacing(8)
        self.pills, group = {}, QButtonGroup(self)
        for name, words in filters():
            self.pills[name] = self._pill(group, name, words, row)
        group.buttonClicked.connect(self._pressed)
        row.addStretch(1)
        row.addWidget(Words(self.theme, say("Alerts:"), role="second", color="ink2"))
        self.dial, dial_group = {}, QButtonGroup(self)
        for dial, words in ((-1, say("fewer −")), (0, say("as usual")), (1, say("more +"))):
            self.dial[dial] = self._pill(dial_group, str(dial), words, row)
        dial_group.buttonClicked.connect(self._dial_pressed)
        return row

    @Slot()
    def _tighten(self) -> None:
        """Rows of a list go nearly to the edge of their sheet."""
        layout = self.list_sheet.layout()
        if layout is not None:
            layout.setContentsMargins(4, 4, 4, 4)

    def _pill(self, group: QButtonGroup, name: str, words: str, row: QHBoxLayout) -> Button:
        pill = Button(self.theme, words, kind="pill")
        pill.setObjectName(name)
        group.addButton(pill)
        row.addWidget(pill, 0, Qt.AlignmentFlag.AlignVCenter)
        return pill

    # what comes home

    @Slot(object)
    def _arrived(self, lists: AlertLists) -> None:
        if self.sender() is not self._asked:
            return
        self.lists = lists
        for name, words in filters():
            self.pills[name].setText(f"{words} {len(self._lines(name))}")
        self.dial[lists.dial].setChecked(True)
        self._show()

    def _lines(self, name: str) -> tuple[AlertLine, ...]:
        if self.lists is None:
            return ()
        return {"open": self.lists.open, "off": self.lists.put_off,
                "settled": self.lists.settled}[name]  # fmt: skip

    def _show(self) -> None:
        """Fill the list; the alert itself stays chosen, otherwise its neighbor."""
        if self.lists is None:
            return
        wanted = self._wanted
        if wanted is not None:
            self._filter = next(
                (n for n, _ in filters() if any(o.id == wanted for o in self._lines(n))),
                self._filter,
            )
        lines = self._lines(self._filter)
        self.pills[self._filter].setChecked(True)
        kept = wanted if wanted is not None else self.chosen.id if self.chosen else None
        at = max(self.list.currentIndex().row(), 0)
        self.list.show_rows([alert_row(self.desk, line) for line in lines])
        self.both.setVisible(bool(lines))
        self.nothing.setVisible(not lines)
        self.none_words.setText(nothing_text(self._filter))
        self.look.setVisible(self._filter == "open")
        again = next((line for line in lines if line.id == kept), None)
        self._wanted = None
        if again is not None:
            self.list.choose(again)
        elif lines:
            self.list.setCurrentIndex(self.list.rows.index(min(at, len(lines) - 1)))
        self._read_alert()
        self.keys.refresh()
        if self.isVisible() and self.focusWidget() in (None, self, self.look):
            self.first_focus().setFocus()
        self.trail_changed.emit()

    def _choose_wanted(self) -> None:
        if self.lists is not None and self._wanted is not None:
            self._show()

    @Slot(object)
    def _moved(self, _thing: object) -> None:
        self._soon.start()
        self.keys.refresh()
        self.trail_changed.emit()

    @Slot()
    def _read_alert(self) -> None:
        self._soon.stop()
        chosen = self.chosen
        if chosen is None:
            return
        job = self.shell.ask(alert_page, self.desk, chosen.id)
        self._reading = job
        job.done.connect(self._alert_read)

    @Slot(object)
    def _alert_read(self, page: AlertPage) -> None:
        chosen = self.chosen
        if self.sender() is not self._reading or chosen is None:
            return
        self._show_page(page, was_asked=bool(page.detail.fleet))
        if not page.detail.fleet:
            job = self.shell.work.start(alert_page, self.desk, chosen.id, with_fleet=True)
            self._fleet = job
            job.done.connect(self._fleet_read)

    @Slot(object)
    def _fleet_read(self, page: AlertPage) -> None:
        chosen = self.chosen
        if self.sender() is self._fleet and chosen and page.detail.line.id == chosen.id:
            self.view.fleet.show_detail(page.detail, was_asked=True)

    def _show_page(self, page: AlertPage, *, was_asked: bool) -> None:
        self.page = page
        self.view.show_page(page, self.desk, was_asked=was_asked)
        self.keys.refresh()

    def resizeEvent(self, event: object) -> None:
        super().resizeEvent(event)  # type: ignore[arg-type]
        wide = self.width() >= self.theme.px(_WIDE_FROM_PX)
        self.list_sheet.setFixedWidth(self.theme.px(_LIST_PX if wide else _NARROW_PX))

    # verbs

    @Slot()
    def open_site(self) -> None:
        """The file of the site."""
        if self.chosen is not None and "sites" in self._there:
            self.shell.go("sites", self.chosen.site_id)

    def acknowledge(self) -> None:
        """Somebody has looked at it."""
        one = self.chosen
        if one is not None:
            self.shell.change(alerts.acknowledge, self.desk, one.id, seen=one.revision)

    def put_check(self) -> None:
        """The checks never done go with the next visit."""
        if self.page is not None:
            self.shell.change(put_on_next_visit, self.desk, checks_to_do(self.page))

    def plan(self) -> None:
        """A visit by a day, then its day in Rounds."""
        if self.page is None:
            return
        line = self.page.detail.line
        form = self._forms.form(self.desk)
        form.open_form(
            say("Plan a visit to {address}", address=line.address),
            forms.plan_fields(),
            {},
            forms.WritePlanned(self.desk, checks_to_do(self.page)),
            button=say("Write it"),
            hint=say("It waits in Rounds among what has no day yet, with the checks to make."),
        )
        form.written.connect(self._planned, Qt.ConnectionType.UniqueConnection)
        self._planning = line.site_id

    def put_off(self) -> None:
        """Till a day."""
        one = self.chosen
        if one is not None:
            self._forms.form(self.desk).open_form(
                say("Put off: {address}", address=one.address),
                forms.put_off_fields(),
                {},
                forms.WritePutOff(self.desk, one.id),
                button=say("Put it off"),
                seen=one.revision,
            )

    def settle(self) -> None:
        """With a reason, and whether it was right."""
        one = self.chosen
        if one is not None:
            self._forms.form(self.desk).open_form(
                say("Settle: {address}", address=one.address),
                forms.settle_fields(),
                {"judged": "right"},
                forms.WriteSettled(self.desk, one.id),
                button=say("Settle it"),
                hint=say("It opens again by itself if that trouble calls again."),
                seen=one.revision,
            )

    def opinion(self) -> None:
        """One page to take along."""
        one = self.chosen
        if one is None:
            return
        job = self.shell.ask(
            write_second_opinion, self.desk, site_id=one.site_id, system_id=one.system_id,
            symptoms=(one.symptom,), title=say("Writing the second opinion"),
        )  # fmt: skip
        job.done.connect(self.notice.tell_written)

    @Slot()
    def look_now(self) -> None:
        """Look whether anything came back."""
        self.shell.change(alerts.look_for_alerts, self.desk, title=say("Looking at all calls"))

    def turn_page(self, pages: int) -> None:
        """The alert itself, a page down or up, while the keys stay in the list."""
        bar = self.view.verticalScrollBar()
        bar.setValue(bar.value() + pages * bar.pageStep())

    def fewer(self) -> None:
        """One step down on the dial."""
        self._turn(-1)

    def more(self) -> None:
        """One step up on the dial."""
        self._turn(1)

    def _turn(self, by: int) -> None:
        if self.lists is not None:
            self._set_dial(min(1, max(-1, self.lists.dial + by)))

    def _set_dial(self, dial: int) -> None:
        if self.lists is not None and dial != self.lists.dial:
            self.shell.change(dial_and_look, self.desk, dial, title=say("Looking at all calls"))

    @Slot(QAbstractButton)
    def _dial_pressed(self, pressed: QAbstractButton) -> None:
        self._set_dial(int(pressed.objectName()))

    @Slot(QAbstractButton)
    def _pressed(self, pressed: QAbstractButton) -> None:
        self._filter = pressed.objectName()
        self._show()

    @Slot(object)
    def _planned(self, _touched: object) -> None:
        site_id, self._planning = self._planning, None
        if site_id is not None and "rounds" in self._there:
            self.shell.go("rounds", self.desk.today, site_id)

    @Slot(object, bool)
    def _open_thing(self, thing: object, beside: bool) -> None:
        if isinstance(thing, AlertLine) and "sites" in self._there:
            self.shell.go("sites", thing.site_id, beside=beside)

    _planning: int | None = None
