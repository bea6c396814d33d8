"""Windows closing: one bracket a site on the days to come, with the day of its visit."""

from datetime import date, timedelta

from PySide6.QtCore import QPointF, QRectF, QSize, Slot
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import (
    QSizePolicy,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QWidget,
)

from servicedesk.desk.today import CLOSING_DAYS, ClosingWindow
from servicedesk.window.ink import Ink
from servicedesk.window.models import Index
from servicedesk.window.models.roles import Role
from servicedesk.window.models.row_list import Row
from servicedesk.window.theme import Theme
from servicedesk.words import say, say_n
from servicedesk.words.formats import Formats
from servicedesk.words.jobs import closes_text

_PAD = 6.0
_ADDRESS, _DAY = 0.35, 0.27  # shares of the row


def axis_x(box: QRectF, days: float) -> float:
    """Where a day stands, `days` from today; cut to the axis."""
    left = box.left() + box.width() * (_ADDRESS + _DAY)
    room = box.right() - 10 - left
    return left + room * min(max(days, 0.0), CLOSING_DAYS) / CLOSING_DAYS


def closing_row(one: ClosingWindow, today: date, formats: Formats) -> Row:
    """A window as a row: its words for a screen reader, itself for the painter."""
    closes = closes_text(one.closes_on, today, formats)
    if one.planned_on is not None:
        has = say("visit {day}", day=formats.weekday(one.planned_on))
    else:
        has = say("no day yet")
    return Row(title=one.address, second=closes, right=has, thing=one)


def day_words(one: ClosingWindow, today: date, formats: Formats) -> tuple[str, str]:
    """What stands beside the address, and its color."""
    if one.closes_on < today:
        late = (today - one.closes_on).days
        return say_n("{n} day late", "{n} days late", late), "clay"
    if one.planned_on is None:
        return say("no day"), "ochre"
    if one.planned_on == today:
        return say("today"), "ink2"
    return formats.weekday(one.planned_on).split(",")[0], "ink2"


class ClosingPainter(QStyledItemDelegate):
    """Address, day, and the window as a tinted bar with its closing bracket."""

    def __init__(self, theme: Theme, formats: Formats) -> None:
        super().__init__()
        self._theme, self._formats = theme, formats
        self.today = date.min

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:
        return QSize(200, self._theme.height("row_tight"))

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        row: Row | None = index.data(Role.ROW)
        if row is None:
            return
        painter.save()
        ink = Ink(painter, self._theme)
        box = QRectF(option.rect)
        is_here = bool(option.state & QStyle.StateFlag.State_HasFocus)
        if option.state & QStyle.StateFlag.State_Selected and is_here:
            painter.fillRect(box, self._theme.soft("water"))
            painter.fillRect(
                QRectF(box.left(), box.top(), 3, box.height()), self._theme.color("water")
            )
        self._paint_row(ink, box, row.thing)
        painter.restore()

    def _paint_row(self, ink: Ink, box: QRectF, one: ClosingWindow) -> None:
        inner = box.adjusted(_PAD, 0, 0, 0)
        width = box.width()
        words, color = day_words(one, self.today, self._formats)
        address = QRectF(inner.left(), box.top(), width * _ADDRESS - 12, box.height())
        day = QRectF(box.left() + width * _ADDRESS, box.top(), width * _DAY - 8, box.height())
        ink.text(address, one.address, weight=500)
        weight = 600 if color != "ink2" else 400
        ink.text(day, words, role="second", color=color, weight=weight)
        for n in range(0, CLOSING_DAYS + 1, 7):
            x = axis_x(box, n)
            ink.line(QPointF(x, box.top()), QPointF(x, box.bottom()), "line")
        self._paint_window(ink, box, one)

    def _paint_window(self, ink: Ink, box: QRectF, one: ClosingWindow) -> None:
        is_late = one.closes_on < self.today
        tone = "clay" if is_late else "ochre" if one.planned_on is None else "water"
        opens = axis_x(box, (one.opens_on - self.today).days)
        # the window shuts at the end of its last day
        closes = axis_x(box, (one.closes_on - self.today).days + 1)
        bar = QRectF(opens, box.top() + 8, max(2.0, closes - opens), box.height() - 16)
        if is_late:
            visit = one.planned_on
            until = 2.0 if visit is None else min(2.0, (visit - self.today).days - 0.5)
            end = axis_x(box, until)
            if end > opens:
                ink.hatch(QRectF(opens, bar.top(), end - opens, bar.height()), "clay")
            frame = QRectF(opens - 5, bar.top() - 2, 5, bar.height() + 4)
            ink.bracket(frame, "clay", opens=False)
        else:
            ink.panel(bar, fill=f"soft.{tone}" if not self._theme.outlined else "sheet")
            frame = bar.adjusted(0, -2, 0, 2)
            ink.bracket(frame, tone, opens=one.opens_on > self.today)
        if one.planned_on is not None:
            ahead = (one.planned_on - self.today).days
            if 0 <= ahead <= CLOSING_DAYS:
                middle = QPointF(axis_x(box, ahead + 0.5), box.center().y())
                ink.mark("disc", middle, self._theme.px(8), "water", filled=False)


class ClosingAxis(QWidget):
    """The days above the brackets: today, in a week, in two."""

    def __init__(self, theme: Theme, formats: Formats) -> None:
        super().__init__()
        self._theme, self._formats = theme, formats
        self.today = date.min
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        theme.changed.connect(self._resized)

    def show_day(self, today: date) -> None:
        """Begin the axis at another day."""
        self.today = today
        self.update()

    def sizeHint(self) -> QSize:
        return QSize(200, self._theme.px(18))

    def paintEvent(self, event: QPaintEvent) -> None:
        box = QRectF(self.rect())
        with QPainter(self) as painter:
            ink = Ink(painter, self._theme)
            half = self._theme.px(30)
            for n in range(0, CLOSING_DAYS + 1, 7):
                day = self.today + timedelta(days=n)
                x = axis_x(box, n)
                left = min(x - half, box.right() - 2 * half)
                place = QRectF(left, 0, 2 * half, box.height())
                text = self._formats.day(day, near=self.today)
                is_last = left < x - half
                ink.text(
                    place, text, role="axis", color="ink3", align="right" if is_last else "center"
                )

    @Slot()
    def _resized(self) -> None:
        self.updateGeometry()
        self.update()
