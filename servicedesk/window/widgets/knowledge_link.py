"""The name of a symptom, cause, check or part on any page: pressed, it opens what is known."""

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeyEvent, QMouseEvent
from PySide6.QtWidgets import QWidget

from servicedesk.window.places.base import Place
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.label import Words
from servicedesk.words import say

_ENTER = (Qt.Key.Key_Return, Qt.Key.Key_Enter, Qt.Key.Key_Space)


class KnowledgeLink(Words):
    """Words that lead to the page of an entry, by mouse, Enter or Space; Ctrl: beside.

    `kind` is symptom, cause, check or part. The place round it takes one there.
    """

    def __init__(
        self, theme: Theme, text: str, kind: str, entry_id: str, *, weight: int = 0
    ) -> None:
        super().__init__(theme, text, color="water", weight=weight, wraps=True)
        self.kind, self.entry_id = kind, entry_id
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setAccessibleName(text)
        self.setAccessibleDescription(say("opens what is known about it"))
        self.setToolTip(say("Enter: what is known about it"))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in _ENTER:
            self._open(event.modifiers())
            return
        super().keyPressEvent(event)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        inside = self.rect().contains(event.position().toPoint())
        if event.button() == Qt.MouseButton.LeftButton and inside:
            self._open(event.modifiers())

    def _open(self, held: Qt.KeyboardModifier) -> None:
        place = _place_round(self)
        if place is not None:
            beside = bool(held & Qt.KeyboardModifier.ControlModifier)
            place.shell.go("knowledge", self.kind, self.entry_id, beside=beside)


def _place_round(widget: QWidget) -> Place | None:
    found = widget.parentWidget()
    while found is not None and not isinstance(found, Place):
        found = found.parentWidget()
    return found
