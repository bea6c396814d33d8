"""Rows of what has a last day: days late as a hatch up to today, the last day as a bracket."""

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import (
    QSizePolicy,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QWidget,
)

from servicedesk.desk.deadline_line import DeadlineLine
from servicedesk.window.ink import Ink
from servicedesk.window.models import Index
from servicedesk.window.models.roles import Role
from servicedesk.window.models.row_delegate import two_lines
from servicedesk.window.models.row_list import Row
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.owed_painter import AHEAD_DAYS, OwedColumns, owed_columns
from servicedesk.words import say
from servicedesk.words.formats import UNKNOWN

ICONS = {
    "report": "note",
    "corrected report": "again",
    "contract": "sites",
    "notice": "bell",
    "sample": "drop",
    "license": "person",
    "promise": "phone",
    "window": "look",
}
CLOSING_DAYS = 7  # from here on a bracket is drawn as closing: common practice, no source


def due_color(line: DeadlineLine) -> str:
    """Clay where the day is over, ochre where it is near or rests on no confirmed rule."""
    if line.is_late:
        return "clay" if line.is_legal else "ochre"
    return "ochre" if line.days_left <= CLOSING_DAYS else "water"


class DuePainter(QStyledItemDelegate):
    """Paints `Row`s whose thing is a `DeadlineLine`."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:
        return QSize(200, self._theme.height("row_roomy") + 4)

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        row = index.data(Role.ROW)
        if not isinstance(row, Row) or not isinstance(row.thing, DeadlineLine):
            return
        painter.save()
        ink, box = Ink(painter, self._theme), QRectF(option.rect)
        if option.state & QStyle.StateFlag.State_Selected:
            painter.fillRect(box, self._theme.soft("water"))
            painter.fillRect(QRectF(box.left(), box.top(), 3, box.height()),
                             self._theme.color("water"))  # fmt: skip
            if self._theme.outlined:
                ink.panel(box, edge="water", width=2)
        ink.line(QPointF(box.left(), box.bottom() - 1), QPointF(box.right(), box.bottom() - 1))
        self._paint_line(ink, box, row, row.thing)
        painter.restore()

    def _paint_line(self, ink: Ink, box: QRectF, row: Row, line: DeadlineLine) -> None:
        columns = owed_columns(box.width(), self._theme.scale)
        side = self._theme.px(18)
        icon = QRectF(box.left() + self._theme.px(14), box.top(), side, box.height())
        ink.icon(row.icon, icon, due_color(line))
        two_lines(ink, _cell(box, columns.what), row.title, line.address, lead=True)
        self._paint_day(ink, box, columns, line)
        ink.text(_cell(box, columns.needs), ", ".join(line.to) or UNKNOWN, color="ink2")
        why = line.why[0] if line.why else ""
        sure = "" if line.is_legal or line.kind == "window" else say("not confirmed")
        two_lines(ink, _cell(box, columns.state), sure or why, why if sure else "")
        right = _cell(box, columns.right)
        ink.text(right, row.right, role="chip", color=due_color(line), weight=600, align="right")

    def _paint_day(self, ink: Ink, box: QRectF, columns: OwedColumns, line: DeadlineLine) -> None:
        today, middle = box.left() + columns.today, box.center().y()
        ink.line(QPointF(today, box.top()), QPointF(today, box.bottom()), "ink2", width=1.4)
        x = box.left() + columns.at(line.days_left)
        color, high, tall = due_color(line), self._theme.px(11), self._theme.px(20)
        if line.days_left < 0:
            bar = QRectF(x, middle - high / 2, max(3.0, today - x), high)
            ink.panel(bar, fill=f"soft.{color}", edge=color, radius=2)
            ink.hatch(bar.adjusted(1, 1, -1, -1), color)
        if line.days_left <= AHEAD_DAYS:
            bracket = QRectF(x - 5, middle - tall / 2, 5, tall)
            # a day that rests on no confirmed rule is no firm line
            ink.bracket(bracket, color, opens=False, width=2 if line.is_legal else 1)


class DueHead(QWidget):
    """The headings over the rows."""

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme = theme
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        theme.changed.connect(self.update)

    def sizeHint(self) -> QSize:
        return QSize(400, self._theme.px(30))

    def paintEvent(self, event: QPaintEvent) -> None:
        box = QRectF(self.rect())
        columns = owed_columns(box.width(), self._theme.scale)
        with QPainter(self) as painter:
            ink = Ink(painter, self._theme)
            ink.line(box.bottomLeft(), box.bottomRight(), "edge")
            for words, cell in (
                (say("What, and where"), columns.what),
                (say("To whom"), columns.needs),
                (say("Why then"), columns.state),
            ):
                ink.text(_cell(box, cell), words, role="second", color="ink2")
            ink.text(_cell(box, columns.right), say("Last day"), role="second", color="ink2",
                     align="right")  # fmt: skip
            words = say("today")
            wide = ink.width_of(words, "second") + 8
            place = QRectF(columns.today - wide / 2, 0, wide, box.height())
            ink.text(place, words, role="second", weight=600)


def _cell(box: QRectF, cell: tuple[float, float]) -> QRectF:
    return QRectF(box.left() + cell[0], box.top(), cell[1] - cell[0], box.height())
