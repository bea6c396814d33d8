"""The dark upright at the left: mark and company, places with counts, key hints, the seat."""

from collections.abc import Mapping, Sequence
from itertools import pairwise

from PySide6.QtCore import QPoint, QPointF, QRectF, QSize, Qt, Signal, Slot
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QAbstractButton, QMenu, QSizePolicy, QVBoxLayout, QWidget

from servicedesk.window.actions import keys_in_words
from servicedesk.window.ink import Ink
from servicedesk.window.places.registry import PlaceKind
from servicedesk.window.theme import Theme
from servicedesk.words import say, say_n

_EDGE = 10


class SpineButton(QAbstractButton):
    """One place: icon, name, how many things there ask for action."""

    def __init__(self, theme: Theme, kind: PlaceKind, parent: QWidget) -> None:
        super().__init__(parent)
        self._theme = theme
        self.kind = kind
        self._n = 0
        self.setCheckable(True)
        self.setAutoExclusive(True)
        self.setProperty("ownFocus", True)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setText(kind.title)
        self.setToolTip(f"{kind.title}   {keys_in_words(kind.shortcut)}")
        self.set_count(0)
        theme.changed.connect(self.updateGeometry)

    @property
    def count(self) -> int:
        """The number shown, 0 for none."""
        return self._n

    def set_count(self, n: int) -> None:
        """Show a count; none is shown for 0."""
        self._n = n
        said = say_n("{n} thing waits", "{n} things wait", n) if n else ""
        self.setAccessibleName(", ".join(part for part in (self.kind.title, said) if part))
        self.update()

    def sizeHint(self) -> QSize:
        return QSize(self._theme.height("spine_width"), self._theme.px(38))

    def minimumSizeHint(self) -> QSize:
        return QSize(60, self._theme.px(30))

    def paintEvent(self, event: QPaintEvent) -> None:
        theme = self._theme
        box = QRectF(self.rect()).adjusted(_EDGE, 0, 0, 0)
        with QPainter(self) as painter:
            ink = Ink(painter, theme)
            icon_color, words_color = "spine_text2", "spine_text"
            if self.isChecked():
                painter.fillRect(box, theme.color("ground"))
                painter.fillRect(QRectF(box.left(), 0, 4, box.height()), theme.color("water"))
                icon_color, words_color = "water", "ink"
            if self.hasFocus() or self.underMouse():
                edge = "focus" if self.hasFocus() and self.isChecked() else "spine_text2"
                width = 2 if self.hasFocus() else 1
                ink.panel(box.adjusted(7, 3, -5, -3), edge=edge, radius=4, width=width)
            side = theme.px(18)
            ink.icon(self.kind.icon, QRectF(box.left() + 15, 0, side, box.height()), icon_color)
            left = box.left() + 15 + side + 11
            right = box.right() - 14
            if self._n:
                right = self._paint_badge(ink, right, words_color) - 6
            words = QRectF(left, 0, right - left, box.height())
            weight = 600 if self.isChecked() else 500
            ink.text(words, self.kind.title, role="text", color=words_color, weight=weight)

    def _paint_badge(self, ink: Ink, right: float, color: str) -> float:
        """The count in a hollow pill; its left edge."""
        words = str(self._n) if self._n < 1000 else "999+"
        height = self._theme.px(20)
        width = max(ink.width_of(words, "axis") + self._theme.px(12), height)
        box = QRectF(right - width, (self.height() - height) / 2, width, height)
        ink.panel(box, edge=color, radius=height / 2)
        ink.text(box, words, role="axis", color=color, align="center", weight=600)
        return box.left()


class SeatButton(QAbstractButton):
    """Who sits here; opens the menu with Set up."""

    def __init__(self, theme: Theme, parent: QWidget) -> None:
        super().__init__(parent)
        self._theme = theme
        self._kind = ""
        self.setProperty("ownFocus", True)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        theme.changed.connect(self.updateGeometry)

    def show_seat(self, name: str, kind: str) -> None:
        """Name a person, or nobody yet ("")."""
        self.setText(name or say("Who sits here?"))
        self._kind = kind
        self.setAccessibleName(
            ", ".join(part for part in (self.text(), kind, say("Set up")) if part)
        )
        self.setToolTip(say("Set up, text size, light or dark"))
        self.update()

    def sizeHint(self) -> QSize:
        return QSize(self._theme.height("spine_width"), self._theme.px(44))

    def paintEvent(self, event: QPaintEvent) -> None:
        theme = self._theme
        with QPainter(self) as painter:
            ink = Ink(painter, theme)
            box = QRectF(self.rect())
            if self.hasFocus() or self.underMouse():
                width = 2 if self.hasFocus() else 1
                ink.panel(box.adjusted(14, 1, -6, -1), edge="spine_text2", radius=4, width=width)
            side = theme.px(25)
            disc = QRectF(21, (box.height() - side) / 2, side, side)
            ink.panel(disc, edge="spine_text2", radius=side / 2)
            ink.text(
                disc,
                _initials(self.text()),
                role="axis",
                color="spine_text",
                align="center",
                weight=600,
            )
            left = disc.right() + 8
            half = theme.metrics("second").height()
            top = (box.height() - 2 * half) / 2 if self._kind else (box.height() - half) / 2
            room = box.width() - left - 10
            ink.text(
                QRectF(left, top, room, half),
                self.text(),
                role="second",
                color="spine_text",
                weight=600,
            )
            ink.text(
                QRectF(left, top + half, room, half), self._kind, role="axis", color="spine_text2"
            )


class Spine(QWidget):
    """Places in their groups. `chosen` carries the id of the place that was pressed."""

    chosen = Signal(str)

    def __init__(self, theme: Theme, kinds: Sequence[PlaceKind], seat_menu: QMenu) -> None:
        super().__init__()
        self._theme = theme
        self._lines = ("", "")
        self._menu = seat_menu
        self.buttons: dict[str, SpineButton] = {}
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 12)
        self._column.setSpacing(1)
        self._column.addSpacing(theme.px(68))
        shown = [kind for kind in kinds if kind.group]
        self._breaks: list[SpineButton] = []
        for kind in shown:
            self._add(kind)
        for before, after in pairwise(shown):
            if before.group != after.group:
                self._breaks.append(self.buttons[after.id])
        self._column.addStretch(1)
        self._hints = _hints(shown)
        self._column.addSpacing(theme.px(42))
        self.seat = SeatButton(theme, self)
        self.seat.clicked.connect(self._open_menu)
        self._column.addWidget(self.seat)
        self.setAccessibleName(say("Places"))
        theme.changed.connect(self._resized)
        self._resized()

    def show_company(self, name_lines: tuple[str, str]) -> None:
        """The company's name in two lines."""
        self._lines = name_lines
        self.update()

    def show_counts(self, counts: Mapping[str, int]) -> None:
        """Numbers at the places."""
        for place_id, button in self.buttons.items():
            button.set_count(counts.get(place_id, 0))

    def show_place(self, place_id: str) -> None:
        """Mark the place one is in; none for places without a line here."""
        for button in self.buttons.values():
            button.setAutoExclusive(False)
            button.setChecked(button.kind.id == place_id)
            button.setAutoExclusive(True)

    def paintEvent(self, event: QPaintEvent) -> None:
        theme = self._theme
        with QPainter(self) as painter:
            painter.fillRect(self.rect(), theme.color("spine"))
            ink = Ink(painter, theme)
            side = theme.px(28)
            ink.icon("mark", QRectF(18, 16, side, side), "spine_text")
            left, width = 18 + side + 8, self.width() - side - 32
            height = theme.px(16)
            first, second = self._lines
            top = 14.0 if second else 14 + height / 2
            ink.text(QRectF(left, top, width, height), first, role="row_lead", color="spine_text")
            ink.text(
                QRectF(left, top + height, width, height),
                second,
                role="second",
                color="spine_text2",
            )
            for button in self._breaks:
                painter.setOpacity(0.35)
                y = button.y() - theme.px(7)
                ink.line(QPointF(20, y), QPointF(self.width() - 20, y), "spine_text2")
            painter.setOpacity(1.0)
            self._paint_hints(ink)

    def _paint_hints(self, ink: Ink) -> None:
        height = ink.theme.metrics("axis").height() + 2
        y = self.seat.y() - len(self._hints) * height - 6
        for hint in self._hints:
            box = QRectF(23, y, self.width() - 27, height)
            ink.text(box, hint, role="axis", color="spine_text2")
            y += height

    def _add(self, kind: PlaceKind) -> None:
        button = SpineButton(self._theme, kind, self)
        button.clicked.connect(self._pressed)
        last = next(reversed(self.buttons.values()), None)
        if last is not None and last.kind.group != kind.group:
            self._column.addSpacing(self._theme.px(13))
        self.buttons[kind.id] = button
        self._column.addWidget(button)

    @Slot()
    def _pressed(self) -> None:
        button = self.sender()
        if isinstance(button, SpineButton):
            self.chosen.emit(button.kind.id)

    @Slot()
    def _open_menu(self) -> None:
        corner = self.seat.mapToGlobal(self.seat.rect().topLeft())
        self._menu.popup(corner + QPoint(12, -self._menu.sizeHint().height()))

    @Slot()
    def _resized(self) -> None:
        self.setFixedWidth(self._theme.height("spine_width"))
        self.update()


def _hints(shown: Sequence[PlaceKind]) -> tuple[str, ...]:
    if not shown:
        return (say("F1 keys on this page"),)
    last = max(kind.number for kind in shown)
    return (say("Ctrl 1 – {last} places", last=last), say("F1 keys on this page"))


def _initials(name: str) -> str:
    parts = [part for part in name.replace("?", "").split() if part[:1].isalpha()]
    return "".join(part[0] for part in parts[:2]).upper()
