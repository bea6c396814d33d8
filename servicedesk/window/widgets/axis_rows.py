"""What rows with an axis of days share: their room, the one in hand, the headings over them."""

from collections.abc import Sequence

from PySide6.QtCore import QPointF, QRectF, QSize
from PySide6.QtGui import QPainter
from PySide6.QtWidgets import (
    QSizePolicy,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QWidget,
)

from servicedesk.window.ink import Ink
from servicedesk.window.models import Index
from servicedesk.window.models.roles import Role
from servicedesk.window.models.row_list import Row
from servicedesk.window.theme import Theme
from servicedesk.words import say

Cell = tuple[float, float]  # from and to, in pixels from the left of the row
_STRIPE = 3.0


class AxisPainter(QStyledItemDelegate):
    """Paints a `Row` as one in hand or not; what stands on it is `paint_row`'s."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._theme = theme

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:
        return QSize(200, self._theme.height("row_roomy") + 4)

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        row = index.data(Role.ROW)
        if not isinstance(row, Row):
            return
        painter.save()
        ink, box = Ink(painter, self._theme), QRectF(option.rect)
        if option.state & QStyle.StateFlag.State_Selected:
            painter.fillRect(box, self._theme.soft("water"))
            stripe = QRectF(box.left(), box.top(), _STRIPE, box.height())
            painter.fillRect(stripe, self._theme.color("water"))
            if self._theme.outlined:
                ink.panel(box, edge="water", width=2)
        ink.line(QPointF(box.left(), box.bottom() - 1), QPointF(box.right(), box.bottom() - 1))
        self.paint_row(ink, box, row)
        painter.restore()

    def paint_row(self, ink: Ink, box: QRectF, row: Row) -> None:
        """Paint what this kind of row says; a plain one says its title."""
        ink.text(box, row.title)

    def paint_icon(self, ink: Ink, box: QRectF, name: str, color: str) -> None:
        """The icon at the left of a row."""
        side = self._theme.px(18)
        ink.icon(
            name, QRectF(box.left() + self._theme.px(14), box.top(), side, box.height()), color
        )


class AxisHead(QWidget):
    """The headings over the rows; the axis between them is painted by who inherits."""

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme = theme
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        theme.changed.connect(self.update)

    def sizeHint(self) -> QSize:
        return QSize(400, self._theme.px(30))


def paint_headings(ink: Ink, box: QRectF, cells: Sequence[tuple[str, Cell]], right: Cell) -> None:
    """Words over their cells, the last day over the `right` one, a line below."""
    ink.line(box.bottomLeft(), box.bottomRight(), "edge")
    for words, cell in cells:
        ink.text(cell_box(box, cell), words, role="second", color="ink2")
    last = cell_box(box, right)
    ink.text(last, say("Last day"), role="second", color="ink2", align="right")


def paint_late(ink: Ink, box: QRectF, left: float, today: float, color: str) -> QRectF:
    """The days gone by as a hatch from `left` to `today`; returns where it stands."""
    high = ink.theme.px(11)
    bar = QRectF(left, box.center().y() - high / 2, max(3.0, today - left), high)
    ink.panel(bar, fill=f"soft.{color}", edge=color, radius=2)
    ink.hatch(bar.adjusted(1, 1, -1, -1), color)
    return bar


def cell_box(box: QRectF, cell: Cell) -> QRectF:
    """The place of a cell in the row that `box` is."""
    return QRectF(box.left() + cell[0], box.top(), cell[1] - cell[0], box.height())
