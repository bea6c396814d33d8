"""Lines of a page of knowledge, painted: paragraphs, links, bars; cautions are never cut."""

import math
from typing import Any

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Slot
from PySide6.QtGui import QFontMetrics, QPainter
from PySide6.QtWidgets import QListView, QStyle, QStyledItemDelegate, QStyleOptionViewItem

from servicedesk.desk.knowledge_bits import PageLine
from servicedesk.window.ink import Ink
from servicedesk.window.models import Index
from servicedesk.window.models.roles import Role
from servicedesk.window.models.row_list import Row
from servicedesk.window.theme import Theme

_STRIPE = 3.0
_PAD, _GAP = 14, 12
_INDENT = 22
_MOST_KEPT = 4000
_BAR_SHARE = 0.26  # of the width
_LEAST_SHARE = 0.36  # of the width that the words of a line keep
_WRAP = Qt.TextFlag.TextWordWrap | Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop


class PagePainter(QStyledItemDelegate):
    """Rows whose `thing` is a `PageLine`. Its parent is the view, whose width it wraps to."""

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme = theme
        self._heights: dict[PageLine, int] = {}
        self._heights_at = 0  # the width that they hold for
        theme.changed.connect(self._forget)

    @Slot()
    def _forget(self) -> None:
        self._heights.clear()

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:
        line, width = _line_of(index), self._width()
        if line is None:
            return QSize(width, 0)
        if width != self._heights_at or len(self._heights) > _MOST_KEPT:
            self._heights.clear()
            self._heights_at = width
        height = self._heights.get(line)
        if height is None:
            height = self._heights[line] = math.ceil(self._height(line, width))
        return QSize(width, height)

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        line = _line_of(index)
        if line is None:
            return
        painter.save()
        ink, box = Ink(painter, self._theme), QRectF(option.rect)
        has_keys = bool(option.state & QStyle.StateFlag.State_HasFocus)
        if option.state & QStyle.StateFlag.State_Selected and has_keys:
            self._mark_chosen(ink, box, leads=line.to is not None)
        match line.kind:
            case "heading":
                self._paint_heading(ink, box, line)
            case "caution":
                self._paint_caution(ink, box, line)
            case "bar":
                self._paint_bar(ink, box, line)
            case _:
                self._paint_words(ink, box, line)
        painter.restore()

    # sizes

    def _width(self) -> int:
        view = self.parent()
        return view.viewport().width() if isinstance(view, QListView) else 400

    def _height(self, line: PageLine, width: int) -> float:
        theme = self._theme
        px = theme.px
        match line.kind:
            case "heading":
                return px(20) + theme.metrics("row_lead").height()
            case "caution":
                return px(20) + self._high(line.text, width - px(2 * _PAD + 40), "text", 600)
        words, right = self._columns(line, width)
        tall = self._high(line.text, words, *_font_of(line))
        if line.second:
            room = words if line.kind == "bar" else words + right
            tall += px(1) + self._high(line.second, room, "second")
        least = theme.tokens.space.hit_min if line.to is not None else 0
        return max(tall + px(8 if line.kind != "small" else 4), least)

    def _columns(self, line: PageLine, width: float) -> tuple[float, float]:
        """Width of the words, and of what stands right of them with its gap."""
        px = self._theme.px
        room = width - px(2 * _PAD + _INDENT * line.indent)
        if line.kind == "bar":
            right = room * _BAR_SHARE + self._number_width() + px(2 * _GAP)
        elif line.right:
            right = self._theme.metrics("second").horizontalAdvance(line.right) + px(_GAP) + 2
        else:
            return room, 0.0
        right = min(right, room * (1 - _LEAST_SHARE))
        return room - right, right

    def _number_width(self) -> float:
        return self._theme.metrics("chip").horizontalAdvance("under 10%") + 2

    def _high(self, text: str, width: float, role: str, weight: int = 0) -> float:
        metrics = QFontMetrics(self._theme.font(role, weight=weight))
        box = QRectF(0, 0, max(width, 40), 10_000).toRect()
        return metrics.boundingRect(box, int(_WRAP), text).height()

    # painting

    def _mark_chosen(self, ink: Ink, box: QRectF, *, leads: bool) -> None:
        theme = self._theme
        if leads:
            fill = "sheet" if theme.outlined else "soft.water"
            edge = "water" if theme.outlined else None
            ink.panel(box.adjusted(0, 1, 0, -1), fill=fill, edge=edge, radius=4)
        stripe = QRectF(box.left(), box.top() + 1, _STRIPE, box.height() - 2)
        ink.painter.fillRect(stripe, theme.color("water"))

    def _paint_heading(self, ink: Ink, box: QRectF, line: PageLine) -> None:
        px = self._theme.px
        inner = box.adjusted(px(_PAD), px(12), -px(_PAD), 0)
        where = ink.text(inner, line.text, role="row_lead")
        if line.second:
            rest = inner.adjusted(where.width() + px(_GAP), 0, 0, 0)
            ink.text(rest, line.second, role="second", color="ink3")
        if box.top() > 0:
            top = QPointF(inner.left(), box.top() + px(5))
            ink.line(top, QPointF(inner.right(), top.y()), "line")

    def _paint_caution(self, ink: Ink, box: QRectF, line: PageLine) -> None:
        px, theme = self._theme.px, self._theme
        panel = box.adjusted(px(_PAD), px(3), -px(_PAD), -px(3))
        is_outlined = theme.outlined
        fill = "sheet" if is_outlined else "soft.clay"
        ink.panel(panel, fill=fill, edge="clay" if is_outlined else None, radius=4)
        side = px(17)
        ink.icon("warn", QRectF(panel.left() + px(10), panel.top() + px(7), side, side), "clay")
        words = panel.adjusted(px(36), px(7), -px(4), 0)
        self._wrapped(ink, words, line.text, "text", "clay", 600)

    def _paint_bar(self, ink: Ink, box: QRectF, line: PageLine) -> None:
        px = self._theme.px
        words, _ = self._columns(line, box.width())
        self._paint_words(ink, box, line)
        left = box.left() + px(_PAD + _INDENT * line.indent) + words + px(_GAP)
        number = self._number_width()
        end = box.right() - px(_PAD) - number - px(_GAP)
        middle = box.top() + px(4) + self._theme.metrics("text").height() / 2
        track = QRectF(left, middle - px(4), max(end - left, 8), px(8))
        edge = "edge" if self._theme.outlined else None
        ink.panel(track, fill="sunken", edge=edge, radius=3)
        share = min(1.0, max(line.share or 0.0, 0.0))
        wide = max(track.width() * share, 3.0)
        ink.panel(QRectF(track.left(), track.top(), wide, track.height()), fill="ink3", radius=3)
        height = self._theme.metrics("text").height()
        place = QRectF(box.right() - px(_PAD) - number, middle - height / 2, number, height)
        ink.text(place, line.right, role="chip", align="right", weight=600)

    def _paint_words(self, ink: Ink, box: QRectF, line: PageLine) -> None:
        px = self._theme.px
        words, right = self._columns(line, box.width())
        role, weight = _font_of(line)
        color = "water" if line.to is not None else "ink2" if line.kind == "small" else "ink"
        left = box.left() + px(_PAD + _INDENT * line.indent)
        top = box.top() + px(2 if line.kind == "small" else 4)
        place = QRectF(left, top, words, box.height())
        high = self._high(line.text, words, role, weight)
        self._wrapped(ink, place, line.text, role, color, weight)
        if line.second:
            room = words if line.kind == "bar" else words + right
            below = QRectF(left, top + high + px(1), room, box.height())
            self._wrapped(ink, below, line.second, "second", "ink2", 0)
        if line.right and line.kind != "bar":
            first = self._theme.metrics(role).height()
            end = QRectF(left + words + px(_GAP), top, right - px(_GAP), first)
            ink.text(end, line.right, role="second", color="ink2", align="right")

    def _wrapped(
        self, ink: Ink, box: QRectF, text: str, role: str, color: str, weight: int
    ) -> None:
        ink.painter.setFont(self._theme.font(role, weight=weight))
        ink.painter.setPen(self._theme.color(color))
        whole = QRectF(box.left(), box.top(), max(box.width(), 40), 10_000)
        ink.painter.drawText(whole, int(_WRAP), text)


def _font_of(line: PageLine) -> tuple[str, int]:
    """Role and weight of the words of a line."""
    if line.kind == "small":
        return "second", 0
    return "text", 600 if line.kind == "link" and line.to is not None else 0


def _line_of(index: Index) -> PageLine | None:
    row: Any = index.data(Role.ROW)
    thing = row.thing if isinstance(row, Row) else None
    return thing if isinstance(thing, PageLine) else None
