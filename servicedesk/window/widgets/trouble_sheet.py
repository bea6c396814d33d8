"""Trouble a person can act on: what happened, what it means, what helps. Never a stack trace."""

from collections.abc import Callable

from PySide6.QtCore import QRectF, Qt, Signal, Slot
from PySide6.QtGui import QGuiApplication, QPainter, QPaintEvent
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from servicedesk.values.trouble import Trouble
from servicedesk.window.ink import Ink
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.label import IconSign, Words
from servicedesk.window.widgets.veil import Veil
from servicedesk.words import say


class _RedBar(QWidget):
    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme = theme
        self.setFixedHeight(5)

    def paintEvent(self, event: QPaintEvent) -> None:
        with QPainter(self) as painter:
            box = QRectF(self.rect())
            Ink(painter, self._theme).panel(box, fill="clay", radius=2)


class TroubleSheet(Veil):
    """Shows one trouble; `show_mistake` is for mistakes of ours, with *Copy details*."""

    copied = Signal(str)

    def __init__(self, theme: Theme, home: QWidget) -> None:
        super().__init__(theme, home, width_px=560, height_px=360)
        self._again: Callable[[], object] | None = None
        self._details = ""
        self.what = Words(theme, role="sheet_title", wraps=True)
        self.means = Words(theme, color="ink2", wraps=True)
        self.helps = Words(theme, say("What helps"), role="row_lead")
        self.do = Words(theme, wraps=True)
        self.try_again = Button(theme, say("Try again"), icon_name="again", kind="main")
        self.copy = Button(theme, say("Copy what happened"))
        self.close_it = Button(theme, say("Close"), key="Esc", shows_only=True)
        self._build()
        self.try_again.clicked.connect(self._try_again)
        self.copy.clicked.connect(self._copy)
        self.close_it.clicked.connect(self.close_veil)

    def show_trouble(self, trouble: Trouble, again: Callable[[], object] | None) -> None:
        """Say it; *Try again* only where that makes sense."""
        self._fill(trouble.what, trouble.means, trouble.do)
        self._again = again
        self._details = str(trouble)
        self.try_again.setVisible(again is not None)
        self.copy.setText(say("Copy what happened"))
        self.open_with(self.try_again if again is not None else self.close_it)

    def show_mistake(self, details: str, log_file: str) -> None:
        """Something went wrong that is our fault. `details` is what support needs."""
        kept = say("It is written down in {file}.", file=log_file) if log_file else ""
        self._fill(
            say("Something went wrong in this program"),
            say("What was written before is safe. {kept}", kept=kept).strip(),
            say("Copy the details and send them to whoever looks after this program."),
        )
        self._again = None
        self._details = details
        self.try_again.hide()
        self.copy.setText(say("Copy details"))
        self.open_with(self.copy)

    def _fill(self, what: str, means: str, do: str) -> None:
        self.what.setText(what)
        self.means.setText(means)
        self.means.setVisible(bool(means))
        self.do.setText(do)
        self.do.setVisible(bool(do))
        self.helps.setVisible(bool(do))
        self.fit_height()
        self.panel.setAccessibleName(what)

    def _build(self) -> None:
        self.column.addWidget(_RedBar(self.theme))
        inner = QVBoxLayout()
        inner.setContentsMargins(20, 18, 20, 18)
        inner.setSpacing(12)
        head = QHBoxLayout()
        head.setSpacing(12)
        head.addWidget(IconSign(self.theme, "warn", "clay"), 0, Qt.AlignmentFlag.AlignTop)
        head.addWidget(self.what, 1)
        self.what.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Minimum)
        inner.addLayout(head)
        for widget in (self.means, self.helps, self.do):
            inner.addWidget(widget)
        inner.addStretch(1)
        inner.addSpacing(10)
        buttons = QHBoxLayout()
        buttons.setSpacing(10)
        for button in (self.try_again, self.copy, self.close_it):
            buttons.addWidget(button)
        buttons.addStretch(1)
        inner.addLayout(buttons)
        self.column.addLayout(inner, 1)

    @Slot()
    def _try_again(self) -> None:
        again = self._again
        self.close_veil()
        if again is not None:
            again()

    @Slot()
    def _copy(self) -> None:
        QGuiApplication.clipboard().setText(self._details)
        self.copied.emit(self._details)
