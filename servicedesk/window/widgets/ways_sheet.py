"""All ways for one stop over the next days, and what the chosen way does to every later stop.

The effect stands there before anything is taken. Only shows; the place asks and writes.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QRectF, QSize, Qt, Signal, Slot
from PySide6.QtGui import QKeyEvent, QPainter, QResizeEvent
from PySide6.QtWidgets import (
    QBoxLayout,
    QStyle,
    QStyledItemDelegate,
    QStyleOptionViewItem,
    QWidget,
)

from servicedesk.window.ink import Ink
from servicedesk.window.models import Index
from servicedesk.window.models.roles import Role
from servicedesk.window.models.row_delegate import two_lines
from servicedesk.window.models.row_list import Row
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.label import Words, key_cap_size
from servicedesk.window.widgets.sheet import Hairline, Sheet
from servicedesk.window.widgets.today_rows import RowsView
from servicedesk.words import say

_SIDE_BY_SIDE_PX = 360  # lower than this, list and effect stand beside one another
N_KEYS = 9


@dataclass(frozen=True, slots=True, kw_only=True)
class EffectLine:
    """A later stop: when it begins now and then. `is_bad` where a promise is broken."""

    name: str
    change: str
    more: str
    is_bad: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class WayLine:
    """One way in words; `is_bad` where somebody is late or it comes too late itself."""

    number: int
    lead: str
    second: str
    right: str
    head: str
    is_bad: bool
    effects: tuple[EffectLine, ...]


class WaysSheet(Sheet):
    """Takes the room of the tray while a stop looks for its place."""

    taken = Signal(int)
    left = Signal()

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme, say("All ways"))
        self._theme = theme
        self.back = Button(theme, say("Back"), key="Esc", kind="link", small=True, shows_only=True)
        self.back.clicked.connect(self.left)
        self.head.addStretch(1)
        self.head.addWidget(self.back)
        self.note = Words(theme, "", role="second", color="ink2", wraps=True)
        self.list = RowsView(theme, say("All ways, the least harm first"), WayPainter(theme),
                             fits=False)  # fmt: skip
        self.what = Words(theme, "", role="row_lead", wraps=True)
        self.effects = RowsView(theme, say("Who begins later"), _EffectPainter(theme), fits=False)
        self.take = Button(theme, say("Take this way"), key="Return", kind="main", shows_only=True)
        self.take.clicked.connect(self._take_chosen)
        self.line = Hairline(theme)
        effect = QWidget()
        self._effect = QBoxLayout(QBoxLayout.Direction.TopToBottom, effect)
        self._effect.setContentsMargins(0, 0, 0, 0)
        for widget, stretch in ((self.what, 0), (self.effects, 1), (self.take, 0)):
            self._effect.addWidget(widget, stretch)
        self._both = QBoxLayout(QBoxLayout.Direction.TopToBottom)
        self._both.addWidget(self.list, 1)
        self._both.addWidget(self.line)
        self._both.addWidget(effect, 1)
        self.rest = QWidget()  # keeps the words on top where nobody begins later
        self._effect.insertWidget(2, self.rest, 1)
        self.body.addWidget(self.note)
        self.body.addLayout(self._both, 1)
        self.list.current_changed.connect(self._chose)
        self.list.opened.connect(self._opened)
        self.lines: tuple[WayLine, ...] = ()
        self._tighten()
        theme.changed.connect(self._tighten)

    def show_asking(self, title: str) -> None:
        """A stop for which room is looked for."""
        self.show_ways(title, (), say("Looking at the rounds of the next days"))

    def show_ways(self, title: str, lines: Sequence[WayLine], note: str) -> None:
        """Show the ways, the first one chosen; `note` says why there are none, or what else."""
        self.set_title(title)
        self.note.setText(note)
        self.note.setVisible(bool(note))
        self.lines = tuple(lines)
        rows = [Row(title=w.lead, second=w.second, right=w.right, thing=w) for w in lines]
        self.list.show_rows(rows)
        if lines and not isinstance(self.list.chosen, WayLine):
            self.list.choose(lines[0])
        self._chose(self.list.chosen)

    @property
    def chosen(self) -> WayLine | None:
        """The way whose effect is shown."""
        thing = self.list.chosen
        return thing if isinstance(thing, WayLine) else None

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.left.emit()
            return
        super().keyPressEvent(event)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._turn()

    def minimumSizeHint(self) -> QSize:
        return QSize(300, self._theme.px(150))

    def hasHeightForWidth(self) -> bool:
        """No: its lists scroll."""
        return False

    def _turn(self) -> None:
        """Beside one another where there is little height."""
        is_low = self.height() < self._theme.px(_SIDE_BY_SIDE_PX)
        direction = QBoxLayout.Direction.LeftToRight if is_low else QBoxLayout.Direction.TopToBottom
        self._both.setDirection(direction)
        self._both.setStretch(0, 3 if is_low else 1)
        self._both.setStretch(2, 2 if is_low else 1)
        self.line.setVisible(not is_low)

    @Slot(object)
    def _chose(self, _thing: object) -> None:
        way = self.chosen
        self.what.setText(way.head if way is not None else "")
        effects = way.effects if way is not None else ()
        self.effects.show_rows([Row(title=e.name, right=e.change, thing=e) for e in effects])
        for widget in (self.what, self.take, self.line):
            widget.setVisible(way is not None)
        self.effects.setVisible(bool(effects))
        self.rest.setVisible(not effects)
        self._turn()

    @Slot(object, bool)
    def _opened(self, thing: object, _beside: bool) -> None:
        if isinstance(thing, WayLine):
            self.taken.emit(thing.number)

    @Slot()
    def _take_chosen(self) -> None:
        if self.chosen is not None:
            self.taken.emit(self.chosen.number)

    @Slot()
    def _tighten(self) -> None:
        self._both.setSpacing(self._theme.px(8))
        self._effect.setSpacing(self._theme.px(6))
        self.list.setMinimumHeight(self._theme.px(92))


class _Painter(QStyledItemDelegate):
    """What both lists share: the tint of the chosen row."""

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self.theme = theme

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        row: Row | None = index.data(Role.ROW)
        if row is None:
            return
        painter.save()
        ink = Ink(painter, self.theme)
        box = QRectF(option.rect)
        if option.state & QStyle.StateFlag.State_Selected:
            fill = "sheet" if self.theme.outlined else "soft.water"
            edge = "water" if self.theme.outlined else None
            ink.panel(box.adjusted(0, 1, -2, -1), fill=fill, edge=edge, radius=4)
        self.paint_row(ink, box.adjusted(6, 0, -8, 0), row)
        painter.restore()

    def paint_row(self, ink: Ink, box: QRectF, row: Row) -> None:
        """Draw one row inside `box`."""
        raise NotImplementedError


class WayPainter(_Painter):
    """A way with its key, its day and its price."""

    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:
        return QSize(200, self.theme.height("row_roomy") + 2)

    def paint_row(self, ink: Ink, box: QRectF, row: Row) -> None:
        way: WayLine = row.thing
        cap = key_cap_size(self.theme, "1")
        if way.number < N_KEYS:
            top = box.center().y() - cap.height() / 2
            place = QRectF(box.left(), top, cap.width(), cap.height())
            ink.key_cap(place, str(way.number + 1))
        width = ink.width_of(row.right, "second") + 2
        right = QRectF(box.right() - width, box.top() + 5, width, box.height() / 2 - 3)
        ink.text(right, row.right, role="second", color="clay" if way.is_bad else "ink2",
                 align="right", weight=600 if way.is_bad else 0)  # fmt: skip
        inner = box.adjusted(cap.width() + 10, 0, 0, 0)
        inner.setRight(right.left() - 8)
        two_lines(ink, inner, row.title, row.second, lead=True)


class _EffectPainter(_Painter):
    def sizeHint(self, option: QStyleOptionViewItem, index: Index) -> QSize:
        return QSize(200, self.theme.height("row_tight"))

    def paint_row(self, ink: Ink, box: QRectF, row: Row) -> None:
        effect: EffectLine = row.thing
        tone = "clay" if effect.is_bad else "ink2"
        weight = 600 if effect.is_bad else 0
        more = ink.width_of(effect.more, "second") + 2
        change = ink.width_of(effect.change, "second") + 2
        right = QRectF(box.right() - more, box.top(), more, box.height())
        middle = QRectF(right.left() - change - 12, box.top(), change, box.height())
        ink.text(right, effect.more, role="second", color=tone, align="right", weight=weight)
        ink.text(middle, effect.change, role="second", color=tone, align="right")
        name = QRectF(box.left(), box.top(), middle.left() - box.left() - 8, box.height())
        ink.text(name, effect.name, role="second")
