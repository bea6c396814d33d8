"""Painting of rows: the base for tables, and the one for short lists."""

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QPainter
from PySide6.QtWidgets import QStyle, QStyledItemDelegate, QStyleOptionViewItem, QWidget

from servicedesk.window.ink import Align, Ink
from servicedesk.window.models import Index
from servicedesk.window.models.roles import Role
from servicedesk.window.models.row_list import Row
from servicedesk.window.theme import Theme

_STRIPE = 3.0


class CellPainter(QStyledItemDelegate):
    """Cells of a `LazyTable`: hairline below, chosen row on a tint with an upright at its left.

    Override `paint_cell` to draw marks; the default writes one or two lines. Rows are of one
    height: `row_height` goes to the view's vertical header.
    """

    def __init__(self, theme: Theme, *, tight: bool = False, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.theme = theme
        self.tight = tight

    @property
    def row_height(self) -> int:
        """Height of every row at the text size in force."""
        return self.theme.height("row_tight" if self.tight else "row_roomy")

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:
        return QSize(option.rect.width(), self.row_height)

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        box = QRectF(option.rect)
        painter.save()
        ink = Ink(painter, self.theme)
        if option.state & QStyle.StateFlag.State_Selected:
            painter.fillRect(box, self.theme.soft("water"))
            if index.column() == 0:
                width = _STRIPE
                painter.fillRect(
                    QRectF(box.left(), box.top(), width, box.height()), self.theme.color("water")
                )
            if self.theme.outlined:
                ink.line(box.topLeft(), box.topRight(), "water")
        ink.line(
            QPointF(box.left(), box.bottom() - 1), QPointF(box.right(), box.bottom() - 1), "line"
        )
        pad = self.theme.tokens.space.grid * 2.5
        self.paint_cell(ink, box.adjusted(pad, 0, -pad, -1), index)
        painter.restore()

    def paint_cell(self, ink: Ink, box: QRectF, index: Index) -> None:
        """Draw one cell inside `box`. Must not fail: it runs within Qt's own painting."""
        text = str(index.data(Qt.ItemDataRole.DisplayRole) or "")
        second = "" if self.tight else str(index.data(Role.SECOND) or "")
        alignment = index.data(Qt.ItemDataRole.TextAlignmentRole)
        align: Align = (
            "right" if alignment is not None and alignment & Qt.AlignmentFlag.AlignRight else "left"
        )
        lead = index.column() == 0
        two_lines(ink, box, text, second, align=align, lead=lead)


class RowPainter(QStyledItemDelegate):
    """Rows of a `RowList`: icon, two lines, something at the right end; headings in between."""

    def __init__(
        self, theme: Theme, *, hairlines: bool = False, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._theme = theme
        self._hairlines = hairlines

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:
        is_heading = bool(index.data(Role.IS_HEADING))
        height = self._theme.px(30) if is_heading else self._theme.height("row_roomy") + 2
        return QSize(200, height)

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        row: Row | None = index.data(Role.ROW)
        if row is None:
            return
        painter.save()
        box = QRectF(option.rect)
        ink = Ink(painter, self._theme)
        if row.is_heading:
            ink.text(
                box.adjusted(12, 6, -12, 0), row.title, role="second", color="ink3", weight=600
            )
        else:
            self._paint_row(ink, box, row, bool(option.state & QStyle.StateFlag.State_Selected))
        painter.restore()

    def _paint_row(self, ink: Ink, box: QRectF, row: Row, is_chosen: bool) -> None:
        theme = self._theme
        if is_chosen:
            fill = "sheet" if theme.outlined else "soft.water"
            edge = "water" if theme.outlined else None
            ink.panel(box.adjusted(0, 1, 0, -1), fill=fill, edge=edge, radius=4)
            ink.painter.fillRect(
                QRectF(box.left(), box.top() + 1, _STRIPE, box.height() - 2), theme.color("water")
            )
        elif self._hairlines:
            ink.line(QPointF(box.left(), box.bottom() - 1), QPointF(box.right(), box.bottom() - 1))
        inner = box.adjusted(12, 0, -12, 0)
        if row.icon:
            side = theme.px(18)
            color = "water" if is_chosen else "ink2"
            ink.icon(row.icon, QRectF(inner.left(), inner.top(), side, inner.height()), color)
            inner.setLeft(inner.left() + theme.px(26))
        if row.right or row.right_icon:
            inner.setRight(inner.right() - self._paint_right(ink, inner, row) - 12)
        two_lines(ink, inner, row.title, row.second, lead=True)

    def _paint_right(self, ink: Ink, box: QRectF, row: Row) -> float:
        """Draw the right end; how wide it is."""
        theme = self._theme
        width = ink.width_of(row.right, "chip") + 2
        if row.cap:
            width += theme.px(12)
            height = theme.px(19)
            place = QRectF(box.right() - width, box.center().y() - height / 2, width, height)
            ink.key_cap(place, row.right)
            return width
        place = QRectF(box.right() - width, box.top(), width, box.height())
        ink.text(place, row.right, role="chip", color=row.right_color, weight=600)
        if row.right_icon:
            side = theme.px(16)
            left = place.left() - side - 6
            ink.icon(row.right_icon, QRectF(left, box.top(), side, box.height()), row.right_color)
            width += side + 6
        return width


def two_lines(
    ink: Ink, box: QRectF, first: str, second: str, *, align: Align = "left", lead: bool = False
) -> None:
    """A lead line and a smaller one below it, together in the middle of `box`."""
    role = "row_lead" if lead else "text"
    if not second:
        ink.text(box, first, role=role, align=align)
        return
    upper = ink.theme.metrics(role).height()
    lower = ink.theme.metrics("second").height()
    top = box.top() + (box.height() - upper - lower) / 2
    ink.text(QRectF(box.left(), top, box.width(), upper), first, role=role, align=align)
    ink.text(
        QRectF(box.left(), top + upper, box.width(), lower),
        second,
        role="second",
        color="ink2",
        align=align,
    )
