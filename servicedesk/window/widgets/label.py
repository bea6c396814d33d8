"""Texts on a page: words in a role and color of the look, chips, key caps, links."""

import math

from PySide6.QtCore import QEvent, QRectF, QSize, Qt, Slot
from PySide6.QtGui import QColor, QEnterEvent, QFontMetricsF, QPainter, QPaintEvent, QPalette
from PySide6.QtWidgets import QAbstractButton, QLabel, QSizePolicy, QWidget

from servicedesk.window.ink import Ink
from servicedesk.window.theme import Theme


class Words(QLabel):
    """A text that keeps its role and color when theme or text size change. Never rich text."""

    def __init__(
        self,
        theme: Theme,
        text: str = "",
        *,
        role: str = "text",
        color: str = "ink",
        weight: int = 0,
        wraps: bool = False,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(text, parent)
        self._theme, self._role, self._color, self._weight = theme, role, color, weight
        self.setTextFormat(Qt.TextFormat.PlainText)
        self.setWordWrap(wraps)
        if wraps:
            policy = QSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Minimum)
            policy.setHeightForWidth(True)
            self.setSizePolicy(policy)
        self._dress()
        theme.changed.connect(self._dress)

    def set_color(self, color: str) -> None:
        """Write in another color of the look from now on."""
        self._color = color
        self._dress()

    @Slot()
    def _dress(self) -> None:
        self.setFont(self._theme.font(self._role, weight=self._weight))
        _paint_text_with(self, self._theme.color(self._color))


class LinkedText(QLabel):
    """A sentence with links in it. `html` is made of escaped texts and ``<a href="...">``.

    The href goes out with `linkActivated`; links are reached with Tab and pressed with Enter.
    """

    def __init__(
        self, theme: Theme, html: str = "", *, role: str = "text", parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._theme, self._role, self._html = theme, role, html
        self.setTextFormat(Qt.TextFormat.RichText)
        self.setWordWrap(True)
        self.setTextInteractionFlags(
            Qt.TextInteractionFlag.LinksAccessibleByMouse
            | Qt.TextInteractionFlag.LinksAccessibleByKeyboard
        )
        self._dress()
        theme.changed.connect(self._dress)

    def set_html(self, html: str) -> None:
        """Say something else."""
        self._html = html
        self._dress()

    @Slot()
    def _dress(self) -> None:
        self.setFont(self._theme.font(self._role))
        _paint_text_with(self, self._theme.color("ink2"))
        water = self._theme.color("water").name()
        style = f'<a style="color:{water}; font-weight:600; text-decoration:none;" '
        self.setText(self._html.replace("<a ", style))


class OneLine(QWidget):
    """One line that is shortened with … where room is short; pointing shows it whole."""

    def __init__(
        self,
        theme: Theme,
        text: str = "",
        *,
        role: str = "text",
        color: str = "ink",
        weight: int = 0,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._theme, self._text, self._role = theme, text, role
        self._color, self._weight = color, weight
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)
        self.set_text(text)
        theme.changed.connect(self._resized)

    @property
    def text(self) -> str:
        """The whole line."""
        return self._text

    def set_text(self, text: str, color: str | None = None) -> None:
        """Say something else, perhaps in another color."""
        self._text, self._color = text, color or self._color
        self.setAccessibleName(text)
        self.setToolTip(text)
        self._resized()

    def sizeHint(self) -> QSize:
        metrics = QFontMetricsF(self._theme.font(self._role, weight=self._weight))
        width = metrics.horizontalAdvance(self._text) + 2
        return QSize(math.ceil(width), math.ceil(metrics.height()) + 2)

    def minimumSizeHint(self) -> QSize:
        return QSize(0, self.sizeHint().height())

    def paintEvent(self, event: QPaintEvent) -> None:
        with QPainter(self) as painter:
            Ink(painter, self._theme).text(
                QRectF(self.rect()),
                self._text,
                role=self._role,
                color=self._color,
                weight=self._weight,
            )

    @Slot()
    def _resized(self) -> None:
        self.updateGeometry()
        self.update()


class IconSign(QWidget):
    """One icon in a color, of a size that follows the text."""

    def __init__(self, theme: Theme, name: str, color: str, size_px: int = 22) -> None:
        super().__init__()
        self._theme, self._name, self._color = theme, name, color
        self._size_px = size_px
        self._resize()
        theme.changed.connect(self._resize)

    def paintEvent(self, event: QPaintEvent) -> None:
        with QPainter(self) as painter:
            Ink(painter, self._theme).icon(self._name, QRectF(self.rect()), self._color)

    @Slot()
    def _resize(self) -> None:
        side = self._theme.px(self._size_px)
        self.setFixedSize(side, side)
        self.update()


class Chip(QWidget):
    """Few words on a soft tint. `tone` is a color with a tint, or "ink2" for a plain one."""

    def __init__(
        self,
        theme: Theme,
        text: str,
        tone: str = "ink2",
        icon: str = "",
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._theme, self._text, self._tone, self._icon = theme, text, tone, icon
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        self.setAccessibleName(text)
        theme.changed.connect(self._resized)

    def set_text(self, text: str, tone: str | None = None) -> None:
        """Say something else, perhaps in another tone."""
        self._text, self._tone = text, tone or self._tone
        self.setAccessibleName(text)
        self._resized()

    def sizeHint(self) -> QSize:
        pad = self._theme.px(8)
        width = self._theme.metrics("chip").horizontalAdvance(self._text) + 2 * pad + 1
        return QSize(round(width) + (self._theme.px(18) if self._icon else 0), self._theme.px(24))

    def paintEvent(self, event: QPaintEvent) -> None:
        with QPainter(self) as painter:
            Ink(painter, self._theme).chip(QRectF(self.rect()), self._text, self._tone, self._icon)

    @Slot()
    def _resized(self) -> None:
        self.updateGeometry()
        self.update()


class KeyCap(QWidget):
    """A key, as printed on it: "Ctrl K"."""

    def __init__(
        self, theme: Theme, keys: str, color: str = "ink2", parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._theme, self._keys, self._color = theme, keys, color
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        theme.changed.connect(self._resized)

    def sizeHint(self) -> QSize:
        return key_cap_size(self._theme, self._keys)

    def paintEvent(self, event: QPaintEvent) -> None:
        with QPainter(self) as painter:
            Ink(painter, self._theme).key_cap(QRectF(self.rect()), self._keys, self._color)

    @Slot()
    def _resized(self) -> None:
        self.updateGeometry()
        self.update()


class LinkLabel(QAbstractButton):
    """A record's or page's name that opens it: pressed by mouse, Enter or Space."""

    def __init__(
        self,
        theme: Theme,
        text: str,
        *,
        role: str = "row_lead",
        color: str = "water",
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._theme, self._role, self._color = theme, role, color
        self.setText(text)
        self.setAccessibleName(text)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(QSizePolicy.Policy.Maximum, QSizePolicy.Policy.Fixed)
        self._under = False
        theme.changed.connect(self._resized)

    def sizeHint(self) -> QSize:
        metrics = self._theme.metrics(self._role)
        width = metrics.horizontalAdvance(self.text()) + 3
        height = max(metrics.height() + 4, self._theme.tokens.space.hit_min)
        return QSize(round(width), round(height))

    def minimumSizeHint(self) -> QSize:
        return QSize(self._theme.px(40), self.sizeHint().height())

    def paintEvent(self, event: QPaintEvent) -> None:
        color = self._color if self.isEnabled() else "ink3"
        with QPainter(self) as painter:
            ink = Ink(painter, self._theme)
            place = ink.text(QRectF(self.rect()), self.text(), role=self._role, color=color)
            if self._under:
                ink.line(place.bottomLeft(), place.bottomRight(), color)

    def enterEvent(self, event: QEnterEvent) -> None:
        self._under = True
        self.update()

    def leaveEvent(self, event: QEvent) -> None:
        self._under = False
        self.update()

    @Slot()
    def _resized(self) -> None:
        self.updateGeometry()
        self.update()


def key_cap_size(theme: Theme, keys: str) -> QSize:
    """The room a key cap takes."""
    metrics = theme.metrics("axis")
    width = max(metrics.horizontalAdvance(keys) + theme.px(11), theme.px(18))
    return QSize(round(width), round(metrics.height()) + theme.px(4))


def _paint_text_with(label: QLabel, color: QColor) -> None:
    palette = label.palette()
    palette.setColor(QPalette.ColorRole.WindowText, color)
    label.setPalette(palette)
