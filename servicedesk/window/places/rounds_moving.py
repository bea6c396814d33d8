"""What the hand does on the rounds page: shown at once, written one by one on the worker."""

from datetime import date, timedelta

from PySide6.QtCore import QPoint, QPointF, QTimer, Slot

from servicedesk.desk.at_once import moved_at_once, without
from servicedesk.desk.office import Desk
from servicedesk.desk.rounds_page import RoundsPage
from servicedesk.routes.plan import DayPlan
from servicedesk.routes.squeeze import SqueezePlace
from servicedesk.window.actions import Actions
from servicedesk.window.places.base import Place
from servicedesk.window.places.rounds_another_day import AnotherDayAsker
from servicedesk.window.places.rounds_days import DayDrop
from servicedesk.window.places.rounds_hands import Hands, Wish, now_called
from servicedesk.window.places.rounds_mending import Mender
from servicedesk.window.places.rounds_squeeze import Squeezer
from servicedesk.window.widgets.bench_sheet import CarriedBlock
from servicedesk.window.widgets.day_header import DayHeader
from servicedesk.window.widgets.no_day_yet import NoDayYet
from servicedesk.window.widgets.ribbon_bench import RibbonBench
from servicedesk.window.widgets.round_map import RoundMap
from servicedesk.window.work import Job


class MovesByHand(Place):
    """Dragging, steps by key, holding, taking out. The place below reads and shows the day."""

    keys: Actions
    hands: Hands
    bench: RibbonBench
    map: RoundMap
    tray: NoDayYet
    header: DayHeader
    carried: CarriedBlock
    is_list: bool
    squeezer: Squeezer
    another_day: AnotherDayAsker
    days: DayDrop
    mender: Mender
    _carried_at = QPointF()
    _page: RoundsPage | None
    _plan: DayPlan | None
    _later: RoundsPage | None
    _later_soon: QTimer
    _reading: Job | None
    _places: tuple[SqueezePlace, ...]
    _chosen_site: int | None

    @property
    def desk(self) -> Desk:
        """The desk of this window."""
        raise NotImplementedError

    @property
    def stop(self) -> str:
        """The chosen stop: on a ribbon, else in the tray."""
        raise NotImplementedError

    @Slot(str)
    def choose(self, stop_id: str) -> None:
        """Choose a stop wherever it stands."""
        raise NotImplementedError

    def _show_page(self) -> None:
        raise NotImplementedError

    def _show_plan(self) -> None:
        raise NotImplementedError

    def _read(self) -> None:
        raise NotImplementedError

    @Slot(object)
    def _previewed(self, plan: DayPlan | None) -> None:
        if self._page is None or self._plan is None:
            return
        drag = self.bench.drag
        if plan is None:
            self.map.show_plan(self._page, self._plan, waiting=self.tray.stop)
            self._later_soon.start()
        else:
            self.map.choose(drag.stop_id if drag is not None else self.stop)
            self.map.show_plan(self._page, plan, before=self._plan)

    @Slot(str, str, int)
    def _dropped(self, stop_id: str, crew_id: str, position: int) -> None:
        if self._later is not None and self._page is not None:
            wish = Wish("move", stop_id, self._page.stops[stop_id].site_id)
            page, self._later = self._later, None
            self._page, self._plan = page, self.hands.plan_on(page)
            stop_id = now_called(page, wish)
            if not stop_id or crew_id not in page.names:
                self._show_page()
                return
        self.put(stop_id, crew_id, position)

    @Slot(str, QPoint)
    def _carry(self, stop_id: str, at: QPoint) -> None:
        if self._page is None or not self.bench.may_move or self.is_list:
            return
        self.bench.carry(stop_id, QPointF(self.bench.mapFromGlobal(at)))
        self._roams(stop_id, at)

    @Slot(str, QPoint)
    def _roams(self, stop_id: str, at: QPoint) -> None:
        """A stop in hand anywhere on the page; beyond the ribbons a day may be meant."""
        page = self._page
        if page is None or self.bench.drag is None:
            return
        if self.bench.rect().contains(self.bench.mapFromGlobal(at)):
            self.days.over(self.desk, page, stop_id, at)
            self.carried.put_away()
            return
        self.days.over(self.desk, page, stop_id, at)
        here = QPointF(self.mapFromGlobal(at))
        self._carried_at = here
        self.carried.show_at(page.stops[stop_id], here, self.days.note)

    @Slot(str)
    def _day_noted(self, note: str) -> None:
        drag, page = self.bench.drag, self._page
        if drag is not None and page is not None and self.carried.isVisible():
            self.carried.show_at(page.stops[drag.stop_id], self._carried_at, note)

    @Slot()
    def _let_go(self) -> None:
        drag = self.bench.drag
        self.bench.let_go()
        if drag is not None:
            self._let_go_at(drag.stop_id, QPoint())

    @Slot(str, QPoint)
    def _let_go_at(self, stop_id: str, _at: QPoint) -> None:
        """Let go: over a day of the header the stop goes there."""
        self.carried.put_away()
        day = self.days.end()
        if day is not None:
            self.to_day(stop_id, day)

    @Slot()
    def _put_back(self) -> None:
        self.carried.put_away()
        self.days.end()
        self.bench.put_back()

    def to_day(self, stop_id: str, day: date) -> None:
        """The stop to its best place on another day."""
        if self._page is None or self._plan is None or stop_id not in self._page.stops:
            return
        if stop_id in self._plan.crew_id_of:
            self._plan = without(self._plan, stop_id)
        self._wish("day", stop_id, day=day)

    def to_day_beside(self, by: int) -> None:
        """The chosen stop to the working day before (-1) or after (1)."""
        if self._page is not None and self.stop:
            self.to_day(self.stop, working_day(self.desk, self._page.case.day, by))

    def put(self, stop_id: str, crew_id: str, position: int) -> None:
        """Put a stop at a place of a round: shown now, written on the worker."""
        if self._page is None or self._plan is None:
            return
        was = self._plan.crew_id_of.get(stop_id)
        self._plan = moved_at_once(self._plan, stop_id, to_crew=crew_id, position=position)
        self.mender.moved(self._page.stops[stop_id].site_id, was)
        self._wish("move", stop_id, crew_id, position)

    def step(self, *, by: int = 0, ribbons: int = 0) -> None:
        """The chosen stop one slot earlier or later, or to the neighbor ribbon."""
        to = self.bench.step_of(self.bench.stop, by=by, ribbons=ribbons)
        if to is not None:
            self.put(self.bench.stop, *to)

    def take_out(self) -> None:
        """The chosen stop back to *No day yet*."""
        if self._plan is None or not self.bench.stop:
            return
        stop_id = self.bench.stop
        self._plan = without(self._plan, stop_id)
        self._wish("out", stop_id)

    def turn_hold(self) -> None:
        """Hold the chosen stop in place, or free it."""
        if self._page is not None and self.bench.stop:
            is_held = self._page.stops[self.bench.stop].is_held
            self._wish("free" if is_held else "hold", self.bench.stop)

    @Slot(int)
    def take_place(self, number: int) -> None:
        """Take one of the places offered, or of the ways over the next days where these stand."""
        if self.squeezer.is_open:
            self.squeezer.take(number)
            return
        if self.another_day.is_open:
            self.another_day.take(number)
            return
        if number < len(self._places):
            place = self._places[number]
            self.put(self.tray.stop, place.crew_id, place.position)

    def _wish(
        self,
        verb: str,
        stop_id: str,
        crew_id: str = "",
        position: int = 0,
        day: date | None = None,
    ) -> None:
        assert self._page is not None  # noqa: S101 (asked by every caller)
        site = self._page.stops[stop_id].site_id
        self.hands.want(Wish(verb, stop_id, site, crew_id, position, day))
        self._chosen_site = site
        self._show_plan()
        self.choose(stop_id)
        self.keys.refresh()
        self._write_next()

    def _write_next(self) -> None:
        if self._reading is None and self._page is not None:
            self.hands.write_next(self.desk, self._page)

    @Slot()
    def _written(self) -> None:
        if self._reading is None:
            self._read()

    @Slot()
    def _refused(self) -> None:
        """Back to what is written."""
        if self._page is not None:
            self._plan = self._page.case.stand
            self._show_plan()
        self._read()


def working_day(desk: Desk, day: date, by: int) -> date:
    """The working day before (-1) or after (1) a day, as far as two weeks away."""
    day += timedelta(days=by)
    for _ in range(14):
        if desk.works_on(day):
            break
        day += timedelta(days=by)
    return day
