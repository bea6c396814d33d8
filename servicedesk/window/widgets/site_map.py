"""All sites on one map: points by state, guessed places hollow and dashed, choosing linked."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QPainter, QPaintEvent, QPen

from servicedesk.desk.sites import SiteRow
from servicedesk.papers.day_map import home_shapes
from servicedesk.papers.map_furniture import Legend, credit_shapes, legend_shapes
from servicedesk.papers.map_names import name_boxes
from servicedesk.values.position import Position
from servicedesk.values.shapes import Box, Font, Rect, Shape, TextBox
from servicedesk.window.ink import Ink
from servicedesk.window.paint_shapes import ScreenMeasure, paint_shapes, rect_of
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.map_view import MapView, place_names
from servicedesk.words import say, say_n

_NEAR_PX = 12.0


@dataclass(frozen=True, slots=True)
class SitePoint:
    """A site on the map. `state`: called, owed or plain."""

    site_id: int
    position: Position
    state: str
    guessed: bool


def points_of(rows: Iterable[SiteRow]) -> tuple[SitePoint, ...]:
    """A point for every row that has a position."""
    return tuple(
        SitePoint(row.id, row.position, _state(row), row.position_state == "guessed")
        for row in rows
        if row.position is not None
    )


def villages_of(rows: Iterable[SiteRow]) -> tuple[tuple[str, Position], ...]:
    """Each village with the middle of its sites, those with three sites or more."""
    groups: dict[str, list[Position]] = {}
    for row in rows:
        if row.position is not None and row.locality:
            groups.setdefault(row.locality, []).append(row.position)
    return tuple(
        (
            name,
            Position(
                sum(p.lat_deg for p in some) / len(some), sum(p.lon_deg for p in some) / len(some)
            ),
        )
        for name, some in groups.items()
        if len(some) >= 3
    )


def _state(row: SiteRow) -> str:
    return "called" if len(row.calls) >= 2 else "owed" if row.n_owed else "plain"


class SiteMap(MapView):
    """Pressing near a point chooses its site."""

    edges = (26, 42, 52, 50)
    chosen = Signal(object)

    def __init__(self, theme: Theme, *, metric: bool = False) -> None:
        super().__init__(theme, metric=metric)
        self._measure = ScreenMeasure(theme)
        self._points: tuple[SitePoint, ...] = ()
        self._villages: tuple[tuple[str, Position], ...] = ()
        self._home: Position | None = None
        self._listed: Collection[object] | None = None
        self._site: object = None
        self._pin: Position | None = None
        self._spots: dict[object, QPointF] = {}
        self._is_laid = False
        self._names: list[TextBox] | None = None
        self.setAccessibleName(say("Map of all sites"))

    def show_points(
        self,
        points: tuple[SitePoint, ...],
        villages: tuple[tuple[str, Position], ...],
        home: Position | None,
    ) -> None:
        """Show these sites."""
        self._points, self._villages, self._home = points, villages, home
        n = len(points)
        words = say_n("{n} site on the map", "{n} sites on the map", n)
        keys = say("Arrows move it, + and \u2212 come closer and farther, Home shows all.")
        self.setAccessibleDescription(f"{words}. {keys}")
        self.follow()

    def show_listed(self, ids: Collection[object] | None) -> None:
        """Let those stand out that are listed; None: all."""
        if ids != self._listed:
            self._listed = ids
            self.update()

    def choose(self, site_id: object) -> None:
        """Put the ring round another site, and bring it into sight."""
        if site_id == self._site:
            return
        self._site = site_id
        found = next((p.position for p in self._points if p.site_id == site_id), None)
        if found is not None:
            self.go_to(found)
        self.update()

    def show_pin(self, position: Position | None) -> None:
        """Mark a place that was found but is not written yet; None takes the pin away."""
        self._pin = position
        if position is not None:
            self.go_to(position)
        self.update()

    @property
    def spots(self) -> Mapping[object, QPointF]:
        """Where each site stands, by id."""
        view = self.view
        if not self._is_laid and view is not None:
            self._is_laid = True
            self._spots = {p.site_id: QPointF(*view.at(p.position)) for p in self._points}
        return self._spots

    def sizeHint(self) -> QSize:
        return QSize(400, 340)

    def minimumSizeHint(self) -> QSize:
        return QSize(220, self._theme.px(120))

    # what the view asks

    def whole(self) -> Sequence[Position]:
        home = (self._home,) if self._home is not None else ()
        return (*home, *(point.position for point in self._points)) if self._points else ()

    def laid_out_anew(self) -> None:
        self._is_laid, self._spots, self._names = False, {}, None

    def pressed(self, at: QPointF) -> None:
        near = [
            ((spot - at).manhattanLength(), str(site), site) for site, spot in self.spots.items()
        ]
        found = min(near, default=None)
        if found is not None and found[0] <= _NEAR_PX * 1.5:
            self.chosen.emit(found[2])

    def paint_over(self, ink: Ink) -> None:
        self._paint_points(ink)
        self._paint_home(ink)
        self._paint_names(ink)
        self._paint_chosen(ink)
        self._paint_pin(ink)

    def paint_fixed(self, ink: Ink) -> None:
        self._paint_legend(ink)
        paint_shapes(ink, self.furniture())

    def paintEvent(self, event: QPaintEvent) -> None:
        super().paintEvent(event)
        if not self._points:
            with QPainter(self) as painter:
                words = say("No site has a place yet.")
                box = QRectF(self.rect())
                Ink(painter, self._theme).text(box, words, color="ink2", align="center")

    def furniture(self) -> list[Shape]:
        """Scale and credit."""
        view = self.view
        if view is None:
            return []
        box, s = Box(0, 0, self.width(), self.height()), self._theme.scale
        scale = legend_shapes(Legend((), metric=self._metric), box, view, self._measure, s)
        ground = self.ground
        text = f"{ground.source} · {ground.credit}" if ground is not None else ""
        return [*scale, *credit_shapes(text, box, scale, self._measure, s)]

    def redress(self) -> None:
        self._measure = ScreenMeasure(self._theme)
        super().redress()

    def _paint_points(self, ink: Ink) -> None:
        spots = self.spots
        box = QRectF(self.rect()).adjusted(-12, -12, 12, 12).translated(-self._moved)
        seen = [p for p in self._points if box.contains(spots[p.site_id])]
        self._dots(ink, [p for p in seen if not self._stands_out(p)], "edge", 4.0)
        shown = [p for p in seen if self._stands_out(p)]
        self._dots(ink, [p for p in shown if p.state == "plain" and not p.guessed], "ink2", 5.5)
        size = self._theme.px(9)
        for point in shown:
            spot = spots[point.site_id]
            if point.guessed:
                self._dashed(ink, spot, size, _COLORS[point.state])
            elif point.state != "plain":
                ink.mark(_SHAPES[point.state], spot, size, _COLORS[point.state], filled=False)

    def _paint_home(self, ink: Ink) -> None:
        view = self.view
        if self._home is not None and view is not None:
            paint_shapes(ink, home_shapes(view.at(self._home), self._theme.scale))

    @property
    def names(self) -> list[TextBox]:
        """Places of the ground, else villages, where they find room."""
        view = self.view
        if self._names is None and view is not None:
            known = place_names(self.ground, view, self.width(), self.height())
            box = Box(0, 0, self.width(), self.height())
            taken = [*self.reserved(), self._legend_box()]
            taken += [shape.box for shape in self.furniture() if isinstance(shape, Rect)]
            self._names = name_boxes(
                self._villages if known is None else known,
                view,
                box.grown(-4),
                self._measure,
                [(spot.x(), spot.y()) for spot in self.spots.values()],
                taken,
                font=Font(12 * self._theme.scale, 500),
            )
        return self._names or []

    def _paint_names(self, ink: Ink) -> None:
        for name in self.names:
            ink.painter.setOpacity(0.78)
            ink.panel(rect_of(name.box), fill="map.land", radius=3)
            ink.painter.setOpacity(1)
        paint_shapes(ink, self.names)

    def _paint_pin(self, ink: Ink) -> None:
        view = self.view
        if self._pin is None or view is None:
            return
        x, y = view.at(self._pin)
        side = self._theme.px(26)
        ink.panel(QRectF(x - side / 2, y - side - 2, side, side), fill="sheet", edge="focus",
                  radius=5, width=2)  # fmt: skip
        ink.icon("pin", QRectF(x - side / 2 + 4, y - side + 2, side - 8, side - 8), "focus")
        ink.mark("disc", QPointF(x, y), self._theme.px(5), "focus")

    def _stands_out(self, point: SitePoint) -> bool:
        return self._listed is None or point.site_id in self._listed

    def _dots(self, ink: Ink, points: Iterable[SitePoint], color: str, size: float) -> None:
        pen = QPen(self._theme.color(color), self._theme.px(size * 10) / 10)
        pen.setCapStyle(Qt.PenCapStyle.RoundCap)
        ink.painter.setPen(pen)
        ink.painter.drawPoints([self._spots[point.site_id] for point in points])

    def _dashed(self, ink: Ink, spot: QPointF, size: float, color: str) -> None:
        pen = QPen(self._theme.color(color), 1.4)
        pen.setDashPattern([1.8, 1.4])
        ink.painter.setPen(pen)
        ink.painter.setBrush(Qt.BrushStyle.NoBrush)
        ink.painter.drawEllipse(spot, size / 2 + 0.5, size / 2 + 0.5)

    def _paint_chosen(self, ink: Ink) -> None:
        spot = self._spots.get(self._site)
        if spot is not None:
            half = self._theme.px(11)
            ring = QRectF(spot.x() - half, spot.y() - half, 2 * half, 2 * half)
            ink.panel(ring, edge="focus", radius=half, width=2)
            ink.mark("disc", spot, self._theme.px(6), "focus")

    def _legend_items(self) -> list[tuple[str, str]]:
        """State and words of what is on the map, those that stand out first."""
        present = [name for name in _SHAPES if any(p.state == name for p in self._points)]
        items = [(name, _legend()[name]) for name in (*present, "plain")]
        if any(point.guessed for point in self._points):
            items.append(("guessed", _legend()["guessed"]))
        return items

    def _legend_box(self) -> Box:
        """Where the legend stands; without width where there is no room for it."""
        theme = self._theme
        font = Font(11 * theme.scale)
        words = sum(self._measure(text, font) + theme.px(25) for _, text in self._legend_items())
        width = words + theme.px(11)
        first = min((button.x() for button in self.buttons), default=self.width())
        top = theme.px(10)
        if width > first - theme.px(14):
            width = 0.0
        return Box(theme.px(10), top, width, theme.px(22))

    def _paint_legend(self, ink: Ink) -> None:
        theme, box = self._theme, rect_of(self._legend_box())
        if not box.width():
            return
        pad, mark = theme.px(9), theme.px(16)
        ink.panel(box, fill="sheet", radius=4)
        x, y = box.left() + pad, box.center().y()
        for name, words in self._legend_items():
            middle = QPointF(x + theme.px(5), y)
            if name == "guessed":
                self._dashed(ink, middle, theme.px(8), "ink2")
            else:
                size = theme.px(9 if name in _SHAPES else 6)
                shape = _SHAPES.get(name, "disc")
                ink.mark(shape, middle, size, _COLORS[name], filled=name == "plain")
            place = QRectF(x + mark, box.top(), ink.width_of(words, "axis") + 2, box.height())
            ink.text(place, words, role="axis")
            x += mark + ink.width_of(words, "axis") + pad


_SHAPES = {"called": "square", "owed": "diamond"}
_COLORS = {"called": "plum", "owed": "ochre", "plain": "ink2"}


def _legend() -> dict[str, str]:
    return {
        "called": say("called twice or more"),
        "owed": say("owed"),
        "plain": say("others"),
        "guessed": say("guessed"),
    }
