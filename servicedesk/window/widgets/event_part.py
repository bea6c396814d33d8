"""The storm, outage or flood over Phone: its band, the form that opens and closes it, its verbs."""

from PySide6.QtCore import Signal, Slot
from PySide6.QtWidgets import QVBoxLayout, QWidget

from servicedesk.desk.callbacks import CallLine
from servicedesk.desk.checking import WrongEntry
from servicedesk.desk.event_work import EventWork, phoned
from servicedesk.desk.events import (
    change_area,
    close_event,
    join_event,
    leave_event,
    open_event,
)
from servicedesk.desk.office import Desk
from servicedesk.values.trouble import Trouble
from servicedesk.window.shell import Shell
from servicedesk.window.widgets.event_band import EventBand, EventForm
from servicedesk.window.work import Job


class EventPart(QWidget):
    """Band and form below each other. `left`: the form was closed, the keys go back."""

    left = Signal()

    def __init__(self, shell: Shell) -> None:
        super().__init__()
        self.shell = shell
        self.work: EventWork | None = None
        self.band = EventBand(shell.theme)
        self.form = EventForm(shell.theme)
        self.band.changes.connect(self.open_form)
        self.band.leaves.connect(self.let_still_calling_leave)
        self.form.written.connect(self._write)
        self.form.closed.connect(self._close)
        self.form.left.connect(self._leave)
        margin = shell.theme.tokens.space.page_margin
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self.band)
        inner = QVBoxLayout()
        inner.setContentsMargins(margin, 10, margin, 0)
        inner.addWidget(self.form)
        self._inner = QWidget()
        self._inner.setLayout(inner)
        self._inner.hide()
        column.addWidget(self._inner)

    @property
    def desk(self) -> Desk:
        """The desk that the office sits at now."""
        found: Desk = self.shell.office.desk  # type: ignore[attr-defined]
        return found

    def show_work(self, work: EventWork | None) -> None:
        """What is to be done in the event that runs; None if none does."""
        self.work = work
        self.band.show_work(self.desk, work)

    @Slot()
    def open_form(self) -> None:
        """Open an event, or change the one that runs."""
        self._inner.show()
        self.form.begin(self.desk, self.work.event if self.work else None)

    @Slot()
    def let_still_calling_leave(self) -> None:
        """Whoever still calls a day later leaves the event, all in one change."""
        if self.work is not None and self.work.still:
            ids = [call_id for one in self.work.still for call_id in one.call_ids]
            self.shell.change(leave_event, self.desk, self.work.event.id, ids)

    def leave_or_join(self, call: CallLine) -> None:
        """Let one call leave the event, or take it in."""
        if self.work is None:
            return
        event = self.work.event.id
        if call.event_id == event:
            self.shell.change(leave_event, self.desk, event, [call.id])
        else:
            self.shell.change(join_event, self.desk, event, call.id)

    def phoned(self, call: CallLine, what: str) -> None:
        """Somebody talked with them."""
        self.shell.change(phoned, self.desk, call, what)

    # opened, changed, closed

    @Slot()
    def _write(self) -> None:
        form, event = self.form, self.form.event_line
        if event is None:
            job = self.shell.work.start(
                open_event, self.desk, form.what, localities=form.localities, from_at=form.from_at
            )
        else:
            job = self.shell.work.start(
                change_area, self.desk, event.id, form.localities, seen=event.revision
            )
        self._follow(job)

    @Slot()
    def _close(self) -> None:
        event = self.form.event_line
        if event is not None:
            job = self.shell.work.start(close_event, self.desk, event.id, seen=event.revision)
            self._follow(job)

    def _follow(self, job: Job) -> None:
        job.done.connect(self._done)
        job.failed.connect(self._failed)

    @Slot(object)
    def _done(self, touched: object) -> None:
        self._leave()
        self.shell.bus.changed.emit(touched)

    @Slot(object)
    def _failed(self, trouble: Trouble) -> None:
        if isinstance(trouble, WrongEntry):
            self.form.show_wrong(trouble)
        else:
            self.shell.show_trouble(trouble)

    @Slot()
    def _leave(self) -> None:
        self.form.hide()
        self._inner.hide()
        self.left.emit()
