"""The simple map of a day: numbered points by technician, straight lines, choosing linked."""

from PySide6.QtCore import QRectF, QSize, Qt, Signal, Slot
from PySide6.QtGui import QMouseEvent, QPainter, QPainterPath, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from servicedesk.desk.rounds_page import RoundsPage
from servicedesk.routes.plan import DayPlan
from servicedesk.values.position import Position
from servicedesk.values.shapes import Box
from servicedesk.window.ink import Ink
from servicedesk.window.paint_shapes import ScreenMeasure, paint_shapes
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.crew_look import crew_look
from servicedesk.window.widgets.map_shapes import (
    DayMap,
    MapFigure,
    MapPoint,
    MapWay,
    map_figure,
)
from servicedesk.words import say, say_n


class RoundMap(QWidget):
    """Shows a plan; pressing a mark chooses its stop."""

    chosen = Signal(str)  # stop id

    def __init__(
        self, theme: Theme, *, metric: bool = False, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._theme, self._metric = theme, metric
        self._measure = ScreenMeasure(theme)
        self._data: DayMap | None = None
        self._figure: MapFigure | None = None
        self._shown: tuple[RoundsPage, DayPlan, DayPlan | None, str] | None = None
        self._stop = ""
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName(say("Map of the day"))
        theme.changed.connect(self._redress)

    def show_plan(
        self, page: RoundsPage, plan: DayPlan, *, before: DayPlan | None = None, waiting: str = ""
    ) -> None:
        """Draw `plan`; `before` stays as thin dashes, `waiting` is a stop without a place."""
        self._shown = (page, plan, before, waiting)
        self._data = _day_map(page, plan, before, waiting, self._stop, metric=self._metric)
        n = sum(len(way.points) for way in self._data.ways)
        self.setAccessibleDescription(say_n("{n} stop on the map", "{n} stops on the map", n))
        self._anew()

    def choose(self, stop_id: str) -> None:
        """Put the ring round another stop."""
        if stop_id == self._stop:
            return
        self._stop = stop_id
        if self._shown is not None:
            page, plan, before, waiting = self._shown
            self.show_plan(page, plan, before=before, waiting=waiting)

    @property
    def figure(self) -> MapFigure:
        """Geometry of what is shown."""
        if self._figure is None:
            if self._data is None:
                self._figure = MapFigure((), ())
            else:
                box = Box(0, 0, self.width(), self.height())
                self._figure = map_figure(self._data, box, self._measure, scale=self._theme.scale)
        return self._figure

    def sizeHint(self) -> QSize:
        return QSize(720, 400)

    def minimumSizeHint(self) -> QSize:
        return QSize(300, self._theme.px(150))

    def resizeEvent(self, event: QResizeEvent) -> None:
        self._figure = None

    def mousePressEvent(self, event: QMouseEvent) -> None:
        stop_id = self.figure.stop_at(event.position().x(), event.position().y())
        if stop_id and event.button() == Qt.MouseButton.LeftButton:
            self.chosen.emit(stop_id)

    def paintEvent(self, event: QPaintEvent) -> None:
        with QPainter(self) as painter:
            ink = Ink(painter, self._theme)
            box = QRectF(self.rect())
            radius = self._theme.tokens.radius.sheet
            path = QPainterPath()
            path.addRoundedRect(box, radius, radius)
            painter.setClipPath(path)
            ink.panel(box, fill="map.land", radius=radius)
            paint_shapes(ink, self.figure.shapes)
            painter.setClipping(False)
            ink.panel(box, edge="line", radius=radius)

    def _anew(self) -> None:
        self._figure = None
        self.update()

    @Slot()
    def _redress(self) -> None:
        self._measure = ScreenMeasure(self._theme)
        self._anew()


def _day_map(
    page: RoundsPage,
    plan: DayPlan,
    before: DayPlan | None,
    waiting: str,
    chosen: str,
    *,
    metric: bool,
) -> DayMap:
    late = {stop.stop_id for stop in plan.late}
    ways = tuple(
        MapWay(
            page.names[day.crew_id],
            crew_look(index),
            tuple(_point(page, one, str(n), late) for n, one in enumerate(day.order, start=1)),
            page.starts.get(day.crew_id, page.home),
        )
        for index, day in enumerate(plan.days)
    )
    old = before.orders if before is not None else {}
    ghosts = tuple(
        (way.look, _chain(page, old[day.crew_id], way.start))
        for way, day in zip(ways, plan.days, strict=True)
        if day.crew_id in old and old[day.crew_id] != day.order and old[day.crew_id]
    )
    shown = set(page.case.stand.crew_id_of) | set(plan.crew_id_of) | ({waiting} - {""})
    outside = waiting if waiting and waiting not in plan.crew_id_of else ""
    return DayMap(
        ways=ways,
        home=page.home,
        frame=tuple(page.stops[one].position for one in sorted(shown) if one in page.stops),
        villages=tuple((v.name, v.position) for v in page.villages),
        ghosts=ghosts,
        waiting=_point(page, outside, "", late) if outside else None,
        chosen=chosen,
        credit=page.map_credit,
        metric=metric,
    )


def _chain(page: RoundsPage, order: tuple[str, ...], start: Position) -> tuple[Position, ...]:
    return (start, *(page.stops[one].position for one in order if one in page.stops), start)


def _point(page: RoundsPage, stop_id: str, number: str, late: set[str]) -> MapPoint:
    words = page.stops[stop_id]
    icon = words.icon if words.kind == "callback" else ""
    return MapPoint(stop_id, number, words.position, stop_id in late, icon)
