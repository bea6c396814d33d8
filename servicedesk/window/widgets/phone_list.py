"""Who called and what did we promise: calls set aside, calls that wait, calls that are closed."""

from dataclasses import dataclass

from PySide6.QtCore import Qt, Signal, Slot
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QHBoxLayout, QLineEdit, QVBoxLayout, QWidget

from servicedesk.desk.callbacks import (
    CallLine,
    answer_call,
    drop_call,
    open_calls,
    recent_calls,
    reopen_call,
)
from servicedesk.desk.drafts import Draft, drafts_of, offered
from servicedesk.desk.intake import make_site_of_call
from servicedesk.desk.office import Desk
from servicedesk.desk.phone_page import by_text
from servicedesk.desk.site_entry import NewSite
from servicedesk.window.actions import Act, Actions
from servicedesk.window.models.row_delegate import RowPainter
from servicedesk.window.models.row_list import Row
from servicedesk.window.shell import Shell
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.field import SentenceField
from servicedesk.window.widgets.label import Words
from servicedesk.window.widgets.sheet import Sheet
from servicedesk.window.widgets.today_rows import RowsView
from servicedesk.window.widgets.today_waiting import by_words, left_words, symptom_icon
from servicedesk.words import say, say_n
from servicedesk.words.calls import priority as priority_words

RECENT = 60


@dataclass(frozen=True, slots=True)
class PhoneCalls:
    """What the list shows."""

    waiting: tuple[CallLine, ...]
    recent: tuple[CallLine, ...]
    drafts: tuple[Draft, ...]


def phone_calls(desk: Desk) -> PhoneCalls:
    """Calls that wait, those closed of late, and what was set aside on this machine."""
    drafts = offered(desk, drafts_of(desk))
    return PhoneCalls(
        waiting=open_calls(desk),
        recent=recent_calls(desk, limit=RECENT),
        drafts=tuple(draft for draft in drafts if draft.kind == "call"),
    )


def rows_of(desk: Desk, calls: PhoneCalls) -> list[Row]:
    """The rows under their headings. The thing of a row is ("draft", uid) or ("call", id)."""
    rows: list[Row] = []
    if calls.drafts:
        rows.append(Row(title=say("Set aside, not written yet"), is_heading=True))
    for draft in calls.drafts:
        begun = desk.formats.time(desk.clock.minute_of(draft.saved_at))
        if desk.clock.day_of(draft.saved_at) != desk.today:
            begun = desk.formats.weekday(desk.clock.day_of(draft.saved_at))
        rows.append(
            Row(
                title=draft.title,
                second=say("left at {when}", when=begun),
                icon="note",
                right=say("draft"),
                right_color="ochre",
                thing=("draft", draft.uid),
            )
        )
    if calls.waiting:
        rows.append(Row(title=say("Waiting for an answer"), is_heading=True))
    rows += [_row(desk, call) for call in calls.waiting]
    if calls.recent:
        rows.append(Row(title=say("Answered and dropped, the latest first"), is_heading=True))
    rows += [_row(desk, call) for call in calls.recent]
    return rows


def _row(desk: Desk, call: CallLine) -> Row:
    called = desk.formats.day(desk.clock.day_of(call.called_at), near=desk.today)
    if desk.clock.day_of(call.called_at) == desk.today:
        called = desk.formats.time(desk.clock.minute_of(call.called_at))
    second = [call.symptom_text or call.own_words, call.caller, call.phone]
    if call.state == "open":
        left, color = left_words(desk, call)
        by = by_words(desk, call.promised_by_at) if call.promised_by_at else ""
        right = " · ".join(part for part in (by, left) if part)
    else:
        words = say("answered") if call.state == "answered" else say("dropped")
        right, color = say("{state} · {day}", state=words, day=called), "ink2"
    return Row(
        title=call.title,
        second=" · ".join(part for part in second if part),
        icon=symptom_icon(call.symptoms),
        right=right,
        right_color=color,
        thing=("call", call.id),
    )


class PhoneList(QWidget):
    """`opened` carries ids for the place: ("call", 12), ("draft", uid), ("new",)."""

    opened = Signal(object)
    site_wanted = Signal(int)

    def __init__(self, shell: Shell) -> None:
        super().__init__()
        self.shell, self.theme = shell, shell.theme
        self._calls = PhoneCalls((), (), ())
        self._asked: object = None
        self._doing = ""
        self.keys = Actions(self, self.theme, self._acts())
        self._build()

    @property
    def desk(self) -> Desk:
        """The desk that the office sits at now."""
        found: Desk = self.shell.office.desk  # type: ignore[attr-defined]
        return found

    @property
    def chosen_call(self) -> CallLine | None:
        """The call the keys are on."""
        thing = self.list.chosen
        for call in (*self._calls.waiting, *self._calls.recent):
            if thing == ("call", call.id):
                return call
        return None

    def read(self) -> None:
        """Ask for the calls anew."""
        job = self.shell.ask(phone_calls, self.desk)
        self._asked = job
        job.done.connect(self._arrived)

    # building

    def _build(self) -> None:
        space = self.theme.tokens.space
        column = QVBoxLayout(self)
        column.setContentsMargins(space.page_margin, 14, space.page_margin, 16)
        column.setSpacing(10)
        head = QHBoxLayout()
        head.setSpacing(16)
        head.addWidget(Words(self.theme, say("Phone"), role="page_title"))
        self.told = Words(self.theme, color="ink2")
        head.addWidget(self.told, 1, Qt.AlignmentFlag.AlignBottom)
        column.addLayout(head)
        sides = QHBoxLayout()
        sides.setSpacing(space.sheet_gap)
        sheet = Sheet(self.theme, say("Calls"), say("oldest promise first"))
        self.list = RowsView(
            self.theme, say("Calls"), RowPainter(self.theme, hairlines=True), fits=False
        )
        self.list.opened.connect(self._open)
        self.list.doubleClicked.connect(self._open_chosen)
        self.list.current_changed.connect(self._show_chosen)
        self.none = Words(self.theme, color="ink2", wraps=True)
        self.none.setText(say("Nobody has called yet. Every call that is logged stands here."))
        self.begin = Button(self.theme, say("Log a call"), icon_name="phone", kind="main")
        self.begin.clicked.connect(self._new)
        sheet.body.addWidget(self.none)
        sheet.body.addWidget(self.begin, 0, Qt.AlignmentFlag.AlignLeft)
        sheet.body.addWidget(self.list, 1)
        sides.addWidget(sheet, 17)
        self.detail = Sheet(self.theme)
        self._fill_detail()
        side = QVBoxLayout()
        side.addWidget(self.detail)
        side.addStretch(1)
        sides.addLayout(side, 10)
        column.addLayout(sides, 1)

    def _fill_detail(self) -> None:
        self.texts = [Words(self.theme, color=color, wraps=True) for color in (
            "ink", "ink", "ink2", "ink2", "ochre", "plum")]  # fmt: skip
        for words in self.texts:
            self.detail.body.addWidget(words)
        self.buttons: dict[str, Button] = {}
        for act in self._acts():
            if act.id == "new":
                continue
            key = act.shortcuts[0]
            kind = "main" if act.id == "open" else "plain"
            button = Button(
                self.theme,
                act.text,
                key=key,
                shows_only=True,
                wide=True,
                kind=kind,  # type: ignore[arg-type]
            )
            button.setObjectName(act.id)
            button.clicked.connect(self._act_pressed)
            self.buttons[act.id] = button
            self.detail.body.addWidget(button)
        self.entry = QLineEdit()
        self.entry.returnPressed.connect(self._entered)
        self.ask_row = SentenceField(self.theme, "", self.entry, label_px=10)
        self.ask_words = Words(self.theme, weight=600, wraps=True)
        self.detail.body.addWidget(self.ask_words)
        self.detail.body.addWidget(self.ask_row)
        self.write_it = Button(self.theme, say("Write it"), key="Return", shows_only=True)
        self.write_it.clicked.connect(self._entered)
        self.leave_it = Button(self.theme, say("Leave it"), key="Esc", shows_only=True)
        self.leave_it.clicked.connect(self._leave)
        row = QHBoxLayout()
        row.addWidget(self.write_it)
        row.addWidget(self.leave_it)
        row.addStretch(1)
        self.detail.body.addLayout(row)
        self._ask("")

    def _acts(self) -> tuple[Act, ...]:
        group = say("Calls")
        return (
            Act(id="open", text=say("Open"), do=self._open_chosen, shortcut="Return", group=group,
                when=self._why_no_row),
            Act(id="place", text=say("Place…"), do=self._open_chosen, shortcut="P", group=group,
                icon="rounds", when=self._why_not_open),
            Act(id="answer", text=say("Answered…"), do=self._answer, shortcut="A", group=group,
                icon="check", when=self._why_not_open),
            Act(id="drop", text=say("Drop…"), do=self._drop, shortcut="D", group=group,
                icon="cross", when=self._why_not_open),
            Act(id="reopen", text=say("Open again"), do=self._reopen, shortcut="R", group=group,
                icon="again", when=self._why_not_closed),
            Act(id="make_site", text=say("Make a site of it…"), do=self._make_site, shortcut="M",
                group=group, icon="sites", when=self._why_no_site_to_make),
            Act(id="site", text=say("Open the site"), do=self._open_site, shortcut="S",
                group=group, icon="sites", when=self._why_no_site),
            Act(id="forget", text=say("Throw the draft away"), do=self._forget, shortcut="X",
                group=group, icon="cross", when=self._why_no_draft),
            Act(id="new", text=say("Log a call"), do=self._new, shortcut="N", group=group,
                icon="phone"),
        )  # fmt: skip

    # what comes home

    @Slot(object)
    def _arrived(self, calls: PhoneCalls) -> None:
        if self.sender() is not self._asked:
            return
        self._calls = calls
        rows = rows_of(self.desk, calls)
        self.list.show_rows(rows)
        self.none.setVisible(not rows)
        self.begin.setVisible(not rows)
        self.list.setVisible(bool(rows))
        n_late = sum(call.is_late for call in calls.waiting)
        told = [say_n("{n} call waits", "{n} calls wait", len(calls.waiting))]
        if n_late:
            told.append(say_n("{n} is late", "{n} are late", n_late))
        self.told.setText(" · ".join(told) if calls.waiting else say("nobody waits"))
        if self.list.chosen is None and rows:
            self.list.setCurrentIndex(self.list.rows.index(self.list.rows.step(-1, 1)))
        self._show_chosen()

    @Slot()
    def _show_chosen(self) -> None:
        self._ask("")
        call = self.chosen_call
        self.detail.setVisible(self.list.chosen is not None)
        self.detail.set_title(call.title if call else say("Not written yet"))
        lines = self._lines(call) if call else [say("Enter goes on with it."), "", "", "", "", ""]
        for words, text in zip(self.texts, lines, strict=True):
            words.setText(text)
            words.setVisible(bool(text))
        self.keys.refresh()
        for act_id, button in self.buttons.items():
            button.setVisible(self.keys[act_id].isEnabled())

    def _lines(self, call: CallLine) -> list[str]:
        desk = self.desk
        who = " · ".join(part for part in (call.caller, call.phone, call.locality) if part)
        what = call.symptom_text or say("nothing chosen")
        words = say("“{words}”", words=call.own_words) if call.own_words else ""
        at = desk.formats.time(desk.clock.minute_of(call.called_at))
        day = desk.formats.day(desk.clock.day_of(call.called_at), near=desk.today)
        called = say("called {day}, {time}, taken by {who}", day=day, time=at, who=call.taken_by)
        by = ""
        if call.promised_by_at is not None and call.state == "open":
            by = say("promised {by}", by=by_text(desk, call.promised_by_at))
        promise = " · ".join(p for p in (called, by, priority_words(call.priority)) if p)
        owed = say("Owed here: {what}", what=", ".join(call.owed)) if call.owed else ""
        before = ""
        if call.n_earlier:
            before = say_n("Called {n} time before", "Called {n} times before", call.n_earlier)
        return [who, what, words, "\n".join((promise, self._visit(call))), owed, before]

    def _visit(self, call: CallLine) -> str:
        desk, visit = self.desk, call.visit
        if visit is None:
            return say("No visit yet.") if call.state == "open" else ""
        if visit.arrived_at is not None:
            day = desk.formats.day(desk.clock.day_of(visit.arrived_at), near=desk.today)
            return say("Visited {day}. {did}", day=day, did=visit.did or visit.found)
        if visit.planned_on is None:
            return say("A visit without a day yet.")
        day = desk.formats.weekday(visit.planned_on)
        parts = [day, visit.technician]
        if visit.arrive_min is not None:
            parts.append(desk.formats.time(visit.arrive_min))
        return say("On a round: {when}", when=", ".join(part for part in parts if part))

    # doing

    def _why_no_row(self) -> str | None:
        return None if self.list.chosen is not None else say("No call is chosen.")

    def _why_not_open(self) -> str | None:
        call = self.chosen_call
        is_open = call is not None and call.state == "open"
        return None if is_open else say("Only a call that waits can be answered, dropped, placed.")

    def _why_not_closed(self) -> str | None:
        call = self.chosen_call
        is_closed = call is not None and call.state != "open"
        return None if is_closed else say("The call is open.")

    def _why_no_site(self) -> str | None:
        call = self.chosen_call
        has_site = call is not None and call.site_id is not None
        return None if has_site else say("This call has no site.")

    def _why_no_site_to_make(self) -> str | None:
        call = self.chosen_call
        if call is not None and call.state == "open" and call.site_id is None:
            return None
        return say("This call has a site, or it is closed.")

    def _why_no_draft(self) -> str | None:
        thing = self.list.chosen
        is_draft = isinstance(thing, tuple) and thing[0] == "draft"
        return None if is_draft else say("This call is written.")

    @Slot()
    def _act_pressed(self) -> None:
        self.keys.run(self.sender().objectName())

    @Slot(object, bool)
    def _open(self, thing: object, beside: bool) -> None:
        self.opened.emit(thing)

    @Slot()
    def _open_chosen(self) -> None:
        if self.list.chosen is not None:
            self.opened.emit(self.list.chosen)

    @Slot()
    def _new(self) -> None:
        self.opened.emit(("new",))

    def _open_site(self) -> None:
        call = self.chosen_call
        if call is not None and call.site_id is not None:
            self.site_wanted.emit(call.site_id)

    def _answer(self) -> None:
        self._ask("answer", say("What helped on the phone? (may stay empty)"))

    def _drop(self) -> None:
        self._ask("drop", say("Why does it need no answer?"))

    def _make_site(self) -> None:
        self._ask("make_site", say("The address of the new site"))

    def _reopen(self) -> None:
        call = self.chosen_call
        if call is not None:
            self.shell.change(reopen_call, self.desk, call.id, seen=call.revision)

    def _forget(self) -> None:
        thing = self.list.chosen
        if isinstance(thing, tuple) and thing[0] == "draft":
            job = self.shell.work.start_apart(_forget, self.desk, thing[1])
            job.failed.connect(self.shell.show_trouble)
            job.ended.connect(self.read)

    def _ask(self, doing: str, words: str = "") -> None:
        """Ask for one line before `doing`; "" asks for nothing."""
        self._doing = doing
        for widget in (self.ask_words, self.ask_row, self.write_it, self.leave_it):
            widget.setVisible(bool(doing))
        self.ask_words.setText(words)
        self.entry.clear()
        self.entry.setAccessibleName(words)
        self.ask_row.clear_wrong()
        if doing:
            self.entry.setFocus()

    @Slot()
    def _leave(self) -> None:
        self._ask("")
        self.list.setFocus()

    @Slot()
    def _entered(self) -> None:
        call, said = self.chosen_call, self.entry.text().strip()
        if call is None:
            return
        doing = self._doing
        if not said and doing != "answer":
            sentence = say("Write an address.") if doing == "make_site" else say("Say why.")
            self.ask_row.show_wrong(sentence)
            return
        desk, seen = self.desk, call.revision
        if doing == "answer":
            self.shell.change(answer_call, desk, call.id, seen=seen, how=said)
        elif doing == "drop":
            self.shell.change(drop_call, desk, call.id, why=said, seen=seen)
        elif doing == "make_site":
            self.shell.change(make_site_of_call, desk, call.id, NewSite(address=said), seen=seen)
        self._leave()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape and self._doing:
            self._leave()
            return
        super().keyPressEvent(event)


def _forget(desk: Desk, uid: str) -> None:
    drafts_of(desk).remove(uid)
