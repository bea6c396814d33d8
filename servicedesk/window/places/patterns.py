"""Patterns: what keeps failing, and is it chance? Rows with ranges, one of them acted on."""

from typing import ClassVar

from PySide6.QtCore import Qt, Slot
from PySide6.QtWidgets import QHBoxLayout, QScrollArea, QVBoxLayout, QWidget

from servicedesk.desk.pattern_page import FactorRows, GroupRow
from servicedesk.desk.pattern_papers import head_text
from servicedesk.desk.pattern_seen import (
    PatternsSeen,
    chosen_at_first,
    key_of,
    owing_of,
    patterns_seen,
    tried_in_vain,
)
from servicedesk.desk.pattern_shown import ids_of, row_key
from servicedesk.desk.pattern_tried import Key, Tried
from servicedesk.desk.patterns import Pattern, owe_pattern
from servicedesk.window.actions import Act
from servicedesk.window.places.base import DeskPlace
from servicedesk.window.places.patterns_acts import pattern_acts, put_words
from servicedesk.window.places.patterns_papers import PatternPapers, ask_costs
from servicedesk.window.places.registry import places
from servicedesk.window.shell import Shell
from servicedesk.window.widgets.label import Words
from servicedesk.window.widgets.notice import Notice
from servicedesk.window.widgets.patterns_chart import ChartSheet
from servicedesk.window.widgets.patterns_detail import Detail
from servicedesk.window.widgets.patterns_head import PatternsHead
from servicedesk.window.widgets.setup_form import Forms
from servicedesk.window.widgets.spine import Spine
from servicedesk.window.work import Job
from servicedesk.words import say


class PatternsPlace(DeskPlace):
    """Worked out on the worker; what stood here before stays until that is done."""

    name: ClassVar[str] = "patterns"

    def __init__(self, shell: Shell) -> None:
        self._seen: PatternsSeen | None = None
        self._tried: dict[Key, Tried] = {}
        self._ticked: dict[Key, set[int]] = {}
        self._by_hand: set[Key] = set()  # patterns whose systems a person chose
        self._wanted: Key | None = None
        self._job: Job | None = None
        super().__init__(shell)
        self._forms = Forms(shell, self)
        self.chart = ChartSheet(self.theme)
        self.rows = self.chart.rows
        self.detail = Detail(self.theme)
        self.exposed = self.detail.exposed.rows
        self.notice = Notice(self.theme, say("Open the folder"))
        self._papers = PatternPapers(shell, self.notice, self)
        self.state = Words(self.theme, color="ink2", wraps=True)
        self._build()
        self.rows.stood.connect(self._stood)
        self.rows.opened.connect(self._open_row)
        self.exposed.opened.connect(self._open_site)
        self.exposed.ticked_changed.connect(self._chosen_by_hand)
        self.chart.everything_changed.connect(self._show_rows)

    def _build(self) -> None:
        margin = self.theme.tokens.space.page_margin
        self.side = QScrollArea()
        self.side.setWidgetResizable(True)
        self.side.setFrameShape(QScrollArea.Shape.NoFrame)
        self.side.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.side.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.side.setWidget(self.detail)
        self.pages = QWidget()
        halves = QHBoxLayout(self.pages)
        halves.setContentsMargins(0, 0, 0, 0)
        halves.setSpacing(self.theme.tokens.space.sheet_gap)
        halves.addWidget(self.chart, 1)
        halves.addWidget(self.side, 1)
        column = QVBoxLayout(self)
        column.setContentsMargins(margin, 12, margin, 14)
        column.setSpacing(10)
        self.head = PatternsHead(self.theme, self.keys)
        column.addWidget(self.head)
        column.addWidget(self.notice)
        column.addWidget(self.state)
        column.addWidget(self.pages, 1)
        column.addStretch(0)
        self.pages.hide()
        told, exposed, costs = self.detail.told, self.detail.exposed, self.detail.costs
        for act, button in (
            ("put", told.put), ("choose", told.choose), ("more", exposed.more),
            ("all", exposed.all), ("sites", exposed.sites), ("costs", costs.change),
            ("everything", self.chart.everything),
        ):  # fmt: skip
            button.clicked.connect(self.keys[act].trigger)
            self.keys[act].enabledChanged.connect(button.setEnabled)

    # what the frame asks

    def acts(self) -> tuple[Act, ...]:
        return pattern_acts(self)

    def title(self) -> str:
        found = self._row_at(ids_of(self.rows.current)) if self.rows.current else None
        return found[1].label if found else ""

    def show_record(self, ids: tuple[object, ...]) -> None:
        """`ids`: a factor and a group; () leaves what is chosen."""
        if len(ids) == 2:
            self._wanted = (str(ids[0]), str(ids[1]))
            self._show_wanted()

    def refresh(self, changed: object) -> None:
        """Owed work alone changes no figure; for everything else the page is worked out anew."""
        touched = getattr(changed, "rows", None)
        if self._seen is not None and touched is not None and set(touched) <= {"owed"}:
            self._read_owing()
        else:
            self.compute()

    def count(self) -> int | None:
        return self._seen.n_waiting if self._seen is not None else None

    def position(self) -> object:
        return self.rows.current, self.chart.is_everything, self.side.verticalScrollBar().value()

    def restore(self, position: object) -> None:
        if isinstance(position, tuple) and len(position) == 3:
            if position[1] != self.chart.is_everything:
                self.turn_everything()
            self.rows.stand_on(str(position[0]))
            self.side.verticalScrollBar().setValue(int(position[2]))

    def first_focus(self) -> QWidget:
        return self.rows if self.pages.isVisibleTo(self) else self

    # reading

    def compute(self) -> None:
        """Work the page out on the worker; an earlier try is dropped."""
        if self._job is not None:
            self._job.cancel()
        self._job = self.shell.ask(patterns_seen, self.desk, title=say("Working out patterns"))
        self._job.done.connect(self._arrived)
        self._job.stopped.connect(self._stopped)
        self._job.failed.connect(self._stopped)
        self._job.crashed.connect(self._stopped)
        self.head.again.hide()
        if self._seen is None:
            self.state.setText(
                say("Working out which groups stand out, and whether it is chance …")
            )
            self.state.show()

    @Slot(object)
    def _arrived(self, seen: PatternsSeen) -> None:
        if self.sender() is not self._job:
            return
        self._job = None
        self.show_seen(seen)
        job = self.shell.ask(tried_in_vain, self.desk)
        job.done.connect(self._tried_known)

    @Slot()
    def _stopped(self) -> None:
        if self.sender() is not self._job:
            return
        self._job = None
        self.state.setText(
            say("Stopped before it was done.")
            if self._seen is None
            else say("Stopped: what stands here was worked out before the last changes.")
        )
        self.state.show()
        self.head.again.show()

    @Slot(object)
    def _tried_known(self, tried: dict[Key, Tried]) -> None:
        self._tried = tried
        self._show_told()

    def _read_owing(self) -> None:
        if self._seen is not None:
            job = self.shell.ask(owing_of, self.desk, self._seen.page)
            job.done.connect(self._owing_known)

    @Slot(object)
    def _owing_known(self, owing: dict[Key, frozenset[int]]) -> None:
        if self._seen is None:
            return
        before, self._seen = self._seen, PatternsSeen(self._seen.page, owing)
        for key, ids in owing.items():
            gone = before.owing.get(key, frozenset()) - ids
            # what was taken back is chosen again; what is owed now no longer is
            self._ticked[key] = (self._ticked.get(key, set()) | gone) - ids
        self._show_told()
        self._tell_count()

    # showing

    def show_seen(self, seen: PatternsSeen) -> None:
        """Show a page that was worked out."""
        self._seen, page = seen, seen.page
        had = self.pages.isVisibleTo(self)
        self.head.of.set_text(head_text(self.desk, page))
        self.state.setVisible(not page.factors)
        self.head.again.hide()
        if not page.factors:
            self.state.setText(
                say("Too little has failed yet to compare anything. Rows appear here by themselves "
                    "as visits with what was found are written.")
            )  # fmt: skip
        self.pages.setVisible(bool(page.factors))
        for one in page.patterns:
            known = {e.system_id for e in one.exposed}
            owing = seen.owing.get(key_of(one), frozenset())
            kept = self._ticked.get(key_of(one), set()) if key_of(one) in self._by_hand else None
            first = chosen_at_first(one, owing) if kept is None else kept
            self._ticked[key_of(one)] = (set(first) & known) - owing
        self._show_rows()
        self._tell_count()
        if not had and self.isVisible() and (self.hasFocus() or not self._has_keys()):
            self.first_focus().setFocus()
        self.keys.refresh()

    def _has_keys(self) -> bool:
        """Whether some part of this window has the keys already."""
        return self.window().focusWidget() not in (None, self, self.window())

    @Slot()
    def _show_rows(self) -> None:
        if self._seen is None:
            return
        page = self._seen.page
        self.chart.show_page(page, self.desk.formats)
        shown = [row.key for row in self.rows.placed]
        first = page.patterns[0] if page.patterns else None
        if self.rows.current not in shown:
            best = row_key(first.factor_id, first.group_id) if first else ""
            self.rows.current = ""
            self.rows.stand_on(best if best in shown else (shown[0] if shown else ""))
        self._show_wanted()
        self._show_told()

    def _show_wanted(self) -> None:
        if self._wanted is None or self._seen is None:
            return
        wanted, self._wanted = row_key(*self._wanted), None
        if self._row_at(ids_of(wanted)) is None:
            return
        if not self.rows.stand_on(wanted):
            self.turn_everything()
            self.rows.stand_on(wanted)

    def _show_told(self) -> None:
        found = self._row_at(ids_of(self.rows.current)) if self.rows.current else None
        if found is None or self._seen is None:
            return
        pattern = self.pattern
        tried = self._tried.get(key_of(pattern)) if pattern else None
        self.detail.show_row(self.desk, self._seen.page, *found, pattern, tried)
        if pattern is not None:
            key = key_of(pattern)
            owing = self._seen.owing.get(key, frozenset())
            self.detail.exposed.show_pattern(
                self.desk, pattern, self._ticked.setdefault(key, set()), owing
            )
        self._show_choice()
        self.trail_changed.emit()

    @Slot()
    def _chosen_by_hand(self) -> None:
        if self.pattern is not None:
            self._by_hand.add(key_of(self.pattern))
        self._show_choice()

    def _show_choice(self) -> None:
        pattern = self.pattern
        if pattern is not None and self._seen is not None:
            n_owing = len(self._seen.owing.get(key_of(pattern), frozenset()))
            self.detail.told.show_choice(put_words(pattern, len(self.exposed.ticked)), n_owing)
            self.detail.exposed.show_counts()
        self.keys.refresh()

    def _tell_count(self) -> None:
        """The spine asks for counts after changes only; this one is known later."""
        spine = self.window().findChild(Spine)
        if isinstance(spine, Spine) and self.name in spine.buttons:
            spine.buttons[self.name].set_count(self.count() or 0)

    @property
    def pattern(self) -> Pattern | None:
        """The pattern of the chosen row, None where it does not stand out."""
        if self._seen is None or not self.rows.current:
            return None
        return self._seen.pattern(ids_of(self.rows.current))

    def _row_at(self, key: Key) -> tuple[FactorRows, GroupRow] | None:
        if self._seen is None:
            return None
        for factor in self._seen.page.factors:
            for row in factor.rows:
                if (factor.id, row.id) == key:
                    return factor, row
        return None

    # verbs

    def put(self) -> None:
        """Owe the pattern's work at the chosen systems: one change, which can be taken back."""
        pattern = self.pattern
        if pattern is not None and self.exposed.ticked:
            self.shell.change(owe_pattern, self.desk, pattern, frozenset(self.exposed.ticked))

    def choose(self) -> None:
        """Keys to the systems still exposed."""
        self.exposed.setFocus(Qt.FocusReason.ShortcutFocusReason)
        self.side.verticalScrollBar().setValue(self.detail.exposed.y())

    def to_rows(self) -> None:
        """Keys back to the rows."""
        self.first_focus().setFocus(Qt.FocusReason.ShortcutFocusReason)

    def exposed_all(self) -> None:
        """Choose all systems, or none."""
        self.exposed.turn_all()

    def show_in_sites(self) -> None:
        """The systems still exposed in the list and on the map of all sites."""
        if self.pattern is not None:
            ids = frozenset(one.site_id for one in self.pattern.exposed)
            self.shell.go("sites", "picked", say("Exposed: {title}", title=self.pattern.title), ids)

    def write_sheet(self) -> None:
        """The rows shown as a spreadsheet beside the store."""
        if self._seen is not None:
            self._papers.write_sheet(
                self.desk, self._seen.page, everything=self.chart.is_everything
            )

    def write_wall(self) -> None:
        """The paper for the shop wall, beside the store."""
        if self._seen is not None:
            self._papers.write_wall(self.desk, self._seen.page, self._tried)

    def ask_costs(self) -> None:
        """The form for what an hour and a callback cost, and how many years are counted."""
        if self._seen is not None:
            ask_costs(self._forms, self.desk, self._seen.page.assumed)

    def turn_everything(self) -> None:
        """All that is compared, or only what stands out."""
        self.chart.turn_everything()

    def turn_more(self) -> None:
        """All systems exposed, or the first."""
        self.exposed.show_all(long=not self.exposed.is_long)
        self.detail.exposed.show_counts()

    @Slot(str)
    def _stood(self, _key: str) -> None:
        self.side.verticalScrollBar().setValue(0)
        self._show_told()

    @Slot(str, bool)
    def _open_row(self, _key: str, _beside: bool) -> None:
        if self.pattern is not None:
            self.choose()

    @Slot(str, bool)
    def _open_site(self, key: str, beside: bool) -> None:
        one = self.exposed.exposed_of(key)
        if one is not None and any(kind.id == "sites" for kind in places()):
            self.shell.go("sites", one.site_id, beside=beside)

    def why_no_page(self) -> str | None:
        """Why nothing can be done yet."""
        return None if self._seen is not None else say("It is not worked out yet.")

    def why_no_pattern(self) -> str | None:
        """Why nothing can be done about the chosen row."""
        return None if self.pattern is not None else say("Choose a row that stands out first.")

    def why_not_put(self) -> str | None:
        """Why no work can be put on visits."""
        if self.pattern is not None and not self.exposed.ticked:
            return say("Choose at least one of the systems still exposed (E, then Space).")
        return self.why_no_pattern()
