"""The frame's keys also act while one is writing in a field.

Fields of Qt claim some of them for themselves (Ctrl K deletes to the end of the line there).
Undo and redo are left to the field, and so is every letter.
"""

from collections.abc import Iterable

from PySide6.QtCore import QEvent, QObject, Slot
from PySide6.QtGui import QKeyEvent, QKeySequence
from PySide6.QtWidgets import QApplication, QWidget
from shiboken6 import isValid

from servicedesk.window.actions import Act, is_writing

_OF_THE_FIELD = frozenset({"undo", "redo"})


class FrameKeys(QObject):
    """Watches the field that has the keys, one at a time, within one window."""

    def __init__(self, window: QWidget, acts: Iterable[Act]) -> None:
        super().__init__(window)
        self._window = window
        self._field: QWidget | None = None
        self._keys = {
            QKeySequence(keys)[0].toCombined()  # type: ignore[index]
            for act in acts
            if act.id not in _OF_THE_FIELD
            for keys in act.shortcuts
            if len(keys) > 1
        }
        app = QApplication.instance()
        if isinstance(app, QApplication):
            app.focusChanged.connect(self._moved)

    @Slot(QWidget, QWidget)
    def _moved(self, old: QWidget | None, now: QWidget | None) -> None:
        if self._field is not None and isValid(self._field):
            self._field.removeEventFilter(self)
        self._field = None
        if now is not None and self._window.isAncestorOf(now) and is_writing(now):
            self._field = now
            now.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() != QEvent.Type.ShortcutOverride or not isinstance(event, QKeyEvent):
            return False
        is_ours = event.keyCombination().toCombined() in self._keys
        if is_ours:
            event.ignore()  # not the field's: the action hears it
        return is_ours
