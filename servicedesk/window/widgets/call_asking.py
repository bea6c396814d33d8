"""Asks on the call page: keeps what was answered, fetches what comes next, hands the keys on."""

import time
from collections.abc import Callable, Sequence
from typing import Any

from PySide6.QtCore import QEvent, QObject, Qt, Signal, Slot
from PySide6.QtGui import QKeyEvent

from servicedesk.desk.intake import CallDraft
from servicedesk.desk.phone_questions import (
    PhoneQuestion,
    PhoneSheet,
    Reports,
    phone_sheet_of_call,
)
from servicedesk.trade.faults import knowledge
from servicedesk.trade.phone_dangers import first_said
from servicedesk.window.shell import Shell
from servicedesk.window.widgets.call_asked import Asked
from servicedesk.window.widgets.call_asks import AskRow, AskRows
from servicedesk.window.widgets.call_sheets import AskSheet
from servicedesk.window.work import Job

# a question that has been up for longer than this is not changed under a reading eye
_SETTLES_S = 0.4


class TabSkips(QObject):
    """Lets Tab skip what is asked, on the widgets it is installed on; else Tab walks on."""

    def __init__(self, skip: Callable[[], bool], parent: QObject) -> None:
        super().__init__(parent)
        self._skip = skip

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        is_tab = (
            isinstance(event, QKeyEvent)
            and event.type() == QEvent.Type.KeyPress
            and event.key() == Qt.Key.Key_Tab
            and event.modifiers() == Qt.KeyboardModifier.NoModifier
        )
        return is_tab and self._skip()


class Asking(QObject):
    """`changed`: something was answered or taken back. `moved`: other questions stand open."""

    changed = Signal()
    moved = Signal()

    def __init__(self, shell: Shell, sheet: AskSheet) -> None:
        super().__init__(sheet)
        self._shell, self._sheet = shell, sheet
        self.asked = Asked()
        self._symptoms: tuple[str, ...] = ()
        self._key_is_open = False
        self._job: Job | None = None
        self._asked_for: object = None
        self._is_learned = False
        self._open_since = 0.0
        self._is_read = False
        for rows in (sheet.dangers, sheet.checks):
            rows.answered.connect(self._answered)
            rows.reopened.connect(self._reopened)

    def begin(self, draft: CallDraft) -> None:
        """Another call."""
        self.asked = Asked.of(draft.answers, draft.findings)
        self._symptoms = ()
        self._job = self._asked_for = None
        self._is_learned = False
        if not self._is_read:
            self._is_read = True
            self._shell.work.start_apart(knowledge)  # while the caller says who they are

    @property
    def first_said(self) -> tuple[str, ...]:
        """Ids of the sentences that are read aloud first."""
        return first_said(self.asked.said, self._symptoms)

    @property
    def danger_is_open(self) -> bool:
        """Whether a danger is asked now."""
        return self.asked.open_danger(self._symptoms) is not None

    @property
    def open_question(self) -> PhoneQuestion | None:
        """The danger or check that is asked now, None while a key's own question stands open."""
        danger = self.asked.open_danger(self._symptoms)
        if danger is not None or self._key_is_open:
            return danger
        return self.asked.open_check

    def show(self, symptoms: Sequence[str], *, key_is_open: bool) -> None:
        """Show what is asked now, as far as it is known."""
        before = self.open_question
        self._symptoms, self._key_is_open = tuple(symptoms), key_is_open
        had_keys = self._sheet.dangers.has_keys or self._sheet.checks.has_keys
        danger = self.asked.open_danger(symptoms)
        self._sheet.dangers.show_lines(self.asked.danger_lines(symptoms))
        is_blocked = danger is not None or key_is_open
        self._sheet.checks.show_lines(self.asked.check_lines(is_blocked=is_blocked))
        if self.open_question != before:
            self._open_since = time.monotonic()
        if had_keys:
            self._keys_to(self.open_row)

    def open_known(self) -> None:
        """What is known about the check that is asked, else about the first symptom: beside."""
        question = self.open_question
        if question is not None and not question.is_danger:
            self._shell.go("knowledge", "check", question.id, beside=True)
        elif self._symptoms:
            self._shell.go("knowledge", "symptom", self._symptoms[0], beside=True)

    @property
    def open_row(self) -> AskRow | None:
        """The row that is asked now."""
        rows: tuple[AskRows, ...] = (self._sheet.dangers, self._sheet.checks)
        return next((r.open_row for r in rows if r.open_row is not None), None)

    def ask(self, site_id: int | None, system_id: int | None, call_id: int | None) -> None:
        """Find out what comes next, and what the answers changed; once for the same answers."""
        wanted = (site_id, system_id, call_id, self._symptoms, tuple(self.asked.findings.items()))
        if wanted == self._asked_for:
            return
        self._asked_for = wanted
        desk = self._shell.office.desk  # type: ignore[attr-defined]
        reports = Reports(symptoms=self._symptoms, findings=dict(self.asked.findings))
        at: dict[str, Any] = {"site_id": site_id, "system_id": system_id, "call_id": call_id}
        if self._symptoms and not self._is_learned:  # a question now, the better one in a moment
            self._is_learned = True
            at_once = self._shell.ask(phone_sheet_of_call, desk, reports, **at, with_own=False)
            at_once.done.connect(self._came_at_once)
        self._job = self._shell.ask(phone_sheet_of_call, desk, reports, **at)
        self._job.done.connect(self._came)

    @Slot(object)
    def _came_at_once(self, sheet: PhoneSheet) -> None:
        if self._job is not None and not self.asked.findings:
            self._take_sheet(sheet)

    @Slot(object)
    def _came(self, sheet: PhoneSheet) -> None:
        if self.sender() is self._job:
            self._take_sheet(sheet)

    def _take_sheet(self, sheet: PhoneSheet) -> None:
        is_read = time.monotonic() - self._open_since > _SETTLES_S
        self.asked.take(sheet, keeps_open=is_read)
        self.show(self._symptoms, key_is_open=self._key_is_open)
        self.moved.emit()

    # answered by keys

    def press(self, key: str) -> bool:
        """Answer the open question with a key; False if it has no such answer."""
        question = self.open_question
        if question is None:
            return False
        for answer in question.answers:
            if answer.key == key:
                self._take(question.id, answer.id)
                return True
        return False

    def skip(self) -> bool:
        """Go on without an answer; False if nothing is asked."""
        question = self.open_question
        if question is None:
            return False
        self.asked.skip(question.id)
        self.changed.emit()
        return True

    @Slot(str, int)
    def _answered(self, question_id: str, at: int) -> None:
        rows = {**self._sheet.dangers.rows, **self._sheet.checks.rows}
        self._take(question_id, rows[question_id].question.answers[at].id)

    @Slot(str)
    def _reopened(self, question_id: str) -> None:
        self.asked.reopen(question_id)
        self.changed.emit()
        self._keys_to(self.open_row)

    def _take(self, question_id: str, answer_id: str | None) -> None:
        self.asked.answer(question_id, answer_id)
        self.changed.emit()

    def _keys_to(self, row: AskRow | None) -> None:
        if row is not None:
            row.pills[0].setFocus()
