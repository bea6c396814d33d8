"""The ground of a map in square pictures: painted on workers, kept, and shown while one moves."""

import math
from collections import OrderedDict
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QPointF, QRectF, Qt, Signal, Slot
from PySide6.QtGui import QColor, QImage, QPainter, QPainterPath, QPen, QPixmap, QPolygonF

from servicedesk.papers.projection import Projection
from servicedesk.window.theme import Theme

if TYPE_CHECKING:
    from servicedesk.papers.ground import Stroke
    from servicedesk.travel.map_ground import Ground
    from servicedesk.travel.map_lines import Floats, Lines, Window
    from servicedesk.window.work import Job

    Ring = tuple[Floats, Floats]

SIDE = 512  # px of a tile
KEPT_BYTES = 96 * 1024 * 1024
_AT_ONCE = 2  # tiles on the workers at a time
_FEW_POINTS = 60  # an outline of fewer is drawn whole
_SEEN_PX = 4.0  # an outline is cut that far outside its tile
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
    """Lines and areas as Qt has them, in meters, made once for each shape of a level."""

    def __init__(self) -> None:
        self._lines: dict[tuple[int, int], QPolygonF] = {}
        self._areas: dict[tuple[int, int], QPainterPath] = {}
        self._kept: dict[int, Lines] = {}  # alive, so that no id comes again

    def line(self, lines: "Lines", shape: int) -> QPolygonF:
        """One line."""
        key = (id(lines), shape)
        found = self._lines.get(key)
        if found is None:
            self._kept[key[0]] = lines
            found = self._lines[key] = _polygon(lines.rings(shape)[0])
        return found

    def area(self, lines: "Lines", shape: int, window: "Window") -> QPainterPath:
        """An outline with its holes; of one that reaches far out of the window what is near it.

        Filling an outline takes as long as it has points, wherever they lie.
        """
        first, last = int(lines.shape_start[shape]), int(lines.shape_start[shape + 1])
        x0, y0, x1, y1 = lines.boxes[shape].tolist()
        reaches_far = max(x1 - x0, y1 - y0) > window[2] - window[0]
        if reaches_far and lines.ring_start[last] - lines.ring_start[first] > _FEW_POINTS:
            from servicedesk.papers.ground import ring_near

            return _path([ring_near(ring, window) for ring in lines.rings(shape)])
        key = (id(lines), shape)
        found = self._areas.get(key)
        if found is None:
            self._kept[key[0]] = lines
            found = self._areas[key] = _path(lines.rings(shape))
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
    margin = _SEEN_PX * meters
    seen = (left - margin, top - margin, window[2] + margin, window[3] + margin)
    for stroke in ground_strokes(work.ground, window, meters):
        _paint_stroke(painter, stroke, work, seen)
    painter.end()
    return key, image


def _paint_stroke(painter: QPainter, stroke: "Stroke", work: TileWork, window: "Window") -> None:
    painter.setOpacity(stroke.opacity)
    polygons = work.polygons
    if stroke.fill:
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(work.colors[stroke.fill])
        for shape in stroke.shapes.tolist():
            painter.drawPath(polygons.area(stroke.lines, shape, window))
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
        painter.drawPolyline(polygons.line(stroke.lines, shape))


def _path(rings: "list[Ring]") -> QPainterPath:
    """Rings filled by odd and even: a hole within its outline stays free."""
    path = QPainterPath()
    for ring in rings:
        if len(ring[0]) > 2:
            path.addPolygon(_polygon(ring))
            path.closeSubpath()
    return path


def _polygon(ring: "Ring") -> QPolygonF:
    return QPolygonF(list(map(QPointF, ring[0].tolist(), ring[1].tolist())))


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
