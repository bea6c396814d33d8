"""On the phone: a call written while the customer talks, by keys alone."""

from dataclasses import replace
from datetime import datetime
from typing import Any

from PySide6.QtCore import QTimer, Signal, Slot
from PySide6.QtGui import QResizeEvent, QTextCursor
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from servicedesk.desk.drafts import Draft
from servicedesk.desk.intake import CallDraft, CallerHit, write_call
from servicedesk.desk.office import Desk
from servicedesk.desk.phone_page import (
    Beside,
    WrittenCall,
    beside_the_call,
    promise_by,
    promise_offers,
)
from servicedesk.desk.soonest import SoonestPlaces, take_soonest
from servicedesk.window.actions import Actions
from servicedesk.window.shell import Shell
from servicedesk.window.widgets.call_acts import With, call_acts
from servicedesk.window.widgets.call_after import After, soonest_for
from servicedesk.window.widgets.call_asking import Asking, TabSkips
from servicedesk.window.widgets.call_beside import BeforeSheet, SayThisNow, SoonestSheet
from servicedesk.window.widgets.call_draft import DraftKeeper, as_draft, draft_uid
from servicedesk.window.widgets.call_reported import LETTERS, Reported, other_answers
from servicedesk.window.widgets.call_sheets import AskSheet, CallHead, SeenSheet, scrolled
from servicedesk.window.widgets.call_who import WhoSheet
from servicedesk.window.widgets.look_after import LookForAlerts
from servicedesk.words import say

_LAID_MS = 40  # by then a new question has its place
_NARROW = 1080  # px of the page below which the right side needs a larger share


class CallPage(QWidget):
    """`left` is sent when the call was written or set aside; `titled` when its name changed."""

    left = Signal()
    titled = Signal()

    def __init__(self, shell: Shell) -> None:
        super().__init__()
        self.shell = shell
        self.theme = shell.theme
        self._draft = CallDraft()
        self._seen: int | None = None
        self._beside: Beside | None = None
        self._hit: CallerHit | None = None
        self._is_dirty = False
        self._is_writing = False
        self._apart = False
        self._beside_symptoms: tuple[str, ...] = ()
        self._beside_asked: object = None
        self._soonest_asked: object = None
        self.reported = Reported()
        self.keeper = DraftKeeper(shell, self._kept, self)
        self.alerts = LookForAlerts(shell, self)
        self.keys = Actions(self, self.theme, call_acts(self))
        self._laid = QTimer(self)
        self._laid.setSingleShot(True)
        self._laid.setInterval(_LAID_MS)
        self._laid.timeout.connect(self._show_asked)
        self._build()

    @property
    def desk(self) -> Desk:
        """The desk that the office sits at now."""
        found: Desk = self.shell.office.desk  # type: ignore[attr-defined]
        return found

    # what it shows

    @property
    def draft(self) -> CallDraft:
        """The call as it stands on the page."""
        values: dict[str, Any] = dict(self.who.values())
        return replace(
            self._draft,
            **values,
            customer_id=self._draft.customer_id if values["site_id"] == self._draft.site_id
            else None,
            symptoms=self.reported.symptoms,
            answers=self._answers,
            findings=dict(self.asking.asked.findings),
            event_id=None if self._apart else self._draft.event_id,
            apart=self._apart,
            own_words=self.own_words.toPlainText(),
            priority=self.promise.pressing,
        )  # fmt: skip

    @property
    def _answers(self) -> dict[str, Any]:
        ours = {**self.reported.answers, **self.asking.asked.said}
        return {**other_answers(self._draft.answers), **ours}

    @property
    def is_begun(self) -> bool:
        """Whether there is something on the page that nobody wrote yet."""
        return self._is_dirty

    @property
    def uid(self) -> str:
        """The uid of the call on the page."""
        return self._draft.uid

    @property
    def call_id(self) -> int | None:
        """The written call that is edited, None for a new one."""
        return self._draft.call_id

    def title(self) -> str:
        """What stands in the trail."""
        place = self._place()
        if self._draft.call_id is not None:
            return say("Call from {place}", place=place) if place else say("Call")
        return say("New call, {place}", place=place) if place else say("New call")

    def begin(self, site_id: int | None = None) -> None:
        """A new call, of now, perhaps from a site that is known."""
        draft = CallDraft(site_id=site_id, called_at=self.desk.clock.now())
        self._show(draft, seen=None, promised=None)
        self.head.start()

    def resume(self, draft: CallDraft, *, seen: int | None, promised: datetime | None) -> None:
        """Go on with a call that was set aside."""
        self._show(draft, seen=seen, promised=promised)
        self._is_dirty = True

    def edit(self, written: WrittenCall) -> None:
        """A call that is written already."""
        self._show(written.draft, seen=written.revision, promised=None)
        self.promise.show_standing(self.desk, written.promised_by_at)

    def first_focus(self) -> QWidget:
        """The field while nobody is known, else the keys."""
        known = self._draft.call_id is not None or self.who.site_id is not None
        return self.grid.buttons[0] if known else self.who.field

    def read_anew(self) -> None:
        """Something changed: the site's side and the places are asked again, the form stays."""
        self._ask_beside()

    def _show(self, draft: CallDraft, *, seen: int | None, promised: datetime | None) -> None:
        self._draft, self._seen = draft, seen
        self._beside = self._hit = None
        self._is_dirty = self._is_writing = False
        self.reported = Reported.of(draft.symptoms, draft.answers)
        self._apart = draft.apart
        self.asking.begin(draft)
        self.who.show_call(draft)
        self.own_words.blockSignals(True)  # shown, not typed
        self.own_words.setPlainText(draft.own_words)
        self.own_words.blockSignals(False)
        self.head.stop()
        self.soonest.taken = None
        self.soonest.wait("")
        self.before.show_beside(None, None)
        self.promise.begin(self.desk, promise_offers(self.desk), promised)
        self.promise.show_pressing(self.reported.symptoms, draft.priority, draft.answers)
        self.head.show_event("", is_apart=False)
        self._show_reported()
        self._ask_questions()
        self._ask_beside()
        self.titled.emit()

    # building

    def _build(self) -> None:
        margin = self.theme.tokens.space.page_margin
        gap = self.theme.tokens.space.sheet_gap
        column = QVBoxLayout(self)
        column.setContentsMargins(margin, 12, margin, 12)
        column.setSpacing(10)
        self.head = CallHead(self.theme)
        self.head.aside.clicked.connect(self.set_aside)
        self.head.write.clicked.connect(self.write)
        column.addWidget(self.head)
        self._sides = sides = QHBoxLayout()
        sides.setSpacing(gap)
        self.who = WhoSheet(self.shell)
        self.who.typed.connect(self._touched)
        self.who.site_chosen.connect(self._site_chosen)
        self.who.done.connect(self._who_done)
        seen = SeenSheet(self.theme)
        self.grid = seen.grid
        self.grid.pressed.connect(self.press_digit)
        asks = AskSheet(self.theme)
        self.questions, self.own_words, self.promise = asks.questions, asks.own_words, asks.promise
        self.asking = Asking(self.shell, asks)
        self.asking.changed.connect(self._symptoms_changed)
        self.asking.moved.connect(self._show_asked)
        self._tab = TabSkips(self.skip, self)
        asks.skips_with(self._tab)
        for button in self.grid.buttons:
            button.installEventFilter(self._tab)
        self.questions.answered.connect(self._answered)
        self.questions.reopened.connect(self._reopened)
        self.own_words.textChanged.connect(self._touched)
        self.promise.promised.connect(self._promise_chosen)
        self.promise.pressing_chosen.connect(self._touched)
        self.left_area = scrolled([self.who, seen, asks], gap)
        sides.addWidget(self.left_area, 17)
        right = QVBoxLayout()
        right.setSpacing(gap)
        self.say_now = SayThisNow(self.theme, self.desk.company.emergency_phone)
        right.addWidget(self.say_now)
        self.soonest = SoonestSheet(self.theme)
        self.soonest.chosen.connect(self._touched)
        self.before = BeforeSheet(self.theme)
        self.right_area = scrolled([self.soonest, self.before], gap)
        right.addWidget(self.right_area, 1)
        sides.addLayout(right, 10)
        column.addLayout(sides, 1)

    def resizeEvent(self, event: QResizeEvent) -> None:
        self._sides.setStretch(0, 14 if self.width() < _NARROW else 17)
        super().resizeEvent(event)
        self._laid.start()

    # what is said

    @Slot(int)
    def press_digit(self, number: int) -> None:
        """Choose a symptom key, or take it back."""
        self.reported.press(number)
        self._symptoms_changed()

    def answer_letter(self, at: int) -> None:
        """Answer the question that stands open, else change the answer given last."""
        asked = self.reported.asked
        if asked is None and self.asking.press(LETTERS[at]):
            return
        if asked is None and self.reported.chosen:
            number = list(self.reported.chosen)[-1]
            asked = next(b.key for b in self.grid.buttons if b.key.key == number)
        if asked is not None and asked.question is not None and at < len(asked.answers):
            self._answered(asked.key, at)

    def answer_sign(self, key: str) -> None:
        """Answer yes (Y), no (N) or "cannot tell" (X) to the danger or check that stands open."""
        self.asking.press(key)

    @Slot()
    def skip(self) -> bool:
        """Go on without an answer; False if nothing is asked."""
        asked = self.reported.asked
        if self.asking.danger_is_open or asked is None:
            return self.asking.skip()
        self.reported.skipped.add(asked.key)
        self._symptoms_changed()
        return True

    def open_known(self) -> None:
        """What is known about what is asked, in a window beside the call."""
        self.asking.open_known()

    def stand_apart(self) -> None:
        """The call is none of the event that runs, or it is after all."""
        event = self._beside.event if self._beside is not None else None
        if event is not None:
            self._apart = not self._apart
            self._touched()
            self._show_event()

    @Slot(int, int)
    def _answered(self, number: int, at: int) -> None:
        self.reported.answer(number, at)
        self._symptoms_changed()

    @Slot(int)
    def _reopened(self, number: int) -> None:
        self.reported.reopen(number)
        self._symptoms_changed()
        row = self.questions.rows.get(number)
        if row is not None:
            row.group.buttons()[0].setFocus()

    def _symptoms_changed(self) -> None:
        self._show_reported()
        self._touched()
        self._laid.start()
        self._ask_questions()
        if self.who.site_id is not None and self.reported.symptoms != self._beside_symptoms:
            self._ask_beside(places=False)

    def _ask_questions(self) -> None:
        who = self.who
        self.asking.ask(who.site_id, who.system_id, self._draft.call_id)

    @Slot()
    def _show_asked(self) -> None:
        asked = self.reported.asked
        row: QWidget | None = self.asking.open_row
        if asked is not None and not self.asking.danger_is_open:
            row = self.questions.rows.get(asked.key)
        if row is not None and self._is_dirty:
            self.left_area.ensureWidgetVisible(row, 0, 12)

    def _show_reported(self) -> None:
        self.grid.show_chosen(self.reported)
        self.questions.show_reported(self.reported)
        symptoms = self.reported.symptoms
        self.asking.show(symptoms, key_is_open=self.reported.asked is not None)
        first = self.asking.first_said
        self.say_now.put_first(first)
        if symptoms or first:
            self.say_now.show()  # and it stays
        elif not self._is_dirty:
            self.say_now.hide()
        self.promise.show_pressing(symptoms, self.promise.pressing, self._answers)

    def _show_event(self) -> None:
        """Which event the call belongs to; in one, site and lamp are enough."""
        event = self._beside.event if self._beside is not None else None
        earlier = self._beside.earlier if self._beside is not None else ()
        before = next((one.trouble for one in earlier if one.same), "")
        self.head.show_event(event.title if event else "", is_apart=self._apart, before=before)
        self.asking.asked.wants_checks = event is None or self._apart
        self._show_reported()

    def to_own_words(self) -> None:
        """Give the keys to their own words."""
        self.own_words.setFocus()
        self.own_words.moveCursor(QTextCursor.MoveOperation.End)  # what was said is gone on with
        self.left_area.ensureWidgetVisible(self.own_words)

    @Slot()
    def _who_done(self) -> None:
        self.grid.focus_first()

    @Slot(object)
    def _site_chosen(self, hit: CallerHit | None) -> None:
        self._hit = hit
        self.soonest.wait(say("Looking for a place…") if hit is not None else self._no_place())
        self._ask_beside()
        self._ask_questions()
        self.titled.emit()

    @Slot()
    def _touched(self) -> None:
        self._is_dirty = True
        self.keeper.touch()
        self.titled.emit()

    def _place(self) -> str:
        if self._hit is not None:
            return self._hit.address
        said = self.who.values()
        texts = (said["where_said"], said["caller"], said["phone"])
        return next((str(text).strip() for text in texts if str(text).strip()), "")

    def _kept(self) -> Draft | None:
        if not self._is_dirty or self._is_writing:
            return None
        return as_draft(
            self.desk,
            self.draft,
            title=self._place() or say("somebody"),
            seen=self._seen,
            promised_by_at=self.promise.by_at,
        )

    @Slot()
    def _promise_chosen(self) -> None:
        self._touched()
        self._ask_soonest()

    # beside the form

    def _ask_beside(self, *, places: bool = True) -> None:
        self._beside_symptoms = self.reported.symptoms
        job = self.shell.ask(
            beside_the_call,
            self.desk,
            self.who.site_id,
            symptoms=self.reported.symptoms,
            called_at=self._draft.called_at,
            but=self._draft.call_id,
            event_id=self._draft.event_id,
        )
        self._beside_asked = job
        job.done.connect(self._beside_came)
        if places:
            self._ask_soonest()

    @Slot(object)
    def _beside_came(self, beside: Beside) -> None:
        if self.sender() is not self._beside_asked:
            return
        before = self._beside
        first = before is None or (before.promise_text, before.promise_why) != (
            beside.promise_text,
            beside.promise_why,
        )
        self._beside = beside
        self._hit = beside.hit
        if first and self._draft.call_id is None:
            self.promise.show_rules(self.desk, beside)
        self.who.show_hit(beside.hit)
        self.before.show_beside(self.desk, beside)
        self._show_event()
        self.titled.emit()

    def _ask_soonest(self) -> None:
        if self.who.site_id is None:
            self.soonest.wait(self._no_place())
            return
        by_at = self.promise.by_at or (self._beside.promised_by_at if self._beside else None)
        job = self.shell.ask(
            soonest_for, self.desk, self.who.site_id, by_at, self._draft.called_at,
            self._draft.call_id,
        )  # fmt: skip
        self._soonest_asked = job
        job.done.connect(self._soonest_came)

    @Slot(object)
    def _soonest_came(self, found: SoonestPlaces) -> None:
        if self.sender() is self._soonest_asked and self.who.site_id is not None:
            self.soonest.show_places(self.desk, found)

    def _no_place(self) -> str:
        if self.who.is_stranger:
            return say("No site yet: the call is written, and placed once it has one.")
        return ""

    def take_place(self, n: int) -> None:
        """Choose one of the soonest places (0 first)."""
        self.soonest.take(n)

    # written, set aside

    @Slot()
    def write(self) -> None:
        """Write the call; then the promise and the place that were chosen."""
        if self._is_writing:
            return
        draft = self.draft
        said = (draft.caller, draft.phone, draft.where_said)
        if draft.site_id is None and not any(text.strip() for text in said):
            self.who.show_wrong(say("Write who called, their number or where it is."))
            return
        self._is_writing = True
        after = After(self.promise.by_at, self.soonest.taken)
        job = self.shell.change(write_call, self.desk, draft, seen=self._seen)
        job.done.connect(With(self._written, draft, after))
        job.ended.connect(self._write_ended)

    def _written(self, draft: CallDraft, after: After, _changed: object = None) -> None:
        self.keeper.forget(draft_uid(draft))
        self._is_dirty = False
        if after.promised is not None:
            self.shell.change(promise_by, self.desk, draft.uid, after.promised)
        if after.place is not None:
            self.shell.change(take_soonest, self.desk, draft.uid, after.place)
        self.alerts.look(self.desk, draft.site_id)
        if draft.uid == self._draft.uid:
            self.head.stop()
            self.left.emit()

    @Slot()
    def _write_ended(self) -> None:
        self._is_writing = False

    @Slot()
    def set_aside(self) -> None:
        """Leave; what was typed waits in Phone."""
        self.keep_aside()
        self.left.emit()

    def keep_aside(self) -> None:
        """Keep what is on the page as a draft; nothing typed leaves nothing behind."""
        self.head.stop()
        if self._is_dirty and not self._is_writing:
            self.keeper.keep_now()
        self._is_dirty = False
