"""A short list of two-line rows under headings, for boxes over the page. All rows in memory."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from PySide6.QtCore import QAbstractListModel, QModelIndex, QObject, Qt

from servicedesk.window.models import Index
from servicedesk.window.models.roles import Role


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One row. `right` stands at its right end, `cap` makes that a key cap; `thing` is yours."""

    title: str
    second: str = ""
    icon: str = ""
    right: str = ""
    right_icon: str = ""
    right_color: str = "water"
    cap: bool = False
    is_heading: bool = False
    thing: Any = None


class RowList(QAbstractListModel):
    """Rows and headings, in order."""

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._rows: tuple[Row, ...] = ()

    def set_rows(self, rows: Sequence[Row]) -> None:
        """Show other rows."""
        self.beginResetModel()
        self._rows = tuple(rows)
        self.endResetModel()

    @property
    def rows(self) -> tuple[Row, ...]:
        """All rows with their headings."""
        return self._rows

    def step(self, start: int, by: int) -> int:
        """The next row that can be chosen from `start` on, in steps of `by`; `start` if none."""
        at = start + by
        while 0 <= at < len(self._rows):
            if not self._rows[at].is_heading:
                return at
            at += by
        return start

    def rowCount(self, parent: Index = QModelIndex()) -> int:
        return 0 if parent.isValid() else len(self._rows)

    def flags(self, index: Index) -> Qt.ItemFlag:
        if not index.isValid():
            return Qt.ItemFlag.NoItemFlags
        if self._rows[index.row()].is_heading:
            return Qt.ItemFlag.ItemIsEnabled
        return Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        if not index.isValid() or index.row() >= len(self._rows):
            return None
        row = self._rows[index.row()]
        match role:
            case Qt.ItemDataRole.DisplayRole:
                return row.title
            case Qt.ItemDataRole.AccessibleTextRole:
                return ", ".join(part for part in (row.title, row.second, row.right) if part)
            case Role.SECOND:
                return row.second
            case Role.ROW:
                return row
            case Role.IS_HEADING:
                return row.is_heading
        return None
