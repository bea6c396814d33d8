"""A short list of which one is so: chosen by its digit, with the arrows or by a click."""

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QRectF, QSize, Qt, Signal, Slot
from PySide6.QtGui import (
    QAccessible,
    QAccessibleEvent,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QResizeEvent,
)
from PySide6.QtWidgets import QSizePolicy, QWidget

from servicedesk.window.ink import Ink
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.writeup_boxes import broken
from servicedesk.words import say


@dataclass(frozen=True, slots=True)
class Option:
    """One of them; `right` stands at the end of its line."""

    id: str
    text: str
    right: str = ""


class Options(QWidget):
    """`chosen` with the id of what a person took; `asked` about what (Ctrl and a click)."""

    chosen = Signal(str)
    asked = Signal(str)

    def __init__(self, theme: Theme, label: str, options: Sequence[Option], *, tone: str) -> None:
        super().__init__()
        self._theme, self._label, self._tone = theme, label, tone
        self.options = tuple(options)
        self._is = ""
        self._at = 0
        self._boxes: list[tuple[QRectF, list[str]]] = []
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setProperty("ownFocus", True)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)
        self.setAccessibleName(label)
        theme.changed.connect(self._lay_out)
        self._lay_out()
        self._tell()

    @property
    def value(self) -> str:
        """The id of the chosen one, "" for none."""
        return self._is

    @property
    def in_hand(self) -> str:
        """The id of the one that the keys are at."""
        return self.options[self._at].id

    def show_value(self, option_id: str) -> None:
        """Show this one as chosen."""
        self._is = option_id
        ids = [one.id for one in self.options]
        if option_id in ids:
            self._at = ids.index(option_id)
        self.update()
        self._tell()

    def box_of(self, option_id: str) -> QRectF:
        """Where an option stands. Raises ValueError for one that is not here."""
        return self._boxes[[one.id for one in self.options].index(option_id)][0]

    def sizeHint(self) -> QSize:
        bottom = self._boxes[-1][0].bottom() if self._boxes else 0
        return QSize(self._theme.px(240), round(bottom))

    def minimumSizeHint(self) -> QSize:
        return QSize(self._theme.px(160), self.sizeHint().height())

    def resizeEvent(self, event: QResizeEvent) -> None:
        self._lay_out()

    def focusInEvent(self, event: object) -> None:
        self.update()

    def focusOutEvent(self, event: object) -> None:
        self.update()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        for n, (box, _) in enumerate(self._boxes):
            if not box.contains(event.position()):
                continue
            if event.modifiers() & Qt.KeyboardModifier.ControlModifier:
                self.asked.emit(self.options[n].id)
            else:
                self._take(n)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        digit = event.text() if not event.modifiers() & Qt.KeyboardModifier.ControlModifier else ""
        match event.key():
            case Qt.Key.Key_Down:
                self._move(1)
            case Qt.Key.Key_Up:
                self._move(-1)
            case Qt.Key.Key_Return | Qt.Key.Key_Enter | Qt.Key.Key_Space if (
                not event.modifiers() & Qt.KeyboardModifier.ControlModifier
            ):
                self._take(self._at)
            case _ if digit.isdigit() and 1 <= int(digit) <= len(self.options):
                self._take(int(digit) - 1)
            case _:
                super().keyPressEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        theme = self._theme
        with QPainter(self) as painter:
            ink = Ink(painter, theme)
            height = theme.metrics("text").height()
            for n, (box, parts) in enumerate(self._boxes):
                one = self.options[n]
                is_on = one.id == self._is
                if is_on:
                    plain = theme.outlined
                    ink.panel(
                        box.adjusted(0, 1, 0, -1),
                        fill="sheet" if plain else f"soft.{self._tone}",
                        edge=self._tone if plain else None,
                        radius=theme.tokens.radius.chip,
                    )
                self._paint_cap(ink, box, n, is_on=is_on)
                left = box.left() + theme.px(38)
                top = box.center().y() - len(parts) * height / 2
                for k, text in enumerate(parts):
                    line = QRectF(left, top + k * height, self._text_width(n), height)
                    color = self._tone if is_on else "ink"
                    ink.text(line, text, color=color, weight=600 if is_on else 0)
                right = box.adjusted(0, 0, -theme.px(8), 0)
                ink.text(right, one.right, role="second", color="ink2", align="right")
                if self.hasFocus() and n == self._at:
                    ink.focus_ring(box.adjusted(1, 1, -1, -1), theme.tokens.radius.chip)

    def _paint_cap(self, ink: Ink, box: QRectF, n: int, *, is_on: bool) -> None:
        side = self._theme.px(20)
        cap = QRectF(box.left() + self._theme.px(8), box.center().y() - side / 2, side, side)
        radius = self._theme.tokens.radius.chip
        fill, edge = (self._tone, self._tone) if is_on else ("sheet", "edge")
        ink.panel(cap, fill=fill, edge=edge, radius=radius)
        color = "sheet" if is_on else "ink2"
        ink.text(cap, str(n + 1), role="chip", color=color, align="center", weight=600)

    def _move(self, by: int) -> None:
        self._at = min(max(self._at + by, 0), len(self.options) - 1)
        self.update()
        self._tell()

    def _take(self, n: int) -> None:
        self._at = n
        self.show_value(self.options[n].id)
        self.chosen.emit(self._is)

    def _tell(self) -> None:
        here = self.options[self._at].text if self.options else ""
        said = next((one.text for one in self.options if one.id == self._is), say("no answer yet"))
        words = say("{said}; in hand: {n} {here}", said=said, n=self._at + 1, here=here)
        if words != self.accessibleDescription():
            self.setAccessibleDescription(words)
            if self.hasFocus():
                QAccessible.updateAccessibility(
                    QAccessibleEvent(self, QAccessible.Event.DescriptionChanged)
                )

    def _text_width(self, n: int) -> float:
        right = self._theme.metrics("second").horizontalAdvance(self.options[n].right)
        width = max(self.width(), self._theme.px(160))
        return width - self._theme.px(38) - (right + self._theme.px(18) if right else 8)

    @Slot()
    def _lay_out(self) -> None:
        metrics = self._theme.metrics("text")
        self._boxes = []
        top = 0.0
        width = max(self.width(), self._theme.px(160))
        for n, one in enumerate(self.options):
            room = self._text_width(n) / 1.06  # the chosen one is heavier
            parts = broken(one.text, room, metrics.horizontalAdvance)
            height = max(len(parts) * metrics.height() + 10, self._theme.px(30))
            self._boxes.append((QRectF(0, top, width, height), parts))
            top += height
        if self.height() != round(top):
            self.setFixedHeight(round(top))
        self.update()
