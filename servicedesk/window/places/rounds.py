"""Rounds: who goes where, when. Map, ribbons, what has no day yet; moved by hand, planned anew."""

from datetime import date
from typing import ClassVar, Protocol, cast

from PySide6.QtCore import QTimer, Slot
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QVBoxLayout, QWidget

from servicedesk.desk import planning
from servicedesk.desk.coming import day_title
from servicedesk.desk.office import Desk
from servicedesk.desk.rounds_page import (
    RoundsPage,
    offers,
    rounds_page,
    why_no_place,
)
from servicedesk.routes.plan import DayPlan
from servicedesk.routes.squeeze import SqueezePlace
from servicedesk.window.actions import Act
from servicedesk.window.places import rounds_words as texts
from servicedesk.window.places.registry import places
from servicedesk.window.places.rounds_acts import rounds_acts
from servicedesk.window.places.rounds_asking import AsksBeside
from servicedesk.window.places.rounds_days import DayDrop
from servicedesk.window.places.rounds_hands import Hands, Wish
from servicedesk.window.places.rounds_mending import Mender
from servicedesk.window.places.rounds_moving import working_day
from servicedesk.window.places.rounds_papers import DayPapers
from servicedesk.window.places.rounds_planner import DayPlanner
from servicedesk.window.places.rounds_side import Side
from servicedesk.window.shell import Shell
from servicedesk.window.widgets.bench_sheet import CarriedBlock
from servicedesk.window.widgets.day_header import DayHeader
from servicedesk.window.widgets.rounds_view import RoundsView
from servicedesk.window.work import Job
from servicedesk.words import say


class _HasDesk(Protocol):
    desk: Desk


class RoundsPlace(AsksBeside):
    """One day. What the hand does is shown at once and written on the worker, one by one."""

    name: ClassVar[str] = "rounds"

    def __init__(self, shell: Shell) -> None:
        super().__init__(shell)
        self._day: date | None = None
        self._page: RoundsPage | None = None
        self._plan: DayPlan | None = None
        self._places: tuple[SqueezePlace, ...] = ()
        self._reading: Job | None = None
        self.hands = Hands(shell, self)
        self._keep: int | None = None  # site of the stop to choose when the day has been read
        self._chosen_site: int | None = None
        self._later: RoundsPage | None = None  # read while a stop was in hand
        self._later_soon = QTimer(self)
        self._later_soon.setSingleShot(True)
        self._later_soon.timeout.connect(self._take_later)
        self.is_list = False
        self._build()

    @property
    def desk(self) -> Desk:
        """The desk of this window."""
        return cast(_HasDesk, self.shell.office).desk

    # what the frame asks

    def acts(self) -> tuple[Act, ...]:
        return rounds_acts(self)

    def title(self) -> str:
        return self.desk.formats.weekday(self._day) if self._day is not None else ""

    def show_record(self, ids: tuple[object, ...]) -> None:
        """`ids`: the day (date or ISO text) and perhaps the site of a stop; () keeps the day."""
        day = ids[0] if ids else (self._day or self.desk.today)
        if len(ids) > 1 and isinstance(ids[1], int):
            self._keep = ids[1]
        self.show_day(day if isinstance(day, date) else date.fromisoformat(str(day)))

    def refresh(self, changed: object) -> None:
        if self._day is not None:
            self._read()

    def position(self) -> object:
        words = self._page.stops.get(self.stop) if self._page is not None else None
        return (self._day, words.site_id if words is not None else None)

    def restore(self, position: object) -> None:
        if isinstance(position, tuple) and isinstance(position[0], date):
            self._keep = position[1]
            self.show_day(position[0])

    def first_focus(self) -> QWidget:
        return self.bench

    # what is shown

    @property
    def page(self) -> RoundsPage | None:
        """The day as it was read last."""
        return self._page

    @property
    def plan(self) -> DayPlan | None:
        """The plan shown."""
        return self._plan

    @property
    def stop(self) -> str:
        """The chosen stop: on a ribbon, else in the tray."""
        return self.bench.stop or self.tray.stop

    @property
    def is_settled(self) -> bool:
        """Is everything read and written?"""
        return (
            self._reading is None
            and self.hands.is_idle
            and not (self.side.is_asking or self.mender.is_looking)
        )

    def show_day(self, day: date) -> None:
        """Show another day."""
        if day != self._day:
            self.planner.away()
            self.side.away()
            self.mender.away()
            self.notice.hide()
            self.hands.forget()
            self._day, self._page, self._later = day, None, None
            self._name_day(())
            self.trail_changed.emit()
        self._read()

    def step_day(self, by: int) -> None:
        """The working day before (-1) or after (1)."""
        if self._day is None:
            return
        self.show_day(working_day(self.desk, self._day, by))

    # building

    def _build(self) -> None:
        theme = self.theme
        metric = self.desk.company.units == "si"
        self.header = DayHeader(
            theme, plan=self.keys["plan"], papers=self.keys["papers"],
            hand_out=self.keys["hand_out"], before=self.keys["day_before"],
            after=self.keys["day_after"],
        )  # fmt: skip
        self.view = view = RoundsView(theme, self.desk.formats, metric=metric)
        self.bench, self.map, self.tray, self.table = view.bench, view.map, view.tray, view.table
        self.offer, self.notice = view.offer, view.notice
        self.map.use(self.shell, lambda: self.desk)
        self.carried = CarriedBlock(theme, self)
        self.planner = DayPlanner(self.shell, self.offer, self)
        self.papers = DayPapers(self.shell, self.notice, self)
        self.side = Side(self.shell, view, self)
        self.squeezer, self.another_day = self.side.squeezer, self.side.another_day
        self.days = DayDrop(self.shell, self.header, self)
        self.mender = Mender(self.shell, view.mending, self.desk.formats, self)
        outer = QVBoxLayout(self)
        margin = theme.tokens.space.page_margin
        outer.setContentsMargins(margin, 14, margin, 16)
        outer.setSpacing(theme.tokens.space.sheet_gap)
        outer.addWidget(self.header)
        outer.addWidget(view, 1)
        self._connect()

    def _connect(self) -> None:
        self.header.day_chosen.connect(self.show_day)
        self.bench.chosen.connect(self._bench_chose)
        self.bench.opened.connect(self._open)
        self.bench.dropped.connect(self._dropped)
        self.bench.previewed.connect(self._previewed)
        self.bench.roams.connect(self._roams)
        self.bench.let_go_at.connect(self._let_go_at)
        self.days.noted.connect(self._day_noted)
        self.mender.told.connect(self._mending_told)
        self.mender.wanted.connect(self._show_mended)
        self.map.chosen.connect(self.choose)
        self.table.chosen.connect(self.choose)
        self.table.opened.connect(self._open)
        self.tray.chosen.connect(self._tray_chose)
        self.tray.opened.connect(self._open)
        self.tray.taken.connect(self.take_place)
        self.tray.carried.connect(self._carry)
        self.tray.let_go.connect(self._let_go)
        self.tray.put_back.connect(self._put_back)
        self.offer.taken.connect(self.take_offer)
        self.offer.left.connect(self.leave_offer)
        self.papers.told.connect(self.view.fit)
        self.view.sheet.as_list.clicked.connect(self.turn_list)
        self.view.as_ribbons.clicked.connect(self.turn_list)
        self.view.empty.wanted.connect(self._next_day)
        self.view.empty.set_up.connect(self._name_technician)
        self.planner.shown.connect(self._offer_shown)
        self.planner.outdated.connect(self._outdated)
        self.side.turned.connect(self._side_turned)
        self.side.written.connect(self.hands.follow)
        self.bench.crew_menu.connect(self._crew_menu)
        self.hands.written.connect(self._written)
        self.hands.refused.connect(self._refused)

    # reading

    def _read(self) -> None:
        if self._day is None:
            return
        job = self.shell.ask(rounds_page, self.desk, self._day)
        self._reading = job
        job.done.connect(self._read_done)
        job.ended.connect(self._read_ended)

    @Slot(object)
    def _read_done(self, page: RoundsPage) -> None:
        if self.sender() is not self._reading:
            return  # a later question is on its way
        self._reading = None
        if self.bench.drag is not None:
            self._later = page  # not under the hand: as soon as it lets go
            return
        self._take(page)

    def _take(self, page: RoundsPage) -> None:
        self._later = None
        self._page = page
        self._plan = self.hands.plan_on(page)
        self._show_page()
        self._write_next()

    @Slot()
    def _take_later(self) -> None:
        if self._later is not None and self.bench.drag is None:
            self._take(self._later)

    @Slot()
    def _read_ended(self) -> None:
        if self.sender() is self._reading:
            self._reading = None

    def _show_page(self) -> None:
        page, plan = self._page, self._plan
        if page is None or plan is None:
            return
        kept = self._kept_stop(page)
        self.planner.day_is(page)
        self._name_day(page)
        self.header.show_state(page.state)
        self.view.empty.show_day(page.nobody, is_unstaffed=not page.case.off)
        self._show_view()
        self._show_plan()
        if kept:
            self.choose(kept)
        self.side.day_is(page)
        if self.hands.is_idle:
            self.mender.day_is(page)
        self._more()
        self.keys.refresh()
        self.view.fit()

    def _name_day(self, page: RoundsPage | tuple[()]) -> None:
        assert self._day is not None  # noqa: S101 (asked by every caller)
        week = page.week if isinstance(page, RoundsPage) else ()
        short = self.desk.formats.weekday(self._day)
        self.header.show_day(day_title(self.desk, self._day), short, week, self._day)

    def _show_plan(self) -> None:
        page, plan = self._page, self.planner.offered or self._plan
        if page is None or plan is None:
            return
        base = page.case.stand if self.planner.offered is not None else None
        self.bench.may_move = self.planner.offered is None
        self.bench.show_page(page, plan, base=base)
        formats = self.desk.formats
        waiting = texts.waiting_stops(page, plan, formats)
        self.tray.show_stops(waiting, keep=self.tray.stop)
        self._show_places()
        self.map.show_plan(page, plan, before=base, waiting=self.tray.stop)
        self.table.show_lines(texts.stop_lines(page, plan, formats), self.stop)

    def _kept_stop(self, page: RoundsPage) -> str:
        """A stop keeps being chosen when it becomes a visit and is called otherwise."""
        site = self._keep
        if site is None and self.stop:
            site = self._chosen_site
        self._keep = None
        if self.stop in page.stops and site is None:
            return self.stop
        return next((i for i, words in page.stops.items() if words.site_id == site), "")

    def _show_view(self) -> None:
        is_empty = self._page is not None and bool(self._page.nobody)
        self.view.show_view(is_empty=is_empty, is_list=self.is_list)

    @Slot()
    def turn_list(self) -> None:
        """Show the stops as a list, or as ribbons again."""
        self.is_list = not self.is_list
        self._show_view()
        (self.table if self.is_list else self.bench).setFocus()

    def _more(self) -> None:
        actions = [
            self.keys[name]
            for name in ("ways", "another_day", "tidy", "list", "tell_list", "export", "week_wall")
        ]
        crews = self._page.case.problem.crews if self._page is not None else ()
        absent = [a for crew in crews for a in self._crew_actions(crew.id, self.header)]
        self.header.show_more([*actions, *self._write_up_actions(), *absent])

    def _write_up_actions(self) -> list[QAction]:
        """One for each round with stops, where this program has that place."""
        page = self._page
        if page is None or not any(kind.id == "writeup" for kind in places()):
            return []
        found = []
        for crew, row in page.case.rounds.items():
            if crew in page.names:
                words = say("Write up {name}'s round", name=page.names[crew])
                action = QAction(words, self.header)
                action.setObjectName(str(row.id))
                action.triggered.connect(self._write_up)
                found.append(action)
        return found

    @Slot()
    def _write_up(self) -> None:
        self.shell.go("writeup", int(self.sender().objectName()))

    # choosing

    @Slot(str)
    def choose(self, stop_id: str) -> None:
        """Choose a stop wherever it stands."""
        if self._plan is not None and stop_id in (self.planner.offered or self._plan).crew_id_of:
            self.bench.choose(stop_id)
        else:
            self.tray.choose(stop_id)

    @Slot(str)
    def _bench_chose(self, stop_id: str) -> None:
        self.tray.choose("")
        self._chose(stop_id)

    @Slot(str)
    def _tray_chose(self, stop_id: str) -> None:
        if stop_id:
            self.bench.choose("")
            self._chose(stop_id)
        self._show_places()
        if self._page is not None and self._plan is not None:
            self.map.show_plan(self._page, self.planner.offered or self._plan, waiting=stop_id)

    def _chose(self, stop_id: str) -> None:
        self.map.choose(stop_id)
        self.table.choose(stop_id)
        if self._page is not None and stop_id in self._page.stops:
            self._chosen_site = self._page.stops[stop_id].site_id
            self.side.follow(self.desk, self._page, stop_id)
        self.keys.refresh()

    @Slot(str)
    def _open(self, stop_id: str) -> None:
        if self._page is not None and stop_id in self._page.stops:
            self.shell.go("sites", self._page.stops[stop_id].site_id)

    def _show_places(self) -> None:
        """Where the stop chosen in the tray would fit."""
        page, plan, stop_id = self._page, self._plan, self.tray.stop
        self._places = ()
        if page is None or plan is None or not stop_id or self.planner.offered is not None:
            self.tray.show_offers("", (), "")
            return
        self._places = offers(page, stop_id, plan)
        words = texts.offer_words(page, plan, self._places, self.desk.formats)
        left = next((one for one in plan.left_out if one.stop_id == stop_id), None)
        reasons = left.reasons if left is not None else ()
        if self._places:
            reasons = texts.worth_telling(reasons)
        why = why_no_place(self.desk, page, reasons)
        if self._places:
            title = say("Where {address} would fit", address=page.names[stop_id])
            self.tray.show_offers(title, words, why)
        else:
            title = say("{address} fits nowhere today", address=page.names[stop_id])
            self.tray.show_offers(title, (), why)

    # the whole day

    def plan_again(self) -> None:
        """Look for the best rounds; what is found is shown beside the rounds as they stand."""
        if self._page is not None and not self.offer.is_planning:
            self.planner.begin(self.desk, self._page)

    def tidy(self) -> None:
        """Look for the best order of the round of the chosen stop; shown before it is taken."""
        plan = self._plan
        if self._page is not None and plan is not None and self.bench.stop in plan.crew_id_of:
            self.planner.tidy(self.desk, self._page, plan.crew_id_of[self.bench.stop])

    def mender_show(self) -> None:
        """Show what was found around the stop moved last."""
        self.mender.show()

    @Slot(object, str)
    def _show_mended(self, plan: DayPlan, address: str) -> None:
        if self._page is not None:
            self.planner.show(self.desk, self._page, plan, address)

    @Slot()
    def _mending_told(self) -> None:
        self.view.fit()
        self.keys.refresh()

    @Slot()
    def _offer_shown(self) -> None:
        self._show_plan()
        self.view.fit()
        self.keys.refresh()

    @Slot()
    def _outdated(self) -> None:
        self.notice.button.hide()
        self.notice.tell(say("The day changed while it was planned; plan again."), "")
        self.view.fit()

    @Slot()
    def take_offer(self) -> None:
        """Write the rounds offered."""
        page, plan = self._page, self.planner.offered
        if page is None or plan is None:
            return
        self._plan, what = plan, self.planner.what
        self.planner.away()
        job = self.shell.change(planning.take_plan, self.desk, page.case, plan, what=what)
        self.hands.follow(job)
        self._offer_shown()

    @Slot()
    def leave_offer(self) -> None:
        """Keep the rounds as they are."""
        self.planner.away()
        self._offer_shown()
        self.bench.setFocus()

    def hand_out(self) -> None:
        """Hand out the rounds, or take them back."""
        page = self._page
        if page is None:
            return
        self.hands.want(Wish("take back" if page.state == "handed out" else "hand out"))
        self._write_next()

    def write_papers(self) -> None:
        """Write route sheets and calendars beside the store, and say where they lie."""
        if self._day is not None:
            self.papers.write_sheets(self.desk, self._day)

    @Slot()
    def _name_technician(self) -> None:
        self.shell.go("setup")

    @Slot()
    def _next_day(self) -> None:
        self.step_day(1)
