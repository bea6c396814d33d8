"""Phone: who called, what did we promise? The list of calls, and the page that writes one."""

from typing import ClassVar

from PySide6.QtCore import Slot
from PySide6.QtWidgets import QStackedWidget, QVBoxLayout, QWidget

from servicedesk.desk.drafts import Draft
from servicedesk.desk.office import Desk
from servicedesk.desk.phone_page import WrittenCall, written_call
from servicedesk.window.places.base import Place
from servicedesk.window.places.registry import places
from servicedesk.window.shell import Shell
from servicedesk.window.widgets.call_draft import drafts_here, from_draft
from servicedesk.window.widgets.call_page import CallPage
from servicedesk.window.widgets.event_part import EventPart
from servicedesk.window.widgets.phone_list import PhoneList


class PhonePlace(Place):
    """() is the list; ("new",), ("new", site), ("call", id) and ("draft", uid) a call.

    A new call that is not written yet is gone on with when one comes back to ("new",).
    """

    name: ClassVar[str] = "phone"

    def __init__(self, shell: Shell) -> None:
        super().__init__(shell)
        self._wanted: tuple[object, ...] = ()
        self.events = EventPart(shell)
        self.events.left.connect(self._to_keys)
        self.list = PhoneList(shell, self.events)
        self.list.opened.connect(self._open)
        self.list.site_wanted.connect(self._open_site)
        self.call = CallPage(shell)
        self.call.left.connect(self._left)
        self.call.titled.connect(self.trail_changed)
        self.call.keeper.kept.connect(self._kept)
        self.stack = QStackedWidget()
        self.stack.addWidget(self.list)
        self.stack.addWidget(self.call)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        column.addWidget(self.events)
        column.addWidget(self.stack, 1)
        self.keys = self.list.keys
        shell.bus.minute.connect(self._minute)

    @property
    def is_writing(self) -> bool:
        """Whether the call page is shown."""
        return self.stack.currentWidget() is self.call

    def title(self) -> str:
        return self.call.title() if self.is_writing else ""

    def show_record(self, ids: tuple[object, ...]) -> None:
        self._wanted = ids
        match ids:
            case ("new",):
                self._show_new(None)
            case ("new", int() as site_id):
                self._show_new(site_id)
            case ("call", int() as call_id):
                self._show_written(call_id)
            case ("draft", str() as uid):
                job = self.shell.work.start_apart(_draft, self._desk, uid)
                job.done.connect(self._resume)
                job.failed.connect(self.shell.show_trouble)
                self._show(self.call)
            case _:
                self._show(self.list)
                self.list.read()

    def refresh(self, changed: object) -> None:
        if self.is_writing:
            self.call.read_anew()
        self.list.read()

    def position(self) -> object:
        return None if self.is_writing else self.list.list.chosen

    def restore(self, position: object) -> None:
        if position is not None and not self.is_writing:
            self.list.list.choose(position)

    def first_focus(self) -> QWidget:
        if self.is_writing:
            return self.call.first_focus()
        return self.list.list if self.list.list.isVisibleTo(self.list) else self.list.begin

    @property
    def _desk(self) -> Desk:
        found: Desk = self.shell.office.desk  # type: ignore[attr-defined]
        return found

    def _show(self, page: QWidget) -> None:
        self.stack.setCurrentWidget(page)
        self.keys = self.call.keys if page is self.call else self.list.keys
        self.trail_changed.emit()

    def _show_new(self, site_id: int | None) -> None:
        goes_on = self.call.is_begun and self.call.call_id is None
        same = site_id is None or site_id == self.call.who.site_id
        if not (goes_on and same):
            self.call.keep_aside()
            self.call.begin(site_id)
        self._show(self.call)

    def _show_written(self, call_id: int) -> None:
        if not (self.call.is_begun and self.call.call_id == call_id):
            self.call.keep_aside()
            job = self.shell.ask(written_call, self._desk, call_id)
            job.done.connect(self._edit)
        self._show(self.call)

    @Slot(object)
    def _edit(self, written: WrittenCall) -> None:
        if self._wanted == ("call", written.draft.call_id):
            self.call.edit(written)
            self.call.first_focus().setFocus()

    @Slot(object)
    def _resume(self, draft: Draft | None) -> None:
        if draft is None:
            self.shell.go("phone")
        elif self._wanted == ("draft", draft.uid):
            self.call.keep_aside()
            call, seen, promised = from_draft(draft)
            self.call.resume(call, seen=seen, promised=promised)
            self.call.first_focus().setFocus()

    @Slot(object)
    def _open(self, ids: object) -> None:
        if isinstance(ids, tuple):
            self.shell.go("phone", *ids)

    @Slot(int)
    def _open_site(self, site_id: int) -> None:
        if any(kind.id == "sites" for kind in places()):
            self.shell.go("sites", site_id)

    @Slot()
    def _to_keys(self) -> None:
        if self.isVisible():
            self.first_focus().setFocus()

    @Slot()
    def _left(self) -> None:
        if self.isVisible():
            self.shell.go("phone")
        else:  # written while one was elsewhere already
            self._show(self.list)

    @Slot()
    def _kept(self) -> None:
        if not self.is_writing:
            self.list.read()

    @Slot()
    def _minute(self) -> None:
        if self.isVisible() and not self.is_writing:
            self.list.read()


def _draft(desk: Desk, uid: str) -> Draft | None:
    """A draft by its uid, None if it is gone."""
    with drafts_here(desk) as drafts:
        return next((one for one in drafts.all("call") if one.uid == uid), None)
