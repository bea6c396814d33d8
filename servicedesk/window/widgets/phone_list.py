"""Who called and what did we promise: calls set aside, calls that wait, calls that are closed."""

from PySide6.QtCore import Qt, Signal, Slot
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QHBoxLayout, QLineEdit, QVBoxLayout, QWidget

from servicedesk.desk.callbacks import CallLine, answer_call, drop_call, reopen_call
from servicedesk.desk.intake import make_site_of_call
from servicedesk.desk.office import Desk
from servicedesk.desk.site_entry import NewSite
from servicedesk.window.actions import Act, Actions
from servicedesk.window.models.row_delegate import RowPainter
from servicedesk.window.shell import Shell
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.call_draft import drafts_here
from servicedesk.window.widgets.call_sheets import scrolled
from servicedesk.window.widgets.event_part import EventPart
from servicedesk.window.widgets.field import SentenceField
from servicedesk.window.widgets.label import Words
from servicedesk.window.widgets.phone_rows import PhoneCalls, detail_lines, phone_calls, rows_of
from servicedesk.window.widgets.sheet import Sheet
from servicedesk.window.widgets.today_rows import RowsView
from servicedesk.words import say, say_n


class PhoneList(QWidget):
    """`opened` carries ids for the place: ("call", 12), ("draft", uid), ("new",)."""

    opened = Signal(object)
    site_wanted = Signal(int)

    def __init__(self, shell: Shell, events: EventPart) -> None:
        super().__init__()
        self.events = events
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
        self.storm = Button(
            self.theme, say("Storm, outage, flood"), key="E", shows_only=True, icon_name="bolt"
        )
        self.storm.clicked.connect(self.events.open_form)
        head.addWidget(self.storm)
        column.addLayout(head)
        sides = QHBoxLayout()
        sides.setSpacing(space.sheet_gap)
        self.sheet = sheet = Sheet(self.theme, say("Calls"), say("oldest promise first"))
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
        sheet.body.addStretch()  # without calls the words stay at the top
        self.none.hide()  # until it is known
        self.begin.hide()
        sides.addWidget(sheet, 17)
        self.detail = Sheet(self.theme)
        self._fill_detail()
        sides.addWidget(scrolled([self.detail], space.sheet_gap), 10)
        column.addLayout(sides, 1)

    def _fill_detail(self) -> None:
        self.texts = [Words(self.theme, color=color, wraps=True) for color in (
            "ink", "ink", "ink2", "ink2", "ochre", "plum")]  # fmt: skip
        for words in self.texts:
            self.detail.body.addWidget(words)
        self.buttons: dict[str, Button] = {}
        for act in self._acts():
            if act.id in ("new", "event", "still"):
                continue
            key = act.shortcuts[0] if act.shortcuts else "Return"  # the list hears Enter
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
            Act(id="open", text=say("Open"), do=self._open_chosen, group=group,
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
            Act(id="phoned", text=say("Phoned…"), do=self._phoned, shortcut="B", group=group,
                icon="phone", when=self._why_not_in_event),
            Act(id="leave", text=say("Out of the event, or into it"), do=self._leave_or_join,
                shortcut="L", group=group, when=self._why_no_event),
            Act(id="new", text=say("Log a call"), do=self._new, shortcut="N", group=group,
                icon="phone"),
            Act(id="event", text=say("Many calls of one cause: a storm, an outage, a flood"),
                do=self.events.open_form, shortcut="E", group=group, icon="bolt"),
            Act(id="still", text=say("Let those still calling leave the event"), shortcut="K",
                do=self.events.let_still_calling_leave, group=group, when=self._why_none_still),
        )  # fmt: skip

    # what comes home

    @Slot(object)
    def _arrived(self, calls: PhoneCalls) -> None:
        if self.sender() is not self._asked:
            return
        self._calls = calls
        self.events.show_work(calls.work)
        self.storm.setVisible(calls.work is None)
        hint = say("oldest promise first")
        if calls.work is not None:
            hint = say("danger first, then who was not phoned yet, then by road")
        self.sheet.set_title(say("Calls"), hint)
        rows = rows_of(self.desk, calls)
        self.list.show_rows(rows)
        self._show_empty(is_empty=not rows)
        n_late = sum(call.is_late for call in calls.waiting)
        told = [say_n("{n} call waits", "{n} calls wait", len(calls.waiting))]
        if n_late:
            told.append(say_n("{n} is late", "{n} are late", n_late))
        self.told.setText(" · ".join(told) if calls.waiting else say("nobody waits"))
        if self.list.chosen is None and rows:
            self.list.setCurrentIndex(self.list.rows.index(self.list.rows.step(-1, 1)))
        self._show_chosen()

    def _show_empty(self, *, is_empty: bool) -> None:
        """The list, or what begins it; whoever had the keys hands them on."""
        leaves, comes = (self.list, self.begin) if is_empty else (self.begin, self.list)
        had_keys = leaves.hasFocus()
        comes.show()
        if had_keys:
            comes.setFocus()
        leaves.hide()
        self.none.setVisible(is_empty)

    @Slot()
    def _show_chosen(self) -> None:
        self._ask("")
        call = self.chosen_call
        self.detail.setVisible(self.list.chosen is not None)
        self.detail.set_title(call.title if call else say("Not written yet"))
        lines = (
            detail_lines(self.desk, call)
            if call
            else [say("Enter goes on with it."), "", "", "", "", ""]
        )
        for words, text in zip(self.texts, lines, strict=True):
            words.setText(text)
            words.setVisible(bool(text))
        self.keys.refresh()
        for act_id, button in self.buttons.items():
            button.setVisible(self.keys[act_id].isEnabled())

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

    def _why_no_event(self) -> str | None:
        if self.chosen_call is not None and self._calls.work is not None:
            return None
        return say("No event runs, or no call is chosen.")

    def _why_none_still(self) -> str | None:
        work = self._calls.work
        return None if work is not None and work.still else say("Nobody still calls a day later.")

    def _why_not_in_event(self) -> str | None:
        call, work = self.chosen_call, self._calls.work
        if call is not None and work is not None and call.event_id == work.event.id:
            return self._why_not_open()
        return say("Only calls of an event that runs are worked by phone first.")

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

    def _leave_or_join(self) -> None:
        call = self.chosen_call
        if call is not None:
            self.events.leave_or_join(call)

    def _phoned(self) -> None:
        self._ask("phoned", say("What were they told? (may stay empty)"))

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
        if not said and doing not in ("answer", "phoned"):
            sentence = say("Write an address.") if doing == "make_site" else say("Say why.")
            self.ask_row.show_wrong(sentence)
            return
        desk, seen = self.desk, call.revision
        if doing == "phoned":
            self.events.phoned(call, said)
        elif doing == "answer":
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
    with drafts_here(desk) as drafts:
        drafts.remove(uid)
