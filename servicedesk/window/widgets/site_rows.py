"""Small pieces that site pages share: a line with its icon, chips that wrap, emptied layouts."""

from PySide6.QtCore import QPoint, QRect, QSize, Qt
from PySide6.QtWidgets import QHBoxLayout, QLayout, QLayoutItem, QWidget

from servicedesk.window.theme import Theme
from servicedesk.window.widgets.label import IconSign, Words


class SignedLine(QWidget):
    """A sentence with an icon before it, perhaps a second line below."""

    def __init__(
        self, theme: Theme, icon: str, text: str, *, color: str = "ink", strong: bool = False
    ) -> None:
        super().__init__()
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 2, 0, 2)
        row.setSpacing(theme.px(9))
        tone = "ink2" if color == "ink" else color
        row.addWidget(IconSign(theme, icon, tone, 17), 0, Qt.AlignmentFlag.AlignTop)
        weight = 600 if strong or color != "ink" else 0
        self.words = Words(theme, text, color=color, weight=weight, wraps=True)
        row.addWidget(self.words, 1)


def emptied(layout: QLayout) -> None:
    """Take all widgets out of a layout, with those of layouts within."""
    while layout.count():
        item = layout.takeAt(0)
        if item is None:
            return
        widget, inner = item.widget(), item.layout()
        if widget is not None:
            widget.setParent(None)
            widget.deleteLater()
        elif inner is not None:
            emptied(inner)


class FlowLayout(QLayout):
    """Widgets side by side, in as many lines as are needed."""

    def __init__(self, parent: QWidget | None = None, *, gap: int = 6) -> None:
        super().__init__(parent)
        self._items: list[QLayoutItem] = []
        self._gap = gap
        self.setContentsMargins(0, 0, 0, 0)

    def addItem(self, item: QLayoutItem) -> None:
        self._items.append(item)

    def count(self) -> int:
        return len(self._items)

    def itemAt(self, index: int) -> QLayoutItem | None:  # type: ignore[override]
        return self._items[index] if 0 <= index < len(self._items) else None

    def takeAt(self, index: int) -> QLayoutItem | None:  # type: ignore[override]
        return self._items.pop(index) if 0 <= index < len(self._items) else None

    def expandingDirections(self) -> Qt.Orientation:
        return Qt.Orientation(0)

    def hasHeightForWidth(self) -> bool:
        return True

    def heightForWidth(self, width: int) -> int:
        return self._lay_out(QRect(0, 0, width, 0), place=False)

    def setGeometry(self, rect: QRect) -> None:
        super().setGeometry(rect)
        self._lay_out(rect, place=True)

    def sizeHint(self) -> QSize:
        return self.minimumSize()

    def minimumSize(self) -> QSize:
        size = QSize()
        for item in self._items:
            size = size.expandedTo(item.minimumSize())
        return size

    def _lay_out(self, rect: QRect, *, place: bool) -> int:
        x, y, line = rect.x(), rect.y(), 0
        for item in self._items:
            widget = item.widget()
            if widget is not None and widget.isHidden():
                continue
            size = item.sizeHint()
            if x > rect.x() and x + size.width() > rect.right() + 1:
                x, y, line = rect.x(), y + line + self._gap, 0
            if place:
                item.setGeometry(QRect(QPoint(x, y), size))
            x += size.width() + self._gap
            line = max(line, size.height())
        return y + line - rect.y()


class Flow(QWidget):
    """A widget that only holds a `FlowLayout`."""

    def __init__(self, *, gap: int = 6) -> None:
        super().__init__()
        self.flow = FlowLayout(self, gap=gap)
        policy = self.sizePolicy()
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)
