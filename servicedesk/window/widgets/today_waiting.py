"""Waiting for an answer: one row a call with its promise, the time left, and a way to place it."""

from collections.abc import Sequence
from datetime import datetime, timedelta

from PySide6.QtCore import QRectF, QSize, Qt, Signal, Slot
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from servicedesk.desk.callbacks import CallLine
from servicedesk.desk.office import Desk
from servicedesk.trade.symptoms import phone_keys
from servicedesk.window.ink import Ink
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.label import LinkLabel, OneLine
from servicedesk.window.widgets.sheet import Hairline
from servicedesk.words import say

MOST_SHOWN = 5
CLOSE_MIN = 180  # less time than this is pressing


def symptom_icon(symptoms: Sequence[str]) -> str:
    """The icon of the first symptom, by the phone key it belongs to."""
    for symptom in symptoms:
        for key in phone_keys():
            if symptom in key.symptoms:
                return key.icon
    return "phone"


def left_words(desk: Desk, call: CallLine) -> tuple[str, str]:
    """How much time is left, and its color."""
    left = call.minutes_left
    if left is None:
        return say("no promise"), "ink2"
    if left < 0:
        return say("{time} late", time=long_time(desk, -left)), "clay"
    color = "clay" if left < CLOSE_MIN else "water"
    return say("{time} left", time=long_time(desk, left)), color


def by_words(desk: Desk, by_at: datetime) -> str:
    """As "by 1:00 pm" today, "by Thu noon" within a week, "by Oct 27, noon" later."""
    day, time = desk.clock.day_of(by_at), desk.formats.time(desk.clock.minute_of(by_at))
    if day == desk.today:
        return say("by {time}", time=time)
    if desk.today < day < desk.today + timedelta(days=7):
        name = desk.formats.weekday(day).split(",")[0]
        return say("by {day} {time}", day=name, time=time)
    return say("by {day}, {time}", day=desk.formats.day(day, near=desk.today), time=time)


def long_time(desk: Desk, minutes: int) -> str:
    """Minutes, hours, or days from three on."""
    if minutes >= 3 * 24 * 60:
        return desk.formats.days(minutes // (24 * 60))
    return desk.formats.minutes(minutes)


class CallTile(QWidget):
    """The rounded square of a call with its symptom inside."""

    def __init__(self, theme: Theme, icon: str, tone: str = "plum") -> None:
        super().__init__()
        self._theme, self._icon, self._tone = theme, icon, tone
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        theme.changed.connect(self.updateGeometry)

    def show_call(self, icon: str) -> None:
        """Another symptom."""
        self._icon = icon
        self.update()

    def sizeHint(self) -> QSize:
        side = self._theme.px(30)
        return QSize(side, side)

    def paintEvent(self, event: QPaintEvent) -> None:
        box = QRectF(self.rect())
        with QPainter(self) as painter:
            ink = Ink(painter, self._theme)
            fill = "sheet" if self._theme.outlined else f"soft.{self._tone}"
            ink.panel(box, fill=fill, edge=self._tone, radius=4, width=1.4)
            pad = self._theme.px(6)
            ink.icon(self._icon, box.adjusted(pad, pad, -pad, -pad), self._tone)


class LeftBar(QWidget):
    """The time that is left of what was promised, from the right."""

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme = theme
        self._share, self._color = 0.0, "water"
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        theme.changed.connect(self.updateGeometry)

    def sizeHint(self) -> QSize:
        return self.minimumSizeHint()

    def minimumSizeHint(self) -> QSize:
        return QSize(self._theme.px(104), 6)  # "by Fri 10:15 am" stands above it in full

    def show_left(self, share: float, color: str) -> None:
        """`share` of the promised time is left (0..1)."""
        self._share, self._color = min(max(share, 0.0), 1.0), color
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        box = QRectF(self.rect())
        with QPainter(self) as painter:
            ink = Ink(painter, self._theme)
            ink.panel(box, fill="sunken", radius=3)
            width = max(6.0, box.width() * self._share) if self._share > 0 else 0.0
            rest = QRectF(box.right() - width, 0, width, box.height())
            if self._share > 0:
                ink.panel(rest, fill=self._color, radius=3)
            elif self._color == "clay":
                ink.hatch(box, "clay", gap=4)


class WaitingRow(QWidget):
    """One call. `opened` and `placed` carry its id."""

    opened = Signal(int)
    placed = Signal(int)

    def __init__(self, theme: Theme, desk: Desk, call: CallLine) -> None:
        super().__init__()
        self._desk, self._call_id = desk, call.id
        self._tile = CallTile(theme, symptom_icon(call.symptoms))
        self.title = LinkLabel(theme, call.title, color="ink")
        self.title.clicked.connect(self._open)
        self._who = OneLine(theme, role="second", color="ink2")
        self._what = OneLine(theme)
        self._more = OneLine(theme, role="second", color="ink2")
        self._by = OneLine(theme, weight=600)
        self._bar = LeftBar(theme)
        self._left = OneLine(theme, role="second", color="ink2")
        self.place = Button(theme, say("Place…"), icon_name="rounds")
        self.place.setMinimumWidth(theme.px(98))
        self.place.clicked.connect(self._place)
        row = QHBoxLayout(self)
        row.setContentsMargins(4, 5, 4, 5)
        row.setSpacing(12)
        row.addWidget(self._tile)
        for stretch, widgets in (
            (7, (self.title, self._who)),
            (8, (self._what, self._more)),
            (5, (self._by, self._bar, self._left)),
        ):
            column = QVBoxLayout()
            column.setSpacing(3)
            for widget in widgets:
                column.addWidget(widget)
            row.addLayout(column, stretch)
        row.addWidget(self.place, 0, Qt.AlignmentFlag.AlignVCenter)
        self.show_call(call)

    def show_call(self, call: CallLine) -> None:
        """The same call, as it stands now."""
        desk = self._desk
        self._call_id = call.id
        self.title.setText(call.title)
        called = desk.formats.time(desk.clock.minute_of(call.called_at))
        if desk.clock.day_of(call.called_at) != desk.today:
            called = desk.formats.weekday(desk.clock.day_of(call.called_at))
        who = [call.caller, say("called {when}", when=called)]
        self._who.set_text(" · ".join(part for part in who if part))
        self._what.set_text(call.symptom_text or call.own_words or say("nothing said yet"))
        self._more.set_text(*_more(desk, call))
        text, color = left_words(desk, call)
        by_at = call.promised_by_at
        self._by.set_text(by_words(desk, by_at) if by_at else "", _deep(color))
        self._left.set_text(text)
        self._bar.setVisible(by_at is not None)
        if by_at is not None:
            total = (by_at - call.called_at).total_seconds() / 60
            self._bar.show_left((call.minutes_left or 0) / max(1.0, total), color)
        self._tile.show_call(symptom_icon(call.symptoms))
        self.place.setAccessibleName(say("Place the call from {place}", place=call.title))
        self.place.setText(say("Move…") if _has_day(call) else say("Place…"))

    @Slot()
    def _open(self) -> None:
        self.opened.emit(self._call_id)

    @Slot()
    def _place(self) -> None:
        self.placed.emit(self._call_id)


def _deep(color: str) -> str:
    return color if color == "clay" else "ink"


def _has_day(call: CallLine) -> bool:
    return call.visit is not None and call.visit.planned_on is not None


def _more(desk: Desk, call: CallLine) -> tuple[str, str]:
    """The second line of what was reported, and its color: its day, else what we owe there."""
    visit = call.visit
    if visit is not None and visit.planned_on is not None and visit.state == "planned":
        day = desk.formats.weekday(visit.planned_on)
        if visit.planned_on == desk.today:
            day = say("today")
        who = visit.technician.split()[0] if visit.technician else ""
        at = desk.formats.time(visit.arrive_min) if visit.arrive_min is not None else ""
        return ", ".join(
            part for part in (say("on a round {day}", day=day), who, at) if part
        ), "moss"
    if call.owed:
        return say("owed here: {what}", what=call.owed[0]), "ochre"
    if call.n_earlier:
        return say("called {n} times before", n=call.n_earlier), "plum"
    return say("no day yet"), "ochre"


class WaitingList(QWidget):
    """The rows; updated in place as long as the calls are the same, so that nothing jumps."""

    opened = Signal(int)
    placed = Signal(int)
    all_wanted = Signal()

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme = theme
        self._rows: dict[int, WaitingRow] = {}
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(0)

    @property
    def rows(self) -> tuple[WaitingRow, ...]:
        """The rows, in order."""
        return tuple(self._rows.values())

    def show_calls(self, desk: Desk, calls: Sequence[CallLine]) -> None:
        """Show the first of these calls."""
        shown = calls[:MOST_SHOWN]
        if [call.id for call in shown] == list(self._rows) and len(calls) == len(shown):
            for call in shown:
                self._rows[call.id].show_call(call)
            return
        self._clear()
        for call in shown:
            if self._rows:
                self._column.addWidget(Hairline(self._theme))
            row = self._rows[call.id] = WaitingRow(self._theme, desk, call)
            row.opened.connect(self.opened)
            row.placed.connect(self.placed)
            self._column.addWidget(row)
        if len(calls) > len(shown):
            words = say("{n} more in Phone", n=len(calls) - len(shown))
            more = Button(self._theme, words, kind="link")
            more.clicked.connect(self.all_wanted)
            self._column.addWidget(more, 0, Qt.AlignmentFlag.AlignLeft)

    def _clear(self) -> None:
        while (item := self._column.takeAt(0)) is not None:
            widget = item.widget()
            if widget is not None:
                widget.hide()
                widget.deleteLater()
        self._rows = {}
