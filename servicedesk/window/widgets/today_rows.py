"""A list as high as its rows: no scroll bar of its own, opened by Enter or a press."""

from collections.abc import Sequence

from PySide6.QtCore import QModelIndex, QSize, Qt, Signal, Slot
from PySide6.QtGui import QFocusEvent, QKeyEvent
from PySide6.QtWidgets import (
    QAbstractItemDelegate,
    QListView,
    QSizePolicy,
    QStyleOptionViewItem,
    QWidget,
)

from servicedesk.window.models.row_list import Row, RowList
from servicedesk.window.theme import Theme

_ENTER = (Qt.Key.Key_Return, Qt.Key.Key_Enter)
_BACK = (
    QListView.CursorAction.MoveUp,
    QListView.CursorAction.MovePageUp,
    QListView.CursorAction.MovePrevious,
    QListView.CursorAction.MoveHome,
)


class RowsView(QListView):
    """Rows of a `RowList`. `opened` carries the `thing` of a row; `beside` if Ctrl was held."""

    opened = Signal(object, bool)
    current_changed = Signal(object)

    def __init__(
        self,
        theme: Theme,
        name: str,
        painter: QAbstractItemDelegate,
        *,
        fits: bool = True,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._theme, self._fits = theme, fits
        self.rows = RowList(self)
        self.setModel(self.rows)
        painter.setParent(self)
        self.setItemDelegate(painter)
        self.setAccessibleName(name)
        self.setUniformItemSizes(False)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        if fits:
            self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
            self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.clicked.connect(self._clicked)
        self.selectionModel().currentChanged.connect(self._moved)
        theme.changed.connect(self._resized)

    def show_rows(self, rows: Sequence[Row]) -> None:
        """Show other rows; the chosen one stays chosen if it is still there."""
        kept = self.chosen
        if tuple(rows) == self.rows.rows:
            return
        had = self.hasFocus()
        self.rows.set_rows(rows)
        self._resized()
        again = next((n for n, row in enumerate(rows) if kept and row.thing == kept), -1)
        if again >= 0:
            self.setCurrentIndex(self.rows.index(again))
        elif had:
            self._choose_first()

    @property
    def chosen(self) -> object:
        """The thing of the row the keys are on, None if there is none."""
        index = self.currentIndex()
        return self.rows.rows[index.row()].thing if index.isValid() else None

    def choose(self, thing: object) -> bool:
        """Put the keys on the row of `thing`; False if it is not there."""
        for n, row in enumerate(self.rows.rows):
            if row.thing == thing and not row.is_heading:
                self.setCurrentIndex(self.rows.index(n))
                return True
        return False

    def sizeHint(self) -> QSize:
        if not self._fits:
            return super().sizeHint()
        option = QStyleOptionViewItem()
        delegate = self.itemDelegate()
        height = sum(
            delegate.sizeHint(option, self.rows.index(n)).height()
            for n in range(self.rows.rowCount())
        )
        return QSize(200, height + 2)

    def minimumSizeHint(self) -> QSize:
        return QSize(120, self.sizeHint().height() if self._fits else 120)

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        if not self.currentIndex().isValid():
            self._choose_first()

    def moveCursor(
        self, action: QListView.CursorAction, modifiers: Qt.KeyboardModifier
    ) -> QModelIndex:
        """Where a key leads: over headings, never onto one."""
        found = super().moveCursor(action, modifiers)
        if not found.isValid() or not self.rows.rows[found.row()].is_heading:
            return found
        on = -1 if action in _BACK else 1
        at = self.rows.step(found.row(), on)
        if at == found.row():  # nothing further that way
            at = self.rows.step(at, -on)
        return self.rows.index(at)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in _ENTER and self.chosen is not None:
            beside = bool(event.modifiers() & Qt.KeyboardModifier.ControlModifier)
            self.opened.emit(self.chosen, beside)
            return
        if event.text() and event.text().isalnum() and not event.modifiers():
            event.ignore()  # single letters are commands of the page, not a search in the list
            return
        super().keyPressEvent(event)

    def _choose_first(self) -> None:
        at = self.rows.step(-1, 1)
        if at >= 0:
            self.setCurrentIndex(self.rows.index(at))

    @Slot(QModelIndex)
    def _clicked(self, index: QModelIndex) -> None:
        if self._fits and self.chosen is not None:
            self.opened.emit(self.chosen, False)

    @Slot(QModelIndex, QModelIndex)
    def _moved(self, now: QModelIndex, before: QModelIndex) -> None:
        self.current_changed.emit(self.chosen)

    @Slot()
    def _resized(self) -> None:
        self.updateGeometry()
        self.scheduleDelayedItemsLayout()
