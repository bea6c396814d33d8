"""Planning anew: how far it is, then before and after, to take or to leave."""

from dataclasses import dataclass

from PySide6.QtCore import Qt, Signal, Slot
from PySide6.QtWidgets import QHBoxLayout, QProgressBar, QVBoxLayout

from servicedesk.window.theme import Theme
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.label import Words
from servicedesk.window.widgets.sheet import Sheet
from servicedesk.window.work import Job, Step
from servicedesk.words import say


@dataclass(frozen=True, slots=True)
class Compared:
    """One figure before and after, in words; `tone` is "moss", "clay" or "ink2"."""

    name: str
    before: str
    after: str
    tone: str


class PlanOffer(Sheet):
    """A strip above the map; hidden while nothing is planned or offered."""

    taken = Signal()
    left = Signal()

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme, stripe="water")
        self._theme = theme
        self._job: Job | None = None
        self.words = Words(theme, "", role="row_lead")
        self.note = Words(theme, "", role="second", color="ink2")
        self.bar = QProgressBar()
        self.bar.setTextVisible(False)
        self.bar.setFixedHeight(theme.px(6))
        self.stop = Button(theme, say("Stop, change nothing"), icon_name="cross")
        self.take = Button(theme, say("Take it"), icon_name="check", kind="main")
        self.leave = Button(theme, say("Leave it"))
        self.stop.clicked.connect(self._stop)
        self.take.clicked.connect(self.taken)
        self.leave.clicked.connect(self.left)
        self.figures = QHBoxLayout()
        self.figures.setSpacing(theme.px(22))
        self._shown: list[Words] = []
        lead = QVBoxLayout()
        lead.setSpacing(theme.px(2))
        lead.addWidget(self.words)
        lead.addWidget(self.note)
        lead.addWidget(self.bar)
        row = QHBoxLayout()
        row.setSpacing(theme.px(10))
        row.addLayout(lead, 1)
        row.addLayout(self.figures)
        for button in (self.stop, self.take, self.leave):
            row.addWidget(button, 0, Qt.AlignmentFlag.AlignVCenter)
        self.body.addLayout(row)
        self.hide()

    @property
    def is_planning(self) -> bool:
        """Is a plan being made?"""
        return self._job is not None

    def watch(self, job: Job, words: str) -> None:
        """Show how far a job is, with *Stop*."""
        self._job = job
        self.words.setText(words)
        self.note.setText(say("The rounds stay as they are until you take the new ones."))
        self.bar.setRange(0, 0)
        self._clear_figures()
        self._show(planning=True)
        job.progressed.connect(self._progressed)
        job.ended.connect(self._ended)

    def offer(self, words: str, note: str, compared: tuple[Compared, ...]) -> None:
        """Before and after."""
        self._job = None
        self.words.setText(words)
        self.note.setText(note)
        self._clear_figures()
        for one in compared:
            column = Words(self._theme, f"{one.name}\n{one.before} \u2192 {one.after}",
                           role="row_lead", color=one.tone)  # fmt: skip
            column.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
            self.figures.addWidget(column)
            self._shown.append(column)
        self._show(planning=False)
        self.take.setFocus(Qt.FocusReason.OtherFocusReason)

    def away(self) -> None:
        """Nothing to show any more; what is under way is stopped."""
        job, self._job = self._job, None
        if job is not None:
            job.cancel()
        self.hide()

    def _show(self, *, planning: bool) -> None:
        self.bar.setVisible(planning)
        self.stop.setVisible(planning)
        self.take.setVisible(not planning)
        self.leave.setVisible(not planning)
        self.show()

    def _clear_figures(self) -> None:
        for one in self._shown:
            self.figures.removeWidget(one)
            one.deleteLater()
        self._shown = []

    @Slot()
    def _stop(self) -> None:
        if self._job is not None:
            self._job.cancel()

    @Slot(object)
    def _progressed(self, step: Step) -> None:
        if step.total > 0:
            self.bar.setRange(0, step.total)
            self.bar.setValue(step.done)

    @Slot()
    def _ended(self) -> None:
        if self._job is not None:
            self._job = None
            self.hide()
