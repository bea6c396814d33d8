"""The table of all sites: painted rows, sorted by its header, with keys for everything."""

from collections.abc import Callable, Sequence
from typing import Any

from PySide6.QtCore import QModelIndex, QPointF, QRectF, Qt, Signal, Slot
from PySide6.QtGui import QKeyEvent, QResizeEvent
from PySide6.QtWidgets import QAbstractItemView, QTableView

from servicedesk.desk.office import Desk
from servicedesk.desk.sites import SiteRow
from servicedesk.window.ink import Ink
from servicedesk.window.models import Index
from servicedesk.window.models.lazy_table import Column, LazyTable
from servicedesk.window.models.roles import Role
from servicedesk.window.models.row_delegate import CellPainter
from servicedesk.window.theme import Theme
from servicedesk.window.widgets import site_words as texts
from servicedesk.window.widgets.plain_table import set_up_plain
from servicedesk.words import say

_WIDTHS = (0, 104, 88, 98, 152, 66, 112)
ADDRESS, NEAR, KIND, INSPECTIONS, CALLS, OWED, LAST = range(7)
_NARROW = 700


def site_columns(desk: Callable[[], Desk]) -> tuple[Column, ...]:
    """Heading, words and sort key of each column."""
    return (
        Column(say("Site"), lambda r: r.address, lambda r: r.owner, sort_key="address"),
        Column(say("Near"), lambda r: r.locality, sort_key="locality"),
        Column(say("Kind"), lambda r: r.kind, sort_key="kind"),
        Column(say("Inspections"), lambda r: texts.inspections_text(r.inspections),
               tip=lambda r: texts.inspections_text(r.inspections)),
        Column(say("Calls, 2 years"), lambda r: texts.calls_text(r, desk()),
               tip=lambda r: texts.calls_text(r, desk()), sort_key="calls"),
        Column(say("Owed"), texts.owed_text, sort_key="owed"),
        Column(say("Last visit"), lambda r: texts.last_visit_text(r, desk()), right=True,
               sort_key="last visit"),
    )  # fmt: skip


class SitePainter(CellPainter):
    """Marks instead of words where a mark says it."""

    def __init__(self, theme: Theme, desk: Callable[[], Desk], parent: QTableView) -> None:
        super().__init__(theme, parent=parent)
        self._desk = desk
        self._view = parent

    def paint_cell(self, ink: Ink, box: QRectF, index: Index) -> None:
        row = index.data(Role.ROW)
        if not isinstance(row, SiteRow):
            if index.column() == ADDRESS:
                ink.text(box, "…", color="ink3")
            return
        match index.column():
            case 0:
                self._paint_address(ink, box, index, row)
            case 2:
                self._paint_kind(ink, box, row)
            case 3:
                self._paint_inspections(ink, box, row)
            case 4:
                self._paint_calls(ink, box, row)
            case 5:
                self._paint_owed(ink, box, row)
            case _:
                text = str(index.data(Qt.ItemDataRole.DisplayRole))
                align = "right" if index.column() == LAST else "left"
                ink.text(box, text, color="ink2", align=align)  # type: ignore[arg-type]

    def _paint_address(self, ink: Ink, box: QRectF, index: Index, row: SiteRow) -> None:
        if row.on_hold:
            side = self.theme.px(15)
            ink.icon("hold", QRectF(box.right() - side, box.top(), side, box.height()), "clay")
            box = box.adjusted(0, 0, -side - 4, 0)
        super().paint_cell(ink, box, index)

    def _paint_kind(self, ink: Ink, box: QRectF, row: SiteRow) -> None:
        icon = texts.kind_icon(row)
        if icon:
            side = self.theme.px(16)
            ink.icon(icon, QRectF(box.left(), box.top(), side, box.height()), "ink2")
        ink.text(box.adjusted(self.theme.px(21), 0, 0, 0), row.kind, color="ink2")

    def _paint_inspections(self, ink: Ink, box: QRectF, row: SiteRow) -> None:
        if not row.inspections:
            ink.text(box, say("none"), color="ink3")
            return
        step = min(self.theme.px(21), box.width() / len(row.inspections))
        size = min(self.theme.px(10), step * 0.62)
        for n, name in enumerate(row.inspections):
            kind, color, filled = texts.MARKS[name]
            middle = QPointF(box.left() + size / 2 + 2 + n * step, box.center().y())
            ink.mark(kind, middle, size, color, filled=filled)

    def _paint_calls(self, ink: Ink, box: QRectF, row: SiteRow) -> None:
        side = float(self.theme.px(17))
        y = box.center().y()
        ink.line(QPointF(box.left(), y), QPointF(box.right(), y), "line")
        today = self._desk().today
        for day, symptom in row.calls:
            share = texts.share_of_two_years(day, today)
            x = box.left() + share * (box.width() - side)
            mark = QRectF(round(x), round(y - side / 2), side, side)
            ink.panel(mark, fill="soft.plum", edge="plum", radius=4, width=1.2)
            ink.icon(texts.symptom_icon(symptom), mark.adjusted(3, 3, -3, -3), "plum")

    def _paint_owed(self, ink: Ink, box: QRectF, row: SiteRow) -> None:
        if row.n_owed:
            side = self.theme.px(16)
            ink.icon("owed", QRectF(box.left(), box.top(), side, box.height()), "ochre")
            rest = box.adjusted(side + 4, 0, 0, 0)
            ink.text(rest, str(row.n_owed), role="row_lead", color="ochre")


class SiteTable(QTableView):
    """All ids in hand, rows as they are seen. Enter opens, Ctrl Enter opens beside."""

    chosen = Signal(object)  # id of the current row, None for none
    opened = Signal(object, bool)  # id, beside
    sort_wanted = Signal(str)

    def __init__(
        self, theme: Theme, desk: Callable[[], Desk], want: Callable[[Sequence[object]], object]
    ) -> None:
        super().__init__()
        self._theme = theme
        self.rows = LazyTable(site_columns(desk), want, self)
        self.setModel(self.rows)
        self.painter = SitePainter(theme, desk, self)
        self.setItemDelegate(self.painter)
        head = set_up_plain(self, say("All sites"))
        head.setSectionsClickable(True)
        head.setMinimumSectionSize(20)
        head.sectionClicked.connect(self._head_clicked)
        self.selectionModel().currentRowChanged.connect(self._row_changed)
        self.doubleClicked.connect(self._double_clicked)
        theme.changed.connect(self._dress)
        self._dress()

    @property
    def current_id(self) -> object:
        """Id of the current row, None for none."""
        at = self.currentIndex().row()
        return self.rows.ids[at] if 0 <= at < len(self.rows.ids) else None

    def set_tight(self, tight: bool) -> None:
        """One line a row, or two."""
        self.painter.tight = tight
        self._dress()

    def show_ids(
        self, ids: Sequence[object], rows: dict[object, Any], *, keep: bool = True
    ) -> None:
        """Other rows. With `keep` the same record stays chosen, otherwise the first is."""
        before = self.current_id
        was = self.selectionModel().blockSignals(True)
        self.rows.set_ids(ids)
        self.rows.put(rows)
        self.selectionModel().blockSignals(was)
        at = self.rows.row_of(before) if keep else -1
        if ids:
            self.selectRow(max(at, 0))
            if at < 0:
                self.scrollToTop()
        self.chosen.emit(self.current_id)

    def choose(self, site_id: object) -> None:
        """Make a site the current row, if it is listed."""
        at = self.rows.row_of(site_id)
        if at >= 0 and at != self.currentIndex().row():
            self.selectRow(at)
            self.scrollTo(self.rows.index(at, 0), QAbstractItemView.ScrollHint.PositionAtCenter)

    def show_sort(self, sort: str, *, descending: bool) -> None:
        """Put the arrow into the header."""
        keys = [column.sort_key for column in self.rows.columns]
        head = self.horizontalHeader()
        head.setSortIndicatorShown(sort in keys)
        if sort in keys:
            order = Qt.SortOrder.DescendingOrder if descending else Qt.SortOrder.AscendingOrder
            head.setSortIndicator(keys.index(sort), order)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and self.current_id is not None:
            beside = bool(event.modifiers() & Qt.KeyboardModifier.ControlModifier)
            self.opened.emit(self.current_id, beside)
            return
        if event.text() and event.text().isprintable() and event.key() != Qt.Key.Key_Space:
            event.ignore()  # letters belong to the page; the table's own search would take them
            return
        super().keyPressEvent(event)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit_columns()

    def _fit_columns(self) -> None:
        px = self._theme.px
        room = self.viewport().width()
        narrow = room < px(_NARROW)
        self.setColumnHidden(NEAR, narrow)
        fixed = 0
        for column, width in enumerate(_WIDTHS):
            if column == ADDRESS or (narrow and column == NEAR):
                continue
            self.setColumnWidth(column, px(width - (26 if narrow and column == CALLS else 0)))
            fixed += self.columnWidth(column)
        self.setColumnWidth(ADDRESS, max(px(150), room - fixed))

    @Slot(int)
    def _head_clicked(self, column: int) -> None:
        key = self.rows.columns[column].sort_key
        if key:
            self.sort_wanted.emit(key)

    @Slot(QModelIndex, QModelIndex)
    def _row_changed(self, now: QModelIndex, _before: QModelIndex) -> None:
        if now.isValid():
            self.chosen.emit(self.rows.ids[now.row()])

    @Slot(QModelIndex)
    def _double_clicked(self, index: QModelIndex) -> None:
        self.opened.emit(self.rows.ids[index.row()], False)

    @Slot()
    def _dress(self) -> None:
        self.verticalHeader().setDefaultSectionSize(self.painter.row_height)
        self.horizontalHeader().setFont(self._theme.font("second"))
        self._fit_columns()
        self.viewport().update()
