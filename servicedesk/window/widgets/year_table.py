"""The table of contracts that end: cost beside price, what was kept, the next price, the decision.

All rows are in memory: a year of 3,000 contracts is a few megabytes.
"""

from collections.abc import Callable, Sequence

from PySide6.QtCore import QModelIndex, QPointF, QRectF, Qt, Signal, Slot
from PySide6.QtGui import QKeyEvent, QMouseEvent, QResizeEvent
from PySide6.QtWidgets import QTableView

from servicedesk.desk.office import Desk
from servicedesk.desk.year_rows import YearRow
from servicedesk.desk.year_words import signed, whole
from servicedesk.window.ink import Ink
from servicedesk.window.models import Index
from servicedesk.window.models.lazy_table import Column, LazyTable
from servicedesk.window.models.roles import Role
from servicedesk.window.models.row_delegate import CellPainter, two_lines
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.plain_table import set_up_plain
from servicedesk.words import say, say_n
from servicedesk.words.formats import UNKNOWN

TICK, SITE, ENDS, DONE, COST, KEPT, NEXT, WHY, DECISION = range(9)
# px at 100 %; the site and the flags share what is left
_WIDTHS = {TICK: 30, ENDS: 72, DONE: 100, COST: 134, KEPT: 78, NEXT: 84, DECISION: 140}
_NARROW, _TIGHT, _TINY = 800, 690, 640


def year_columns(desk: Callable[[], Desk]) -> tuple[Column, ...]:
    """Heading, words and sort key of each column."""

    def day(row: YearRow) -> str:
        return desk().formats.day(row.ends_on, near=row.ends_on)

    def year(row: YearRow) -> str:
        return "" if row.ends_on.year == desk().today.year else str(row.ends_on.year)

    def money(minor: int | None) -> str:
        return UNKNOWN if minor is None else whole(desk(), minor)

    return (
        Column("", lambda _r: ""),
        Column(say("Site"), lambda r: r.address, lambda r: r.holder, sort_key="site",
               tip=lambda r: f"{r.address}, {r.locality} · {r.holder}"),
        Column(say("Ends"), day, year, sort_key="ends"),
        Column(say("Visits, calls"), visits_words, lambda r: calls_words(desk(), r),
               sort_key="calls", tip=lambda r: f"{visits_words(r)}, {calls_words(desk(), r)}"),
        Column(say("Cost of the year"), lambda r: money(r.cost_minor),
               lambda r: say("of {money}", money=money(r.now_minor)), sort_key="cost"),
        Column(say("Kept"), lambda r: UNKNOWN if r.kept_minor is None
               else signed(desk(), r.kept_minor), right=True, sort_key="kept"),
        Column(say("Next year"), lambda r: money(r.next_minor), lambda r: r.rise, right=True,
               sort_key="next", tip=lambda r: say("now {money}", money=money(r.now_minor))),
        Column(say("Why"), lambda r: "; ".join(r.short), tip=lambda r: "; ".join(r.flags)),
        Column(say("Decision"), lambda r: r.words, lambda r: r.offer, sort_key="decision",
               tip=lambda r: r.offer or r.words),
    )  # fmt: skip


def visits_words(row: YearRow) -> str:
    """As "2 of 3 done"; unknown where the contract does not run."""
    if row.n_done is None or row.n_owed is None:
        return UNKNOWN
    return say("{n} of {all} done", n=row.n_done, all=row.n_done + row.n_owed)


def calls_words(desk: Desk, row: YearRow) -> str:
    """As "4 of 1.1 calls": called, and to expect in a year."""
    if row.calls_expected is None:
        return say_n("{n} call", "{n} calls", row.n_calls)
    expected = desk.formats.number(round(row.calls_expected, 1))
    return say("{n} of {expected} calls", n=row.n_calls, expected=expected)


class YearPainter(CellPainter):
    """Bars where a bar says it sooner than a number; every bar has its number beside it."""

    def __init__(self, theme: Theme, desk: Callable[[], Desk], table: "YearTable") -> None:
        super().__init__(theme, parent=table)
        self._desk, self._table = desk, table
        self.most_cost = 1

    def set_rows(self, rows: Sequence[YearRow]) -> None:
        """Bars of all rows have one scale; a few far out of it end at the edge."""
        costs = sorted(max(r.cost_minor or 0, r.now_minor or 0) for r in rows) or [1]
        self.most_cost = max(1, costs[int(0.97 * (len(costs) - 1))])

    def paint_cell(self, ink: Ink, box: QRectF, index: Index) -> None:
        row = index.data(Role.ROW)
        if not isinstance(row, YearRow):
            return
        match index.column():
            case 0:
                self._paint_tick(ink, box, row)
            case 3:
                self._paint_done(ink, box, row)
            case 4:
                self._paint_cost(ink, box, row)
            case 5:
                self._paint_kept(ink, box, row)
            case 6:
                lead = str(index.data(Qt.ItemDataRole.DisplayRole))
                two_lines(ink, box, lead, row.rise, align="right", lead=True)
            case 7:
                self._paint_flags(ink, box, row)
            case 8:
                self._paint_decision(ink, box, row)
            case _:
                super().paint_cell(ink, box, index)

    def _paint_tick(self, ink: Ink, box: QRectF, row: YearRow) -> None:
        side = float(self.theme.px(15))
        place = QRectF(box.center().x() - side / 2, box.center().y() - side / 2, side, side)
        ticked = row.contract_id in self._table.ticked
        ink.panel(place, fill="water" if ticked else "sheet", edge="water" if ticked else "edge",
                  radius=3)  # fmt: skip
        if ticked:
            ink.icon("check", place.adjusted(1, 1, -1, -1), "on_water")

    def _paint_done(self, ink: Ink, box: QRectF, row: YearRow) -> None:
        """Inspections as discs, below them the calls beside those to expect."""
        half = box.height() / 2
        upper = QRectF(box.left(), box.top() + self.theme.px(3), box.width(), half)
        lower = QRectF(box.left(), box.top() + half - self.theme.px(1), box.width(), half)
        self._paint_visits(ink, upper, row)
        words = calls_words(self._desk(), row)
        ink.text(lower, words, role="second", color="clay" if row.is_above else "ink2",
                 weight=600 if row.is_above else 0)  # fmt: skip

    def _paint_visits(self, ink: Ink, box: QRectF, row: YearRow) -> None:
        if row.n_done is None or row.n_owed is None:
            ink.text(box, UNKNOWN, color="ink3")
            return
        n = row.n_done + row.n_owed
        if not n:
            ink.text(box, say("none"), color="ink3")
            return
        step = min(float(self.theme.px(15)), box.width() / n)
        size = min(float(self.theme.px(9)), step * 0.7)
        for k in range(n):
            middle = QPointF(box.left() + size / 2 + 1 + k * step, box.center().y())
            done = k < row.n_done
            ink.mark("disc", middle, size, "moss" if done else "water", filled=done)

    def _paint_cost(self, ink: Ink, box: QRectF, row: YearRow) -> None:
        """The bar up to the price in ink, beyond it hatched; the upright is the price."""
        if row.cost_minor is None:
            ink.text(box, UNKNOWN, color="ink3", align="right")
            return
        words_wide = float(self.theme.px(62))
        room = box.adjusted(0, 0, -words_wide - 6, 0)
        high = float(self.theme.px(10))
        top = room.center().y() - high / 2

        def x_of(minor: int) -> float:
            return room.width() * min(1.0, minor / self.most_cost)

        ink.panel(QRectF(room.left(), top, room.width(), high), fill="sunken", radius=2)
        within = min(row.cost_minor, row.now_minor or row.cost_minor)
        ink.panel(QRectF(room.left(), top, x_of(within), high), fill="ink3", radius=2)
        if row.now_minor is not None:
            price = room.left() + x_of(row.now_minor)
            if row.cost_minor > row.now_minor:
                over = QRectF(
                    price, top, max(3.0, x_of(row.cost_minor) - x_of(row.now_minor)), high
                )
                ink.panel(over, fill="soft.clay", edge="clay", radius=1)
                ink.hatch(over.adjusted(1, 1, -1, -1), "clay", gap=4)
            ends = QPointF(price, top - 3), QPointF(price, top + high + 3)
            ink.line(*ends, "ink", width=2)
        words = QRectF(box.right() - words_wide, box.top(), words_wide, box.height())
        brought = UNKNOWN if row.now_minor is None else whole(self._desk(), row.now_minor)
        two_lines(ink, words, whole(self._desk(), row.cost_minor), say("of {money}", money=brought),
                  align="right")  # fmt: skip

    def _paint_kept(self, ink: Ink, box: QRectF, row: YearRow) -> None:
        if row.kept_minor is None:
            ink.text(box, UNKNOWN, color="ink3", align="right")
            return
        color = "moss" if row.kept_minor >= 0 else "clay"
        words = signed(self._desk(), row.kept_minor)
        ink.text(box, words, role="row_lead", color=color, align="right")

    def _paint_flags(self, ink: Ink, box: QRectF, row: YearRow) -> None:
        if not row.short:
            ink.text(box, UNKNOWN, color="ink3")
            return
        first, second = wrapped_two("; ".join(row.short), lambda t: ink.width_of(t, "second"),
                                    box.width())  # fmt: skip
        high = self.theme.metrics("second").height()
        top = box.center().y() - (high if second else high / 2)
        for n, words in enumerate(one for one in (first, second) if one):
            place = QRectF(box.left(), top + n * high, box.width(), high)
            ink.text(place, words, role="second", color="ink2")

    def _paint_decision(self, ink: Ink, box: QRectF, row: YearRow) -> None:
        """A chip where somebody decided, words with a question mark where we only propose."""
        high = float(self.theme.px(24))
        lower = self.theme.metrics("axis").height() if row.offer else 0.0
        top = box.center().y() - (high + lower) / 2
        wide = min(box.width(), ink.chip_width(row.words, row.icon))
        place = QRectF(box.left(), top, wide, high)
        if row.is_decided:
            ink.chip(place, row.words, row.tone, row.icon)
        else:
            ink.panel(place, edge="edge", radius=4, dashed=True)
            pad, side = self.theme.px(8), self.theme.px(14)
            ink.icon(row.icon, QRectF(place.left() + pad, top, side, high), row.tone)
            rest = place.adjusted(pad + self.theme.px(18), 0, -2, 0)
            ink.text(rest, row.words, role="chip", color="ink2")
        if row.offer:
            line = QRectF(box.left(), top + high, box.width(), lower)
            ink.text(line, row.offer, role="axis", color="ink2")


def wrapped_two(text: str, measure: Callable[[str], float], width: float) -> tuple[str, str]:
    """A text on two lines broken at a space; what does not fit stays in the second."""
    if measure(text) <= width:
        return text, ""
    first = ""
    words = text.split()
    for n, word in enumerate(words):
        longer = f"{first} {word}" if first else word
        if first and measure(longer) > width:
            return first, " ".join(words[n:])
        first = longer
    return first, ""


class YearTable(QTableView):
    """Space ticks, Enter opens the site, the header sorts."""

    chosen = Signal(object)  # contract id of the current row, None for none
    opened = Signal(object, bool)  # contract id, beside
    sort_wanted = Signal(str)
    ticks_changed = Signal()

    def __init__(self, theme: Theme, desk: Callable[[], Desk]) -> None:
        super().__init__()
        self._theme = theme
        self.ticked: set[int] = set()
        self.rows = LazyTable(year_columns(desk), lambda _ids: None, self)
        self.setModel(self.rows)
        self.painter = YearPainter(theme, desk, self)
        self.setItemDelegate(self.painter)
        head = set_up_plain(self, say("Contracts that end"))
        head.setSectionsClickable(True)
        head.setMinimumSectionSize(20)
        head.sectionClicked.connect(self._head_clicked)
        self.selectionModel().currentRowChanged.connect(self._row_changed)
        self.doubleClicked.connect(self._double_clicked)
        theme.changed.connect(self._dress)
        self._dress()

    @property
    def current_id(self) -> int | None:
        """Contract of the current row, None for none."""
        at = self.currentIndex().row()
        return int(str(self.rows.ids[at])) if 0 <= at < len(self.rows.ids) else None

    def show_rows(self, rows: Sequence[YearRow]) -> None:
        """Other rows; the same contract stays chosen, or the next one in its place."""
        before, at = self.current_id, self.currentIndex().row()
        self.painter.set_rows(rows)
        was = self.selectionModel().blockSignals(True)
        self.rows.set_ids([row.contract_id for row in rows])
        self.rows.put({row.contract_id: row for row in rows})
        self.selectionModel().blockSignals(was)
        found = self.rows.row_of(before)
        if rows:
            self.selectRow(found if found >= 0 else min(max(at, 0), len(rows) - 1))
        self.chosen.emit(self.current_id)

    def choose(self, contract_id: object) -> bool:
        """Make a contract the current row; False if it is not shown."""
        at = self.rows.row_of(contract_id)
        if at >= 0:
            self.selectRow(at)
            self.scrollTo(self.rows.index(at, 0))
        return at >= 0

    def turn_tick(self) -> None:
        """Tick the current row, or take its tick away."""
        key = self.current_id
        if key is not None:
            self.ticked ^= {key}
            self._ticked()

    def tick_all(self) -> None:
        """Tick all rows shown; if they are, take all ticks away."""
        shown = {int(str(one)) for one in self.rows.ids}
        self.ticked = self.ticked - shown if shown <= self.ticked else self.ticked | shown
        self._ticked()

    def _ticked(self) -> None:
        self.viewport().update()
        self.ticks_changed.emit()

    def show_sort(self, sort: str, *, down: bool) -> None:
        """Put the arrow into the header."""
        keys = [column.sort_key for column in self.rows.columns]
        head = self.horizontalHeader()
        head.setSortIndicatorShown(sort in keys)
        if sort in keys:
            order = Qt.SortOrder.DescendingOrder if down else Qt.SortOrder.AscendingOrder
            head.setSortIndicator(keys.index(sort), order)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and self.current_id is not None:
            beside = bool(event.modifiers() & Qt.KeyboardModifier.ControlModifier)
            self.opened.emit(self.current_id, beside)
        elif event.key() == Qt.Key.Key_Space:
            self.turn_tick()
        elif event.text() and event.text().isprintable():
            event.ignore()  # letters belong to the page; the table's own search would take them
        else:
            super().keyPressEvent(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        super().mousePressEvent(event)
        index = self.indexAt(event.position().toPoint())
        if index.isValid() and index.column() == TICK:
            self.turn_tick()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit_columns()

    def _fit_columns(self) -> None:
        px, room = self._theme.px, self.viewport().width()
        hidden = {DONE} if room < px(_NARROW) else set()
        hidden |= {WHY} if room < px(_TIGHT) else set()
        hidden |= {ENDS} if room < px(_TINY) else set()
        fixed = 0
        for column in range(len(self.rows.columns)):
            self.setColumnHidden(column, column in hidden)
            if column in _WIDTHS and column not in hidden:
                self.setColumnWidth(column, px(_WIDTHS[column]))
                fixed += px(_WIDTHS[column])
        rest = max(px(90), room - fixed)
        site = rest if WHY in hidden else max(px(90), round(rest * 0.56))
        self.setColumnWidth(SITE, site)
        if WHY not in hidden:
            self.setColumnWidth(WHY, max(px(60), rest - site))

    @Slot(int)
    def _head_clicked(self, column: int) -> None:
        key = self.rows.columns[column].sort_key
        if column == TICK:
            self.tick_all()
        elif key:
            self.sort_wanted.emit(key)

    @Slot(QModelIndex, QModelIndex)
    def _row_changed(self, now: QModelIndex, _before: QModelIndex) -> None:
        if now.isValid():
            self.chosen.emit(self.current_id)

    @Slot(QModelIndex)
    def _double_clicked(self, index: QModelIndex) -> None:
        self.opened.emit(self.rows.ids[index.row()], False)

    @Slot()
    def _dress(self) -> None:
        self.verticalHeader().setDefaultSectionSize(self.painter.row_height)
        self.horizontalHeader().setFont(self._theme.font("second"))
        self._fit_columns()
        self.viewport().update()
