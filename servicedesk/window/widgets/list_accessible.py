"""What a widget paints, as a screen reader meets it: a list whose children are its parts."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, Protocol

from PySide6.QtCore import QObject, QPoint, QRect
from PySide6.QtGui import QAccessible, QAccessibleInterface
from PySide6.QtWidgets import QWidget

from servicedesk.values.shapes import Box

Maybe = Any  # or None, which Qt allows here and its type stubs do not tell


@dataclass(frozen=True, slots=True)
class Painted:
    """Asks a widget what it has drawn; every part goes by a key.

    `boxes`: keys and places in the order of the walk. `key_at`: the key at a point of the widget,
    "" for none. `current`: the key that the keyboard acts on, "" for none. `spoken`: its words.
    """

    boxes: Callable[[], Sequence[tuple[str, Box]]]
    key_at: Callable[[QPoint], str]
    current: Callable[[], str]
    spoken: Callable[[str], str]


class Speaks(Protocol):
    """A widget that has a list for screen readers."""

    def accessible(self) -> QAccessibleInterface:
        """How a screen reader sees it."""


class ListAccessible(QAccessibleInterface):
    """The widget itself; its children are asked from what is drawn."""

    def __init__(self, widget: QWidget, painted: Painted) -> None:
        super().__init__()
        self._widget, self._painted = widget, painted
        self._children: dict[str, _PartAccessible] = {}

    def isValid(self) -> bool:
        return True

    def object(self) -> QObject:
        return self._widget

    def window(self) -> Maybe:
        return self._widget.window().windowHandle()

    def parent(self) -> Maybe:
        above = self._widget.parentWidget()
        return QAccessible.queryAccessibleInterface(above) if above is not None else None

    def childCount(self) -> int:
        return len(self._painted.boxes())

    def child(self, index: int) -> Maybe:
        boxes = self._painted.boxes()
        return self._part(boxes[index][0]) if 0 <= index < len(boxes) else None

    def indexOfChild(self, child: QAccessibleInterface) -> int:
        keys = [key for key, _box in self._painted.boxes()]
        if isinstance(child, _PartAccessible) and child.key in keys:
            return keys.index(child.key)
        return -1

    def childAt(self, x: int, y: int) -> Maybe:
        return self._part(self._painted.key_at(self._widget.mapFromGlobal(QPoint(x, y))))

    def focusChild(self) -> Maybe:
        """The part that the keyboard acts on."""
        return self._part(self._painted.current())

    def rect(self) -> QRect:
        return QRect(self._widget.mapToGlobal(QPoint(0, 0)), self._widget.size())

    def role(self) -> QAccessible.Role:
        return QAccessible.Role.List

    def state(self) -> QAccessible.State:
        return QAccessible.State()

    def text(self, kind: QAccessible.Text) -> str:
        if kind == QAccessible.Text.Name:
            return self._widget.accessibleName()
        if kind == QAccessible.Text.Description:
            return self._widget.accessibleDescription()
        return ""

    def setText(self, kind: QAccessible.Text, text: str) -> None:
        """Nothing on it can be written."""

    def _part(self, key: str) -> "_PartAccessible | None":
        if not key:
            return None
        found = self._children.get(key)
        if found is None:
            found = self._children[key] = _PartAccessible(self._widget, self._painted, key)
            QAccessible.registerAccessibleInterface(found)
        return found


class _PartAccessible(QAccessibleInterface):
    """One part."""

    def __init__(self, widget: QWidget, painted: Painted, key: str) -> None:
        super().__init__()
        self._widget, self._painted, self.key = widget, painted, key

    def isValid(self) -> bool:
        return any(key == self.key for key, _box in self._painted.boxes())

    def object(self) -> Maybe:
        return None

    def window(self) -> Maybe:
        return self._widget.window().windowHandle()

    def parent(self) -> Maybe:
        return QAccessible.queryAccessibleInterface(self._widget)

    def childCount(self) -> int:
        return 0

    def child(self, index: int) -> Maybe:
        return None

    def indexOfChild(self, child: QAccessibleInterface) -> int:
        return -1

    def childAt(self, x: int, y: int) -> Maybe:
        return None

    def rect(self) -> QRect:
        for key, box in self._painted.boxes():
            if key == self.key:
                corner = self._widget.mapToGlobal(QPoint(round(box.x), round(box.y)))
                return QRect(corner.x(), corner.y(), round(box.width), round(box.height))
        return QRect()

    def role(self) -> QAccessible.Role:
        return QAccessible.Role.ListItem

    def state(self) -> QAccessible.State:
        return QAccessible.State()

    def text(self, kind: QAccessible.Text) -> str:
        return self._painted.spoken(self.key) if kind == QAccessible.Text.Name else ""

    def setText(self, kind: QAccessible.Text, text: str) -> None:
        """Nothing on it can be written."""


_KINDS: list[type[Speaks]] = []


def install(kind: type[Speaks]) -> None:
    """Tell Qt that widgets of this kind speak; once a process is enough for each."""
    if not _KINDS:
        QAccessible.installFactory(_make)
    if kind not in _KINDS:
        _KINDS.append(kind)


def _make(_name: str, thing: Any) -> QAccessibleInterface | None:
    kind = next((kind for kind in _KINDS if isinstance(thing, kind)), None)
    return thing.accessible() if kind is not None else None
