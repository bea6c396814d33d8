"""Painted rows of the visit form with one field that opens where a number is typed."""

from collections.abc import Sequence
from typing import Protocol

from PySide6.QtCore import QEvent, QRect, QRectF, QSize, Qt, Signal, Slot
from PySide6.QtGui import QAccessible, QAccessibleEvent, QKeyEvent, QResizeEvent
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


class HasBox(Protocol):
    """A row as it stands."""

    @property
    def box(self) -> QRectF: ...


class RowsWithField(QWidget):
    """Rows that lay themselves out for their width; the field is shown where one is typed into.

    `read` carries what was typed into (the id in `_editing`) and the text; `moved` the box of the
    row in hand, to be scrolled to.
    """

    read = Signal(str, str)
    moved = Signal(QRectF)
    least_px = 300
    _boxes: Sequence[HasBox] = ()
    _at = 0

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
        self.editor.editingFinished.connect(self._accept)

    @property
    def box_in_hand(self) -> QRectF:
        """Where the row in hand stands."""
        return self._boxes[self._at].box

    def sizeHint(self) -> QSize:
        bottom = self._boxes[-1].box.bottom() if self._boxes else 0
        return QSize(self._theme.px(420), round(bottom))

    def minimumSizeHint(self) -> QSize:
        return QSize(self._theme.px(self.least_px), self.sizeHint().height())

    def resizeEvent(self, event: QResizeEvent) -> None:
        self._lay_out()

    def focusInEvent(self, event: object) -> None:
        self.update()
        self._tell()

    def end_editing(self) -> None:
        """Take over what stands in the open field, if one is open."""
        if self.editor.isVisible():
            self._accept()

    def take(self, at: int, of: int) -> None:
        """Take a row in hand, the first or last one where there is none so far."""
        self._at = min(max(at, 0), of - 1)
        self.update()
        self.moved.emit(self.box_in_hand)
        self._tell()

    def fit(self) -> None:
        """As high as the rows are."""
        bottom = round(self._boxes[-1].box.bottom()) if self._boxes else 0
        if self.height() != bottom:
            self.setFixedHeight(bottom)
        self.update()

    def _tell(self) -> None:
        """Say the row in hand to who cannot see it."""
        raise NotImplementedError

    def _lay_out(self) -> None:
        """Put every row in its place for this width."""
        raise NotImplementedError

    @Slot()
    def _accept(self) -> None:
        what, self._editing = self._editing, ""
        if what:
            text = self.editor.text()
            self.close_field()
            self.read.emit(what, text)

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
