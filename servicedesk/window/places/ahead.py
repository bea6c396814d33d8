"""Ahead: does everything still fit before its window shuts? Hours, open windows, filling weeks."""

from datetime import date, timedelta
from typing import ClassVar

from PySide6.QtCore import Qt, Slot
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QVBoxLayout, QWidget

from servicedesk.desk.ahead_hours import people_weeks
from servicedesk.desk.ahead_page import (
    AheadPage,
    ahead_page,
    placed_in_draft,
    placed_in_orders,
    take_day,
)
from servicedesk.desk.ahead_windows import BestDay, best_days
from servicedesk.desk.period import Draft, take
from servicedesk.desk.usual import PLAN_WEEKS
from servicedesk.window.actions import Act
from servicedesk.window.places import ahead_why as why
from servicedesk.window.places import ahead_words as texts
from servicedesk.window.places.ahead_acts import ahead_acts
from servicedesk.window.places.ahead_planner import Search, WeeksPlanner
from servicedesk.window.places.base import DeskPlace
from servicedesk.window.shell import Shell
from servicedesk.window.widgets.ahead_draft import DraftSheet
from servicedesk.window.widgets.ahead_head import AheadHead
from servicedesk.window.widgets.ahead_hours import HoursSheet
from servicedesk.window.widgets.ahead_strip import FillStrip
from servicedesk.window.widgets.ahead_windows import WindowsSheet, chosen_windows
from servicedesk.window.widgets.ahead_windows_shapes import spoken_window
from servicedesk.window.work import Job
from servicedesk.words import say, say_n

_HOURS_SHARE, _HOURS_SHARE_LOW = 0.46, 0.4  # of the page at most; more technicians scroll
_LOW = 620  # px at 100 %: less height has tight rows
_SHORT = 580  # px at 100 %: less height has no room for both sheets and the strip


class AheadPlace(DeskPlace):
    """Read on the worker; a plan in the making and its draft live here until taken or left."""

    name: ClassVar[str] = "ahead"

    def __init__(self, shell: Shell) -> None:
        self.page: AheadPage | None = None
        self.draft: Draft | None = None
        self._reading: Job | None = None
        super().__init__(shell)
        self.planner = WeeksPlanner(shell, self)
        self.strip = FillStrip(self.theme)
        self.hours = HoursSheet(self.theme)
        self.windows = WindowsSheet(self.theme)
        self.told = DraftSheet(self.theme)
        self._build()
        self._connect()

    def _build(self) -> None:
        space = self.theme.tokens.space
        column = QVBoxLayout(self)
        column.setContentsMargins(space.page_margin, 12, space.page_margin, 14)
        column.setSpacing(10)
        self.head = AheadHead(self.theme, self.keys)
        column.addWidget(self.head)
        column.addWidget(self.strip)
        column.addWidget(self.hours)
        column.addWidget(self.windows, 1)
        column.addWidget(self.told, 1)
        self.told.hide()

    def _connect(self) -> None:
        view, strip = self.windows.view, self.strip
        view.stood.connect(self._stood)
        view.opened.connect(self._opened)
        view.lacks.connect(self._find_days)
        self.hours.view.opened.connect(self._open_week)
        self.told.view.opened.connect(self._open_told)
        self.windows.turned.connect(self._show_windows)
        strip.begun.connect(self.begin_fill)
        strip.put_away.connect(self.close_asked)
        for act, signal in (
            ("as_is", strip.ended_as_is), ("stop", strip.stopped), ("take", strip.taken),
            ("leave", strip.left), ("place", self.windows.take.clicked),
            ("site", self.windows.site.clicked),
        ):  # fmt: skip
            signal.connect(self.keys[act].trigger)
        for act, button in (
            ("as_is", strip.as_is), ("take", strip.take), ("place", self.windows.take),
            ("site", self.windows.site),
        ):  # fmt: skip
            self.keys[act].enabledChanged.connect(button.setEnabled)
        self.planner.stepped.connect(strip.show_step)
        self.planner.improved.connect(self._improved)
        self.planner.found.connect(self._found)
        self.planner.ended.connect(self._ended)

    # what the frame asks

    def acts(self) -> tuple[Act, ...]:
        return ahead_acts(self)

    def title(self) -> str:
        if self.page is None:
            return ""
        f, page = self.desk.formats, self.page
        return say("{first} to {last}", first=f.day(page.first, near=page.first),
                   last=f.day(page.last, near=page.first))  # fmt: skip

    def refresh(self, changed: object) -> None:
        """Read the weeks anew on the worker."""
        if self._reading is not None:
            self._reading.cancel()
        self._reading = self.shell.ask(ahead_page, self.desk, title=say("Reading the weeks"))
        self._reading.done.connect(self._arrived)

    def position(self) -> object:
        bar = self.windows.area.verticalScrollBar()
        return self.windows.filter, self.windows.view.current, bar.value()

    def restore(self, position: object) -> None:
        if isinstance(position, tuple) and len(position) == 3:
            self.windows.turn(str(position[0]))
            self.windows.view.stand_on(str(position[1]))
            self.windows.area.verticalScrollBar().setValue(int(position[2]))

    def first_focus(self) -> QWidget:
        if self.draft is not None:
            return self.told.view
        shown = [v for v in (self.windows.view, self.hours.view) if v.isVisibleTo(self)]
        return shown[0] if shown else self

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit()

    # showing

    @Slot(object)
    def _arrived(self, page: AheadPage) -> None:
        if self.sender() is not self._reading:
            return
        self._reading = None
        self.page = page
        self.windows.view.forget_days()
        self.head.of.set_text(self._standing(page))
        self.windows.show_counts(page.windows)
        self._show_hours()
        self._show_windows(self.windows.filter)
        self.trail_changed.emit()
        self.keys.refresh()
        if self.isVisible() and self.window().focusWidget() in (None, self, self.window()):
            self.first_focus().setFocus()

    def _standing(self, page: AheadPage) -> str:
        n = page.n_without_day
        parts = [
            say_n("{n} site has no day yet", "{n} sites have no day yet", n)
            if n else say("every site has its day"),
            say("room for about {n} more until {day}", n=self.desk.formats.number(page.n_room),
                day=self.desk.formats.day(page.last, near=page.first)),
            page.roads,
        ]  # fmt: skip
        return " · ".join(parts)

    def _show_hours(self) -> None:
        page = self.page
        if page is None:
            return
        people = page.people
        if self.draft is not None:
            people = people_weeks(
                page.staff, placed_in_draft(page.staff, self.draft.case, self.draft.page)
            )
        self.hours.view.show_hours(people, page.first, page.n_weeks, page.today, self.desk.formats)
        self._fit()

    @Slot(str)
    def _show_windows(self, name: str) -> None:
        page = self.page
        if page is None:
            return
        rows = chosen_windows(page.windows, name)
        self.windows.show_none("" if rows else why.none_words(name))
        self.windows.view.show_windows(
            rows, page.first, page.n_weeks, page.today, self.desk.formats
        )
        self.keys.refresh()

    def _fit(self) -> None:
        """The hours take what they need, up to their share of the page."""
        is_low = self.height() < _LOW * self.theme.scale
        share = _HOURS_SHARE_LOW if is_low else _HOURS_SHARE
        most = max(round(share * self.height()), self.theme.px(150))
        self.hours.setFixedHeight(min(self.hours.wanted_height, most))
        self.windows.fit(is_low=is_low)
        self._share_out()

    def _share_out(self) -> None:
        """Where a strip leaves no room for both sheets, the one that matters then is shown."""
        is_short = self.height() < _SHORT * self.theme.scale and self.strip.isVisibleTo(self)
        is_running = is_short and self.planner.is_busy
        self.hours.setVisible(not is_short or is_running)
        self.told.setVisible(self.draft is not None)
        self.windows.setVisible(self.draft is None and not is_running)

    @Slot(object)
    def _find_days(self, ids: tuple[str, ...]) -> None:
        if self.page is not None and ids:
            job = self.shell.work.start_apart(best_days, self.page.case, ids)
            job.setProperty("stamp", id(self.page.case))
            job.done.connect(self._days_found)

    @Slot(object)
    def _days_found(self, found: dict[str, BestDay | None]) -> None:
        if self.page is not None and self.sender().property("stamp") == id(self.page.case):
            self.windows.view.show_days(found)
            self.keys.refresh()

    @Slot(str)
    def _stood(self, _key: str) -> None:
        row, page = self.windows.view.row, self.page
        text = ""
        if row is not None and page is not None:
            text = spoken_window(row, page.today, self.desk.formats)
        self.windows.chosen.set_text(text)
        self.keys.refresh()

    # one place

    def take_place(self) -> None:
        """Give the chosen site the day that costs least road."""
        row, page = self.windows.view.row, self.page
        if row is not None and page is not None and row.best is not None:
            self.shell.change(take_day, self.desk, page.case, row.window.stop_id, row.best)

    def open_site(self, *, beside: bool = False) -> None:
        """The site file of the chosen row."""
        row = self.windows.view.row
        if row is not None:
            self.shell.go("sites", row.window.site_id, beside=beside)

    @Slot(str, bool)
    def _opened(self, _key: str, beside: bool) -> None:
        if beside:
            self.open_site(beside=True)
        else:
            self.keys.run("place")

    @Slot(str, bool)
    def _open_week(self, key: str, beside: bool) -> None:
        monday = date.fromisoformat(key.split("/")[1])
        self.shell.go("rounds", max(monday, self.desk.today), beside=beside)

    @Slot(str, bool)
    def _open_told(self, key: str, beside: bool) -> None:
        kind, what, rest = key.split("/")
        if kind == "day":
            self.shell.go("rounds", date.fromisoformat(what), beside=beside)
        else:
            self.shell.go("sites", int(rest), beside=beside)

    def show_windows(self, name: str) -> None:
        """Show other rows."""
        self.windows.turn(name)
        self.windows.view.setFocus(Qt.FocusReason.ShortcutFocusReason)

    def open_days_off(self) -> None:
        """Days off are kept with the technicians, in Set up."""
        self.shell.go("setup")

    # filling the weeks

    def ask_fill(self) -> None:
        """Ask which weeks and whom."""
        page = self.page
        if page is not None:
            people = [(one.technician_id, one.name) for one in page.people]
            self.strip.ask(people, PLAN_WEEKS)
            self._fit()
            self.keys.refresh()

    @Slot()
    def begin_fill(self) -> None:
        """Begin the search; nothing is written."""
        chosen = self.strip.chosen_people
        everybody = None if len(chosen) == len(self.strip.ticks) else chosen
        weeks = self.strip.chosen_weeks
        self._drop_draft()
        self.planner.begin(self.desk, weeks, everybody, self.strip.chosen_seconds)
        f = self.desk.formats
        first = self.desk.today + timedelta(days=1)
        last = first + timedelta(days=7 * weeks - 1)
        self.strip.run(
            say("Filling the weeks, {first} to {last}", first=f.weekday(first),
                last=f.weekday(last))
        )  # fmt: skip
        self._fit()
        self.first_focus().setFocus(Qt.FocusReason.OtherFocusReason)
        self.keys.refresh()

    @Slot()
    def close_asked(self) -> None:
        """Put the question away."""
        self.strip.put()
        self._fit()
        self.first_focus().setFocus()
        self.keys.refresh()

    def end_as_is(self) -> None:
        """The best so far becomes the draft."""
        self.planner.end_as_is()

    def stop_fill(self) -> None:
        """Stop, change nothing."""
        self.planner.stop()

    @Slot(object)
    def _improved(self, search: Search) -> None:
        best, page = search.best, self.page
        if best is None or page is None:
            return
        self.strip.show_gain(texts.gain_words(best, self.desk.formats))
        placed = placed_in_orders(page.staff, search.case, best.orders.items(), best.road_min)
        self.hours.view.show_hours(
            people_weeks(page.staff, placed), page.first, page.n_weeks, page.today,
            self.desk.formats,
        )  # fmt: skip
        self.keys.refresh()

    @Slot(object)
    def _found(self, draft: Draft) -> None:
        self.draft = draft
        self.strip.offer(
            texts.draft_words(draft, self.desk.formats), texts.draft_note(draft),
            texts.compared(draft, self.desk),
        )  # fmt: skip
        self.told.show_draft(draft.page, self.desk.formats)
        self._show_hours()
        self.keys.refresh()
        self.told.view.setFocus(Qt.FocusReason.OtherFocusReason)

    @Slot()
    def _ended(self) -> None:
        self.strip.put()
        self._show_hours()
        self.first_focus().setFocus()
        self.keys.refresh()

    def take_draft(self) -> None:
        """Write the draft: one change that can be taken back."""
        if self.draft is not None:
            job = self.shell.change(take, self.desk, self.draft, title=say("Writing the weeks"))
            job.done.connect(self._taken)

    @Slot(object)
    def _taken(self, _touched: object) -> None:
        self.leave_draft()

    def leave_draft(self) -> None:
        """Forget the draft; nothing was written."""
        self._drop_draft()
        self.strip.put()
        self._show_hours()
        self.first_focus().setFocus()
        self.keys.refresh()

    def _drop_draft(self) -> None:
        self.draft = None
        self._fit()
