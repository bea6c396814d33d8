"""Painted rows of the visit form with one field that opens where a number is typed."""

from PySide6.QtCore import QEvent, QRect, Qt, Signal, Slot
from PySide6.QtGui import QAccessible, QAccessibleEvent, QKeyEvent
from PySide6.QtWidgets import QLineEdit, QSizePolicy, QWidget

from servicedesk.window.theme import Theme

BEGINS = frozenset("0123456789<>.-")


class Editor(QLineEdit):
    """The field of one reading. `stepped`: Enter 0, Down 1, Up -1; `dropped`: Esc."""

    stepped = Signal(int)
    dropped = Signal()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        match event.key():
            case Qt.Key.Key_Return | Qt.Key.Key_Enter if not (
                event.modifiers() & Qt.KeyboardModifier.ControlModifier
            ):
                self.stepped.emit(0)
            case Qt.Key.Key_Down:
                self.stepped.emit(1)
            case Qt.Key.Key_Up:
                self.stepped.emit(-1)
            case Qt.Key.Key_Escape:
                self.dropped.emit()
            case _:
                super().keyPressEvent(event)

    def event(self, event: QEvent) -> bool:
        # Esc is the field's own here: it does not set the visit aside
        if (
            event.type() == QEvent.Type.ShortcutOverride
            and isinstance(event, QKeyEvent)
            and event.key() == Qt.Key.Key_Escape
        ):
            event.accept()
            return True
        return super().event(event)


class RowsWithField(QWidget):
    """Rows that lay themselves out for their width; the field is shown where one is typed into."""

    def __init__(self, theme: Theme, name: str) -> None:
        super().__init__()
        self._theme = theme
        self._editing = ""  # id of what is typed into
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setProperty("ownFocus", True)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)
        self.setAccessibleName(name)
        self.editor = Editor(self)
        self.editor.hide()
        self.editor.dropped.connect(self._drop)

    def open_field(self, place: QRect, name: str, text: str) -> None:
        """Show the field at the height of `place`, with `text` in it, and give it the keys."""
        height = self._theme.px(28)
        place.setTop(place.center().y() - height // 2)
        place.setHeight(height)
        self.editor.setGeometry(place)
        self.editor.setAccessibleName(name)
        self.editor.setText(text)
        self.editor.show()
        self.editor.setFocus()
        self.editor.end(False)

    def close_field(self) -> None:
        """Hide the field; the rows take the keys back if it had them."""
        had_keys = self.editor.hasFocus()
        self.editor.hide()
        if had_keys:
            self.setFocus()

    def describe(self, words: str) -> None:
        """Say the row in hand to who cannot see it, where it is not said already."""
        if words != self.accessibleDescription():
            self.setAccessibleDescription(words)
            if self.hasFocus():
                QAccessible.updateAccessibility(
                    QAccessibleEvent(self, QAccessible.Event.DescriptionChanged)
                )

    def focusOutEvent(self, event: object) -> None:
        self.update()

    @Slot()
    def _drop(self) -> None:
        """Esc takes the number back as it was."""
        self._editing = ""
        self.close_field()
