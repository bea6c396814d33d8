"""Draws a list of pure shapes (`values.shapes`) on the screen; papers draw the same lists."""

from collections.abc import Iterable

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QFont, QFontMetricsF, QPainterPath, QPen, QPolygonF

from servicedesk.values import shapes
from servicedesk.window.ink import Ink
from servicedesk.window.theme import Theme

_ROLE_OF_FAMILY = {"text": "text", "title": "sheet_title"}
_FLAGS = {
    "left": Qt.AlignmentFlag.AlignLeft,
    "center": Qt.AlignmentFlag.AlignHCenter,
    "right": Qt.AlignmentFlag.AlignRight,
}


class ScreenMeasure:
    """Width of a text as the window will draw it. A `values.shapes.Measure`."""

    def __init__(self, theme: Theme) -> None:
        self._theme = theme
        self._metrics: dict[shapes.Font, QFontMetricsF] = {}

    def __call__(self, text: str, font: shapes.Font, /) -> float:
        """Advance width in logical pixels."""
        metrics = self._metrics.get(font)
        if metrics is None:
            metrics = self._metrics[font] = QFontMetricsF(screen_font(self._theme, font))
        return metrics.horizontalAdvance(text)


def screen_font(theme: Theme, font: shapes.Font) -> QFont:
    """The window's font for a shape's font; sizes are logical pixels, already scaled."""
    made = QFont(theme.font(_ROLE_OF_FAMILY[font.family]))
    made.setPixelSize(max(1, round(font.size)))
    made.setWeight(QFont.Weight(font.weight))
    return made


def paint_shapes(ink: Ink, drawn: Iterable[shapes.Shape]) -> None:
    """Draw in the order given. Raises TypeError for a QR code: those stand on paper only."""
    for shape in drawn:
        _paint(ink, shape)


def rect_of(box: shapes.Box) -> QRectF:
    """The same box as Qt has it."""
    return QRectF(box.x, box.y, box.width, box.height)


def _paint(ink: Ink, shape: shapes.Shape) -> None:
    match shape:
        case shapes.TextBox():
            _paint_text(ink, shape)
        case shapes.Rect():
            _paint_rect(ink, shape)
        case shapes.Hatch():
            ink.hatch(rect_of(shape.box), shape.color, gap=shape.step, width=shape.width)
        case shapes.Icon():
            ink.icon(shape.name, rect_of(shape.box), shape.color)
        case shapes.Line():
            pen = _pen(ink, shape.color, shape.width, shape.dash)
            ink.painter.setPen(pen)
            ink.painter.drawLine(QPointF(shape.x1, shape.y1), QPointF(shape.x2, shape.y2))
        case shapes.Polyline():
            _paint_polyline(ink, shape)
        case shapes.Bracket():
            _paint_bracket(ink, shape)
        case shapes.Mark(kind="padlock"):
            ink.icon("hold", rect_of(shape.bounds), shape.color)
        case shapes.Mark():
            middle = QPointF(shape.x, shape.y)
            ink.mark(shape.kind, middle, shape.size, shape.color, filled=shape.filled)
        case _:
            raise TypeError(f"{type(shape).__name__} is not drawn on the screen")


def _paint_text(ink: Ink, shape: shapes.TextBox) -> None:
    font = screen_font(ink.theme, shape.font)
    ink.painter.setFont(font)
    ink.painter.setPen(ink.theme.color(shape.color))
    box = rect_of(shape.box)
    flags = _FLAGS[shape.align] | Qt.AlignmentFlag.AlignVCenter | Qt.TextFlag.TextSingleLine
    words = ink.painter.fontMetrics().elidedText(
        shape.text, Qt.TextElideMode.ElideRight, int(box.width() + 1)
    )
    ink.painter.drawText(box, flags, words)


def _paint_rect(ink: Ink, shape: shapes.Rect) -> None:
    painter = ink.painter
    painter.setBrush(_brush(ink, shape.fill))
    if shape.stroke is None:
        painter.setPen(Qt.PenStyle.NoPen)
    else:
        painter.setPen(_pen(ink, shape.stroke, shape.width, shape.dash))
    painter.drawRoundedRect(rect_of(shape.box), shape.radius, shape.radius)


def _paint_polyline(ink: Ink, shape: shapes.Polyline) -> None:
    painter = ink.painter
    points = QPolygonF([QPointF(x, y) for x, y in shape.points])
    painter.setPen(
        _pen(ink, shape.color, shape.width, shape.dash) if shape.color else Qt.PenStyle.NoPen
    )
    if shape.fill is None:
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawPolyline(points)
    else:
        painter.setBrush(_brush(ink, shape.fill))
        painter.drawPolygon(points)


def _paint_bracket(ink: Ink, shape: shapes.Bracket) -> None:
    path = QPainterPath(QPointF(shape.x1, shape.y))
    path.lineTo(shape.x2, shape.y)
    for x, is_open in ((shape.x1, shape.open_left), (shape.x2, shape.open_right)):
        if not is_open:
            path.moveTo(x, shape.y)
            path.lineTo(x, shape.y + shape.drop)
    ink.painter.setPen(_pen(ink, shape.color, shape.width, ()))
    ink.painter.setBrush(Qt.BrushStyle.NoBrush)
    ink.painter.drawPath(path)


def _brush(ink: Ink, color: str | None) -> QBrush:
    return QBrush(ink.theme.color(color)) if color else QBrush(Qt.BrushStyle.NoBrush)


def _pen(ink: Ink, color: str, width: float, dash: tuple[float, ...]) -> QPen:
    pen = QPen(ink.theme.color(color), width)
    pen.setCapStyle(Qt.PenCapStyle.FlatCap if dash else Qt.PenCapStyle.RoundCap)
    pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
    if dash:
        pen.setDashPattern([length / max(width, 0.1) for length in dash])
    return pen
