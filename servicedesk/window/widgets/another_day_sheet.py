"""*Another day*: what does not suit, for this visit or for good, and three other places."""

from collections.abc import Sequence

from PySide6.QtCore import QSize, Qt, Signal, Slot
from PySide6.QtGui import QKeyEvent, QResizeEvent
from PySide6.QtWidgets import QBoxLayout, QHBoxLayout, QLineEdit, QVBoxLayout, QWidget

from servicedesk.desk.another_day import Wish
from servicedesk.desk.day_wishes import DayWishes
from servicedesk.window.models.row_list import Row
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.choice import Choice, Tick
from servicedesk.window.widgets.label import Words
from servicedesk.window.widgets.sheet import Sheet
from servicedesk.window.widgets.today_rows import RowsView
from servicedesk.window.widgets.ways_sheet import WayLine, WayPainter
from servicedesk.words import say
from servicedesk.words.formats import Formats

_SIDE_BY_SIDE_PX = 380
_HOURS = range(7, 19)


class AnotherDaySheet(Sheet):
    """Only a form and a list; the place asks for places and writes."""

    edited = Signal()
    taken = Signal(int)  # which place, -1: none yet
    left = Signal()

    def __init__(self, theme: Theme, formats: Formats, day_names: Sequence[str]) -> None:
        super().__init__(theme, say("Another day"))
        self._theme = theme
        self.back = Button(theme, say("Back"), key="Esc", kind="link", small=True, shows_only=True)
        self.back.clicked.connect(self.left)
        self.head.addStretch(1)
        self.head.addWidget(self.back)
        self.days = [Button(theme, name, kind="pill", small=True) for name in day_names]
        self.after = Choice(theme, say("not before"))
        self.until = Choice(theme, say("done by"))
        for choice, first in ((self.after, say("any hour")), (self.until, say("any hour"))):
            choice.addItem(first, None)
            for hour in _HOURS:
                choice.addItem(formats.time(hour * 60), hour * 60)
        self.with_whom = QLineEdit()
        self.with_whom.setPlaceholderText(say("who must be there, as: my son"))
        self.with_whom.setAccessibleName(say("who must be there"))
        self.for_good = Tick(theme, say("for good, at every visit"))
        self.note = Words(theme, "", role="second", color="ink2", wraps=True)
        self.list = RowsView(theme, say("Other places"), WayPainter(theme), fits=False)
        self.none = Button(theme, say("No day yet"), key="0", shows_only=True)
        self._lay_out()
        for button in self.days:
            button.toggled.connect(self._changed)
        for choice in (self.after, self.until):
            choice.currentIndexChanged.connect(self._changed)
        self.with_whom.editingFinished.connect(self._changed)
        self.for_good.toggled.connect(self._changed)
        self.list.opened.connect(self._opened)
        self.none.clicked.connect(self._none_yet)
        self.lines: tuple[WayLine, ...] = ()
        self._silent = False

    def _lay_out(self) -> None:
        theme = self._theme
        form, found = QWidget(), QWidget()
        asked, places = QVBoxLayout(form), QVBoxLayout(found)
        for column in (asked, places):
            column.setContentsMargins(0, 0, 0, 0)
            column.setSpacing(theme.px(6))
        days = QHBoxLayout()
        days.setSpacing(theme.px(3))
        for button in self.days:
            days.addWidget(button)
        hours = QHBoxLayout()
        hours.setSpacing(theme.px(6))
        for words, choice in ((say("not before"), self.after), (say("done by"), self.until)):
            hours.addWidget(Words(theme, words, role="second", color="ink2"))
            hours.addWidget(choice, 1)
        asked.addWidget(Words(theme, say("Days that do not suit"), role="second", color="ink2"))
        asked.addLayout(days)
        asked.addLayout(hours)
        asked.addWidget(self.with_whom)
        asked.addWidget(self.for_good)
        asked.addStretch(1)
        places.addWidget(self.note)
        places.addWidget(self.list, 1)
        places.addWidget(self.none, 0, Qt.AlignmentFlag.AlignLeft)
        self._both = QBoxLayout(QBoxLayout.Direction.TopToBottom)
        self._both.setSpacing(theme.px(10))
        self._both.addWidget(form)
        self._both.addWidget(found, 1)
        found.setMinimumWidth(theme.px(270))
        self.body.addLayout(self._both, 1)

    def begin(self, title: str) -> None:
        """A fresh form for a stop."""
        self._silent = True
        for button in self.days:
            button.setChecked(False)
        self.after.setCurrentIndex(0)
        self.until.setCurrentIndex(0)
        self.with_whom.clear()
        self.for_good.setChecked(False)
        self._silent = False
        self.set_title(title)
        self.show_places((), say("Looking at the rounds of the next weeks"))

    def show_places(self, lines: Sequence[WayLine], note: str) -> None:
        """Show other places; `note` says what is asked, or why there are none."""
        self.lines = tuple(lines)
        self.note.setText(note)
        self.note.setVisible(bool(note))
        self.list.show_rows(
            [Row(title=w.lead, second=w.second, right=w.right, thing=w) for w in lines]
        )

    @property
    def wish(self) -> Wish:
        """What is asked now."""
        wishes = DayWishes(
            not_days=frozenset(n for n, b in enumerate(self.days) if b.isChecked()),
            from_min=self.after.currentData(),
            until_min=self.until.currentData(),
            with_whom=self.with_whom.text().strip(),
        )
        return Wish(wishes=wishes, for_good=self.for_good.isChecked())

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.left.emit()
            return
        number = event.key() - Qt.Key.Key_1  # a place that has its own keys takes them first
        if -1 <= number < len(self.lines):
            self.taken.emit(number)
            return
        super().keyPressEvent(event)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        is_low = self.height() < self._theme.px(_SIDE_BY_SIDE_PX)
        self._both.setDirection(
            QBoxLayout.Direction.LeftToRight if is_low else QBoxLayout.Direction.TopToBottom
        )

    def minimumSizeHint(self) -> QSize:
        return QSize(300, self._theme.px(150))

    @Slot()
    def _changed(self) -> None:
        if not self._silent:
            self.edited.emit()

    @Slot(object, bool)
    def _opened(self, thing: object, _beside: bool) -> None:
        if isinstance(thing, WayLine):
            self.taken.emit(thing.number)

    @Slot()
    def _none_yet(self) -> None:
        self.taken.emit(-1)
