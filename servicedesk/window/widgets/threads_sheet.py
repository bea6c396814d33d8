"""The troubles of a site, each with its calls; a person joins and splits them."""

from collections.abc import Sequence

from PySide6.QtCore import Qt, Signal, Slot
from PySide6.QtWidgets import QVBoxLayout

from servicedesk.desk.office import Desk
from servicedesk.desk.threads import TroubleThread
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.label import Words
from servicedesk.window.widgets.sheet import Hairline, Sheet
from servicedesk.window.widgets.site_rows import emptied
from servicedesk.window.widgets.thread_rows import ThreadCallRow, ThreadHead
from servicedesk.words import say


class ThreadsSheet(Sheet):
    """`opened` carries the id of a call. One call is chosen: the keys act on it."""

    opened = Signal(object)
    chose = Signal()

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme, say("Troubles"), say("calls with one trouble behind them"))
        self._theme = theme
        self._chosen: int | None = None
        self.threads: tuple[TroubleThread, ...] = ()
        self.rows: list[ThreadCallRow] = []
        self.lines = QVBoxLayout()
        self.lines.setSpacing(3)
        self.body.addLayout(self.lines)
        self.body.addStretch(1)

    @property
    def chosen(self) -> int | None:
        """The call the keys act on, None where there is no call."""
        return self._chosen

    def thread_of(self, call_id: int | None) -> TroubleThread | None:
        """The thread of a call that is shown."""
        return next((t for t in self.threads if call_id and t.thread.has(call_id)), None)

    def show_threads(
        self,
        threads: Sequence[TroubleThread],
        desk: Desk,
        in_view: TroubleThread | None = None,
    ) -> None:
        """Show other threads; the chosen call stays chosen if it is still there.

        Else the last call of the thread `in_view` is, or the last of all.
        """
        had_focus = any(row.hasFocus() for row in self.rows)
        emptied(self.lines)
        self.threads = tuple(threads)
        self.rows = []
        for n, one in enumerate(threads):
            if n:
                self.lines.addWidget(Hairline(self._theme))
            self.lines.addWidget(ThreadHead(self._theme, one))
            symptoms = {call.call_id: call.symptoms for call in one.thread.calls}
            for call in reversed(one.calls):
                told = symptoms[call.call_id]
                self._add(ThreadCallRow(self._theme, desk, call, told[0] if told else ""))
        if not threads:
            words = say("Nobody has called from here. Calls with one trouble behind them stand "
                        "here together, with what each visit tried.")  # fmt: skip
            self.lines.addWidget(Words(self._theme, words, color="ink2", wraps=True))
        known = {row.call_id for row in self.rows}
        if self._chosen not in known:
            first = in_view.calls[-1].call_id if in_view is not None else None
            self._chosen = first or (self.rows[0].call_id if self.rows else None)
        self._mark()
        if had_focus:
            self.focus_chosen()

    def choose_call(self, call_id: int) -> None:
        """Choose a call from elsewhere; one that is not shown changes nothing."""
        if call_id != self._chosen and any(row.call_id == call_id for row in self.rows):
            self._choose(call_id)

    def focus_chosen(self) -> None:
        """The keys go to the chosen call."""
        for row in self.rows:
            if row.call_id == self._chosen:
                row.setFocus(Qt.FocusReason.OtherFocusReason)

    def _add(self, row: ThreadCallRow) -> None:
        row.chosen.connect(self._choose)
        row.opened.connect(self.opened)
        row.walked.connect(self._walk)
        self.rows.append(row)
        self.lines.addWidget(row)

    def _mark(self) -> None:
        for row in self.rows:
            row.choose(is_chosen=row.call_id == self._chosen)

    @Slot(object)
    def _choose(self, call_id: int) -> None:
        self._chosen = call_id
        self._mark()
        self.chose.emit()

    @Slot(object, int)
    def _walk(self, call_id: int, by: int) -> None:
        at = next(n for n, row in enumerate(self.rows) if row.call_id == call_id) + by
        if 0 <= at < len(self.rows):
            self.rows[at].setFocus(Qt.FocusReason.TabFocusReason)
