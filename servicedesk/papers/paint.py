"""Shapes onto paper: a PDF written with reportlab, the same bytes for the same shapes."""

from collections.abc import Sequence
from functools import lru_cache
from io import BytesIO
from typing import Any

from reportlab.graphics.barcode import qrencoder
from reportlab.pdfgen.canvas import Canvas

from servicedesk.papers.fonts import clean, face, width_of
from servicedesk.papers.icons import Stroke, icon_strokes
from servicedesk.values.shapes import (
    Box,
    Bracket,
    Hatch,
    Icon,
    Line,
    Mark,
    Polyline,
    QrCode,
    Rect,
    Shape,
    TextBox,
)

# Paper is black on white: a token is black unless it stands here (0 black, 1 white).
GRAYS = {"ink2": 0.15, "ink3": 0.25, "edge": 0.45, "line": 0.6, "sheet": 1.0, "sunken": 0.93}
GRAYS |= {"map.land": 1.0, "map.wood": 0.95, "map.river": 0.86, "map.road": 1.0, "map.casing": 0.62}
GRAYS |= {f"soft.{name}": 0.93 for name in ("water", "clay", "ochre", "moss", "plum")}


def write_pdf(pages: Sequence[Sequence[Shape]], size: tuple[float, float], title: str) -> bytes:
    """A PDF with one page per list of shapes; `size` is width and height in points."""
    buffer = BytesIO()
    canvas = Canvas(buffer, pagesize=size, invariant=1, pageCompression=1)
    canvas.setTitle(clean(title))
    for page in pages:
        painter = _Painter(canvas, size[1])
        for shape in page:
            painter.paint(shape)
        canvas.showPage()
    canvas.save()
    return buffer.getvalue()


@lru_cache(maxsize=1024)  # ten milliseconds each, and a stop stands on two papers
def qr_modules(text: str) -> tuple[tuple[bool, ...], ...]:
    """The square of dark modules of a QR code (ISO/IEC 18004, level M), without its margin."""
    code: Any = qrencoder.QRCode(None, qrencoder.QRErrorCorrectLevel.M)
    code.addData(text)
    code.make()
    side = range(code.getModuleCount())
    return tuple(tuple(bool(code.isDark(row, column)) for column in side) for row in side)


class _Painter:
    def __init__(self, canvas: Canvas, height: float) -> None:
        self.canvas = canvas
        self.height = height

    def paint(self, shape: Shape) -> None:
        self.canvas.saveState()
        self.canvas.setLineCap(1)
        self.canvas.setLineJoin(1)
        draw: Any = getattr(self, "_" + type(shape).__name__.lower())
        draw(shape)
        self.canvas.restoreState()

    def _pen(self, color: str, width: float, dash: tuple[float, ...] = ()) -> None:
        self.canvas.setStrokeGray(GRAYS.get(color, 0.0))
        self.canvas.setLineWidth(width)
        if dash:
            self.canvas.setDash(list(dash))

    def _fill(self, color: str) -> None:
        self.canvas.setFillGray(GRAYS.get(color, 0.0))

    def _textbox(self, shape: TextBox) -> None:
        text = clean(shape.text)
        found = face(shape.font, text)
        ascent = found.face.ascent / 1000 * shape.font.size
        descent = found.face.descent / 1000 * shape.font.size
        room = shape.box.width - width_of(text, shape.font)
        x = shape.box.x + {"left": 0.0, "center": 0.5, "right": 1.0}[shape.align] * room
        y = shape.box.center[1] + (ascent + descent) / 2
        self._fill(shape.color)
        self.canvas.setFont(found.fontName, shape.font.size)
        self.canvas.drawString(x, self.height - y, text)

    def _rect(self, shape: Rect) -> None:
        box = shape.box
        if shape.fill:
            self._fill(shape.fill)
        if shape.stroke:
            self._pen(shape.stroke, shape.width, shape.dash)
        if shape.dash:
            self.canvas.setLineCap(0)
        self.canvas.roundRect(
            box.x,
            self.height - box.bottom,
            box.width,
            box.height,
            min(shape.radius, box.width / 2, box.height / 2),
            stroke=int(shape.stroke is not None),
            fill=int(shape.fill is not None),
        )

    def _line(self, shape: Line) -> None:
        self._pen(shape.color, shape.width, shape.dash)
        self.canvas.setLineCap(0)
        self.canvas.line(shape.x1, self.height - shape.y1, shape.x2, self.height - shape.y2)

    def _polyline(self, shape: Polyline) -> None:
        path = self.canvas.beginPath()
        path.moveTo(shape.points[0][0], self.height - shape.points[0][1])
        for x, y in shape.points[1:]:
            path.lineTo(x, self.height - y)
        if shape.fill:
            self._fill(shape.fill)
            path.close()
        if shape.color:
            self._pen(shape.color, shape.width, shape.dash)
        self.canvas.drawPath(path, stroke=int(shape.color is not None), fill=int(bool(shape.fill)))

    def _bracket(self, shape: Bracket) -> None:
        low, high = shape.y + shape.drop, shape.y
        points = [] if shape.open_left else [(shape.x1, low)]
        points += [(shape.x1, high), (shape.x2, high)]
        points += [] if shape.open_right else [(shape.x2, low)]
        self.canvas.setLineJoin(0)
        self._polyline(Polyline(tuple(points), shape.color, shape.width))

    def _hatch(self, shape: Hatch) -> None:
        box = shape.box
        path = self.canvas.beginPath()
        path.rect(box.x, self.height - box.bottom, box.width, box.height)
        self.canvas.clipPath(path, stroke=0, fill=0)
        self._pen(shape.color, shape.width)
        x = box.x - box.height
        while x < box.right:
            self.canvas.line(x, self.height - box.bottom, x + box.height, self.height - box.y)
            x += shape.step

    def _mark(self, shape: Mark) -> None:
        self._pen(shape.color, max(0.8, shape.size / 8))
        self._fill(shape.color if shape.filled else "sheet")
        y = self.height - shape.y
        if shape.kind == "disc":
            self.canvas.circle(shape.x, y, shape.size / 2, stroke=1, fill=1)
            return
        path = self.canvas.beginPath()
        for points in mark_outline(shape):
            path.moveTo(points[0][0], self.height - points[0][1])
            for px, py in points[1:]:
                path.lineTo(px, self.height - py)
            if len(points) > 2:
                path.close()
        self.canvas.drawPath(path, stroke=1, fill=int(shape.kind not in ("cross", "tick")))

    def _icon(self, shape: Icon) -> None:
        scale = shape.box.width / 20
        self._pen(shape.color, 1.6 * scale)

        def at(values: tuple[float, ...]) -> list[float]:
            return [
                shape.box.x + value * scale
                if index % 2 == 0
                else self.height - (shape.box.y + value * scale)
                for index, value in enumerate(values)
            ]

        for stroke in icon_strokes(shape.name):
            self._stroke(stroke, at)

    def _stroke(self, stroke: Stroke, at: Any) -> None:
        path = self.canvas.beginPath()
        path.moveTo(*at(stroke.start))
        for step in stroke.steps:
            if len(step) == 2:
                path.lineTo(*at(step))
            else:
                path.curveTo(*at(step))
        if stroke.closed:
            path.close()
        self.canvas.drawPath(path, stroke=1, fill=0)

    def _qrcode(self, shape: QrCode) -> None:
        modules = qr_modules(shape.text)
        side = shape.box.width / len(modules)
        self.canvas.setFillGray(0)
        for row, cells in enumerate(modules):
            start: int | None = None
            for column, dark in enumerate((*cells, False)):
                if dark and start is None:
                    start = column
                elif not dark and start is not None:
                    box = Box(
                        shape.box.x + start * side,
                        shape.box.y + row * side,
                        (column - start) * side,
                        side,
                    )
                    y = self.height - box.bottom
                    self.canvas.rect(box.x, y, box.width, box.height, stroke=0, fill=1)
                    start = None


def mark_outline(mark: Mark) -> tuple[tuple[tuple[float, float], ...], ...]:
    """The corners of a mark that is no disc; two points are a stroke, more a closed outline."""
    x, y, r = mark.x, mark.y, mark.size / 2
    if mark.kind == "square":
        return (((x - r, y - r), (x + r, y - r), (x + r, y + r), (x - r, y + r)),)
    if mark.kind == "diamond":
        return (((x, y - r), (x + r, y), (x, y + r), (x - r, y)),)
    if mark.kind == "triangle":
        return (((x, y - r), (x + r, y + r), (x - r, y + r)),)
    if mark.kind == "pentagon":
        return (
            (
                (x, y - r),
                (x + 0.95 * r, y - 0.31 * r),
                (x + 0.59 * r, y + 0.81 * r),
                (x - 0.59 * r, y + 0.81 * r),
                (x - 0.95 * r, y - 0.31 * r),
            ),
        )
    if mark.kind == "cross":
        return (((x - r, y - r), (x + r, y + r)), ((x - r, y + r), (x + r, y - r)))
    return (((x, y - r), (x, y + r)),)
