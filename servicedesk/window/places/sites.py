"""Sites: what is there, what happened? The list with its map, and one site's file."""

from collections.abc import Sequence
from functools import partial
from operator import attrgetter
from typing import Any, ClassVar, Protocol, cast

from PySide6.QtCore import Qt, QTimer, Slot
from PySide6.QtWidgets import QStackedWidget, QVBoxLayout, QWidget

from servicedesk.desk.office import Desk
from servicedesk.desk.sitefile import SiteFile, site_file
from servicedesk.desk.sites import SiteRow, filter_counts, site_ids, site_rows
from servicedesk.values.position import PositionSource
from servicedesk.window.actions import Act
from servicedesk.window.places.base import Place
from servicedesk.window.places.registry import places
from servicedesk.window.places.sites_acts import acts_of
from servicedesk.window.places.sites_contracts import CONTRACTS
from servicedesk.window.places.sites_placing import Placing
from servicedesk.window.shell import Shell
from servicedesk.window.widgets import site_forms as forms
from servicedesk.window.widgets.setup_form import Forms
from servicedesk.window.widgets.site_at_hand import PICKED, Answer, SitesAtHand, read_list
from servicedesk.window.widgets.site_file_page import SiteFilePage
from servicedesk.window.widgets.site_list_page import SiteListPage
from servicedesk.window.widgets.site_map import points_of, villages_of
from servicedesk.window.work import Job
from servicedesk.words import say

_PAGE = 200
_MAP_AFTER_MS = 250
_ASK_AFTER_MS = 110


class _HasDesk(Protocol):
    desk: Desk


class SitesPlace(Place):
    """List and file. All rows are kept once read; a change of the store makes them be read anew."""

    name: ClassVar[str] = "sites"

    def __init__(self, shell: Shell) -> None:
        self._site_id: int | None = None
        super().__init__(shell)
        self._at_hand = SitesAtHand()
        self._all: tuple[int, ...] = ()
        self._missing: list[int] = []
        self._asking: Job | None = None
        self._question = ("all", "address", False)
        self._is_search = False
        self._filling: Job | None = None
        self._looking: Job | None = None
        self._reading: Job | None = None
        self._opens_new = False
        self._forms = Forms(shell, self)
        self.list = SiteListPage(
            self.theme, self._desk_now, self._want, self.keys["new"], self.keys["tight"]
        )
        self.list.map.use(shell, self._desk_now)
        self.file = SiteFilePage(self)
        self.views = QStackedWidget()
        self.views.addWidget(self.list)
        self.views.addWidget(self.file)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.views)
        self._map_soon = QTimer(self)
        self._map_soon.setSingleShot(True)
        self._map_soon.setInterval(_MAP_AFTER_MS)
        self._map_soon.timeout.connect(self._show_map)
        self._ask_soon = QTimer(self)
        self._ask_soon.setSingleShot(True)
        self._ask_soon.setInterval(_ASK_AFTER_MS)
        self._ask_soon.timeout.connect(self.ask)
        self._fill_soon = QTimer(self)
        self._fill_soon.setSingleShot(True)
        self._fill_soon.timeout.connect(self._fill_next)
        self.list.asked.connect(self._asked)
        self.list.looked_at.connect(self._look_inside)
        self.list.table.opened.connect(self.open_site)
        self.list.look.open.clicked.connect(self.open_chosen)
        self.list.look.call.clicked.connect(self.log_call)
        self._placing = Placing(shell, self.list, self._desk_now)

    @property
    def _rows(self) -> dict[object, SiteRow]:
        return self._at_hand.rows

    @property
    def desk(self) -> Desk:
        """The desk of this window."""
        return cast(_HasDesk, self.shell.office).desk

    # what the frame asks

    def acts(self) -> tuple[Act, ...]:
        return acts_of(self)

    def title(self) -> str:
        return self.file.address if self._site_id is not None else ""

    def show_record(self, ids: tuple[object, ...]) -> None:
        """`ids`: the key of a site, perhaps CONTRACTS; () is the list; "picked", a title and keys:
        these of them.
        """
        if len(ids) == 3 and ids[0] == PICKED:
            self._at_hand.forget_lists()
            self.list.show_picked(cast(str, ids[1]), cast("frozenset[int]", ids[2]))
        wanted = ids[0] if ids and isinstance(ids[0], int) else None
        self._site_id = wanted
        self.views.setCurrentWidget(self.list if wanted is None else self.file)
        if wanted is not None:
            self.file.begin(wanted)
            self.file.contracts.come_to(wanted=CONTRACTS in ids)
            self._read_file()
        self.keys.refresh()
        self.trail_changed.emit()

    def refresh(self, changed: object) -> None:
        """Everything anew: a call or a visit shows in the row of its site."""
        self._missing = []
        self._at_hand.forget_lists()
        self.ask()
        everything = self.shell.ask(site_ids, self.desk)
        everything.done.connect(self._all_known)
        job = self.shell.ask(filter_counts, self.desk)
        job.done.connect(self.list.show_counts)
        if self._site_id is not None:
            self._read_file()

    def position(self) -> object:
        page = self.list
        return (page.filter, page.text, page.table.current_id, self.file.scrolled)

    def restore(self, position: object) -> None:
        if not isinstance(position, tuple) or len(position) != 4:
            return
        self.file.scroll_to(position[3])
        if self._site_id is None:
            self.list.table.choose(position[2])

    def first_focus(self) -> QWidget:
        if self._site_id is not None:
            return self.file.first_focus()
        return self.list.table if self.list.table.isVisibleTo(self.list) else self.list.search

    @property
    def is_settled(self) -> bool:
        """Is everything read?"""
        jobs = (self._asking, self._filling, self._looking, self._reading)
        return not any(jobs) and not self._missing and not self._ask_soon.isActive()

    # the list

    @Slot()
    def _asked(self) -> None:
        """A key of the search is answered from the rows at hand; the store follows in a moment."""
        page = self.list
        if not page.text.strip():
            self._ask_soon.stop()
            self.ask()
            return
        found = self._at_hand.search((page.filter, page.sort, page.descending), page.text)
        if found is not None:
            self._show(found)
        self._ask_soon.start()

    def _show(self, ids: Sequence[int]) -> None:
        known = self._rows
        rows: dict[object, Any] = {i: known[i] for i in ids if i in known}
        self.list.show_answer(ids, rows, len(self._all) or len(ids))

    @Slot()
    def ask(self) -> None:
        """Ask for the sites that pass filter and search; an earlier question is dropped."""
        if self._asking is not None:
            self._asking.cancel()
        page = self.list
        by_match = bool(page.text.strip()) and not page.sorted_by_hand
        self._question = (page.filter, page.sort, page.descending)
        self._is_search = bool(page.text.strip())
        self._asking = self.shell.ask(
            read_list,
            self.desk,
            page.text,
            page.filter,
            None if by_match else page.sort,
            page.descending,
            frozenset(self._rows),
            page.picked_ids,
        )
        self._asking.done.connect(self._answered)
        self._asking.ended.connect(self._ended)

    @Slot(object)
    def _answered(self, answer: Answer) -> None:
        if self.sender() is not self._asking:
            return  # a later question is on its way
        self._asking = None
        self._at_hand.put(answer.rows)
        if not self._is_search:
            self._at_hand.put_list(self._question, answer.ids)
        self._show(answer.ids)
        self._fill_next()

    @Slot(object)
    def _all_known(self, ids: Sequence[int]) -> None:
        self._all = tuple(ids)
        self._at_hand.keep_only(ids)
        first = [i for i in self.list.table.rows.ids[:_PAGE] if isinstance(i, int)]
        kept = set(first)
        self._missing = first + [i for i in ids if i not in kept]
        if not ids:
            self._show_map()
        self._fill_next()

    def _want(self, ids: Sequence[object]) -> None:
        wanted = [i for i in ids if isinstance(i, int) and i not in self._rows]
        known = set(wanted)
        self._missing = wanted + [i for i in self._missing if i not in known]
        self._fill_soon.start()

    @Slot()
    def _fill_next(self) -> None:
        """Rows come a page at a time, so that a key typed meanwhile never waits for all."""
        if self._filling is not None or not self._missing:
            return
        page, self._missing = self._missing[:_PAGE], self._missing[_PAGE:]
        self._filling = self.shell.ask(site_rows, self.desk, page)
        self._filling.done.connect(self._filled)
        self._filling.ended.connect(self._ended)

    @Slot(object)
    def _filled(self, rows: Sequence[SiteRow]) -> None:
        self._filling = None
        found: dict[object, SiteRow] = {row.id: row for row in rows}
        self._at_hand.put(rows)
        self.list.table.rows.put(found)
        if self._missing:
            self._fill_next()
        else:
            self._map_soon.start()
        if self.list.table.current_id in found:
            self._show_look()

    @Slot()
    def _show_map(self) -> None:
        rows = [self._rows[i] for i in self._all if i in self._rows]
        home = self.desk.company.position
        self.list.map.show_points(points_of(rows), villages_of(rows), home)

    @Slot(object)
    def _look_inside(self, site_id: object) -> None:
        self._show_look()
        if self._looking is not None:
            self._looking.cancel()
            self._looking = None
        if isinstance(site_id, int) and self._site_id is None:
            self._looking = self.shell.ask(site_file, self.desk, site_id)
            self._looking.done.connect(self._looked)
            self._looking.ended.connect(self._ended)

    def _show_look(self) -> None:
        row = self.list.row(self.list.table.current_id)
        has_phone = any(kind.id == "phone" for kind in places())
        self.list.look.show_row(row, self.desk, has_phone=has_phone)
        if not self.list.place_bar.isHidden():
            near = row.locality if row is not None else ""
            self.list.place_bar.show_site(
                row.address if row is not None else "", self.desk, near=near
            )

    @Slot(object)
    def _looked(self, file: SiteFile) -> None:
        if self.sender() is self._looking and file.head.id == self.list.table.current_id:
            self.list.look.show_file(file, self.desk)

    @Slot(object, bool)
    def open_site(self, site_id: object, beside: bool) -> None:
        """Open the file of a site."""
        self.shell.go("sites", site_id, beside=beside)

    @Slot()
    def open_chosen(self) -> None:
        """Open the file of the chosen site."""
        if self.list.table.current_id is not None:
            self.open_site(self.list.table.current_id, False)

    @Slot()
    def log_call(self) -> None:
        """A new call from the chosen site, or from the one that is open."""
        site = self._site_id if self._site_id is not None else self.list.table.current_id
        self.shell.go("phone", "new", site)

    def search(self) -> None:
        """The keys go to the search field of the list, or of the history."""
        if self._site_id is None:
            self.list.find_in()
        else:
            self.file.history.find_in()

    def new_site(self) -> None:
        """The form for a new site."""
        form = self._forms.form(self.desk)
        form.open_form(
            say("New site"),
            forms.new_site_fields(self.desk),
            {"role": "owner", "dispersal": "", "position_source": PositionSource.MAP},
            forms.WriteNewSite(self.desk),
            button=say("Write the site"),
            hint=say("Only the address is needed; the rest can come later."),
        )
        self._opens_new = True
        form.written.connect(self._open_new, Qt.ConnectionType.UniqueConnection)

    @Slot(object)
    def _open_new(self, touched: Any) -> None:
        if not self._opens_new:
            return
        self._opens_new = False
        for site_id in getattr(touched, "rows", {}).get("site", ()):
            self.shell.go("sites", site_id)

    def place_site(self) -> None:
        """Ask where the chosen site is, or the one that is open."""
        wanted = self._site_id if self._site_id is not None else self.list.table.current_id
        if self._site_id is not None:
            self.shell.go("sites")
        self.list.table.choose(wanted)
        self.list.ask_place()
        self._show_look()

    # the file

    @property
    def forms(self) -> Forms:
        """The form of this place."""
        return self._forms

    def _read_file(self) -> None:
        if self._site_id is None:
            return
        if self._reading is not None:
            self._reading.cancel()
        self._reading = self.shell.ask(self.file.read, self.desk, self._site_id)
        self._reading.done.connect(self._file_read)
        self._reading.ended.connect(self._ended)

    @Slot(object)
    def _file_read(self, seen: Any) -> None:
        if self.sender() is self._reading and seen.file.head.id == self._site_id:
            self.file.show_seen(seen)
            self.trail_changed.emit()

    @Slot()
    def _ended(self) -> None:
        job = self.sender()
        for name in ("_asking", "_filling", "_looking", "_reading"):
            if getattr(self, name) is job:
                setattr(self, name, None)

    def why_no_file(self) -> str | None:
        """Why nothing can be done in a file; None where one is open."""
        return None if self._site_id is not None else say("Open a site first.")

    def list_verb(self, verb: str) -> Any:
        """An act that the list does."""
        return partial(self._do_on_list, verb)

    def _do_on_list(self, verb: str) -> None:
        if self._site_id is None:
            getattr(self.list, verb)()

    def file_verb(self, verb: str) -> Any:
        """An act that the file page or a part of it does, such as "visits.plan"."""
        return partial(self._do_on_file, verb)

    def trouble_verb(self, verb: str) -> Any:
        """An act that the part about troubles does."""
        return partial(self._on_trouble, verb)

    def trouble_why(self, reason: str) -> Any:
        """Why that part cannot do it."""
        return partial(self._why_no_trouble, reason)

    def _on_trouble(self, verb: str) -> Any:
        return getattr(self.file.trouble, verb)()

    def _why_no_trouble(self, reason: str) -> Any:
        return self.why_no_file() or self._on_trouble(reason)

    def _do_on_file(self, verb: str) -> None:
        attrgetter(verb)(self.file)()

    def _desk_now(self) -> Desk:
        return self.desk
