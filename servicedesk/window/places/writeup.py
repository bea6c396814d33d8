"""Write up the round: its stops in the order of the sheet, and the form of the one in hand."""

from collections.abc import Callable
from dataclasses import replace
from typing import ClassVar, cast

from PySide6.QtCore import Slot
from PySide6.QtGui import QHideEvent, QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from servicedesk.desk.checking import Wrong, WrongEntry
from servicedesk.desk.drafts import Drafts, drafts_of
from servicedesk.desk.office import Desk
from servicedesk.desk.writeup import write_up
from servicedesk.desk.writeup_drafts import draft_uid, entry_as_draft, entry_of_draft
from servicedesk.desk.writeup_entry import VisitEntry, first_entry, notes_of
from servicedesk.desk.writeup_form import (
    RoundStop,
    VisitForm,
)
from servicedesk.desk.writeup_items import unticked
from servicedesk.values.trouble import Trouble
from servicedesk.window.actions import Act, is_writing
from servicedesk.window.places.writeup_acts import writeup_acts
from servicedesk.window.places.writeup_reading import (
    HasDesk,
    Keep,
    Opened,
    Remove,
    StopsRead,
    nothing_open,
    open_visit,
    read_stops,
)
from servicedesk.window.places.writeup_verbs import FormVerbs
from servicedesk.window.shell import Shell
from servicedesk.window.widgets.label import Words
from servicedesk.window.widgets.sheet import Sheet
from servicedesk.window.widgets.writeup_drafts import DraftKeeper
from servicedesk.window.widgets.writeup_head import VisitHead
from servicedesk.window.widgets.writeup_notice import WriteUpNotice
from servicedesk.window.widgets.writeup_sheet import FormSheets
from servicedesk.window.widgets.writeup_stops import StopList
from servicedesk.words import say, say_n

_STOPS_PX = 206
_STOPS_NARROW_PX = 174
_NARROW_PX = 1100
_FORM_PX = 720  # a form narrower than this takes the room of the list


class WriteUpPlace(FormVerbs):
    """Go here with ("round", round id, day) or ("visit", visit id).

    Nothing is lost: each key goes into the draft of the visit, and only the change that writes
    the visit removes it.
    """

    name: ClassVar[str] = "writeup"
    drafts: ClassVar[Drafts | None] = None  # another place for the draft file, for tests

    def __init__(self, shell: Shell) -> None:
        self._ids: tuple[object, ...] = ()
        self._stops: tuple[RoundStop, ...] = ()
        self._set_aside: frozenset[int] = frozenset()
        self._wanted: int | None = None
        self._desk: Desk | None = None
        self.form: VisitForm | None = None
        self.sheets = None
        self._first: VisitEntry | None = None
        self._named: VisitEntry | None = None  # whose unticked lines were named already
        self._writing = False
        self._reread = False  # somebody touched the visit of the form
        super().__init__(shell)
        self.keeper = DraftKeeper(shell, self)
        self._build()

    def acts(self) -> tuple[Act, ...]:
        return writeup_acts(self)

    def title(self) -> str:
        return self.form.site.address if self.form is not None else ""

    def show_record(self, ids: tuple[object, ...]) -> None:
        if ids and ids != self._ids:
            self._ids = ids
            self._wanted = None
            self._close_form()
            self._ask_stops()

    def refresh(self, changed: object) -> None:
        if self._ids:
            self._reread = self._reread or self._touches_form(changed)
            self._ask_stops()

    def position(self) -> object:
        return self._wanted

    def restore(self, position: object) -> None:
        if isinstance(position, int):
            self._open(position)

    def first_focus(self) -> QWidget:
        return self.sheets.first_focus() if self.sheets is not None else self.list

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit()

    def _fit(self, *, list_wanted: bool = False) -> None:
        """A narrow list on a narrow page; none beside a form that needs the room itself."""
        width = self.width()
        narrow = width < self.theme.px(_NARROW_PX)
        self.round_sheet.setFixedWidth(self.theme.px(_STOPS_NARROW_PX if narrow else _STOPS_PX))
        margins = 2 * self.theme.tokens.space.page_margin
        left = width - margins - self.theme.px(_STOPS_NARROW_PX)
        is_tight = self.sheets is not None and left < self.theme.px(_FORM_PX)
        self.round_sheet.setVisible(list_wanted or not is_tight)

    def hideEvent(self, event: QHideEvent) -> None:
        self.keeper.save_here()
        super().hideEvent(event)

    # the verbs behind the keys

    @Slot()
    def set_aside(self) -> None:
        """Out of a field first; then leave the form as a draft and go to the list of stops."""
        sheets = self.sheets
        here = self.focusWidget()
        if sheets is not None and is_writing(here):
            sheets.end_editing()
            sheets.first_focus().setFocus()
            return
        self.keeper.save_draft()
        if self.form is not None and self._is_edited():
            self._set_aside |= {self.form.written.visit.id}
            self._show_stops()
            self.notice.say_kept(say("Set aside. What you wrote is kept as a draft."))
        self._fit(list_wanted=True)
        self.list.setFocus()

    def step_stop(self, by: int) -> None:
        """The stop before or after the one in hand."""
        ids = [stop.visit_id for stop in self._stops]
        if self._wanted in ids:
            at = ids.index(self._wanted) + by
            if 0 <= at < len(ids):
                self._open(ids[at])

    @Slot()
    def finish(self) -> None:
        """Write the visit, after naming what is not ticked; then the next stop."""
        if self.sheets is None or self.form is None or self._desk is None or self._writing:
            return
        self.sheets.end_editing()
        entry = self.sheets.entry
        try:
            notes = notes_of(self._desk, self.form, entry)
        except WrongEntry as wrong:
            self._show_wrong(wrong.wrong)
            return
        except Trouble as trouble:
            self.shell.show_trouble(trouble)
            return
        self._show_wrong(())
        came_in = any(job.outcome != "could not" for job in notes.jobs)
        missing = unticked(entry.leaving) if came_in else ()
        if missing and self._named != entry:
            self._named = entry
            self.notice.name_unticked(missing)
            return
        self._writing = True
        job = self.shell.work.start(write_up, self._desk, notes)
        job.done.connect(self._written)
        job.failed.connect(self._not_written)
        job.ended.connect(self._ended)

    # building

    def _build(self) -> None:
        margin = self.theme.tokens.space.page_margin
        gap = self.theme.tokens.space.sheet_gap
        row = QHBoxLayout(self)
        row.setContentsMargins(margin, 14, margin, 14)
        row.setSpacing(gap)
        self.round_sheet = Sheet(self.theme, say("Stops"))
        self.round_sheet.setFixedWidth(self.theme.px(_STOPS_PX))
        self.list = StopList(self.theme)
        self.round_sheet.body.addWidget(self.list, 1)
        row.addWidget(self.round_sheet)
        right = QVBoxLayout()
        right.setSpacing(10)
        self.head = VisitHead(self.theme)
        self.head.finish.connect(self.finish)
        self.head.aside.connect(self.set_aside)
        self.head.edited.connect(self._times_edited)
        self.notice = WriteUpNotice(self.theme)
        self.notice.pressed.connect(self._notice_pressed)
        self.empty = Words(
            self.theme,
            say("Choose a round that was handed out, or a visit: its form opens here."),
            color="ink2",
            wraps=True,
        )
        self._room = QVBoxLayout()
        right.addWidget(self.head)
        right.addWidget(self.notice)
        right.addLayout(self._room, 1)
        right.addWidget(self.empty)
        row.addLayout(right, 1)
        self.head.hide()
        self.list.chosen.connect(self._open)

    # reading

    def _touches_form(self, changed: object) -> bool:
        rows = getattr(changed, "rows", None)  # None: anything may have changed
        return rows is None or self._wanted in rows.get("visit", ())

    def _office(self) -> HasDesk:
        return cast(HasDesk, self.shell.office)

    def _ask_stops(self) -> None:
        job = self.shell.ask(read_stops, self._office(), self.drafts, self._ids)
        job.done.connect(self._stops_read)

    @Slot(object)
    def _stops_read(self, read: StopsRead) -> None:
        self._desk = read.desk
        self._stops, self._set_aside = read.stops, read.set_aside
        self._show_stops()
        if self._wanted is None and self._stops:
            waiting = [stop for stop in self._stops if not stop.is_done]
            self._open((waiting or list(self._stops))[0].visit_id)
        elif self._reread and self._wanted is not None and not self._is_edited():
            self._open(self._wanted)
        self._reread = False

    def _show_stops(self) -> None:
        done = sum(stop.is_done for stop in self._stops)
        total = len(self._stops)
        hint = say("{done} of {n} written", done=done, n=total) if total else ""
        self.round_sheet.set_title(say("Stops"), hint)
        if self._desk is not None:
            self.list.show_stops(
                self._stops, self._desk.formats, set_aside=self._set_aside, now=self._wanted
            )

    @Slot(int)
    def _open(self, visit_id: int) -> None:
        self.keeper.save_draft()
        self._wanted = visit_id
        job = self.shell.ask(open_visit, self._office(), self.drafts, visit_id)
        job.done.connect(self._opened)

    @Slot(object)
    def _opened(self, opened: Opened) -> None:
        form = opened.form
        if form.written.visit.id != self._wanted or self._writing:
            return  # another stop was chosen in the meantime
        is_same = self.form is not None and self.form.written.visit.id == self._wanted
        if is_same and self._is_edited():
            return  # somebody began to write in the meantime
        self._desk = opened.desk
        self._first = first_entry(opened.desk, form)
        self.notice.clear()
        entry = self._first
        if opened.draft is not None:
            entry = entry_of_draft(opened.draft, form)
            self._say_draft(opened, entry)
        elif form.is_done:
            self.notice.say_kept(say("Written up already; what you write now corrects it."))
        self._show_form(form, entry)

    def _say_draft(self, opened: Opened, entry: VisitEntry) -> None:
        if opened.draft is None or self._first is None:
            return
        if entry.seen != self._first.seen:
            self._show_theirs(entry)
            return
        at = opened.desk.clock
        when = opened.desk.formats.time(at.minute_of(opened.draft.saved_at))
        day = opened.desk.formats.day(at.day_of(opened.draft.saved_at), near=opened.desk.today)
        words = say("Your draft of {day}, {time} is here. Go on with it.", day=day, time=when)
        self.notice.offer(words, "afresh", say("Begin anew"))

    def _show_form(self, form: VisitForm, entry: VisitEntry) -> None:
        had_keys = self.isVisible() and (
            self.sheets is None
            or self.sheets.isAncestorOf(self.focusWidget() or self)
            or self.focusWidget() in (None, self, self.list, *self.head.times.values())
        )
        self._close_form()
        if self._desk is None:
            return
        self.form, self._named = form, None
        self.sheets = FormSheets(self.theme, self._desk, form, entry)
        self.sheets.edited.connect(self._edited)
        self.sheets.trouble.asked.connect(self.show_known)
        self._room.addWidget(self.sheets)
        self._fit()
        self.sheets.show()  # at once: the next key may come before the layout
        self.head.show_form(self._desk, form, entry)
        self.head.show()
        self.empty.hide()
        self._show_stops()
        self.keys.refresh()
        self.trail_changed.emit()
        if had_keys:
            self.sheets.first_focus().setFocus()

    def _close_form(self) -> None:
        if self.sheets is not None:
            self._room.removeWidget(self.sheets)
            self.sheets.hide()
            self.sheets.deleteLater()
        self.form, self.sheets = None, None
        self.head.hide()
        self.empty.show()
        self._fit()

    # writing

    def _is_edited(self) -> bool:
        return self.sheets is not None and self.sheets.entry != self._first

    @Slot()
    def _times_edited(self) -> None:
        if self.sheets is not None:
            arrived, left = (field.text() for field in self.head.times.values())
            self.sheets.entry = replace(self.sheets.entry, arrived=arrived, left=left)
            self._edited()

    @Slot()
    def _edited(self) -> None:
        self.keeper.keep(self._draft_write)

    def _draft_write(self) -> Callable[[], object]:
        """The write of the draft as it stands now; it runs on another thread."""
        if self.sheets is None or self.form is None or self._desk is None:
            return nothing_open
        draft = entry_as_draft(self._desk, self.form, self.sheets.entry)
        return Keep(self.drafts or drafts_of(self._desk), draft)

    def _drop(self, form: VisitForm) -> None:
        if self._desk is not None:
            drafts = self.drafts or drafts_of(self._desk)
            self.keeper.drop_draft(Remove(drafts, draft_uid(form)))
            self._set_aside -= {form.written.visit.id}

    def _show_wrong(self, wrong: tuple[Wrong, ...]) -> None:
        if self.sheets is None:
            return
        self.head.show_wrong({w.field: w.says for w in wrong if w.field in self.head.times})
        self.sheets.show_wrong(tuple(w for w in wrong if w.field not in self.head.times))
        if wrong:
            n = len(wrong)
            self.notice.say_wrong(
                say_n("{n} thing to mend first.", "{n} things to mend first.", n)
                + " "
                + wrong[0].says
            )
        else:
            self.notice.clear()

    @Slot(object)
    def _written(self, changed: object) -> None:
        self._writing = False
        if self.form is not None:
            done = self.form.written.visit.id
            self._drop(self.form)
            self._first = self.sheets.entry if self.sheets is not None else None
            self._stops = tuple(
                replace(stop, is_done=True) if stop.visit_id == done else stop
                for stop in self._stops
            )
            self._go_on(done)
        self.shell.bus.changed.emit(changed)

    def _go_on(self, done: int) -> None:
        ids = [stop.visit_id for stop in self._stops]
        at = ids.index(done) if done in ids else 0
        waiting = [s.visit_id for s in (*self._stops[at:], *self._stops[:at]) if not s.is_done]
        self._show_stops()
        if waiting:
            self._open(waiting[0])
        else:
            self._close_form()
            self.notice.say_done(say("The round is written up."))
            self.list.setFocus()

    @Slot(object)
    def _not_written(self, trouble: Trouble) -> None:
        """The trouble is shown, the form and its draft stay; what stands now is read."""
        self.shell.show_trouble(trouble)
        self.keeper.save_draft()
        if self.form is not None:
            visit_id = self.form.written.visit.id
            job = self.shell.work.start(open_visit, self._office(), self.drafts, visit_id)
            job.done.connect(self._read_theirs)

    @Slot(object)
    def _read_theirs(self, opened: Opened) -> None:
        if self.sheets is None or opened.form.written.visit.id != self._wanted:
            return
        self._first = first_entry(opened.desk, opened.form)
        self.form = self.sheets.form = opened.form
        if self._first.seen != self.sheets.entry.seen:
            self._show_theirs(self.sheets.entry)

    def _show_theirs(self, mine: VisitEntry) -> None:
        if (self._first is not None and self.form is not None) or self._first is not None:
            self.notice.show_both(mine, self._first)

    @Slot()
    def _ended(self) -> None:
        self._writing = False

    @Slot(str)
    def _notice_pressed(self, what: str) -> None:
        if self.form is None or self._first is None or self.sheets is None:
            return
        match what:
            case "afresh" | "theirs":
                self._drop(self.form)
                self.notice.clear()
                self._show_form(self.form, self._first)
            case "mine":
                self.notice.clear()
                self.sheets.entry = replace(self.sheets.entry, seen=self._first.seen)
                self._edited()
                self.sheets.first_focus().setFocus()
