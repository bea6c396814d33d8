"""Rows of alerts: level as shape and word, what came back, the untested part first."""

from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF, QSize
from PySide6.QtGui import QPainter
from PySide6.QtWidgets import QStyle, QStyledItemDelegate, QStyleOptionViewItem

from servicedesk.desk.alert_lines import AlertLine
from servicedesk.desk.alert_page import standing_text
from servicedesk.desk.coming import first_upper
from servicedesk.desk.office import Desk
from servicedesk.window.ink import Ink
from servicedesk.window.models import Index
from servicedesk.window.models.roles import Role
from servicedesk.window.models.row_list import Row
from servicedesk.window.theme import Theme
from servicedesk.words import say

_STRIPE = 3.0
LEVELS = {"act": ("triangle", "clay"), "watch": ("diamond", "ochre")}


def level_text(level: str) -> str:
    """The level of an alert in a word."""
    return {"act": say("act"), "watch": say("watch")}[level]


@dataclass(frozen=True, slots=True, kw_only=True)
class AlertRow(Row):
    """A row with a third line."""

    third: str = ""


def alert_row(desk: Desk, line: AlertLine) -> AlertRow:
    """One alert. `right`: its level; where somebody dealt with it, how that stands comes last."""
    title = " · ".join(part for part in (line.address, line.label) if part)
    return AlertRow(
        title=title,
        second=first_upper(line.why),
        right=level_text(line.level),
        third=third_line(desk, line),
        right_color=LEVELS[line.level][1],
        thing=line,
    )


def third_line(desk: Desk, line: AlertLine) -> str:
    """What matters next: how it was dealt with, or the part that nobody ever tested."""
    if line.state != "open":
        return first_upper(standing_text(desk, line))
    if line.untested:
        return untested_text(line)
    if line.first_check:
        return say("Test first: {check}", check=line.first_check)
    return ""


def untested_text(line: AlertLine) -> str:
    """As "Never tested: splices and junction box"."""
    return say("Never tested: {part}", part=line.untested[0])


class AlertPainter(QStyledItemDelegate):
    """Three lines: where and how loud; why; the untested part, or how it was dealt with."""

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme = theme

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:
        line = self._theme.metrics("text").height()
        second = self._theme.metrics("second").height()
        return QSize(option.rect.width(), round(line + 2 * second + self._theme.px(18)))

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        row = index.data(Role.ROW)
        if not isinstance(row, AlertRow) or not isinstance(row.thing, AlertLine):
            return
        theme, box = self._theme, QRectF(option.rect)
        painter.save()
        ink = Ink(painter, theme)
        if option.state & QStyle.StateFlag.State_Selected:
            painter.fillRect(box, theme.soft("water"))
            stripe = QRectF(box.left(), box.top(), _STRIPE, box.height())
            painter.fillRect(stripe, theme.color("water"))
            if theme.outlined:
                ink.line(box.topLeft(), box.topRight(), "water")
        bottom = box.bottom() - 1
        ink.line(QPointF(box.left(), bottom), QPointF(box.right(), bottom), "line")
        self._lines(ink, box, row, row.thing)
        painter.restore()

    def _lines(self, ink: Ink, box: QRectF, row: AlertRow, line: AlertLine) -> None:
        theme = self._theme
        pad = theme.px(10)
        left, right = box.left() + theme.px(32), box.right() - pad
        high, low = theme.metrics("text").height(), theme.metrics("second").height()
        y = box.top() + theme.px(8)
        shape, color = LEVELS[line.level]
        is_settled = line.state == "settled"
        color = "ink3" if is_settled else color
        middle = QPointF(box.left() + theme.px(18), y + high / 2 + 1)
        ink.mark(shape, middle, theme.px(12), color, filled=line.state == "open")
        wide = ink.width_of(row.right, "second") + theme.px(10)
        ink.text(QRectF(left, y, right - left - wide, high), row.title, role="row_lead")
        ink.text(
            QRectF(right - wide, y, wide, high),
            row.right,
            role="second",
            color=color,
            align="right",
        )
        y += high + 1
        ink.text(QRectF(left, y, right - left, low), row.second, role="second", color="ink2")
        y += low + 1
        third = "plum" if line.state == "open" else "ink3"
        ink.text(
            QRectF(left, y, right - left, low), row.third, role="second", color=third,
            weight=600 if line.state == "open" else 0,
        )  # fmt: skip
