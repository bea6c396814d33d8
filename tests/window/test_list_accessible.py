"""A painted widget as a screen reader meets it.

Qt's own rules for QAccessibleInterface are what is checked: child and indexOfChild answer each
other, a child that is no longer drawn is not valid, places are those of the screen.
"""

from PySide6.QtCore import QPoint, QRect
from PySide6.QtGui import QAccessible, QAccessibleInterface
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from servicedesk.values.shapes import Box
from servicedesk.window.widgets.list_accessible import ListAccessible, Painted, install


class Two(QWidget):
    """Two parts below each other; the second one has the keys."""

    def __init__(self) -> None:
        super().__init__()
        self.parts = [("upper", Box(0, 0, 100, 20)), ("lower", Box(0, 20, 100, 30))]
        self.now = "lower"
        self._list = ListAccessible(self, Painted(self._boxes, self._at, self._now, str.upper))
        install(Two)

    def accessible(self) -> QAccessibleInterface:
        return self._list

    def _boxes(self) -> list[tuple[str, Box]]:
        return self.parts

    def _at(self, at: QPoint) -> str:
        return next((key for key, box in self.parts if box.y <= at.y() < box.bottom), "")

    def _now(self) -> str:
        return self.now


def test_the_parts_of_a_painted_widget_are_the_children_of_a_list(qtbot: QtBot) -> None:
    widget = Two()
    qtbot.addWidget(widget)
    widget.resize(100, 50)
    widget.show()
    seen = QAccessible.queryAccessibleInterface(widget)
    assert seen.role() == QAccessible.Role.List
    texts = [seen.child(n).text(QAccessible.Text.Name) for n in range(seen.childCount())]
    assert texts == ["UPPER", "LOWER"]
    assert [seen.indexOfChild(seen.child(n)) for n in range(2)] == [0, 1]
    assert seen.child(2) is None
    assert seen.child(-1) is None
    corner = widget.mapToGlobal(QPoint(0, 0))
    assert seen.child(1).rect() == QRect(corner.x(), corner.y() + 20, 100, 30)
    assert seen.childAt(corner.x() + 5, corner.y() + 25).text(QAccessible.Text.Name) == "LOWER"
    assert seen.childAt(corner.x() + 5, corner.y() + 70) is None
    assert seen.focusChild().text(QAccessible.Text.Name) == "LOWER"
    gone = seen.child(0)
    widget.parts, widget.now = widget.parts[1:], ""
    assert not gone.isValid()
    assert seen.indexOfChild(gone) == -1
    assert seen.childCount() == 1
    assert seen.focusChild() is None
