"""All stops of a day in order, as a table: the same as the bench, for eyes, ears and printing."""

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QObject, Qt, Signal, Slot
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QAbstractItemView, QHeaderView, QTableView

from servicedesk.window.models import Index
from servicedesk.window.models.row_delegate import CellPainter
from servicedesk.window.theme import Theme
from servicedesk.words import say


@dataclass(frozen=True, slots=True)
class StopLine:
    """One stop in words, one text a column."""

    stop_id: str
    cells: tuple[str, ...]


def heads() -> tuple[str, ...]:
    """Titles of the columns."""
    return (
        say("Site"), say("Technician"), say("Stop"), say("Arrives"), say("Leaves"),
        say("Drive"), say("Work"), say("Promised"), say("State"),
    )  # fmt: skip


_RIGHT = frozenset({2, 3, 4, 5})


class _Stops(QAbstractTableModel):
    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self.lines: tuple[StopLine, ...] = ()

    def put(self, lines: Sequence[StopLine]) -> None:
        self.beginResetModel()
        self.lines = tuple(lines)
        self.endResetModel()

    def rowCount(self, parent: Index = QModelIndex()) -> int:
        return 0 if parent.isValid() else len(self.lines)

    def columnCount(self, parent: Index = QModelIndex()) -> int:
        return 0 if parent.isValid() else len(heads())

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        if not index.isValid() or index.row() >= len(self.lines):
            return None
        if role in (Qt.ItemDataRole.DisplayRole, Qt.ItemDataRole.AccessibleTextRole):
            return self.lines[index.row()].cells[index.column()]
        if role == Qt.ItemDataRole.TextAlignmentRole and index.column() in _RIGHT:
            return Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
        return None

    def headerData(
        self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole
    ) -> object:
        if orientation != Qt.Orientation.Horizontal:
            return None
        if role == Qt.ItemDataRole.DisplayRole:
            return heads()[section]
        if role == Qt.ItemDataRole.TextAlignmentRole:
            side = Qt.AlignmentFlag.AlignRight if section in _RIGHT else Qt.AlignmentFlag.AlignLeft
            return side | Qt.AlignmentFlag.AlignVCenter
        return None


class StopsTable(QTableView):
    """Choosing a line chooses the stop; Enter opens its site."""

    chosen = Signal(str)
    opened = Signal(str)

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme = theme
        self._stops = _Stops(self)
        self.setModel(self._stops)
        self._painter = CellPainter(theme, tight=True, parent=self)
        self.setItemDelegate(self._painter)
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setTabKeyNavigation(False)
        self.setShowGrid(False)
        self.verticalHeader().hide()
        head = self.horizontalHeader()
        head.setHighlightSections(False)
        head.setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        head.setSectionResizeMode(0, QHeaderView.ResizeMode.Stretch)
        self.setAccessibleName(say("All stops of the day in order"))
        self.selectionModel().currentRowChanged.connect(self._row_changed)
        self.doubleClicked.connect(self._double_clicked)
        theme.changed.connect(self._dress)
        self._dress()

    @property
    def lines(self) -> tuple[StopLine, ...]:
        """What is shown."""
        return self._stops.lines

    def show_lines(self, lines: Sequence[StopLine], chosen: str = "") -> None:
        """Show other stops, with one chosen."""
        was = self.selectionModel().blockSignals(True)
        self._stops.put(lines)
        self._fit_columns()
        self.selectionModel().blockSignals(was)
        self.choose(chosen)

    def choose(self, stop_id: str) -> None:
        """Choose the line of a stop."""
        for n, line in enumerate(self._stops.lines):
            if line.stop_id == stop_id:
                self.selectRow(n)
                return

    def keyPressEvent(self, event: QKeyEvent) -> None:
        at = self.currentIndex().row()
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and at >= 0:
            self.opened.emit(self._stops.lines[at].stop_id)
            return
        super().keyPressEvent(event)

    def _fit_columns(self) -> None:
        """As wide as the widest text; the site takes what is left."""
        metrics, head = self._theme.metrics("text"), self._theme.metrics("row_lead")
        pad = self._theme.px(26)
        for column, title in enumerate(heads()):
            widths = [metrics.horizontalAdvance(one.cells[column]) for one in self._stops.lines]
            widest = max(head.horizontalAdvance(title), *widths, 0.0)
            self.setColumnWidth(column, round(min(widest, self._theme.px(240))) + pad)

    @Slot(QModelIndex, QModelIndex)
    def _row_changed(self, now: QModelIndex, _before: QModelIndex) -> None:
        if now.isValid():
            self.chosen.emit(self._stops.lines[now.row()].stop_id)

    @Slot(QModelIndex)
    def _double_clicked(self, index: QModelIndex) -> None:
        self.opened.emit(self._stops.lines[index.row()].stop_id)

    @Slot()
    def _dress(self) -> None:
        self.verticalHeader().setDefaultSectionSize(self._painter.row_height)
        self._fit_columns()
        self.horizontalHeader().setFont(self._theme.font("axis"))
        self.viewport().update()
