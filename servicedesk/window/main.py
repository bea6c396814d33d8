"""The main window: spine, top bar, places, change line, and what lies over them.

It asks the office for little, see `office.Office`: company, counts, last change, undo, find.
Everything is asked on the store's worker; this file shows what comes home.
"""

from collections.abc import Sequence
from pathlib import Path

from PySide6.QtCore import Qt, Signal, Slot
from PySide6.QtGui import QCloseEvent
from PySide6.QtWidgets import (
    QFileDialog,
    QHBoxLayout,
    QMainWindow,
    QMenu,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from servicedesk.window.actions import Act, Actions
from servicedesk.window.frame_acts import frame_acts
from servicedesk.window.frame_keys import FrameKeys
from servicedesk.window.frame_read import FrameSeen, read_frame
from servicedesk.window.history import History, Visited
from servicedesk.window.office import ChangeSeen
from servicedesk.window.places.base import Place
from servicedesk.window.places.registry import PlaceKind, places
from servicedesk.window.seats import begin_seated
from servicedesk.window.settings import keep_geometry
from servicedesk.window.shell import Mishap, Shell, Wish
from servicedesk.window.theme import TEXT_SIZES
from servicedesk.window.widgets.change_line import ChangeLine
from servicedesk.window.widgets.changes import AllChanges
from servicedesk.window.widgets.find_box import FindBox
from servicedesk.window.widgets.first_run import FirstRun
from servicedesk.window.widgets.keys_page import KeysPage
from servicedesk.window.widgets.seat_sheet import SeatSheet
from servicedesk.window.widgets.spine import Spine
from servicedesk.window.widgets.top_bar import TopBar
from servicedesk.window.widgets.trouble_sheet import TroubleSheet
from servicedesk.words import say

SMALLEST = (1180, 660)
_CHANGES_SHOWN = 200
_SEAT_MENU = ("seat", "setup", "keys", "text_larger", "text_smaller", "text_usual", "quit")
STORE_TROUBLE = 3  # the exit code of a Trouble whose change could not be written


class MainWindow(QMainWindow):
    """One window on one office. `ready` is sent when the first page stands."""

    ready = Signal()
    beside = Signal(object)  # Wish: open it in a second window

    def __init__(self, shell: Shell, kinds: Sequence[PlaceKind] | None = None) -> None:
        super().__init__()
        self.shell = shell
        self.theme = shell.theme
        self._kinds = {kind.id: kind for kind in (places() if kinds is None else kinds)}
        self._built: dict[str, Place] = {}
        self._stale: dict[str, object] = {}
        self._history = History()
        self._first_run: FirstRun | None = None
        self._is_ready = False
        self._last_id: int | None = None
        self.setWindowTitle(say("Service desk"))
        self.setMinimumSize(*SMALLEST)
        self.acts = Actions(self, self.theme, frame_acts(self, tuple(self._kinds.values())))
        FrameKeys(self, self.acts.table())
        self._build()
        shell.wanted.connect(self._go)
        shell.troubled.connect(self._show_mishap)
        shell.bus.changed.connect(self._changed)
        shell.bus.minute.connect(self._look_again)
        shell.work.began.connect(self.change_line.long_work.watch)
        self.read_frame()

    # what the frame shows

    def read_frame(self) -> None:
        """Ask for company, counts and last change anew."""
        job = self.shell.ask(read_frame, self.shell.office)
        job.done.connect(self._show_frame)

    @property
    def place(self) -> Place | None:
        """The place shown, None before the first."""
        shown = self.stack.currentWidget()
        return shown if isinstance(shown, Place) else None

    @property
    def history(self) -> History:
        """The pages visited."""
        return self._history

    def all_acts(self) -> tuple[Act, ...]:
        """The frame's actions and those of the place shown."""
        here = self.place.keys.table() if self.place is not None else ()
        return self.acts.table() + here

    def run_act(self, act_id: str) -> str | None:
        """Do an action of the place shown or of the frame; why not, if it cannot be done."""
        if self.place is not None and act_id in {act.id for act in self.place.keys.table()}:
            return self.place.keys.run(act_id)
        return self.acts.run(act_id)

    # verbs of the frame, called by its actions

    def go_to(self, place_id: str) -> None:
        """Show the first page of a place."""
        self.shell.go(place_id)

    def back(self) -> None:
        """The page before."""
        self._walk(-1)

    def forward(self) -> None:
        """The page after."""
        self._walk(1)

    def open_find(self) -> None:
        """The find box."""
        self.find_box.open_box()

    def log_call(self) -> None:
        """A new call, with the cursor in *Who and where*."""
        self.shell.go("phone", "new")

    def undo(self) -> None:
        """Take back this person's latest change."""
        self.shell.change(self.shell.office.undo)

    def redo(self) -> None:
        """Do again what was last taken back."""
        self.shell.change(self.shell.office.redo)

    def undo_change(self, change_id: int) -> None:
        """Take back one change of the list."""
        self.shell.change(self.shell.office.undo_change, change_id)

    def open_changes(self) -> None:
        """The list of all changes."""
        self.all_changes.open_list()
        self._read_changes()

    def ask_seat(self) -> None:
        """Who sits here? Cannot be put off while nobody does."""
        self.seat_sheet.ask_who()

    def open_keys(self) -> None:
        """The keys of this page."""
        self.keys_page.open_with_acts(self.all_acts())

    def text_larger(self) -> None:
        """The next larger text size."""
        self._text_step(1)

    def text_smaller(self) -> None:
        """The next smaller text size."""
        self._text_step(-1)

    def text_usual(self) -> None:
        """Text at 100 %."""
        self.theme.set_text_size(100)

    def next_sheet(self, by: int = 1) -> None:
        """F6: keys to the next part of the window: spine, top, page, foot."""
        now = self.focusWidget()
        parts: list[QWidget] = [self.spine, self.top_bar, self.stack, self.change_line]
        at = next((i for i, part in enumerate(parts) if now and part.isAncestorOf(now)), 2)
        for step in range(1, len(parts) + 1):
            if _focus_first(parts[(at + by * step) % len(parts)]):
                return

    def why_no_back(self) -> str | None:
        """Why one cannot go back."""
        return None if self._history.can_back else say("There is no page before this one.")

    def why_no_forward(self) -> str | None:
        """Why one cannot go forward."""
        return None if self._history.can_forward else say("There is no page after this one.")

    def closeEvent(self, event: QCloseEvent) -> None:
        keep_geometry(self.saveGeometry())
        super().closeEvent(event)

    # building

    def _build(self) -> None:
        self.stack = QStackedWidget()
        self.spine = Spine(self.theme, tuple(self._kinds.values()), self._seat_menu())
        self.spine.chosen.connect(self.go_to)
        self.top_bar = TopBar(
            self.theme,
            back=self.acts["back"],
            forward=self.acts["forward"],
            find=self.acts["find"],
            log_call=self.acts["log_call"] if "phone" in self._kinds else None,
        )
        self.change_line = ChangeLine(
            self.theme, undo=self.acts["undo"], all_changes=self.acts["all_changes"]
        )
        right = QVBoxLayout()
        right.setSpacing(0)
        for widget in (self.top_bar, self.stack, self.change_line):
            right.addWidget(widget)
        self._frame = QWidget()
        row = QHBoxLayout(self._frame)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(0)
        row.addWidget(self.spine)
        row.addLayout(right, 1)
        self._whole = QStackedWidget()
        self._whole.addWidget(self._frame)
        self.setCentralWidget(self._whole)
        self.find_box = FindBox(self.shell, self._whole, self.all_acts, self.run_act)
        self.all_changes = AllChanges(self.theme, self._whole, self.undo_change)
        self.keys_page = KeysPage(self.theme, self._whole)
        self.trouble_sheet = TroubleSheet(self.theme, self._whole)
        self.seat_sheet = SeatSheet(self.shell, self._whole)
        self.acts.refresh()

    def _seat_menu(self) -> QMenu:
        menu = QMenu(self)
        for act_id in _SEAT_MENU:
            if act_id in {act.id for act in self.acts.table()}:
                menu.addAction(self.acts[act_id])
        return menu

    # what comes home

    @Slot(object)
    def _show_frame(self, seen: FrameSeen) -> None:
        if seen.company is None:
            self._show_first_run(seen.ways)
            self._tell_ready()
            return
        if self._first_run is not None:
            self._whole.setCurrentWidget(self._frame)
            self._whole.removeWidget(self._first_run)
            self._first_run.deleteLater()
            self._first_run = None
        self.spine.show_company(seen.company.name_lines)
        self.spine.seat.show_seat(seen.company.seat_name, seen.company.seat_kind)
        self.seat_sheet.show_seat(seen.company.seat_name)
        live = {place_id: place.count() for place_id, place in self._built.items()}
        known = {place_id: n for place_id, n in live.items() if n is not None}
        self.spine.show_counts({**seen.counts, **known})
        self._last_id = seen.last.change_id if seen.last is not None else None
        self.change_line.show_change(seen.last)
        self.change_line.show_standing(seen.company.standing)
        self.setWindowTitle(" ".join(part for part in seen.company.name_lines if part))
        if self._history.now is None and self._kinds:
            self.shell.go(next(iter(self._kinds)))
        self.acts.refresh()
        if self.place is not None:
            self.place.keys.refresh()
        self._tell_ready()

    def _tell_ready(self) -> None:
        if not self._is_ready:
            self._is_ready = True
            self.ready.emit()

    def _show_first_run(self, ways: Sequence[str]) -> None:
        if self._first_run is None:
            needed = {"spreadsheet": "bring_in", "empty": "setup"}
            offered = [way for way in ways if needed.get(way, "") in ("", *self._kinds)]
            self._first_run = FirstRun(self.theme, offered)
            self._first_run.chosen.connect(self._begin)
            self._whole.addWidget(self._first_run)
        self._whole.setCurrentWidget(self._first_run)
        self._first_run.first_focus().setFocus()

    @Slot(str)
    def _begin(self, way: str) -> None:
        match way:
            case "spreadsheet":
                self._choose_file(way, say("Choose a spreadsheet"))
            case "empty":
                self._whole.setCurrentWidget(self._frame)
                self.shell.go("setup", "company")
            case "open" | "backup":
                self._choose_file(way, say("Choose a store"))
            case _:
                self._begin_with(way, "")

    def _choose_file(self, way: str, title: str) -> None:
        dialog = QFileDialog(self, title)
        dialog.setObjectName(way)
        dialog.setFileMode(QFileDialog.FileMode.ExistingFile)
        dialog.fileSelected.connect(self._file_chosen)
        dialog.open()

    @Slot(str)
    def _file_chosen(self, path: str) -> None:
        way = self.sender().objectName()
        if way == "spreadsheet":
            self._whole.setCurrentWidget(self._frame)
            self.shell.go("bring_in", Path(path))
        else:
            self._begin_with(way, path)

    def _begin_with(self, way: str, path: str) -> None:
        where = Path(path) if path else None
        title = say("Making the sample") if way == "sample" else say("Opening the store")
        self.shell.change(begin_seated, self.shell.office, way, where, title=title)

    @Slot(object)
    def _changed(self, touched: object) -> None:
        self.read_frame()
        if self.all_changes.isVisible():
            self._read_changes()
        for place_id, place in self._built.items():
            if place is self.place:
                place.refresh(touched)
            else:
                # more than one change since it was last seen: read everything
                self._stale[place_id] = touched if place_id not in self._stale else None

    @Slot()
    def _look_again(self) -> None:
        """Once a minute: did another seat change something? Then everything is read anew."""
        job = self.shell.work.start(self.shell.office.last_change)
        job.done.connect(self._compare)

    @Slot(object)
    def _compare(self, last: ChangeSeen | None) -> None:
        if last is not None and last.change_id != self._last_id:
            self._last_id = last.change_id
            self._changed(None)

    def _read_changes(self) -> None:
        job = self.shell.ask(self.shell.office.changes, _CHANGES_SHOWN)
        job.done.connect(self.all_changes.show_changes)

    @Slot(object)
    def _show_mishap(self, mishap: Mishap) -> None:
        if mishap.trouble.exit_code == STORE_TROUBLE and mishap.again is not None:
            self.change_line.show_failed()
        self.trouble_sheet.show_trouble(mishap.trouble, mishap.again)

    # going about

    @Slot(object)
    def _go(self, wish: Wish) -> None:
        if wish.place not in self._kinds:
            raise KeyError(f"no place is called {wish.place}")
        if wish.beside:
            self.beside.emit(wish)
            return
        if self.place is not None:
            self._history.leave_at(self.place.position())
        self._history.visit(Visited(wish.place, wish.ids))
        self._show(wish.place, wish.ids)

    def _walk(self, by: int) -> None:
        if self.place is not None:
            self._history.leave_at(self.place.position())
        page = self._history.step(by)
        if page is not None:
            self._show(page.place, page.ids).restore(page.position)

    def _show(self, place_id: str, ids: tuple[object, ...]) -> Place:
        place = self._built.get(place_id)
        if place is None:
            place = self._built[place_id] = self._kinds[place_id].build(self.shell)
            place.trail_changed.connect(self._show_trail)
            self.stack.addWidget(place)
            place.refresh(None)
        elif place_id in self._stale:
            place.refresh(self._stale.pop(place_id))
        place.show_record(ids)
        self.stack.setCurrentWidget(place)
        self.spine.show_place(place_id)
        self._show_trail()
        self.acts.refresh()
        place.keys.refresh()
        place.first_focus().setFocus()
        return place

    @Slot()
    def _show_trail(self) -> None:
        if self.place is not None:
            self.top_bar.trail.show_parts((self._kinds[self.place.name].title, self.place.title()))

    def _text_step(self, by: int) -> None:
        at = TEXT_SIZES.index(self.theme.text_size) + by
        self.theme.set_text_size(TEXT_SIZES[min(max(at, 0), len(TEXT_SIZES) - 1)])


def _focus_first(part: QWidget) -> bool:
    for child in part.findChildren(QWidget):
        takes = child.focusPolicy() & Qt.FocusPolicy.TabFocus
        if takes and child.isVisible() and child.isEnabled():
            child.setFocus(Qt.FocusReason.TabFocusReason)
            return True
    return False
