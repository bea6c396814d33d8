"""The line at the foot: is everything written, what was done last, undo; long work; who we are."""

from PySide6.QtCore import QRectF, QSize, Qt, QTimer, Signal, Slot
from PySide6.QtGui import QAction, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QWidget

from servicedesk.window.ink import Ink
from servicedesk.window.office import ChangeSeen
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.label import KeyCap, OneLine, Words
from servicedesk.window.work import Job, Step
from servicedesk.words import say

SHOWN_AFTER_MS = 300


class _Bar(QWidget):
    """How far long work is: filled, or half hatched while nobody knows."""

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme = theme
        self._step: Step | None = None
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        theme.changed.connect(self.update)

    def sizeHint(self) -> QSize:
        return QSize(self._theme.px(120), 8)

    def show_step(self, step: Step | None) -> None:
        """Fill up to there."""
        self._step = step
        share = round(100 * step.done / step.total) if step and step.total else None
        self.setAccessibleName(say("{share} % done", share=share) if share is not None else "")
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        box = QRectF(self.rect())
        step = self._step
        with QPainter(self) as painter:
            ink = Ink(painter, self._theme)
            radius = self._theme.tokens.radius.bar
            ink.panel(box, fill="line", radius=radius)
            if step is None or step.total <= 0:
                ink.hatch(box.adjusted(1, 1, -1, -1), "water")
                return
            share = min(max(step.done / step.total, 0.0), 1.0)
            if share > 0:
                filled = QRectF(box.left(), box.top(), box.width() * share, box.height())
                ink.panel(filled, fill="water", radius=radius)


class LongWork(QWidget):
    """The job that runs longest among those with a title, its progress and Stop."""

    shown = Signal()  # or hidden again

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._jobs: list[Job] = []
        self._title = OneLine(theme, color="ink", weight=500)
        self._bar = _Bar(theme)
        self._stop = Button(theme, say("Stop"), icon_name="stop", kind="link")
        self._stop.clicked.connect(self._stop_it)
        self._later = QTimer(self)
        self._later.setSingleShot(True)
        self._later.setInterval(SHOWN_AFTER_MS)
        self._later.timeout.connect(self._show_now)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(8)
        row.addWidget(self._title)
        row.addWidget(self._bar)
        row.addWidget(self._stop)
        self.hide()

    @Slot(object)
    def watch(self, job: Job) -> None:
        """Show this job once it has taken longer than a moment."""
        self._jobs.append(job)
        job.progressed.connect(self._progressed)
        job.ended.connect(self._ended)
        if len(self._jobs) == 1:
            self._later.start()

    @Slot()
    def _show_now(self) -> None:
        if self._jobs:
            self._title.set_text(self._jobs[0].title)
            self._bar.show_step(None)
            self.show()
            self.shown.emit()

    @Slot(object)
    def _progressed(self, step: Step) -> None:
        if self._jobs and self.sender() is self._jobs[0]:
            self._bar.show_step(step)
            note = f" · {step.note}" if step.note else ""
            self._title.set_text(self._jobs[0].title + note)

    @Slot()
    def _ended(self) -> None:
        ended = self.sender()
        self._jobs = [job for job in self._jobs if job is not ended]
        self.hide()
        self.shown.emit()
        if self._jobs:
            self._later.start()
        else:
            self._later.stop()

    @Slot()
    def _stop_it(self) -> None:
        if self._jobs:
            self._jobs[0].cancel()


class ChangeLine(QWidget):
    """`show_change` after each change, `show_failed` when one could not be written."""

    trouble_pressed = Signal()

    def __init__(self, theme: Theme, *, undo: QAction, all_changes: QAction) -> None:
        super().__init__()
        self._theme = theme
        self._sign = _Sign(theme)
        self._written = OneLine(theme, role="second", color="ink2")
        self._written.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        self._lead = Words(theme, say("Last change"), role="second", color="ink2")
        self._what = OneLine(theme, role="second", color="ink", weight=600)
        self._who = OneLine(theme, role="second", color="ink2")
        self._undo = Button(theme, undo.text(), icon_name="undo", kind="link", small=True)
        self._undo.clicked.connect(undo.trigger)
        self._cap = KeyCap(theme, say("Ctrl Z"))
        self._all = Button(theme, all_changes.text(), kind="link", small=True)
        self._all.clicked.connect(all_changes.trigger)
        self.long_work = LongWork(theme)
        self._standing = OneLine(theme, role="second", color="ink2")
        self._lay_out()
        self._has_change = False
        self.long_work.shown.connect(self._make_room)
        self.show_change(None)
        self._resized()
        theme.changed.connect(self._resized)

    @property
    def words(self) -> tuple[str, str, str]:
        """Written or not, the last change, when and who."""
        return self._written.text, self._what.text, self._who.text

    def show_change(self, change: ChangeSeen | None) -> None:
        """Everything is written; this was the last change."""
        self._sign.show_sign("check", "moss")
        self._written.set_text(say("All written"), "ink2")
        self._has_change = change is not None
        self._make_room()
        if change is not None:
            self._what.set_text(change.words)
            parts = (change.when, change.who)
            self._who.set_text(", ".join(part for part in parts if part))
            self._undo.setToolTip(change.why_not)

    def show_failed(self) -> None:
        """The last change could not be written."""
        self._sign.show_sign("warn", "clay")
        self._written.set_text(say("Not written"), "clay")

    def show_standing(self, standing: str) -> None:
        """Company, sites, seats."""
        self._standing.set_text(standing)

    def paintEvent(self, event: QPaintEvent) -> None:
        with QPainter(self) as painter:
            painter.fillRect(self.rect(), self._theme.color("sunken"))
            painter.fillRect(QRectF(0, 0, self.width(), 1), self._theme.color("line"))

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._make_room()

    @Slot()
    def _make_room(self) -> None:
        """What may step aside does so while long work is shown or the window is narrow."""
        is_working = self.long_work.isVisibleTo(self)
        is_narrow = self.width() < self._theme.px(1000)
        self._what.setVisible(self._has_change)
        self._undo.setVisible(self._has_change)
        for widget in (self._lead, self._cap, self._who):
            widget.setVisible(self._has_change and not (is_working and is_narrow))
        self._standing.setVisible(not is_working)

    def _lay_out(self) -> None:
        row = QHBoxLayout(self)
        row.setContentsMargins(20, 1, 16, 0)
        row.setSpacing(6)
        for widget, stretch in (
            (self._sign, 0),
            (self._written, 0),
            (_Upright(self._theme), 0),
            (self._lead, 0),
            (self._what, 0),
            (self._who, 0),
            (self._undo, 0),
            (self._cap, 0),
            (self._all, 0),
        ):
            row.addWidget(widget, stretch, Qt.AlignmentFlag.AlignVCenter)
        row.addStretch(1)
        row.addWidget(self.long_work)
        row.addSpacing(8)
        row.addWidget(self._standing)
        self.setAccessibleName(say("Changes"))

    @Slot()
    def _resized(self) -> None:
        self.setFixedHeight(self._theme.height("change_line"))


class _Sign(QWidget):
    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme = theme
        self._name, self._color = "check", "moss"
        self.setFixedSize(16, 16)
        theme.changed.connect(self.update)

    def show_sign(self, name: str, color: str) -> None:
        self._name, self._color = name, color
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        with QPainter(self) as painter:
            Ink(painter, self._theme).icon(self._name, QRectF(self.rect()), self._color)


class _Upright(QWidget):
    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme = theme
        self.setFixedSize(9, 18)
        theme.changed.connect(self.update)

    def paintEvent(self, event: QPaintEvent) -> None:
        with QPainter(self) as painter:
            painter.fillRect(QRectF(4, 0, 1, self.height()), self._theme.color("edge"))
