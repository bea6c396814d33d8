"""Trouble in a site's file: causes of the one in view, all threads; joined, split, second opinion.

Sits below the life strip: two sheets side by side, one below the other where room is short.
"""

from functools import partial
from typing import Any, Protocol

from PySide6.QtCore import Signal, Slot
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QGridLayout, QVBoxLayout, QWidget

from servicedesk.desk.office import Desk
from servicedesk.desk.put_check import ChecksToDo, put_on_next_visit
from servicedesk.desk.second_opinion_file import write_second_opinion
from servicedesk.desk.threads import TroubleThread, join_calls, split_call
from servicedesk.desk.trouble_view import TroubleView
from servicedesk.window.actions import Act, Actions
from servicedesk.window.shell import Shell
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.causes_sheet import CausesSheet
from servicedesk.window.widgets.opinion_notice import OpinionNotice
from servicedesk.window.widgets.setup_fields import FieldSpec
from servicedesk.window.widgets.setup_form import Forms
from servicedesk.window.widgets.site_file_data import SiteSeen, ThreadSeen, read_thread
from servicedesk.window.widgets.site_rows import Flow
from servicedesk.window.widgets.threads_sheet import ThreadsSheet
from servicedesk.window.work import Job
from servicedesk.words import say

_TWO_PX = 820


class Page(Protocol):
    """What this part needs of its place."""

    shell: Shell
    theme: Theme
    keys: Actions

    @property
    def desk(self) -> Desk: ...
    @property
    def forms(self) -> Forms: ...


class SiteTrouble(QWidget):
    """Shows the troubles of a site; its verbs write what a person says of them.

    What is behind the trouble of the chosen call stands beside the list; `life_changed` carries
    the strip with that trouble on it. `notice` says where a second opinion lies; the page puts it
    where it is always seen.
    """

    life_changed = Signal(object)

    def __init__(self, page: Page) -> None:
        super().__init__()
        self._page = page
        self._seen: SiteSeen | None = None
        self._thread: TroubleThread | None = None
        self._view: TroubleView | None = None
        self._reading: Job | None = None
        self._is_by_hand = False
        theme, gap = page.theme, page.theme.tokens.space.sheet_gap
        self.notice = OpinionNotice(theme)
        self.causes = CausesSheet(theme)
        self.threads = ThreadsSheet(theme)
        self.threads.opened.connect(self._open_call)
        self.threads.chose.connect(self._chose)
        self.causes.body.insertWidget(2, self._buttons(("put_check", "opinion")))
        self.threads.body.insertWidget(1, self._buttons(("join_call", "split_call")))
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(gap)
        self.grid = QGridLayout()
        self.grid.setSpacing(gap)
        column.addLayout(self.grid)
        self._arrange()

    def begin(self) -> None:
        """Another site will be shown."""
        self._seen = self._thread = self._view = self._reading = None
        self._is_by_hand = False
        self.notice.hide()

    def show_seen(self, seen: SiteSeen) -> None:
        """Show the troubles of a site; nothing where nobody ever called."""
        self._seen = seen
        self.threads.show_threads(seen.threads, self._page.desk, seen.trouble_thread)
        self.setVisible(bool(seen.threads))
        wanted = self.threads.thread_of(self.threads.chosen)
        if self._is_by_hand and wanted is not seen.trouble_thread:
            self._thread = None  # what stands here stays until the chosen one is read anew
            self._read_chosen()
        else:
            self._show_view(seen.trouble_thread, seen.trouble)
        self._arrange()

    def choose_call(self, call_id: int) -> None:
        """Choose a call that somebody stands on elsewhere."""
        self.threads.choose_call(call_id)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._arrange()

    # verbs

    def why_no_call(self) -> str | None:
        """Why no call can be joined or split."""
        if self._seen is None:
            return say("Open a site first.")
        return None if self.threads.chosen else say("Nobody has called from here.")

    def why_no_split(self) -> str | None:
        """Why the chosen call cannot be split off."""
        mine = self.threads.thread_of(self.threads.chosen)
        if mine is not None and mine.thread.n == 1:
            return say("This call stands alone already.")
        return self.why_no_call()

    def why_no_join(self) -> str | None:
        """Why the chosen call cannot be joined to another."""
        if self._seen is not None and self.threads.chosen and not self._others():
            return say("There is no other trouble to join it to.")
        return self.why_no_call()

    def why_no_check(self) -> str | None:
        """Why there is no check to put on a visit."""
        if self._seen is not None and self._view is None:
            return say("Nothing that came back is open here.")
        if self._seen is not None and not self._checks():
            return say("Every check that is owed for this was made.")
        return self.why_no_call()

    def split_call(self) -> None:
        """The chosen call is another trouble than the others of its thread."""
        if self.threads.chosen is not None:
            self._page.shell.change(split_call, self._page.desk, self.threads.chosen)

    def join_call(self) -> None:
        """Ask which other trouble the chosen call belongs to."""
        chosen = self.threads.chosen
        others = self._others()
        if chosen is None or not others:
            return
        calls = {c.call_id: c for t in self.threads.threads for c in t.calls}
        options = tuple((t.calls[-1].call_id, f"{t.name}: {t.span}") for t in others)
        self._page.forms.form(self._page.desk).open_form(
            say("Same trouble as…"),
            (
                FieldSpec(name="other", label=say("Same as"), kind="choice", options=options),
                FieldSpec(name="why", label=say("Why"), hint=say("both after the new pump")),
            ),
            {"other": options[0][0]},
            partial(_join, self._page.desk, chosen),
            button=say("Join them"),
            hint=say("The call of {day}: {what}", day=calls[chosen].day,
                     what=calls[chosen].symptom_text),
        )  # fmt: skip

    def put_check(self) -> None:
        """What was never tested goes with the next visit."""
        seen = self._seen
        if seen is None or self._view is None or self._thread is None:
            return
        wanted = ChecksToDo(
            site_id=seen.file.head.id,
            system_id=self._thread.system_id,
            checks=self._checks(),
            to_bring=self._view.to_bring,
        )
        self._page.shell.change(put_on_next_visit, self._page.desk, wanted)

    def opinion(self) -> None:
        """Write the second opinion on the trouble of the chosen call."""
        if self._seen is None:
            return
        thread = self.threads.thread_of(self.threads.chosen) or self._thread
        job = self._page.shell.ask(
            write_second_opinion,
            self._page.desk,
            site_id=self._seen.file.head.id if thread is None or not thread.system_id else None,
            system_id=thread.system_id if thread is not None else None,
            symptoms=(thread.thread.lead,) if thread is not None and thread.thread.lead else (),
            title=say("Writing the second opinion"),
        )
        job.done.connect(self.notice.tell_written)

    # within

    @Slot()
    def _chose(self) -> None:
        self._is_by_hand = True
        self._page.keys.refresh()
        self._read_chosen()

    def _read_chosen(self) -> None:
        """What is behind the trouble of the chosen call, where another one is in view."""
        wanted = self.threads.thread_of(self.threads.chosen)
        if self._reading is not None:
            self._reading.cancel()
            self._reading = None
        if self._seen is None or wanted is None or wanted is self._thread:
            return
        self._reading = self._page.shell.ask(read_thread, self._page.desk, self._seen.file, wanted)
        self._reading.done.connect(self._read)

    @Slot(object)
    def _read(self, seen: ThreadSeen) -> None:
        if self.sender() is not self._reading:
            return
        self._reading = None
        self._show_view(seen.thread, seen.view)
        self.life_changed.emit(seen.life)

    def _show_view(self, thread: TroubleThread | None, view: TroubleView | None) -> None:
        self._thread, self._view = thread, view
        if view is not None:
            self.causes.show_view(view, self._page.desk)
        self._arrange()
        self._page.keys.refresh()

    def _checks(self) -> tuple[Any, ...]:
        return self._view.owed_checks if self._view is not None else ()

    def _others(self) -> list[TroubleThread]:
        mine = self.threads.thread_of(self.threads.chosen)
        if mine is None:
            return []
        return [
            one for one in self.threads.threads
            if one is not mine and one.system_id == mine.system_id
        ]  # fmt: skip

    def _buttons(self, acts: tuple[str, ...]) -> Flow:
        row = Flow(gap=8)
        for act, words, key in (
            ("put_check", say("Put the check on the next visit"), "V"),
            ("opinion", say("Second opinion"), "Ctrl+P"),
            ("join_call", say("Same trouble as…"), "J"),
            ("split_call", say("Another trouble"), "X"),
        ):
            if act in acts:
                button = Button(self._page.theme, words, key=key, small=True, shows_only=True)
                button.setObjectName(act)
                button.clicked.connect(self._page.keys[act].trigger)
                self._page.keys[act].enabledChanged.connect(button.setEnabled)
                row.flow.addWidget(button)
        return row

    def _arrange(self) -> None:
        has_trouble = self._view is not None
        two = has_trouble and self.width() >= self._page.theme.px(_TWO_PX)
        for sheet in (self.causes, self.threads):
            self.grid.removeWidget(sheet)
        self.causes.setVisible(has_trouble)
        self.grid.addWidget(self.causes, 0, 0)
        self.grid.addWidget(self.threads, 0 if two else 1, 1 if two else 0)
        self.grid.setColumnStretch(0, 1)
        self.grid.setColumnStretch(1, 1 if two else 0)

    @Slot(object)
    def _open_call(self, call_id: object) -> None:
        self._page.shell.go("phone", "call", call_id)


def trouble_acts(verb: Any, why: Any) -> tuple[Act, ...]:
    """The actions of this part; `verb(name)` does it, `why(name)` says why not."""
    group = say("Troubles of the site")
    return tuple(
        Act(id=name, text=text, shortcut=key, do=verb(name), when=why(reason), group=group)
        for name, text, key, reason in (
            ("put_check", say("Put the check on the next visit"), "V", "why_no_check"),
            ("opinion", say("Second opinion"), "Ctrl+P", "why_no_call"),
            ("join_call", say("Same trouble as…"), "J", "why_no_join"),
            ("split_call", say("Another trouble"), "X", "why_no_split"),
        )
    )


def _join(desk: Desk, call_id: int, values: dict[str, Any], _seen: int | None) -> object:
    """On the worker: two calls are one trouble."""
    return join_calls(desk, call_id, values["other"], values["why"])
