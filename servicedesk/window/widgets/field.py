"""A field with its label, and under it what is wrong with the entry, in one sentence."""

from collections.abc import Callable

from PySide6.QtCore import Qt, Signal, Slot
from PySide6.QtWidgets import QGridLayout, QWidget

from servicedesk.window.theme import Theme
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.label import Words
from servicedesk.words import say


class SentenceField(QWidget):
    """`field` is any entry widget. A wrong entry stays in it; `show_wrong` says why.

    With a `correction` a button offers it by one key (Alt U); pressing it calls `put_in`.
    """

    corrected = Signal()

    def __init__(
        self,
        theme: Theme,
        label: str,
        field: QWidget,
        *,
        put_in: Callable[[str], object] | None = None,
        label_px: int = 112,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._theme = theme
        self.field = field
        self._put_in = put_in
        self._correction = ""
        self._label = Words(theme, label, color="ink2")
        self._label.setBuddy(field)
        self._wrong = Words(theme, color="clay", role="second", weight=500, wraps=True)
        self._fix = Button(theme, key="Alt+U", small=True)
        self._fix.clicked.connect(self._use_correction)
        field.setAccessibleName(label)
        grid = QGridLayout(self)
        grid.setContentsMargins(4, 4, 4, 4)  # room for the focus ring
        grid.setHorizontalSpacing(12)
        grid.setVerticalSpacing(5)
        grid.setColumnMinimumWidth(0, theme.px(label_px))
        grid.setColumnStretch(1, 1)
        grid.addWidget(self._label, 0, 0)
        grid.addWidget(field, 0, 1)
        grid.addWidget(self._wrong, 1, 1)
        grid.addWidget(self._fix, 2, 1)
        grid.setAlignment(self._fix, Qt.AlignmentFlag.AlignLeft)
        self.clear_wrong()

    @property
    def is_wrong(self) -> bool:
        """Whether a complaint stands under the field."""
        return self._wrong.isVisibleTo(self)

    def show_wrong(self, sentence: str, *, correction: str = "") -> None:
        """Say under the field what is wrong with it, and offer `correction` if we can guess."""
        self._wrong.setText(sentence)
        self._wrong.show()
        self._correction = correction
        self._fix.setText(say("Use {entry}", entry=correction))
        self._fix.setVisible(bool(correction) and self._put_in is not None)
        self.field.setAccessibleDescription(sentence)
        self._mark(wrong=True)

    def clear_wrong(self) -> None:
        """The entry is right, or not judged yet."""
        self._wrong.hide()
        self._fix.hide()
        self.field.setAccessibleDescription("")
        self._mark(wrong=False)

    def _mark(self, *, wrong: bool) -> None:
        self.field.setProperty("wrong", wrong)
        style = self.field.style()
        style.unpolish(self.field)
        style.polish(self.field)

    @Slot()
    def _use_correction(self) -> None:
        if self._put_in is not None:
            self._put_in(self._correction)
        self.clear_wrong()
        self.field.setFocus()
        self.corrected.emit()
