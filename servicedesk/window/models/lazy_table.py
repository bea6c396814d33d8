"""A table over any number of records: all ids in hand, rows fetched by the page as they are seen.

Sorting and filtering are done by the store: a new question is a new list of ids.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QObject, Qt

from servicedesk.window.models import Index
from servicedesk.window.models.roles import Role

PAGE = 200
_MOST_PAGES = 24


@dataclass(frozen=True, slots=True)
class Column:
    """One column: its heading, and what it shows of a row.

    `text(row)` is the text we formatted; `second(row)` a second line for roomy tables.
    """

    title: str
    text: Callable[[Any], str]
    second: Callable[[Any], str] | None = None
    right: bool = False
    tip: Callable[[Any], str] | None = None
    sort_key: str = ""

    @property
    def align(self) -> Qt.AlignmentFlag:
        """Numbers to the right, words to the left."""
        side = Qt.AlignmentFlag.AlignRight if self.right else Qt.AlignmentFlag.AlignLeft
        return side | Qt.AlignmentFlag.AlignVCenter


class LazyTable(QAbstractTableModel):
    """`want(ids)` is called when rows are about to be seen that are not at hand yet.

    Whoever fetched them gives them with `put`. `data` never raises and never waits.
    """

    def __init__(
        self,
        columns: Sequence[Column],
        want: Callable[[Sequence[object]], object],
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._columns = tuple(columns)
        self._want = want
        self._ids: Sequence[object] = ()
        self._at: dict[object, int] = {}
        self._rows: dict[object, Any] = {}
        self._asked: dict[int, None] = {}  # pages wanted, oldest first

    @property
    def ids(self) -> Sequence[object]:
        """Ids of all rows, in order."""
        return self._ids

    @property
    def columns(self) -> tuple[Column, ...]:
        """The columns."""
        return self._columns

    def set_ids(self, ids: Sequence[object]) -> None:
        """Answer to a new question: other rows, or the same in another order."""
        self.beginResetModel()
        self._ids = tuple(ids)
        self._at = {row_id: at for at, row_id in enumerate(self._ids)}
        self._rows.clear()
        self._asked.clear()
        self.endResetModel()

    def put(self, rows: Mapping[object, Any]) -> None:
        """Rows that were fetched, by id. Ids no longer in the table are ignored."""
        known = {row_id: row for row_id, row in rows.items() if row_id in self._at}
        self._rows.update(known)
        self._tell(known)

    def forget(self, ids: Sequence[object]) -> None:
        """These records have changed: fetch them again when they are seen."""
        for row_id in ids:
            if self._rows.pop(row_id, None) is not None:
                self._asked.pop(self._at[row_id] // PAGE, None)
        self._tell({row_id: None for row_id in ids if row_id in self._at})

    def row_of(self, row_id: object) -> int:
        """Where a record stands, -1 if it is not in the table."""
        return self._at.get(row_id, -1)

    def row_at(self, at: int) -> Any:
        """The frozen row, or None if it is not at hand yet; asks for its page then."""
        row_id = self._ids[at]
        row = self._rows.get(row_id)
        if row is None:
            self._ask_page(at // PAGE)
            row = self._rows.get(row_id)
        return row

    def rowCount(self, parent: Index = QModelIndex()) -> int:
        return 0 if parent.isValid() else len(self._ids)

    def columnCount(self, parent: Index = QModelIndex()) -> int:
        return 0 if parent.isValid() else len(self._columns)

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        if not index.isValid() or index.row() >= len(self._ids):
            return None
        column = self._columns[index.column()]
        match role:
            case Qt.ItemDataRole.TextAlignmentRole:
                return column.align
            case Role.ROW_ID:
                return self._ids[index.row()]
            case Qt.ItemDataRole.DisplayRole | Role.ROW | Role.SECOND | Qt.ItemDataRole.ToolTipRole:
                return _shown(column, self.row_at(index.row()), role)
        return None

    def headerData(
        self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole
    ) -> Any:
        if orientation != Qt.Orientation.Horizontal or not 0 <= section < len(self._columns):
            return None
        match role:
            case Qt.ItemDataRole.DisplayRole:
                return self._columns[section].title
            case Qt.ItemDataRole.TextAlignmentRole:
                return self._columns[section].align
        return None

    def _ask_page(self, page: int) -> None:
        if page in self._asked:
            return
        while len(self._asked) >= _MOST_PAGES:
            oldest = next(iter(self._asked))
            del self._asked[oldest]
            for row_id in self._ids[oldest * PAGE : (oldest + 1) * PAGE]:
                self._rows.pop(row_id, None)
        self._asked[page] = None
        self._want(self._ids[page * PAGE : (page + 1) * PAGE])

    def _tell(self, rows: Mapping[object, Any]) -> None:
        if not rows or not self._columns:
            return
        at = sorted(self._at[row_id] for row_id in rows)
        self.dataChanged.emit(self.index(at[0], 0), self.index(at[-1], len(self._columns) - 1))


def _shown(column: Column, row: Any, role: int) -> Any:
    if role == Role.ROW:
        return row
    if row is None:
        return "" if role != Qt.ItemDataRole.ToolTipRole else None
    if role == Role.SECOND:
        return column.second(row) if column.second else ""
    if role == Qt.ItemDataRole.ToolTipRole:
        return column.tip(row) if column.tip else None
    return column.text(row)
