"""Twelve months, each as it is and as it would be: hours as bars, the rest as figures."""

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, Slot
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from servicedesk.desk.what_if import Answer
from servicedesk.desk.what_if_cli import distance, range_text
from servicedesk.routes.what_if import MonthRange
from servicedesk.window.ink import Ink
from servicedesk.window.theme import Theme
from servicedesk.words import say

_ROW_PX = 44
_HEAD_PX = 24


class WhatIfTable(QWidget):
    """Painted rows; the same in words for a screen reader."""

    def __init__(self, theme: Theme, *, metric: bool) -> None:
        super().__init__()
        self._theme, self._metric = theme, metric
        self._answer: Answer | None = None
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName(say("A year, month by month"))
        theme.changed.connect(self._redress)

    def show_answer(self, answer: Answer) -> None:
        """Show another answer."""
        self._answer = answer
        self.setAccessibleDescription(". ".join(spoken(answer)))
        self.update()

    def sizeHint(self) -> QSize:
        return QSize(700, self._theme.px(_HEAD_PX + 12 * _ROW_PX))

    def minimumSizeHint(self) -> QSize:
        return QSize(420, self._theme.px(_HEAD_PX + 12 * 26))

    def paintEvent(self, event: QPaintEvent) -> None:
        answer = self._answer
        if answer is None:
            return
        with QPainter(self) as painter:
            ink = Ink(painter, self._theme)
            head = float(self._theme.px(_HEAD_PX))
            high = min(float(self._theme.px(_ROW_PX)), (self.height() - head) / 12)
            self._paint_head(ink, QRectF(0, 0, self.width(), head))
            most = max((*answer.hours_now, *answer.hours_then,
                        *(m.hours.high for m in answer.then)), default=1.0)  # fmt: skip
            for n in range(12):
                box = QRectF(0, head + n * high, self.width(), high)
                self._paint_row(ink, box, answer, n, most)

    def _columns(self, box: QRectF) -> tuple[QRectF, QRectF, QRectF, QRectF, QRectF]:
        """Month, hours, km, late windows, late promises."""
        px = self._theme.px
        name, km, late = px(78), px(124), px(104)
        right = box.right()
        boxes = []
        for width in (late, late, km):
            boxes.append(QRectF(right - width, box.top(), width, box.height()))
            right -= width
        bars = QRectF(name, box.top(), right - name - px(12), box.height())
        month = QRectF(0, box.top(), name, box.height())
        return month, bars, boxes[2], boxes[1], boxes[0]

    def _paint_head(self, ink: Ink, box: QRectF) -> None:
        month, hours, km, windows, promises = self._columns(box)
        ink.text(month, say("month"), role="axis", color="ink3")
        words = say("hours: now above, then below; the upright is all there are")
        ink.text(hours, words, role="axis", color="ink3")
        unit = say("km") if self._metric else say("mi")
        heads = ((km, unit), (windows, say("late windows")), (promises, say("late promises")))
        for place, text in heads:
            ink.text(place, text, role="axis", color="ink3", align="right")

    def _paint_row(self, ink: Ink, box: QRectF, answer: Answer, n: int, most: float) -> None:
        ink.line(box.topLeft(), box.topRight())
        month, bars, *figures = self._columns(box)
        ink.text(month, answer.names[n], role="second", weight=600)
        half = box.height() / 2
        pairs = (
            (answer.now[n], answer.hours_now[n], "ink3"),
            (answer.then[n], answer.hours_then[n], "water"),
        )
        for row, (one, there_are, tone) in enumerate(pairs):
            top = box.top() + row * half
            self._paint_bar(ink, QRectF(bars.left(), top, bars.width(), half), one, there_are, most,
                            tone)  # fmt: skip
            way = distance(one.km, metric=self._metric)
            ranges = (way, one.windows_late, one.promises_late)
            for place, figure in zip(figures, ranges, strict=True):
                at = QRectF(place.left(), top, place.width(), half)
                is_bad = figure is not way and figure.middle > 0
                ink.text(at, range_text(figure), role="axis", align="right",
                         color="clay" if is_bad else "ink" if row else "ink2",
                         weight=600 if is_bad else 0)  # fmt: skip

    def _paint_bar(
        self, ink: Ink, box: QRectF, one: MonthRange, there_are: float, most: float, tone: str
    ) -> None:
        px = self._theme.px
        words = range_text(one.hours)
        label = px(104)
        width = box.width() - label
        inner = QRectF(box.left(), box.top() + box.height() * 0.25, width, box.height() * 0.5)

        def at(hours: float) -> float:
            return inner.left() + width * min(1.0, hours / most)

        until = at(min(one.hours.middle, there_are))
        ink.panel(QRectF(inner.left(), inner.top(), max(1.0, until - inner.left()), inner.height()),
                  fill=tone, radius=2)  # fmt: skip
        over = at(one.hours.middle)
        if over > until + 1:
            ink.hatch(QRectF(until, inner.top(), over - until, inner.height()), "clay")
        middle = inner.center().y()
        ink.line(QPointF(at(one.hours.low), middle), QPointF(at(one.hours.high), middle), "ink",
                 width=1.4)  # fmt: skip
        x = at(there_are)
        ink.line(QPointF(x, box.top() + 2), QPointF(x, box.bottom() - 2), "ink2", width=1.6)
        text = QRectF(box.right() - label, box.top(), label, box.height())
        ink.text(text, words, role="axis", align="right", color="ink2")

    @Slot()
    def _redress(self) -> None:
        self.updateGeometry()
        self.update()


def spoken(answer: Answer) -> list[str]:
    """Every month as one sentence."""
    return [
        say(
            "{month}: {now} hours now, {then} then, of {all}; late windows {now_late} now,"
            " {then_late} then",
            month=name, now=range_text(answer.now[n].hours), then=range_text(answer.then[n].hours),
            all=round(answer.hours_then[n]), now_late=range_text(answer.now[n].windows_late),
            then_late=range_text(answer.then[n].windows_late),
        )
        for n, name in enumerate(answer.names)
    ]  # fmt: skip
