"""The ribbons as a screen reader meets them: a list whose children are the stops."""

from typing import TYPE_CHECKING, Any

from PySide6.QtCore import QObject, QPoint, QRect
from PySide6.QtGui import QAccessible, QAccessibleInterface

if TYPE_CHECKING:
    from servicedesk.window.widgets.ribbon_bench import RibbonBench

Maybe = Any  # or None, which Qt allows here and its type stubs do not tell


class BenchAccessible(QAccessibleInterface):
    """The bench itself. Its children are asked from what is drawn, in the order of the walk."""

    def __init__(self, bench: "RibbonBench") -> None:
        super().__init__()
        self._bench = bench
        self._blocks: dict[str, _BlockAccessible] = {}

    def isValid(self) -> bool:
        return True

    def object(self) -> QObject:
        return self._bench

    def window(self) -> Maybe:
        return self._bench.window().windowHandle()

    def parent(self) -> Maybe:
        above = self._bench.parentWidget()
        return QAccessible.queryAccessibleInterface(above) if above is not None else None

    def childCount(self) -> int:
        return len(self._bench.figure.blocks)

    def child(self, index: int) -> Maybe:
        blocks = self._bench.figure.blocks
        return self._block(blocks[index].stop_id) if 0 <= index < len(blocks) else None

    def indexOfChild(self, child: QAccessibleInterface) -> int:
        ids = [block.stop_id for block in self._bench.figure.blocks]
        if isinstance(child, _BlockAccessible) and child.stop_id in ids:
            return ids.index(child.stop_id)
        return -1

    def childAt(self, x: int, y: int) -> Maybe:
        at = self._bench.mapFromGlobal(QPoint(x, y))
        block = self._bench.figure.block_at(at.x(), at.y())
        return self._block(block.stop_id) if block is not None else None

    def focusChild(self) -> Maybe:
        """The stop that the keys act on."""
        return self._block(self._bench.stop) if self._bench.stop else None

    def rect(self) -> QRect:
        return QRect(self._bench.mapToGlobal(QPoint(0, 0)), self._bench.size())

    def role(self) -> QAccessible.Role:
        return QAccessible.Role.List

    def state(self) -> QAccessible.State:
        return QAccessible.State()

    def text(self, kind: QAccessible.Text) -> str:
        if kind == QAccessible.Text.Name:
            return self._bench.accessibleName()
        return self._bench.accessibleDescription() if kind == QAccessible.Text.Description else ""

    def setText(self, kind: QAccessible.Text, text: str) -> None:
        """Nothing on it can be written."""

    def _block(self, stop_id: str) -> "_BlockAccessible":
        found = self._blocks.get(stop_id)
        if found is None:
            found = self._blocks[stop_id] = _BlockAccessible(self._bench, stop_id)
            QAccessible.registerAccessibleInterface(found)
        return found


class _BlockAccessible(QAccessibleInterface):
    """One stop on a ribbon."""

    def __init__(self, bench: "RibbonBench", stop_id: str) -> None:
        super().__init__()
        self._bench, self.stop_id = bench, stop_id

    def isValid(self) -> bool:
        return any(block.stop_id == self.stop_id for block in self._bench.figure.blocks)

    def object(self) -> Maybe:
        return None

    def window(self) -> Maybe:
        return self._bench.window().windowHandle()

    def parent(self) -> Maybe:
        return QAccessible.queryAccessibleInterface(self._bench)

    def childCount(self) -> int:
        return 0

    def child(self, index: int) -> Maybe:
        return None

    def indexOfChild(self, child: QAccessibleInterface) -> int:
        return -1

    def childAt(self, x: int, y: int) -> Maybe:
        return None

    def rect(self) -> QRect:
        for block in self._bench.figure.blocks:
            if block.stop_id == self.stop_id:
                corner = QPoint(round(block.box.x), round(block.box.y))
                size = (round(block.box.width), round(block.box.height))
                return QRect(self._bench.mapToGlobal(corner), self._bench.size()).adjusted(
                    0, 0, size[0] - self._bench.width(), size[1] - self._bench.height()
                )
        return QRect()

    def role(self) -> QAccessible.Role:
        return QAccessible.Role.ListItem

    def state(self) -> QAccessible.State:
        return QAccessible.State()

    def text(self, kind: QAccessible.Text) -> str:
        return self._bench.spoken(self.stop_id) if kind == QAccessible.Text.Name else ""

    def setText(self, kind: QAccessible.Text, text: str) -> None:
        """Nothing on it can be written."""


class _Installed:
    is_done = False


def install() -> None:
    """Tell Qt how a bench speaks; once a process is enough."""
    if not _Installed.is_done:
        _Installed.is_done = True
        QAccessible.installFactory(_make)


def _make(_name: str, thing: QObject) -> QAccessibleInterface | None:
    from servicedesk.window.widgets.ribbon_bench import RibbonBench

    return thing.accessible() if isinstance(thing, RibbonBench) else None
