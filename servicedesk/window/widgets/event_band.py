"""The band of a storm, outage or flood over Phone while it runs, and the form that opens one."""

from datetime import datetime, timedelta

from PySide6.QtCore import QRectF, Qt, Signal
from PySide6.QtGui import QKeyEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import (
    QButtonGroup,
    QGridLayout,
    QHBoxLayout,
    QLineEdit,
    QSizePolicy,
    QWidget,
)

from servicedesk.desk.checking import WrongEntry
from servicedesk.desk.coming import day_text, first_upper
from servicedesk.desk.event_work import EventWork
from servicedesk.desk.events import KINDS, EventLine
from servicedesk.desk.office import Desk
from servicedesk.window.ink import Ink
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.choice import Choice
from servicedesk.window.widgets.field import SentenceField
from servicedesk.window.widgets.label import IconSign, LinkLabel, OneLine, Words
from servicedesk.window.widgets.sheet import Sheet
from servicedesk.words import events as words
from servicedesk.words import say, say_n

_KEYS = "SOF"  # storm, outage, flood
_AGO_H = (0, 1, 3, 6, 12, 24)


class EventBand(QWidget):
    """Hidden while no event runs. `changes` and `leaves` are pressed in it."""

    changes = Signal()
    leaves = Signal()

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme = theme
        self.title = Words(theme, role="row_lead", color="ochre")
        self.line = OneLine(theme, color="ink")
        self.still = LinkLabel(theme, "", role="row_lead", color="plum")
        self.still.clicked.connect(self.leaves)
        self.change = Button(theme, say("Change or close"), key="E", shows_only=True, small=True)
        self.change.clicked.connect(self.changes)
        row = QHBoxLayout(self)
        row.setContentsMargins(theme.tokens.space.page_margin, 6, theme.tokens.space.page_margin, 6)
        row.setSpacing(10)
        row.addWidget(IconSign(theme, "bolt", "ochre", 18))
        row.addWidget(self.title)
        row.addWidget(self.line, 1)
        row.addWidget(self.still)
        row.addWidget(self.change)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)
        self.hide()

    def show_work(self, desk: Desk, work: EventWork | None) -> None:
        """The event that runs and how far it is worked; None hides the band."""
        self.setVisible(work is not None)
        if work is None:
            return
        event = work.event
        self.title.setText(
            say("{event} since {when}", event=event.title, when=when_text(desk, event.from_at))
        )
        self.line.set_text(" · ".join((event.area, *counts_text(work))))
        n = len(work.still)
        self.still.setVisible(bool(n))
        self.still.setText(
            say_n("{n} still calls a day later: let it leave (K)",
                  "{n} still call a day later: let them leave (K)", n)
        )  # fmt: skip
        self.still.setAccessibleName(self.still.text())
        self.still.setToolTip("\n".join(one.address for one in work.still))
        self.setAccessibleName(f"{self.title.text()}. {self.line.text}")

    def paintEvent(self, event: QPaintEvent) -> None:
        box = QRectF(self.rect())
        with QPainter(self) as painter:
            ink = Ink(painter, self._theme)
            ink.panel(box, fill="sheet" if self._theme.outlined else "soft.ochre")
            ink.line(box.bottomLeft(), box.bottomRight(), "ochre")


def counts_text(work: EventWork) -> list[str]:
    """As "23 calls", "2 in danger", "9 to be phoned", "12 for the road"."""
    texts = [say_n("{n} call", "{n} calls", work.event.n_calls)]
    n_danger, n_phone, n_road = (work.n_of(step) for step in ("danger", "phone", "road"))
    if n_danger:
        texts.append(say_n("{n} of danger", "{n} of danger", n_danger))
    texts.append(say_n("{n} to be phoned", "{n} to be phoned", n_phone))
    texts.append(say_n("{n} for the road", "{n} for the road", n_road))
    return texts


def when_text(desk: Desk, at: datetime) -> str:
    """As "9:10 pm" today, "yesterday, 9:10 pm", "Mon, Oct 12, 9:10 pm" before."""
    time, day = desk.formats.time(desk.clock.minute_of(at)), desk.clock.day_of(at)
    if day == desk.today:
        return time
    name = day_text(desk, day)
    if day == desk.today - timedelta(days=1):
        name = say("yesterday")
    return say("{day}, {time}", day=name, time=time)


class EventForm(Sheet):
    """What, where and since when; Enter writes it, Esc leaves it.

    `written` is sent with Enter, `closed` where the event that runs is over, `left` with Esc.
    """

    written = Signal()
    closed = Signal()
    left = Signal()

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme, say("Many calls of one cause"), stripe="ochre")
        self._event: EventLine | None = None
        self.kinds = QButtonGroup(self)
        self.kinds.setExclusive(True)
        kinds = QHBoxLayout()
        kinds.setSpacing(6)
        for n, what in enumerate(KINDS):
            button = Button(theme, words.event(what), kind="pill", key=_KEYS[n], shows_only=True)
            button.setAutoExclusive(True)
            self.kinds.addButton(button, n)
            kinds.addWidget(button)
        kinds.addStretch(1)
        self.area = QLineEdit()
        self.area.setPlaceholderText(say("villages with commas; empty is everywhere"))
        self.area.returnPressed.connect(self.written)
        self.area_row = SentenceField(
            theme, say("Over"), self.area, put_in=self.area.setText, label_px=10
        )
        self.since = Choice(theme, say("Since"))
        self.write = Button(theme, say("Open it"), key="Return", shows_only=True, kind="main")
        self.write.clicked.connect(self.written)
        self.over = Button(theme, say("It is over"), key="Alt+C")
        self.over.clicked.connect(self.closed)
        self.leave = Button(theme, say("Leave it"), key="Esc", shows_only=True)
        self.leave.clicked.connect(self.left)
        grid = QGridLayout()
        grid.setHorizontalSpacing(12)
        grid.addLayout(kinds, 0, 0, Qt.AlignmentFlag.AlignTop)
        top = Qt.AlignmentFlag.AlignTop
        kinds.setContentsMargins(0, 6, 0, 0)  # in line with the field, which has room for its ring
        since = QHBoxLayout()
        since.setContentsMargins(0, 4, 0, 0)
        since.addWidget(self.since)
        grid.addWidget(self.area_row, 0, 1, top)
        grid.addLayout(since, 0, 2, top)
        grid.setColumnStretch(1, 1)
        self.body.addLayout(grid)
        row = QHBoxLayout()
        row.setSpacing(8)
        row.addWidget(self.write)
        row.addWidget(self.over)
        row.addWidget(self.leave)
        row.addStretch(1)
        self.body.addLayout(row)
        self.hide()

    def begin(self, desk: Desk, event: EventLine | None) -> None:
        """Show the form for a new event, or for the area of the one that runs."""
        self._event = event
        self.kinds.button(0).setChecked(True)
        for button in self.kinds.buttons():
            button.setVisible(event is None)
        self.since.setVisible(event is None)
        self.since.clear()
        now = desk.clock.now()
        for hours in _AGO_H:
            at = now - timedelta(hours=hours)
            text = say("now") if hours == 0 else first_upper(when_text(desk, at))
            self.since.addItem(say("since {when}", when=text), at)
        self.area.setText(", ".join(event.localities) if event else "")
        self.area_row.clear_wrong()
        self.over.setVisible(event is not None)
        self.write.setText(say("Open it") if event is None else say("Change its area"))
        title = say("Many calls of one cause") if event is None else event.title
        hint = say("its calls need site and lamp only, raise no alert and count apart")
        self.set_title(title, hint)
        self.show()
        (self.write if event is None else self.area).setFocus()

    @property
    def event_line(self) -> EventLine | None:
        """The event that is changed, None for a new one."""
        return self._event

    @property
    def what(self) -> str:
        """storm, outage or flood."""
        return KINDS[self.kinds.checkedId()]

    @property
    def localities(self) -> tuple[str, ...]:
        """The villages as typed."""
        return tuple(part.strip() for part in self.area.text().split(",") if part.strip())

    @property
    def from_at(self) -> datetime | None:
        """Since when; None for now."""
        return self.since.currentData() if self.since.currentIndex() > 0 else None

    def show_wrong(self, wrong: WrongEntry) -> None:
        """Say under the villages what is wrong with them."""
        first = wrong.wrong[0]
        meant = "" if first.meant is None else self._with(str(first.meant))
        self.area_row.show_wrong(first.says, correction=meant)
        self.area.setFocus()

    def _with(self, meant: str) -> str:
        """The villages as typed, the one that is not known put right."""
        return ", ".join(
            meant if part.casefold()[:2] == meant.casefold()[:2] else part
            for part in self.localities
        )

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.left.emit()
        elif event.text().upper() in tuple(_KEYS) and not self.area.hasFocus():
            self.kinds.button(_KEYS.index(event.text().upper())).setChecked(True)
        elif event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.written.emit()
        else:
            super().keyPressEvent(event)
