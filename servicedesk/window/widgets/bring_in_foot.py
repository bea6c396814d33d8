"""The foot of the page: what would happen in one line, how far it is, and the one button."""

from PySide6.QtCore import Qt, Signal, Slot
from PySide6.QtWidgets import QHBoxLayout, QProgressBar, QSizePolicy, QVBoxLayout

from servicedesk.window.theme import Theme
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.label import OneLine
from servicedesk.window.widgets.sheet import Sheet
from servicedesk.window.work import Job, Step
from servicedesk.words import say


class BringInFoot(Sheet):
    """`wanted`: the button was pressed."""

    wanted = Signal()

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme)
        self._job: Job | None = None
        self._words = ""
        self._note = ""
        self.words = OneLine(theme, "", role="row_lead")
        self.note = OneLine(theme, "", role="second", color="ink2")
        for line in (self.words, self.note):
            line.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        self.bar = QProgressBar()
        self.bar.setTextVisible(False)
        self.bar.setFixedHeight(theme.px(6))
        self.bar.setAccessibleName(say("How far it is"))
        self.stop = Button(theme, say("Stop, change nothing"), icon_name="cross")
        self.button = Button(theme, "", icon_name="in", kind="main", key="Ctrl+Return")
        self.stop.clicked.connect(self._stop)
        self.button.clicked.connect(self.wanted)
        lead = QVBoxLayout()
        lead.setSpacing(theme.px(2))
        lead.addWidget(self.words)
        lead.addWidget(self.note)
        lead.addWidget(self.bar)
        row = QHBoxLayout()
        row.setSpacing(theme.px(12))
        row.addLayout(lead, 1)
        row.addWidget(self.stop, 0, Qt.AlignmentFlag.AlignVCenter)
        row.addWidget(self.button, 0, Qt.AlignmentFlag.AlignVCenter)
        self.body.addLayout(row)
        self._show(busy=False)

    @property
    def is_busy(self) -> bool:
        """Is something being read or written?"""
        return self._job is not None

    def offer(self, words: str, note: str, button: str, *, can: bool) -> None:
        """What would happen, and the button to let it; `note` says why it cannot yet."""
        self._words, self._note = words, note
        self.button.setText(button)
        self.button.setEnabled(can)
        if self._job is None:
            self.words.set_text(words)
            self.note.set_text(note)

    def watch(self, job: Job, words: str) -> None:
        """Show how far a job is, with *Stop*."""
        self._job = job
        self.words.set_text(words)
        self.note.set_text("")
        self.bar.setRange(0, 0)
        self._show(busy=True)
        job.progressed.connect(self._progressed)
        job.ended.connect(self._ended)

    def _show(self, *, busy: bool) -> None:
        self.bar.setVisible(busy)
        self.stop.setVisible(busy)
        self.note.setVisible(not busy)
        self.button.setVisible(not busy)

    @Slot()
    def _stop(self) -> None:
        if self._job is not None:
            self._job.cancel()

    @Slot(object)
    def _progressed(self, step: Step) -> None:
        if self.sender() is self._job and step.total > 0:
            self.bar.setRange(0, step.total)
            self.bar.setValue(step.done)
            if step.note:
                self.words.set_text(step.note)

    @Slot()
    def _ended(self) -> None:
        if self.sender() is self._job:
            self._job = None
            self._show(busy=False)
            self.words.set_text(self._words)
            self.note.set_text(self._note)
