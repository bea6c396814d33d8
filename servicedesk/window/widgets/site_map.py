"""All sites on one map: points by state, guessed places hollow and dashed, choosing linked."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Signal, Slot
from PySide6.QtGui import (
    QMouseEvent,
    QPainter,
    QPainterPath,
    QPaintEvent,
    QPen,
    QPixmap,
    QResizeEvent,
)
from PySide6.QtWidgets import QSizePolicy, QWidget

from servicedesk.desk.sites import SiteRow
from servicedesk.papers.maps import Projection, fit
from servicedesk.values.position import Position
from servicedesk.values.shapes import Box
from servicedesk.window.ink import Ink
from servicedesk.window.paint_shapes import ScreenMeasure, paint_shapes
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.map_shapes import DayMap, map_figure
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


class SiteMap(QWidget):
    """Pressing near a point chooses its site."""

    chosen = Signal(object)

    def __init__(self, theme: Theme, *, metric: bool = False) -> None:
        super().__init__()
        self._theme, self._metric = theme, metric
        self._points: tuple[SitePoint, ...] = ()
        self._villages: tuple[tuple[str, Position], ...] = ()
        self._home: Position | None = None
        self._listed: Collection[object] | None = None
        self._site: object = None
        self._projection: Projection | None = None
        self._spots: dict[object, QPointF] = {}
        self._drawn: QPixmap | None = None
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName(say("Map of all sites"))
        theme.changed.connect(self._anew)

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
        self.setAccessibleDescription(words)
        self._projection = None
        self._anew()

    def show_listed(self, ids: Collection[object] | None) -> None:
        """Let those stand out that are listed; None: all."""
        if ids != self._listed:
            self._listed = ids
            self._anew()

    def choose(self, site_id: object) -> None:
        """Put the ring round another site."""
        if site_id != self._site:
            self._site = site_id
            self.update()

    @property
    def spots(self) -> Mapping[object, QPointF]:
        """Where each site stands, by id."""
        self._place()
        return self._spots

    def sizeHint(self) -> QSize:
        return QSize(400, 340)

    def minimumSizeHint(self) -> QSize:
        return QSize(220, self._theme.px(120))

    def resizeEvent(self, event: QResizeEvent) -> None:
        self._projection = None
        self._anew()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        at = event.position()
        near = [
            ((spot - at).manhattanLength(), str(site), site) for site, spot in self.spots.items()
        ]
        found = min(near, default=None)
        if found is not None and found[0] <= _NEAR_PX * 1.5:
            self.chosen.emit(found[2])

    def paintEvent(self, event: QPaintEvent) -> None:
        ratio = self.devicePixelRatioF()
        if self._drawn is None:
            self._drawn = self._draw(ratio)
        with QPainter(self) as painter:
            ink = Ink(painter, self._theme)
            radius = self._theme.tokens.radius.sheet
            path = QPainterPath()
            path.addRoundedRect(QRectF(self.rect()), radius, radius)
            painter.setClipPath(path)
            painter.drawPixmap(0, 0, self._drawn)
            self._paint_chosen(ink)
            painter.setClipping(False)
            ink.panel(QRectF(self.rect()), edge="line", radius=radius)
            if not self._points:
                words = say("No site has a place yet.")
                ink.text(QRectF(self.rect()), words, color="ink2", align="center")

    def _draw(self, ratio: float) -> QPixmap:
        pixmap = QPixmap(round(self.width() * ratio), round(self.height() * ratio))
        pixmap.setDevicePixelRatio(ratio)
        pixmap.fill(self._theme.color("map.land"))
        painter = QPainter(pixmap)
        ink = Ink(painter, self._theme)
        self._place()
        if self._points:
            paint_shapes(ink, map_figure(self._ground(), self._box(), ScreenMeasure(self._theme),
                                         scale=self._theme.scale).shapes)  # fmt: skip
            self._paint_points(ink)
            self._paint_names(ink)
            self._paint_legend(ink)
        painter.end()
        return pixmap

    def _ground(self) -> DayMap:
        frame = tuple(point.position for point in self._points)
        return DayMap(
            ways=(),
            home=self._home or frame[0],
            frame=frame,
            metric=self._metric,
        )

    def _box(self) -> Box:
        return Box(0, 0, self.width(), self.height())

    def _place(self) -> None:
        if self._projection is not None or not self._points:
            return
        # the same margins as in map_figure, so that points and names agree
        s = self._theme.scale
        around = self._box().grown(-26 * s)
        around = Box(around.x, around.y, around.width, max(40.0, around.height - 30 * s))
        ground = self._ground()
        self._projection = fit([ground.home, *ground.frame], around)
        self._spots = {
            point.site_id: QPointF(*self._projection.at(point.position)) for point in self._points
        }

    def _paint_points(self, ink: Ink) -> None:
        others = [p for p in self._points if not self._stands_out(p)]
        self._dots(ink, others, "edge", 4.0)
        shown = [p for p in self._points if self._stands_out(p)]
        self._dots(ink, [p for p in shown if p.state == "plain" and not p.guessed], "ink2", 5.5)
        size = self._theme.px(9)
        for point in shown:
            spot = self._spots[point.site_id]
            if point.guessed:
                self._dashed(ink, spot, size, _COLORS[point.state])
            elif point.state != "plain":
                ink.mark(_SHAPES[point.state], spot, size, _COLORS[point.state], filled=False)

    def _paint_names(self, ink: Ink) -> None:
        """Each village above the northernmost of its nearer sites, where no other name stands."""
        if self._projection is None:
            return
        height = self._theme.px(15)
        taken: list[QRectF] = []
        for name, position in self._villages:
            middle = QPointF(*self._projection.at(position))
            near = [
                spot.y()
                for spot in self._spots.values()
                if abs(spot.x() - middle.x()) < height * 3
                and abs(spot.y() - middle.y()) < height * 3
            ]
            width = ink.width_of(name, "chip") + 6
            top = min([middle.y(), *near]) - height - self._theme.px(5)
            box = QRectF(middle.x() - width / 2, top, width, height)
            box.moveLeft(min(max(box.left(), 4), self.width() - width - 4))
            if box.top() < 2 or any(box.intersects(other) for other in taken):
                continue
            taken.append(box)
            with ink.clipped(box):
                ink.painter.setOpacity(0.75)
                ink.panel(box, fill="map.land", radius=3)
                ink.painter.setOpacity(1)
            ink.text(box, name, role="chip", color="ink2", align="center")

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

    def _paint_legend(self, ink: Ink) -> None:
        theme = self._theme
        present = [name for name in _SHAPES if any(p.state == name for p in self._points)]
        items = [(name, _legend()[name]) for name in (*present, "plain")]
        if any(point.guessed for point in self._points):
            items.append(("guessed", _legend()["guessed"]))
        pad, mark = theme.px(9), theme.px(16)
        width = sum(ink.width_of(words, "axis") + mark + pad for _, words in items) + pad
        if width > self.width() - theme.px(20):
            return
        height = theme.px(22)
        box = QRectF(theme.px(12), theme.px(10), width, height)
        ink.panel(box, fill="sheet", radius=4)
        x, y = box.left() + pad, box.center().y()
        for name, words in items:
            middle = QPointF(x + theme.px(5), y)
            if name == "guessed":
                self._dashed(ink, middle, theme.px(8), "ink2")
            else:
                size = theme.px(9 if name in _SHAPES else 6)
                shape = _SHAPES.get(name, "disc")
                ink.mark(shape, middle, size, _COLORS[name], filled=name == "plain")
            place = QRectF(x + mark, box.top(), ink.width_of(words, "axis") + 2, height)
            ink.text(place, words, role="axis")
            x += mark + ink.width_of(words, "axis") + pad

    @Slot()
    def _anew(self) -> None:
        self._drawn = None
        self.update()


_SHAPES = {"called": "square", "owed": "diamond"}
_COLORS = {"called": "plum", "owed": "ochre", "plain": "ink2"}


def _legend() -> dict[str, str]:
    return {
        "called": say("called twice or more"),
        "owed": say("owed"),
        "plain": say("others"),
        "guessed": say("guessed"),
    }
