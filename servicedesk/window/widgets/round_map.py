"""The map of a day: numbered points by technician, ways along roads, choosing linked."""

from collections.abc import Sequence
from dataclasses import replace

from PySide6.QtCore import QPointF, QSize, Signal, Slot

from servicedesk.desk.map_ground import Leg, MapGround, Ways, legs_by_road
from servicedesk.desk.rounds_page import RoundsPage
from servicedesk.papers.crew_look import CrewLook, crew_look
from servicedesk.papers.day_map import (
    DayMap,
    MapFigure,
    MapPoint,
    MapWay,
    map_figure,
)
from servicedesk.routes.plan import DayPlan
from servicedesk.values.position import Position
from servicedesk.values.shapes import Box
from servicedesk.window.ink import Ink
from servicedesk.window.paint_shapes import ScreenMeasure, paint_shapes
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.map_view import MapView, place_names
from servicedesk.words import say, say_n

_MOST_WAYS = 4000  # drives kept; a day has some dozens


class RoundMap(MapView):
    """Shows a plan; pressing a mark chooses its stop."""

    edges = (28, 36, 60, 62)
    chosen = Signal(str)  # stop id

    def __init__(self, theme: Theme, *, metric: bool = False) -> None:
        super().__init__(theme, metric=metric)
        self._measure = ScreenMeasure(theme)
        self._data: DayMap | None = None
        self._figure: MapFigure | None = None
        self._shown: tuple[RoundsPage, DayPlan, DayPlan | None, str] | None = None
        self._stop = ""
        self._ways: dict[Leg, tuple[Position, ...]] = {}
        self._asked_ways: frozenset[Leg] = frozenset()
        self._finding = False
        self.setAccessibleName(say("Map of the day"))

    def show_plan(
        self, page: RoundsPage, plan: DayPlan, *, before: DayPlan | None = None, waiting: str = ""
    ) -> None:
        """Draw `plan`; `before` stays as thin dashes, `waiting` is a stop without a place."""
        is_new = self._shown is None or self._shown[0] is not page
        self._shown = (page, plan, before, waiting)
        self._lay_data()
        n = sum(len(way.points) for way in self._data.ways) if self._data else 0
        self.setAccessibleDescription(
            say_n("{n} stop on the map", "{n} stops on the map", n)
            + ". "
            + say("Arrows move it, + and \u2212 come closer and farther, Home shows all.")
        )
        self._find_ways()
        if is_new:
            self.follow()

    def choose(self, stop_id: str) -> None:
        """Put the ring round another stop."""
        if stop_id == self._stop:
            return
        self._stop = stop_id
        self._lay_data()
        spot = self._shown[0].stops.get(stop_id) if self._shown is not None else None
        if spot is not None:
            self.go_to(spot.position)

    @property
    def figure(self) -> MapFigure:
        """Geometry of what is shown."""
        if self._figure is None:
            view = self.view
            if self._data is None or view is None:
                self._figure = MapFigure((), ())
            else:
                box = Box(0, 0, self.width(), self.height())
                names = place_names(self.ground, view, self.width(), self.height())
                data = self._data if names is None else replace(self._data, villages=names)
                self._figure = map_figure(
                    data, box, self._measure, scale=self._theme.scale, view=view,
                    reserved=self.reserved(),
                )  # fmt: skip
        return self._figure

    def minimumSizeHint(self) -> QSize:
        return QSize(300, self._theme.px(150))

    # what the view asks

    def whole(self) -> Sequence[Position]:
        return (self._data.home, *self._data.frame) if self._data is not None else ()

    def laid_out_anew(self) -> None:
        self._figure = None

    def paint_over(self, ink: Ink) -> None:
        figure = self.figure
        paint_shapes(ink, figure.shapes[: figure.n_on_ground])

    def paint_fixed(self, ink: Ink) -> None:
        figure = self.figure
        paint_shapes(ink, figure.shapes[figure.n_on_ground :])

    def pressed(self, at: QPointF) -> None:
        stop_id = self.figure.stop_at(at.x(), at.y())
        if stop_id:
            self.chosen.emit(stop_id)

    def set_ground(self, ground: MapGround | None) -> None:
        if ground is not self.ground:
            self._ways, self._asked_ways = {}, frozenset()
        super().set_ground(ground)
        self._lay_data()
        self._find_ways()

    def redress(self) -> None:
        self._measure = ScreenMeasure(self._theme)
        super().redress()

    @property
    def is_settled(self) -> bool:
        """Are all ways and tiles there?"""
        return not self._finding and self.tiles.is_settled

    # ways along the roads

    def _find_ways(self) -> None:
        """Have the drives that are not known yet looked up; the latest plan is asked next."""
        if self._finding or self.ground is None or self._shell is None or self._data is None:
            return
        missing = [leg for leg in self._data.legs if leg not in self._asked_ways]
        if not missing:
            return
        if len(self._asked_ways) > _MOST_WAYS:
            self._ways, self._asked_ways = {}, frozenset()
        self._asked_ways |= frozenset(missing)
        self._finding = True
        job = self._shell.work.start_apart(legs_by_road, self.ground, tuple(missing))
        job.done.connect(self._found)
        job.ended.connect(self._looked)

    @Slot(object)
    def _found(self, ways: Ways) -> None:
        self._ways = {**self._ways, **ways}
        self._lay_data()

    @Slot()
    def _looked(self) -> None:
        self._finding = False
        self._find_ways()

    def _lay_data(self) -> None:
        """Say anew what the map shows, for the plan and the ways known now."""
        if self._shown is None:
            return
        page, plan, before, waiting = self._shown
        self._data = _day_map(
            page, plan, before, waiting, self._stop, metric=self._metric, ground=self.ground,
            ways=self._ways,
        )  # fmt: skip
        self._figure = None
        self.update()


def _day_map(
    page: RoundsPage,
    plan: DayPlan,
    before: DayPlan | None,
    waiting: str,
    chosen: str,
    *,
    metric: bool,
    ground: MapGround | None = None,
    ways: Ways | None = None,
) -> DayMap:
    late = {stop.stop_id for stop in plan.late}
    crews = tuple(
        MapWay(
            page.names[day.crew_id],
            crew_look(index),
            tuple(_point(page, one, str(n), late) for n, one in enumerate(day.order, start=1)),
            page.starts.get(day.crew_id, page.home),
        )
        for index, day in enumerate(plan.days)
    )
    ghosts = _ghosts(page, plan, before, crews)
    shown = set(page.case.stand.crew_id_of) | set(plan.crew_id_of) | ({waiting} - {""})
    outside = waiting if waiting and waiting not in plan.crew_id_of else ""
    data = DayMap(
        ways=crews,
        home=page.home,
        frame=tuple(page.stops[one].position for one in sorted(shown) if one in page.stops),
        villages=tuple((v.name, v.position) for v in page.villages),
        ghosts=ghosts,
        waiting=_point(page, outside, "", late) if outside else None,
        chosen=chosen,
        credit=page.map_credit,
        metric=metric,
        by_road=ways or {},
        has_ground=ground is not None,
    )
    return data if ground is None else replace(data, credit=_credit(data, ground))


def _ghosts(
    page: RoundsPage, plan: DayPlan, before: DayPlan | None, crews: tuple[MapWay, ...]
) -> tuple[tuple[CrewLook, tuple[Position, ...]], ...]:
    """The ways before this drag, of crews whose order is another one now."""
    old = before.orders if before is not None else {}
    return tuple(
        (way.look, _chain(page, old[day.crew_id], way.start))
        for way, day in zip(crews, plan.days, strict=True)
        if day.crew_id in old and old[day.crew_id] != day.order and old[day.crew_id]
    )


def _credit(data: DayMap, ground: MapGround) -> str:
    """Which lines these are, and whose data lies under them."""
    straight = any(leg not in data.by_road for leg in data.legs)
    parts = [ground.source, ground.credit]
    if straight:
        parts.insert(1, say("straight where no road is known"))
    return " · ".join(parts)


def _chain(page: RoundsPage, order: tuple[str, ...], start: Position) -> tuple[Position, ...]:
    return (start, *(page.stops[one].position for one in order if one in page.stops), start)


def _point(page: RoundsPage, stop_id: str, number: str, late: set[str]) -> MapPoint:
    words = page.stops[stop_id]
    icon = words.icon if words.kind == "callback" else ""
    return MapPoint(stop_id, number, words.position, stop_id in late, icon)
