"""*No day yet*: stops that wait for a place, and where the chosen one would fit at what price."""

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QModelIndex, QPoint, QRectF, QSize, Qt, Signal, Slot
from PySide6.QtGui import QKeyEvent, QMouseEvent, QPainter, QResizeEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QApplication,
    QListView,
    QSizePolicy,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QWidget,
)

from servicedesk.window.ink import Ink
from servicedesk.window.models import Index
from servicedesk.window.models.roles import Role
from servicedesk.window.models.row_delegate import two_lines
from servicedesk.window.models.row_list import Row, RowList
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.label import Words
from servicedesk.window.widgets.offer_row import OfferHeads, OfferRow, OfferWords
from servicedesk.window.widgets.sheet import Hairline, Sheet
from servicedesk.words import say

_COMPACT_PX = 330


@dataclass(frozen=True, slots=True, kw_only=True)
class WaitingStop:
    """A row: `tone` and `icon` are of the look, an empty icon draws brackets."""

    stop_id: str
    title: str
    second: str
    right: str
    icon: str
    tone: str


class NoDayYet(Sheet):
    """The tray at the right of the map."""

    chosen = Signal(str)  # stop id, "" for none
    opened = Signal(str)  # stop id, on a double press
    taken = Signal(int)  # which of the offers, 0 is the cheapest
    carried = Signal(str, QPoint)  # stop id, where on the screen
    let_go = Signal()
    put_back = Signal()

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme, say("No day yet"), say("drag down, or Enter for places"))
        self._theme = theme
        self._offers: tuple[OfferRow, ...] = ()
        self._shows_places = False
        self._model = RowList(self)
        self.list = _WaitingList(theme, self._model)
        self.list.selectionModel().currentChanged.connect(self._current_changed)
        self.list.activated.connect(self._activated)
        self.list.carried.connect(self.carried)
        self.list.let_go.connect(self.let_go)
        self.list.put_back.connect(self.put_back)
        self.list.opened.connect(self.opened)
        self.back = Button(theme, say("All that wait"), icon_name="back", kind="link", small=True)
        self.back.clicked.connect(self._show_all)
        self.head.addWidget(self.back)
        self.line = Hairline(theme)
        self.fits = Words(theme, "", role="row_lead")
        self.fits.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        self.columns = OfferHeads(theme)
        self.why = Words(theme, "", role="second", color="ink2", wraps=True)
        self.foot_line = Hairline(theme)
        self.foot = Words(theme, say("F9 holds a stop in place, or frees it"), role="second",
                          color="ink2")  # fmt: skip
        self.body.addWidget(self.list, 1)
        for widget in (self.line, self.fits, self.columns):
            self.body.addWidget(widget)
        self._rows = tuple(OfferRow(theme, n) for n in range(4))
        for row in self._rows:
            self.body.addWidget(row)
            row.clicked.connect(self._pressed)
        self.body.addWidget(self.why)
        self.body.addStretch(0)
        self.body.addWidget(self.foot_line)
        self.body.addWidget(self.foot)
        self.show_offers("", (), "")
        self._tighten()
        theme.changed.connect(self._tighten)

    def show_stops(self, stops: Sequence[WaitingStop], keep: str = "") -> None:
        """Show who waits, most pressing first; `keep` stays chosen if it is among them."""
        rows = [
            Row(title=s.title, second=s.second, right=s.right, icon=s.icon, thing=s) for s in stops
        ]
        was = self.list.selectionModel().blockSignals(True)
        self._model.set_rows(rows)
        at = next((n for n, s in enumerate(stops) if s.stop_id == keep), -1)
        self.list.setCurrentIndex(self._model.index(at) if at >= 0 else QModelIndex())
        self.list.selectionModel().blockSignals(was)
        hint = say("drag down, or Enter for places") if stops else say("every stop has its place")
        n = len(stops)
        self.set_title(say("No day yet"), hint if n < 2 else f"{n} \u00b7 {hint}")
        self.list.viewport().update()
        self._fit()

    @property
    def stop(self) -> str:
        """The chosen stop, "" for none."""
        return self.list.stop_of(self.list.currentIndex())

    def choose(self, stop_id: str) -> None:
        """Choose a stop that waits; any other id chooses none."""
        for n, row in enumerate(self._model.rows):
            if row.thing.stop_id == stop_id:
                self.list.setCurrentIndex(self._model.index(n))
                return
        self.list.setCurrentIndex(QModelIndex())

    def show_offers(self, title: str, offers: Sequence[OfferWords], why: str) -> None:
        """Where the chosen stop would fit, or why nowhere. An empty title shows nothing."""
        self.fits.setText(title)
        for n, row in enumerate(self._rows):
            row.show_offer(offers[n] if n < len(offers) else None)
        self.why.setText(why)
        self._shows_places = bool(title) and self._shows_places
        self._fit()

    @property
    def n_offers(self) -> int:
        """How many places are offered."""
        return sum(row.offer is not None for row in self._rows)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit()

    def minimumSizeHint(self) -> QSize:
        return QSize(300, self._theme.px(150))

    def hasHeightForWidth(self) -> bool:
        """No: it scrolls, and takes turns with its places where there is little room."""
        return False

    @property
    def is_compact(self) -> bool:
        """So little height that list and places take turns."""
        return self.height() < self._theme.px(_COMPACT_PX)

    def _fit(self) -> None:
        has_title = bool(self.fits.text())
        compact = self.is_compact
        places = has_title and (self._shows_places or not compact)
        self.list.setVisible(not compact or not places)
        self.back.setVisible(compact and places)
        self.line.setVisible(places and not compact)
        self.fits.setVisible(places)
        self.columns.setVisible(places and self.n_offers > 0 and not compact)
        self.hint_label.setVisible(not (compact and places))
        for row in self._rows:
            row.setVisible(places and row.offer is not None)
        self.why.setVisible(
            places and bool(self.why.text()) and not (compact and self.n_offers > 0)
        )
        self.foot.setVisible(not compact)
        self.foot_line.setVisible(not compact)

    @Slot()
    def _tighten(self) -> None:
        self.body.setSpacing(self._theme.px(3))
        self.list.setMinimumHeight(self._theme.px(84))

    @Slot()
    def _show_all(self) -> None:
        self._shows_places = False
        self._fit()
        self.list.setFocus()

    @Slot(QModelIndex, QModelIndex)
    def _current_changed(self, now: QModelIndex, _before: QModelIndex) -> None:
        self.chosen.emit(self.list.stop_of(now))

    @Slot(QModelIndex)
    def _activated(self, index: QModelIndex) -> None:
        self._shows_places = True
        self._fit()
        first = next((row for row in self._rows if row.isVisible()), None)
        if first is not None:
            first.setFocus(Qt.FocusReason.OtherFocusReason)

    @Slot()
    def _pressed(self) -> None:
        sender = self.sender()
        if isinstance(sender, OfferRow):
            self.taken.emit(sender.number)


class _WaitingList(QListView):
    """Rows that can be chosen, and carried by the mouse."""

    carried = Signal(str, QPoint)
    let_go = Signal()
    put_back = Signal()
    opened = Signal(str)

    def __init__(self, theme: Theme, model: RowList) -> None:
        super().__init__()
        self.setModel(model)
        self.setItemDelegate(_WaitingPainter(theme, self))
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setAccessibleName(say("Stops with no day yet"))
        self._held: tuple[str, QPoint] | None = None
        self._is_carrying = False

    def stop_of(self, index: QModelIndex) -> str:
        """The stop of a row."""
        row: Row | None = index.data(Role.ROW) if index.isValid() else None
        return row.thing.stop_id if row is not None else ""

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        if self.currentIndex().isValid():
            self.scrollTo(self.currentIndex())

    def mousePressEvent(self, event: QMouseEvent) -> None:
        super().mousePressEvent(event)
        index = self.indexAt(event.position().toPoint())
        if event.button() == Qt.MouseButton.LeftButton and index.isValid():
            self._held = (self.stop_of(index), event.globalPosition().toPoint())

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if self._held is None:
            return
        stop_id, start = self._held
        at = event.globalPosition().toPoint()
        far = (at - start).manhattanLength() >= QApplication.startDragDistance()
        if self._is_carrying or far:
            self._is_carrying = True
            self.carried.emit(stop_id, at)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        super().mouseReleaseEvent(event)
        was_carrying, self._held, self._is_carrying = self._is_carrying, None, False
        if was_carrying:
            self.let_go.emit()

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        stop_id = self.stop_of(self.indexAt(event.position().toPoint()))
        if stop_id:
            self.opened.emit(stop_id)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape and self._is_carrying:
            self._held, self._is_carrying = None, False
            self.put_back.emit()
            return
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and self.currentIndex().isValid():
            self.activated.emit(self.currentIndex())
            return
        super().keyPressEvent(event)


class _WaitingPainter(QStyledItemDelegate):
    def __init__(self, theme: Theme, parent: QWidget) -> None:
        super().__init__(parent)
        self._theme = theme

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:
        return QSize(200, self._theme.height("row_roomy") + 4)

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        row: Row | None = index.data(Role.ROW)
        if row is None:
            return
        theme = self._theme
        painter.save()
        ink = Ink(painter, theme)
        box = QRectF(option.rect).adjusted(0, 0, -2, 0)
        if option.state & QStyle.StateFlag.State_Selected:
            edge = (
                "water"
                if theme.outlined or option.state & QStyle.StateFlag.State_HasFocus
                else None
            )
            fill = "sheet" if theme.outlined else "soft.water"
            ink.panel(box.adjusted(0, 1, 0, -1), fill=fill, edge=edge, radius=4)
        side = theme.px(22)
        at = QRectF(box.left() + 8, box.center().y() - side / 2, side, side)
        if row.icon:
            ink.panel(at, fill=f"soft.{row.thing.tone}", edge=row.thing.tone, radius=4)
            ink.icon(row.icon, at.adjusted(3, 3, -3, -3), row.thing.tone)
        else:
            ink.bracket(at.adjusted(2, 0, -2, 0), row.thing.tone, width=1.8)
        width = ink.width_of(row.right, "second") + 2
        right = QRectF(box.right() - width - 8, box.top() + 5, width, box.height() / 2 - 3)
        ink.text(right, row.right, role="second", color="ink2", align="right")
        inner = QRectF(at.right() + 12, box.top(), right.left() - at.right() - 20, box.height())
        two_lines(ink, inner, row.title, row.second, lead=True)
        painter.restore()
