"""Filling the weeks: what to plan, how far it is and how good, then before and after."""

from collections.abc import Sequence

from PySide6.QtCore import Qt, Signal, Slot
from PySide6.QtWidgets import QHBoxLayout, QProgressBar, QVBoxLayout, QWidget

from servicedesk.window.theme import Theme
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.choice import Choice, Tick
from servicedesk.window.widgets.label import Words
from servicedesk.window.widgets.patterns_painted import TextView
from servicedesk.window.widgets.plan_offer import Compared
from servicedesk.window.widgets.sheet import Sheet
from servicedesk.window.widgets.site_rows import Flow, emptied
from servicedesk.window.work import Step
from servicedesk.words import say, say_n

WEEK_CHOICES = (1, 2, 4, 6, 8, 10)
SECOND_CHOICES = (10, 60, 300)


class FillStrip(Sheet):
    """A strip above the sheets; hidden while nothing is asked, planned or offered."""

    begun = Signal()
    put_away = Signal()
    ended_as_is = Signal()
    stopped = Signal()
    taken = Signal()
    left = Signal()

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme, stripe="water")
        self._theme = theme
        self._people: tuple[tuple[int, str], ...] = ()
        self.ticks: dict[int, Tick] = {}
        self.asking = self._asking()
        self.running = self._running()
        self.offering = self._offering()
        for part in (self.asking, self.running, self.offering):
            self.body.addWidget(part)
        self.hide()

    # asking

    def _asking(self) -> QWidget:
        theme = self._theme
        page, column = _page(theme)
        self.weeks = Choice(theme, say("How many weeks"))
        for n in WEEK_CHOICES:
            self.weeks.addItem(say_n("{n} week", "{n} weeks", n), n)
        self.seconds = Choice(theme, say("How long to look"))
        for n in SECOND_CHOICES:
            text = say("{n} s", n=n) if n < 60 else say("{n} min", n=n // 60)
            self.seconds.addItem(text, n)
        self.start = Button(theme, say("Begin"), icon_name="again", kind="main", key="Return",
                            shows_only=True)  # fmt: skip
        self.away = Button(theme, say("Close"), key="Esc", shows_only=True)
        self.start.clicked.connect(self.begun)
        self.away.clicked.connect(self.put_away)
        first = QHBoxLayout()
        first.setSpacing(10)
        first.addWidget(Words(theme, say("Plan"), role="row_lead"))
        first.addWidget(self.weeks)
        first.addWidget(Words(theme, say("from tomorrow, and look for"), color="ink2"))
        first.addWidget(self.seconds)
        first.addStretch(1)
        first.addWidget(self.start)
        first.addWidget(self.away)
        column.addLayout(first)
        self.people = Flow(gap=8)
        column.addWidget(self.people)
        return page

    def ask(self, people: Sequence[tuple[int, str]], weeks: int) -> None:
        """Ask which weeks and whom; everybody is chosen at first."""
        if tuple(people) != self._people:
            self._people = tuple(people)
            self.ticks = {}
            emptied(self.people.flow)
            for key, name in people:
                tick = Tick(self._theme, name)
                tick.setChecked(True)
                self.ticks[key] = tick
                self.people.flow.addWidget(tick)
        self.weeks.setCurrentIndex(max(0, self.weeks.findData(weeks)))
        self._show(self.asking)
        self.weeks.setFocus(Qt.FocusReason.OtherFocusReason)

    @property
    def chosen_weeks(self) -> int:
        """How many weeks."""
        return int(self.weeks.currentData())

    @property
    def chosen_seconds(self) -> float:
        """How long to look."""
        return float(self.seconds.currentData())

    @property
    def chosen_people(self) -> list[int]:
        """Who is planned for."""
        return [key for key, tick in self.ticks.items() if tick.isChecked()]

    # running

    def _running(self) -> QWidget:
        theme = self._theme
        page, column = _page(theme)
        self.words = Words(theme, "", role="row_lead")
        self.gain = TextView(theme, role="second", color="ink2")
        self.bar = QProgressBar()
        self.bar.setTextVisible(False)
        self.bar.setFixedHeight(theme.px(6))
        self.as_is = Button(theme, say("Take it as it is"), icon_name="check", kind="main", key="A",
                            shows_only=True)  # fmt: skip
        self.stop = Button(theme, say("Stop, change nothing"), icon_name="cross", key="X",
                           shows_only=True)  # fmt: skip
        self.as_is.clicked.connect(self.ended_as_is)
        self.stop.clicked.connect(self.stopped)
        lead = QVBoxLayout()
        lead.setSpacing(theme.px(3))
        for widget in (self.words, self.gain, self.bar):
            lead.addWidget(widget)
        row = QHBoxLayout()
        row.setSpacing(10)
        row.addLayout(lead, 1)
        for button in (self.as_is, self.stop):
            row.addWidget(button, 0, Qt.AlignmentFlag.AlignVCenter)
        column.addLayout(row)
        return page

    def run(self, words: str) -> None:
        """Show that it is under way; the search has found nothing yet."""
        self.words.setText(words)
        self.gain.set_text(say("The rounds stay as they are until you take the new ones."))
        self.bar.setRange(0, 0)
        self.as_is.setEnabled(False)
        self._show(self.running)

    @Slot(object)
    def show_step(self, step: Step) -> None:
        """How far it is."""
        if step.total > 0:
            self.bar.setRange(0, step.total)
            self.bar.setValue(step.done)

    def show_gain(self, words: str) -> None:
        """How good the best so far is."""
        self.gain.set_text(words)

    # offering

    def _offering(self) -> QWidget:
        theme = self._theme
        page, column = _page(theme)
        self.offer_words = TextView(theme, role="row_lead")
        self.note = TextView(theme, role="second", color="ink2")
        self.take = Button(theme, say("Take the draft"), icon_name="check", kind="main",
                           key="Ctrl+Return", shows_only=True)  # fmt: skip
        self.leave = Button(theme, say("Leave it"), key="L", shows_only=True)
        self.take.clicked.connect(self.taken)
        self.leave.clicked.connect(self.left)
        lead = QVBoxLayout()
        lead.setSpacing(theme.px(3))
        lead.addWidget(self.offer_words)
        lead.addWidget(self.note)
        row = QHBoxLayout()
        row.setSpacing(10)
        row.addLayout(lead, 1)
        for button in (self.take, self.leave):
            row.addWidget(button, 0, Qt.AlignmentFlag.AlignVCenter)
        column.addLayout(row)
        self.figures = Flow(gap=16)
        column.addWidget(self.figures)
        return page

    def offer(self, words: str, note: str, compared: Sequence[Compared]) -> None:
        """The draft beside the plan as it is written."""
        self.offer_words.set_text(words)
        self.note.set_text(note)
        emptied(self.figures.flow)
        for one in compared:
            text = f"{one.name}  {one.before} \u2192 {one.after}"
            words_ = Words(self._theme, text, role="row_lead", color=one.tone)
            self.figures.flow.addWidget(words_)
        self._show(self.offering)

    def put(self) -> None:
        """Nothing to show any more."""
        self.hide()

    def _show(self, part: QWidget) -> None:
        for one in (self.asking, self.running, self.offering):
            one.setVisible(one is part)
        self.show()


def _page(theme: Theme) -> tuple[QWidget, QVBoxLayout]:
    page = QWidget()
    column = QVBoxLayout(page)
    column.setContentsMargins(0, 0, 0, 0)
    column.setSpacing(theme.px(6))
    return page, column
