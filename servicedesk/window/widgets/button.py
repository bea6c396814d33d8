"""Buttons: words first, an icon before them if one helps, their key on the button itself."""

from typing import Literal

from PySide6.QtCore import QRectF, QSize, Qt, Slot
from PySide6.QtGui import QKeyEvent, QKeySequence, QPaintEvent
from PySide6.QtWidgets import QPushButton, QStyle, QStyleOptionButton, QStylePainter, QWidget

from servicedesk.window.actions import keys_in_words
from servicedesk.window.icons import icon
from servicedesk.window.ink import Ink
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.label import key_cap_size

Kind = Literal["plain", "main", "danger", "bare", "link", "pill"]
_COLORS = {"main": "on_water", "danger": "clay", "link": "water"}


class Button(QPushButton):
    """A button of the look. `key` is shown on it, and presses it unless `shows_only`.

    "main" is the one filled button of a sheet; "bare" has only an icon and needs `name`, the
    words a screen reader says. `wide` lets the words begin at the left of a wide button.
    """

    def __init__(
        self,
        theme: Theme,
        text: str = "",
        *,
        icon_name: str = "",
        key: str = "",
        kind: Kind = "plain",
        small: bool = False,
        shows_only: bool = False,
        wide: bool = False,
        name: str = "",
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._key = QKeySequence() if shows_only else QKeySequence(key)
        self._theme, self._icon_name, self._kind = theme, icon_name, kind
        self._cap = keys_in_words(key) if key else ""
        self.setProperty("kind", kind)
        self.setProperty("size", "small" if small else "")
        self.setProperty("wide", wide)
        self.setAutoDefault(False)
        self._name = name
        self.setAccessibleName(name or text)
        if kind == "pill":
            self.setCheckable(True)
        if kind in ("bare", "link"):
            self.setCursor(Qt.CursorShape.PointingHandCursor)
        if name and not text:
            self.setToolTip(name)
        self.setText(text)
        self._dress()
        theme.changed.connect(self._dress)

    def setText(self, text: str) -> None:
        """Carry other words; an & in them is an &, and the key stays (Qt would drop it)."""
        super().setText(text.replace("&", "&&"))
        self.setShortcut(self._key)
        if text:
            self.setAccessibleName(self._name or text)

    def sizeHint(self) -> QSize:
        size = super().sizeHint()
        if self._cap:
            size.setWidth(size.width() + key_cap_size(self._theme, self._cap).width() + 10)
        if self.text() and self.isCheckable():
            size.setHeight(max(size.height(), self._theme.height("control_small")))
        return size

    def minimumSizeHint(self) -> QSize:
        return self.sizeHint()

    def paintEvent(self, event: QPaintEvent) -> None:
        if not self._cap:
            super().paintEvent(event)
            return
        self._paint_with_cap()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and not event.modifiers():
            self.click()
            return
        super().keyPressEvent(event)

    def set_icon(self, name: str) -> None:
        """Carry another icon."""
        self._icon_name = name
        self._dress()

    def _paint_with_cap(self) -> None:
        cap = key_cap_size(self._theme, self._cap)
        pad = self._theme.px(9)
        option = QStyleOptionButton()
        self.initStyleOption(option)
        painter = QStylePainter(self)
        painter.drawControl(QStyle.ControlElement.CE_PushButtonBevel, option)
        left = self._theme.px(12) if self.property("wide") else 0
        option.rect = self.rect().adjusted(left, 0, -cap.width() - pad + 4, 0)
        painter.drawControl(QStyle.ControlElement.CE_PushButtonLabel, option)
        color = _COLORS.get(self._kind, "ink2") if self.isEnabled() else "ink3"
        top = (self.height() - cap.height()) / 2
        box = QRectF(self.width() - cap.width() - pad, top, cap.width(), cap.height())
        Ink(painter, self._theme).key_cap(box, self._cap, color)
        painter.end()

    @Slot()
    def _dress(self) -> None:
        theme = self._theme
        weight = 600 if self._kind in ("main", "link") else 500
        self.setFont(theme.font("text", weight=weight))
        if self._icon_name:
            color = theme.color(_COLORS.get(self._kind, "ink"))
            self.setIcon(icon(self._icon_name, color, theme.color("ink3")))
            width = 16 if not self.text() else 18 if self._kind == "link" else 22
            self.setIconSize(QSize(theme.px(width), theme.px(16)))
        self.updateGeometry()
