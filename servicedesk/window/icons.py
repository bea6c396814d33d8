"""Our icons as crisp pixmaps: SVG text with a color slot, drawn once a size, color and ratio."""

from functools import cache

from PySide6.QtCore import QByteArray, QRect, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QIcon, QIconEngine, QPainter, QPixmap
from PySide6.QtSvg import QSvgRenderer

from servicedesk.values.resources import resource

_SMALL_PX = 16
_DRAWN: dict[tuple[str, int, int, int], QPixmap] = {}
_MOST_KEPT = 2000


@cache
def _svg_text(name: str) -> str:
    """The drawing as text. Raises FileNotFoundError, naming the file, for an unknown icon."""
    return resource("icons", f"{name}.svg").read_text(encoding="utf-8")


def icon_svg(name: str, color: QColor, size_px: int) -> bytes:
    """The SVG of icon `name` in one colour; small sizes get the heavier stroke."""
    text = _svg_text(name).replace("currentColor", color.name())
    if size_px <= _SMALL_PX:
        text = text.replace('stroke-width="1.6"', 'stroke-width="2.0"')
    return text.encode()


def icon_pixmap(name: str, size_px: int, color: QColor, ratio: float = 1.0) -> QPixmap:
    """Icon `name` as a square of `size_px` logical pixels for a screen of `ratio`."""
    key = (name, size_px, color.rgba(), round(ratio * 100))
    found = _DRAWN.get(key)
    if found is not None:
        return found
    drawing = QSvgRenderer(QByteArray(icon_svg(name, color, size_px)))
    side = round(size_px * ratio)
    pixmap = QPixmap(side, side)
    pixmap.fill(Qt.GlobalColor.transparent)
    painter = QPainter(pixmap)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    drawing.render(painter, QRectF(0, 0, side, side))
    painter.end()
    pixmap.setDevicePixelRatio(ratio)
    if len(_DRAWN) >= _MOST_KEPT:
        _DRAWN.clear()
    _DRAWN[key] = pixmap
    return pixmap


def forget_icons() -> None:
    """Drop all drawn icons: the theme or the screen has changed."""
    _DRAWN.clear()


class _Engine(QIconEngine):
    """Draws one of our icons at whatever size and ratio Qt asks for."""

    def __init__(self, name: str, color: QColor, off: QColor) -> None:
        super().__init__()
        self._name, self._color, self._off = name, color, off

    def paint(self, painter: QPainter, rect: QRect, mode: QIcon.Mode, state: QIcon.State) -> None:
        color = self._off if mode == QIcon.Mode.Disabled else self._color
        device = painter.device()
        ratio = device.devicePixelRatioF() if device is not None else 1.0
        side = min(rect.width(), rect.height())
        left = rect.x() + (rect.width() - side) // 2
        top = rect.y() + (rect.height() - side) // 2
        painter.drawPixmap(left, top, icon_pixmap(self._name, side, color, ratio))

    def pixmap(self, size: QSize, mode: QIcon.Mode, state: QIcon.State) -> QPixmap:
        # a box wider than high keeps its rest at the right: the gap before a button's words
        color = self._off if mode == QIcon.Mode.Disabled else self._color
        square = icon_pixmap(self._name, min(size.width(), size.height()), color)
        if size.width() <= size.height():
            return square
        pixmap = QPixmap(size)
        pixmap.fill(Qt.GlobalColor.transparent)
        painter = QPainter(pixmap)
        painter.drawPixmap(0, 0, square)
        painter.end()
        return pixmap

    def clone(self) -> QIconEngine:
        return _Engine(self._name, self._color, self._off)


def icon(name: str, color: QColor, off: QColor | None = None) -> QIcon:
    """A QIcon of ours; `off` is the colour when the button cannot be pressed."""
    return QIcon(_Engine(name, color, off or color))
