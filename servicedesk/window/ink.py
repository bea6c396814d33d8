"""The pen of all painted widgets: text in a box, chip, hatch, bracket, mark, icon.

Lengths are logical pixels; colors and roles carry the names of the tokens.
"""

import math
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Literal

from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPainterPath, QPen

from servicedesk.window.icons import icon_pixmap
from servicedesk.window.theme import Theme

Align = Literal["left", "right", "center"]
_FLAGS = {
    "left": Qt.AlignmentFlag.AlignLeft,
    "right": Qt.AlignmentFlag.AlignRight,
    "center": Qt.AlignmentFlag.AlignHCenter,
}
HATCH_GAP = 5.0


class Ink:
    """Draws with `painter` in the look of `theme`. Made anew for each paint event."""

    def __init__(self, painter: QPainter, theme: Theme) -> None:
        self.painter = painter
        self.theme = theme
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setRenderHint(QPainter.RenderHint.TextAntialiasing)

    def text(
        self,
        box: QRectF,
        words: str,
        *,
        role: str = "text",
        color: str = "ink",
        align: Align = "left",
        weight: int = 0,
    ) -> QRectF:
        """One line in the middle of `box`, shortened with … if it is too long; where it stands."""
        font = self.theme.font(role, weight=weight)
        self.painter.setFont(font)
        self.painter.setPen(self.theme.color(color))
        metrics = self.painter.fontMetrics()
        shown = metrics.elidedText(words, Qt.TextElideMode.ElideRight, math.floor(box.width()))
        flags = _FLAGS[align] | Qt.AlignmentFlag.AlignVCenter | Qt.TextFlag.TextSingleLine
        self.painter.drawText(box, flags, shown)
        return self.painter.boundingRect(box, flags, shown)

    def width_of(self, words: str, role: str = "text") -> float:
        """How wide one line of `words` is."""
        return self.theme.metrics(role).horizontalAdvance(words)

    def panel(
        self,
        box: QRectF,
        *,
        fill: str | None = None,
        edge: str | None = None,
        radius: float = 0,
        width: float = 1,
        dashed: bool = False,
    ) -> None:
        """A rounded rectangle whose border lies inside `box`, crisp at half pixels."""
        half = width / 2 if edge else 0.0
        inner = box.adjusted(half, half, -half, -half)
        self.painter.setPen(self._pen(edge, width, dashed=dashed) if edge else Qt.PenStyle.NoPen)
        self.painter.setBrush(self.theme.color(fill) if fill else Qt.BrushStyle.NoBrush)
        self.painter.drawRoundedRect(inner, radius, radius)

    def line(
        self, a: QPointF, b: QPointF, color: str = "line", *, width: float = 1, dashed: bool = False
    ) -> None:
        """A straight line; level and upright hairlines are set on half pixels."""
        if width <= 1 and a.y() == b.y():
            a, b = (QPointF(p.x(), math.floor(p.y()) + 0.5) for p in (a, b))
        elif width <= 1 and a.x() == b.x():
            a, b = (QPointF(math.floor(p.x()) + 0.5, p.y()) for p in (a, b))
        self.painter.setPen(self._pen(color, width, dashed=dashed))
        self.painter.drawLine(a, b)

    def icon(self, name: str, box: QRectF, color: str = "ink") -> None:
        """One of our icons in the middle of `box`, as large as fits."""
        side = round(min(box.width(), box.height()))
        device = self.painter.device()
        ratio = device.devicePixelRatioF() if device is not None else 1.0
        pixmap = icon_pixmap(name, side, self.theme.color(color), ratio)
        corner = QPointF(round(box.center().x() - side / 2), round(box.center().y() - side / 2))
        self.painter.drawPixmap(corner, pixmap)

    def chip_width(self, words: str, icon: str = "") -> float:
        """How wide a chip with `words` is."""
        pad = self.theme.px(8)
        return 2 * pad + self.width_of(words, "chip") + (self.theme.px(18) if icon else 0)

    def chip(self, box: QRectF, words: str, tone: str, icon: str = "") -> None:
        """Words on a soft tint of `tone`; an outline where tints are not wanted."""
        radius = self.theme.tokens.radius.chip
        sunken = tone not in self.theme.tokens.soft.__slots__
        fill = "sunken" if sunken else f"soft.{tone}"
        edge = tone if self.theme.outlined else None
        self.panel(box, fill="sheet" if edge else fill, edge=edge, radius=radius)
        pad = self.theme.px(8)
        inner = box.adjusted(pad, 0, -pad, 0)
        if icon:
            side = self.theme.px(14)
            self.icon(icon, QRectF(inner.left(), inner.top(), side, inner.height()), tone)
            inner.setLeft(inner.left() + self.theme.px(18))
        self.text(inner, words, role="chip", color=tone, align="left")

    def hatch(self, box: QRectF, color: str, *, gap: float = HATCH_GAP, width: float = 1.2) -> None:
        """Rising lines cut at `box`. Lines, not a brush pattern, so that they scale."""
        self.painter.setPen(self._pen(color, width))
        self.painter.drawLines(hatch_lines(box, gap))

    def bracket(
        self,
        box: QRectF,
        color: str,
        *,
        opens: bool = True,
        closes: bool = True,
        width: float = 1.6,
    ) -> None:
        """A window of time: [ and ]; an end that lies off the page is left out."""
        foot = min(4.0, box.width() / 3)
        self.painter.setPen(self._pen(color, width))
        self.painter.setBrush(Qt.BrushStyle.NoBrush)
        for there, x, turn in ((opens, box.left(), foot), (closes, box.right(), -foot)):
            if there:
                path = QPainterPath(QPointF(x + turn, box.top()))
                path.lineTo(x, box.top())
                path.lineTo(x, box.bottom())
                path.lineTo(x + turn, box.bottom())
                self.painter.drawPath(path)

    def mark(
        self, kind: str, middle: QPointF, size: float, color: str, *, filled: bool = True
    ) -> None:
        """One of the marks of the look: "disc", "square", "diamond", "pentagon", "triangle",
        "cross", "tick". Shape first, color second. Raises KeyError for another name.
        """
        path = MARKS[kind](middle, size / 2)
        self.painter.setPen(self._pen(color, 1.6))
        open_lines = kind in ("cross", "tick")
        self.painter.setBrush(
            self.theme.color(color) if filled and not open_lines else self.theme.color("sheet")
        )
        if open_lines:
            self.painter.setBrush(Qt.BrushStyle.NoBrush)
        self.painter.drawPath(path)

    def key_cap(self, box: QRectF, words: str, color: str = "ink2") -> None:
        """A key as it stands on a button."""
        self.panel(box, edge="edge" if color == "ink2" else color, radius=3)
        self.text(box, words, role="axis", color=color, align="center", weight=500)

    def focus_ring(self, box: QRectF, radius: float) -> None:
        """The ring round what the keys act on."""
        width = self.theme.tokens.stroke.focus
        self.panel(box, edge="focus", radius=radius, width=width)

    @contextmanager
    def clipped(self, box: QRectF) -> Iterator[None]:
        """Draw inside `box` only."""
        self.painter.save()
        self.painter.setClipRect(box, Qt.ClipOperation.IntersectClip)
        yield
        self.painter.restore()

    def _pen(self, color: str | QColor, width: float, *, dashed: bool = False) -> QPen:
        pen = QPen(self.theme.color(color) if isinstance(color, str) else color, width)
        pen.setCapStyle(Qt.PenCapStyle.RoundCap)
        pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
        if dashed:
            pen.setDashPattern([4.0 / width, 3.0 / width])
            pen.setCapStyle(Qt.PenCapStyle.FlatCap)
        return pen


def hatch_lines(box: QRectF, gap: float) -> list[QLineF]:
    """Rising 45-degree lines every `gap` pixels (measured along x), each cut at `box`.

    They are fixed to the page, not to the box, so that hatches side by side run through.
    """
    lines = []
    reach = box.height()
    n = math.ceil((box.left() - reach + box.bottom()) / gap)
    while (foot := n * gap - box.bottom()) < box.right():
        start, end = max(box.left(), foot), min(box.right(), foot + reach)
        if end > start:
            bottom = box.bottom()
            lines.append(QLineF(start, bottom - (start - foot), end, bottom - (end - foot)))
        n += 1
    return lines


def _disc(c: QPointF, r: float) -> QPainterPath:
    path = QPainterPath()
    path.addEllipse(c, r, r)
    return path


def _polygon(n: int, turn_deg: float, grow: float) -> Callable[[QPointF, float], QPainterPath]:
    def made(c: QPointF, r: float) -> QPainterPath:
        path = QPainterPath()
        for i in range(n):
            angle = math.radians(turn_deg + 360 * i / n)
            point = QPointF(c.x() + grow * r * math.sin(angle), c.y() - grow * r * math.cos(angle))
            path.moveTo(point) if i == 0 else path.lineTo(point)
        path.closeSubpath()
        return path

    return made


def _square(c: QPointF, r: float) -> QPainterPath:
    path = QPainterPath()
    path.addRoundedRect(QRectF(c.x() - r, c.y() - r, 2 * r, 2 * r), r * 0.4, r * 0.4)
    return path


def _cross(c: QPointF, r: float) -> QPainterPath:
    path = QPainterPath(QPointF(c.x() - r, c.y() - r))
    path.lineTo(c.x() + r, c.y() + r)
    path.moveTo(c.x() + r, c.y() - r)
    path.lineTo(c.x() - r, c.y() + r)
    return path


def _tick(c: QPointF, r: float) -> QPainterPath:
    path = QPainterPath(QPointF(c.x(), c.y() - r))
    path.lineTo(c.x(), c.y() + r)
    return path


MARKS: dict[str, Callable[[QPointF, float], QPainterPath]] = {
    "disc": _disc,
    "square": _square,
    "diamond": _polygon(4, 0, 1.2),
    "pentagon": _polygon(5, 0, 1.12),
    "triangle": _polygon(3, 0, 1.2),
    "cross": _cross,
    "tick": _tick,
}
