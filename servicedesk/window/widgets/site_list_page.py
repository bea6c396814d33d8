"""The first page of Sites: filters, search, table, map, and a look inside the chosen one."""

from collections.abc import Callable, Iterable, Sequence
from typing import Any

from PySide6.QtCore import QEvent, QObject, Qt, QTimer, Signal, Slot
from PySide6.QtGui import QAction, QKeyEvent, QResizeEvent
from PySide6.QtWidgets import (
    QAbstractButton,
    QButtonGroup,
    QHBoxLayout,
    QLineEdit,
    QVBoxLayout,
    QWidget,
)

from servicedesk.desk.office import Desk
from servicedesk.desk.sites import SiteRow
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.label import OneLine, Words
from servicedesk.window.widgets.sheet import Sheet
from servicedesk.window.widgets.site_at_hand import PICKED
from servicedesk.window.widgets.site_look import SiteLook
from servicedesk.window.widgets.site_map import SiteMap
from servicedesk.window.widgets.site_place_bar import PlaceBar
from servicedesk.window.widgets.site_rows import Flow
from servicedesk.window.widgets.site_table import SiteTable
from servicedesk.window.widgets.site_words import FILTER_ORDER, filter_words
from servicedesk.words import say, say_n

_SIDE_PX = 400
_LOOK_AFTER_MS = 220
_MAP_AFTER_MS = 160


class SiteListPage(QWidget):
    """Shows answers; asks for them with signals. `asked` is sent at every key of the search."""

    asked = Signal()
    looked_at = Signal(object)  # id that has been the chosen one for a moment

    def __init__(
        self,
        theme: Theme,
        desk: Callable[[], Desk],
        want: Callable[[Sequence[object]], object],
        new: QAction,
        tight: QAction,
    ) -> None:
        super().__init__()
        self._theme, self._desk, self._new, self._tight = theme, desk, new, tight
        self.filter, self.sort, self.descending = "all", "address", False
        self.sorted_by_hand = False
        self.picked_ids: frozenset[int] = frozenset()
        self._answered: object = None
        self.table = SiteTable(theme, desk, want)
        self.map = SiteMap(theme, metric=desk().company.units == "si")
        self.look = SiteLook(theme)
        self.place_bar = PlaceBar(theme)
        self.place_bar.hide()
        self.pills: dict[str, Button] = {}
        self._group = QButtonGroup(self)
        self._wait = QTimer(self)
        self._wait.setSingleShot(True)
        self._wait.setInterval(_LOOK_AFTER_MS)
        self._wait.timeout.connect(self._waited)
        self._listed: frozenset[int] | None = None
        self._map_wait = QTimer(self)
        self._map_wait.setSingleShot(True)
        self._map_wait.setInterval(_MAP_AFTER_MS)
        self._map_wait.timeout.connect(self._show_listed)
        self._build()

    @property
    def text(self) -> str:
        """What is searched for."""
        return self.search.text()

    def show_counts(self, counts: dict[str, int]) -> None:
        """Numbers on the filters; one that lets nothing through can still be asked."""
        for name, button in self.pills.items():
            words = filter_words(name)
            button.setText(f"{words} {counts[name]}" if name in counts else words)
            button.setAccessibleName(button.text())

    def show_answer(self, ids: Sequence[int], rows: dict[object, Any], total: int) -> None:
        """The sites that were asked for."""
        question = (self.filter, self.sort, self.descending, self.text)
        self.table.show_ids(ids, rows, keep=question == self._answered)
        self._answered = question
        self.table.show_sort(self.sort, descending=self.descending)
        everything = self.filter == "all" and not self.text.strip()
        self._listed = None if everything else frozenset(ids)
        self._map_wait.start()
        self.foot.set_text(self._foot(len(ids), total))
        self.none.setVisible(not ids)
        self.table.setVisible(bool(ids))
        self.none.setText(self._none_words(total))

    def choose_filter(self, name: str) -> None:
        """Let through other sites."""
        self.filter = name
        self.picked.setVisible(name == PICKED)
        (self.picked if name == PICKED else self.pills[name]).setChecked(True)
        self.place_bar.setVisible(name == "where")
        self.asked.emit()

    def show_picked(self, title: str, ids: Iterable[int]) -> None:
        """Let through these sites only, which another page picked and names."""
        self.picked_ids = frozenset(ids)
        self.picked.setText(f"{title} {len(self.picked_ids)}")
        self.picked.setAccessibleName(self.picked.text())
        self.choose_filter(PICKED)

    def ask_place(self) -> None:
        """Ask where the chosen site is, whatever the filter lets through."""
        self.place_bar.show()
        self.place_bar.field.setFocus()

    def sort_by(self, key: str) -> None:
        """Sort by a column; once more turns the order round. Numbers begin with the most."""
        self.sorted_by_hand = True
        if key == self.sort:
            self.descending = not self.descending
        else:
            self.sort, self.descending = key, key in ("calls", "owed", "last visit")
        self.asked.emit()

    def sort_next(self) -> None:
        """Sort by the next column that can be sorted by."""
        keys = [column.sort_key for column in self.table.rows.columns if column.sort_key]
        at = keys.index(self.sort) if self.sort in keys else -1
        self.sort_by(keys[(at + 1) % len(keys)])

    def turn_order(self) -> None:
        """The other way round."""
        self.sort_by(self.sort)

    def turn_tight(self) -> None:
        """One line a row, or two."""
        self.table.set_tight(not self.table.painter.tight)

    def find_in(self) -> None:
        """The keys go to the search field."""
        self.search.setFocus()
        self.search.selectAll()

    def row(self, site_id: object) -> SiteRow | None:
        """The row of a listed site, None if it is not at hand."""
        at = self.table.rows.row_of(site_id)
        found = self.table.rows.row_at(at) if at >= 0 else None
        return found if isinstance(found, SiteRow) else None

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if watched is not self.search or not isinstance(event, QKeyEvent):
            return False
        if event.type() != QEvent.Type.KeyPress:
            return False
        key = event.key()
        if key in (Qt.Key.Key_Down, Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.table.setFocus()
            return True
        if key == Qt.Key.Key_Escape and self.search.text():
            self.search.clear()
            return True
        return False

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit()

    # building

    def _build(self) -> None:
        theme = self._theme
        margin, gap = theme.tokens.space.page_margin, theme.tokens.space.sheet_gap
        outer = QVBoxLayout(self)
        outer.setContentsMargins(margin, 14, margin, 16)
        outer.setSpacing(12)
        outer.addLayout(self._head())
        outer.addWidget(self._filters())
        outer.addWidget(self.place_bar)
        row = QHBoxLayout()
        row.setSpacing(gap)
        row.addWidget(self._table_sheet(), 1)
        self.side = QWidget()
        side = QVBoxLayout(self.side)
        side.setContentsMargins(0, 0, 0, 0)
        side.setSpacing(gap)
        side.addWidget(self.map, 5)
        side.addWidget(self.look, 5)
        row.addWidget(self.side)
        outer.addLayout(row, 1)
        self.table.chosen.connect(self._chosen)
        self.table.sort_wanted.connect(self.sort_by)
        self.map.chosen.connect(self.table.choose)

    def _head(self) -> QHBoxLayout:
        theme = self._theme
        row = QHBoxLayout()
        row.setSpacing(14)
        row.addWidget(Words(theme, say("Sites"), role="page_title"))
        self.search = QLineEdit()
        self.search.setPlaceholderText(say("Address, name, phone, permit, number"))
        self.search.setAccessibleName(say("Search in the list of sites"))
        self.search.setClearButtonEnabled(False)
        self.search.setMaximumWidth(theme.px(380))
        self.search.textChanged.connect(self.asked)
        self.search.installEventFilter(self)
        row.addWidget(self.search, 1)
        row.addStretch(1)
        self.tight_button = Button(theme, say("Tight rows"), key="Z", small=True, shows_only=True)
        self.tight_button.clicked.connect(self._tight.trigger)
        self.new_button = Button(
            theme, say("New site"), icon_name="plus", kind="main", key="N", shows_only=True
        )
        self.new_button.clicked.connect(self._new.trigger)
        row.addWidget(self.tight_button)
        row.addWidget(self.new_button)
        return row

    def _filters(self) -> Flow:
        flow = Flow(gap=8)
        for name in FILTER_ORDER:
            button = Button(self._theme, filter_words(name), kind="pill")
            button.setObjectName(name)
            button.setChecked(name == "all")
            self._group.addButton(button)
            self.pills[name] = button
            flow.flow.addWidget(button)
        self.picked = Button(self._theme, "", kind="pill")
        self.picked.setObjectName(PICKED)
        self.picked.hide()
        self._group.addButton(self.picked)
        flow.flow.addWidget(self.picked)
        self._group.buttonClicked.connect(self._pill_pressed)
        return flow

    def _table_sheet(self) -> Sheet:
        theme = self._theme
        sheet = Sheet(theme)
        sheet.setAccessibleName(say("All sites"))
        self.none = Words(theme, "", color="ink2", wraps=True)
        self.none.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.none.hide()
        self.foot = OneLine(theme, "", role="second", color="ink2")
        sheet.body.addWidget(self.table, 1)
        sheet.body.addWidget(self.none, 1)
        foot = QHBoxLayout()
        foot.setContentsMargins(12, 0, 12, 0)
        foot.addWidget(self.foot)
        sheet.body.addLayout(foot)
        layout = sheet.layout()
        if layout is not None:
            layout.setContentsMargins(2, 2, 2, 8)
        return sheet

    def _fit(self) -> None:
        narrow = self.width() < self._theme.px(1150)
        wide = min(self._theme.px(_SIDE_PX), self.width() * (29 if narrow else 33) // 100)
        self.side.setFixedWidth(max(280, wide))

    def _foot(self, n: int, total: int) -> str:
        sorts = {c.sort_key: c.title for c in self.table.rows.columns if c.sort_key}
        counted = say("{n} of {total}", n=n, total=total) if n != total else say_n(
            "{n} site", "{n} sites", n)  # fmt: skip
        by = say("sorted by {column}", column=sorts.get(self.sort, "").lower())
        if self.text.strip() and not self.sorted_by_hand:
            by = say("best match first")
        return " · ".join((counted, by, say("Enter opens, Ctrl Enter opens beside")))

    def _none_words(self, total: int) -> str:
        if total == 0 and not self.text.strip():
            return say(
                "Here all sites will stand with their calls and inspections."
                " Press N and write the first one."
            )
        if self.text.strip():
            return say("No site holds all of “{text}”.", text=self.text.strip())
        return say("No site passes this filter.")

    # what is pressed

    @Slot(QAbstractButton)
    def _pill_pressed(self, pressed: QAbstractButton) -> None:
        self.choose_filter(pressed.objectName())

    @Slot(object)
    def _chosen(self, site_id: object) -> None:
        self.map.choose(site_id)
        self._wait.start()

    @Slot()
    def _show_listed(self) -> None:
        self.map.show_listed(self._listed)

    @Slot()
    def _waited(self) -> None:
        self.looked_at.emit(self.table.current_id)
