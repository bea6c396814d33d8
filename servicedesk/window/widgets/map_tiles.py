"""The ground of a map in square pictures: painted on workers, kept, and shown while one moves."""

import math
from collections import OrderedDict
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QObject, QPointF, QRectF, Qt, Signal, Slot
from PySide6.QtGui import QColor, QImage, QPainter, QPen, QPixmap, QPolygonF

from servicedesk.papers.projection import Projection
from servicedesk.window.theme import Theme

if TYPE_CHECKING:
    from servicedesk.papers.ground import Stroke
    from servicedesk.travel.map_ground import Ground
    from servicedesk.window.work import Job

SIDE = 512  # px of a tile
KEPT_BYTES = 96 * 1024 * 1024
_AT_ONCE = 2  # tiles on the workers at a time
_ROUND_CAPS_FROM = 3.0  # meters a pixel: farther away nobody sees the ends of roads
_TOKENS = ("map.land", "map.wood", "map.river", "map.road", "map.casing", "line", "edge")
Apart = Callable[..., "Job"]


@dataclass(frozen=True, slots=True)
class TileKey:
    """Which tile: of which ground, in which look, at which scale, and where."""

    ground: str
    theme: str
    meters_per_px: float
    ratio: float
    column: int
    row: int


@dataclass(frozen=True, eq=False)
class TileWork:
    """All a worker needs to paint one tile; colors are taken in the window's thread."""

    key: TileKey
    ground: "Ground"
    colors: Mapping[str, QColor]
    polygons: "Polygons"


class Polygons:
    """Lines as Qt has them, in meters, made once for each shape of a level."""

    def __init__(self) -> None:
        self._made: dict[tuple[int, int], QPolygonF] = {}
        self._levels: dict[int, Any] = {}  # keeps the lines alive, so that no id comes again

    def of(self, stroke: "Stroke", shape: int) -> QPolygonF:
        """One line, or one outline with its holes."""
        key = (id(stroke.lines), shape)
        found = self._made.get(key)
        if found is None:
            self._levels[key[0]] = stroke.lines
            found = self._made[key] = _polygon(stroke, shape)
        return found


def paint_tile(work: TileWork) -> tuple[TileKey, QImage]:
    """One tile as a picture. For any thread."""
    from servicedesk.papers.ground import ground_color, ground_strokes

    key, meters = work.key, work.key.meters_per_px
    side = round(SIDE * key.ratio)
    image = QImage(side, side, QImage.Format.Format_RGB32)
    image.fill(work.colors[ground_color(work.ground)])
    left, top = key.column * SIDE * meters, key.row * SIDE * meters
    window = (left, top, left + SIDE * meters, top + SIDE * meters)
    painter = QPainter(image)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    scale = key.ratio / meters
    painter.scale(scale, scale)
    painter.translate(-left, -top)
    for stroke in ground_strokes(work.ground, window, meters):
        _paint_stroke(painter, stroke, work)
    painter.end()
    return key, image


def _paint_stroke(painter: QPainter, stroke: "Stroke", work: TileWork) -> None:
    painter.setOpacity(stroke.opacity)
    polygons = work.polygons
    if stroke.fill:
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(work.colors[stroke.fill])
        for shape in stroke.shapes.tolist():
            painter.drawPolygon(polygons.of(stroke, shape))
        return
    pen = QPen(work.colors[stroke.color], stroke.width * work.key.ratio)
    pen.setCosmetic(True)
    is_close = work.key.meters_per_px <= _ROUND_CAPS_FROM
    is_round = is_close and not stroke.dash
    pen.setCapStyle(Qt.PenCapStyle.RoundCap if is_round else Qt.PenCapStyle.FlatCap)
    pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
    if stroke.dash:
        pen.setDashPattern([length / stroke.width for length in stroke.dash])
    painter.setPen(pen)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    for shape in stroke.shapes.tolist():
        painter.drawPolyline(polygons.of(stroke, shape))


def _polygon(stroke: "Stroke", shape: int) -> QPolygonF:
    from servicedesk.papers.ground import outline

    if stroke.fill:
        return QPolygonF([QPointF(x, y) for x, y in outline(stroke.lines, shape)])
    x, y = stroke.lines.rings(shape)[0]
    return QPolygonF([QPointF(a, b) for a, b in zip(x.tolist(), y.tolist(), strict=True)])


class MapTiles(QObject):
    """Tiles of one map. `came` is sent when another one can be drawn."""

    came = Signal()

    def __init__(self, theme: Theme, parent: QObject) -> None:
        super().__init__(parent)
        self._theme = theme
        self._ground: Ground | None = None
        self._apart: Apart | None = None
        self._polygons = Polygons()
        self._kept: OrderedDict[TileKey, QPixmap] = OrderedDict()
        self._bytes = 0
        self._on_the_way: dict[TileKey, Job] = {}
        self._scale_before = self._scale = 0.0

    def use(self, ground: "Ground | None", apart: Apart) -> None:
        """Draw this ground from now on, on the workers that `apart` starts."""
        self._apart = apart
        if ground is not self._ground:
            self._ground = ground
            self._polygons = Polygons()
            self._kept.clear()
            self._bytes = 0

    @property
    def is_settled(self) -> bool:
        """Is nothing being painted?"""
        return not self._on_the_way

    def draw(self, painter: QPainter, view: Projection, box: QRectF, ratio: float) -> None:
        """Draw what is ready for `view` inside `box`, and have the rest painted."""
        if self._ground is None:
            return
        if view.meters_per_unit != self._scale:
            self._scale_before, self._scale = self._scale, view.meters_per_unit
        wanted = self._wanted(view, box, ratio)
        missing = [key for key in wanted if key not in self._kept]
        if missing and self._scale_before:
            self._draw_before(painter, view, ratio)
        for key in wanted:
            picture = self._kept.get(key)
            if picture is not None:
                self._kept.move_to_end(key)
                spot = _corner(key, view)
                at = QPointF(round(spot.x() * ratio) / ratio, round(spot.y() * ratio) / ratio)
                painter.drawPixmap(at, picture)
        self._begin(missing)

    def _wanted(self, view: Projection, box: QRectF, ratio: float) -> list[TileKey]:
        """The tiles that touch the box, those in the middle first."""
        assert self._ground is not None  # noqa: S101 (asked by the caller)
        meters = view.meters_per_unit
        left = view.middle_m[0] / meters - view.center[0]
        top = -view.middle_m[1] / meters - view.center[1]
        columns = range(
            math.floor((left + box.left()) / SIDE), math.floor((left + box.right()) / SIDE) + 1
        )
        rows = range(
            math.floor((top + box.top()) / SIDE), math.floor((top + box.bottom()) / SIDE) + 1
        )
        keys = [
            TileKey(self._ground.key, self._theme.name, meters, ratio, column, row)
            for row in rows
            for column in columns
        ]
        middle = box.center()
        half = QPointF(SIDE / 2, SIDE / 2)
        keys.sort(key=lambda key: (_corner(key, view) + half - middle).manhattanLength())
        return keys

    def _draw_before(self, painter: QPainter, view: Projection, ratio: float) -> None:
        """What was seen before the last zoom, stretched, until the new tiles are there."""
        before = self._scale_before
        factor = before / view.meters_per_unit
        for key, picture in self._kept.items():
            if key.meters_per_px != before or key.theme != self._theme.name or key.ratio != ratio:
                continue
            corner = _corner(key, view)
            painter.drawPixmap(
                QRectF(corner.x(), corner.y(), SIDE * factor, SIDE * factor),
                picture,
                QRectF(picture.rect()),
            )

    def _begin(self, missing: list[TileKey]) -> None:
        if self._apart is None or self._ground is None:
            return
        for key, job in list(self._on_the_way.items()):
            if key not in missing:  # scrolled away: if it has not begun it never will
                job.cancel()
        for key in missing:
            if len(self._on_the_way) >= _AT_ONCE:
                return
            if key in self._on_the_way:
                continue
            colors = {name: QColor(self._theme.color(name)) for name in _TOKENS}
            work = TileWork(key, self._ground, colors, self._polygons)
            job = self._apart(paint_tile, work)
            self._on_the_way[key] = job
            job.done.connect(self._landed)
            job.ended.connect(self._ended)

    @Slot(object)
    def _landed(self, painted: tuple[TileKey, QImage]) -> None:
        key, image = painted
        if self._ground is None or key.ground != self._ground.key:
            return
        picture = QPixmap.fromImage(image)
        picture.setDevicePixelRatio(key.ratio)
        self._kept[key] = picture
        self._bytes += _bytes_of(picture)
        while self._bytes > KEPT_BYTES and len(self._kept) > 1:
            _, oldest = self._kept.popitem(last=False)
            self._bytes -= _bytes_of(oldest)

    @Slot()
    def _ended(self) -> None:
        job = self.sender()
        self._on_the_way = {key: one for key, one in self._on_the_way.items() if one is not job}
        self.came.emit()


def _corner(key: TileKey, view: Projection) -> QPointF:
    """Where the upper left corner of a tile lies in a view, of the same scale or another."""
    meters = view.meters_per_unit
    left = (key.column * SIDE * key.meters_per_px - view.middle_m[0]) / meters + view.center[0]
    top = (key.row * SIDE * key.meters_per_px + view.middle_m[1]) / meters + view.center[1]
    return QPointF(left, top)


def _bytes_of(picture: QPixmap) -> int:
    return picture.width() * picture.height() * 4
