"""Painted rows as a screen reader meets them: a list whose children are the rows."""

from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QObject, QPoint, QRect, QSize
from PySide6.QtGui import QAccessible, QAccessibleInterface

if TYPE_CHECKING:
    from servicedesk.window.widgets.patterns_painted import PaintedRows

Maybe = Any  # or None, which Qt allows here and its type stubs do not tell


class RowsAccessible(QAccessibleInterface):
    """The list itself; its children are asked from what is drawn."""

    def __init__(self, rows: "PaintedRows") -> None:
        super().__init__()
        self._rows = rows
        self._children: dict[str, _RowAccessible] = {}

    def isValid(self) -> bool:
        return True

    def object(self) -> QObject:
        return self._rows

    def window(self) -> Maybe:
        return self._rows.window().windowHandle()

    def parent(self) -> Maybe:
        above = self._rows.parentWidget()
        return QAccessible.queryAccessibleInterface(above) if above is not None else None

    def childCount(self) -> int:
        return len(self._rows.placed)

    def child(self, index: int) -> Maybe:
        placed = self._rows.placed
        return self._row(placed[index].key) if 0 <= index < len(placed) else None

    def indexOfChild(self, child: QAccessibleInterface) -> int:
        keys = [row.key for row in self._rows.placed]
        if isinstance(child, _RowAccessible) and child.key in keys:
            return keys.index(child.key)
        return -1

    def childAt(self, x: int, y: int) -> Maybe:
        at = self._rows.mapFromGlobal(QPoint(x, y))
        row = self._rows.row_at(at.y())
        return self._row(row.key) if row is not None else None

    def focusChild(self) -> Maybe:
        """The row that the keys act on."""
        return self._row(self._rows.current) if self._rows.current else None

    def rect(self) -> QRect:
        return QRect(self._rows.mapToGlobal(QPoint(0, 0)), self._rows.size())

    def role(self) -> QAccessible.Role:
        return QAccessible.Role.List

    def state(self) -> QAccessible.State:
        return QAccessible.State()

    def text(self, kind: QAccessible.Text) -> str:
        if kind == QAccessible.Text.Name:
            return self._rows.accessibleName()
        return self._rows.accessibleDescription() if kind == QAccessible.Text.Description else ""

    def setText(self, kind: QAccessible.Text, text: str) -> None:
        """Nothing on it can be written."""

    def _row(self, key: str) -> "_RowAccessible":
        found = self._children.get(key)
        if found is None:
            found = self._children[key] = _RowAccessible(self._rows, key)
            QAccessible.registerAccessibleInterface(found)
        return found


class _RowAccessible(QAccessibleInterface):
    """One row."""

    def __init__(self, rows: "PaintedRows", key: str) -> None:
        super().__init__()
        self._rows, self.key = rows, key

    def isValid(self) -> bool:
        return any(row.key == self.key for row in self._rows.placed)

    def object(self) -> Maybe:
        return None

    def window(self) -> Maybe:
        return self._rows.window().windowHandle()

    def parent(self) -> Maybe:
        return QAccessible.queryAccessibleInterface(self._rows)

    def childCount(self) -> int:
        return 0

    def child(self, index: int) -> Maybe:
        return None

    def indexOfChild(self, child: QAccessibleInterface) -> int:
        return -1

    def childAt(self, x: int, y: int) -> Maybe:
        return None

    def rect(self) -> QRect:
        for row in self._rows.placed:
            if row.key == self.key:
                corner = QPoint(round(row.box.x), round(row.box.y))
                size = QSize(round(row.box.width), round(row.box.height))
                return QRect(self._rows.mapToGlobal(corner), size)
        return QRect()

    def role(self) -> QAccessible.Role:
        return QAccessible.Role.ListItem

    def state(self) -> QAccessible.State:
        return QAccessible.State()

    def text(self, kind: QAccessible.Text) -> str:
        return self._rows.spoken(self.key) if kind == QAccessible.Text.Name else ""

    def setText(self, kind: QAccessible.Text, text: str) -> None:
        """Nothing on it can be written."""


class _Installed:
    is_done = False


def install() -> None:
    """Tell Qt how painted rows speak; once a process is enough."""
    if not _Installed.is_done:
        _Installed.is_done = True
        QAccessible.installFactory(_make)


def _make(_name: str, thing: QObject) -> QAccessibleInterface | None:
    from servicedesk.window.widgets.patterns_painted import PaintedRows

    return thing.accessible() if isinstance(thing, PaintedRows) else None
