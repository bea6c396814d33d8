"""The preview of a list, line by line: what would be made, changed, kept, asked, left out."""

from collections.abc import Sequence

from PySide6.QtCore import (
    QAbstractTableModel,
    QModelIndex,
    QObject,
    QPoint,
    QRectF,
    Qt,
    Signal,
    Slot,
)
from PySide6.QtGui import QKeyEvent, QMouseEvent, QResizeEvent
from PySide6.QtWidgets import QTableView

from servicedesk.desk.bring_in_page import (
    ASKED,
    CHANGED,
    KEPT,
    MISSING,
    NEW,
    SAME,
    SKIPPED,
    PageLine,
    Tick,
)
from servicedesk.window.ink import Ink
from servicedesk.window.models import Index
from servicedesk.window.models.roles import Role
from servicedesk.window.models.row_delegate import CellPainter, two_lines
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.plain_table import set_up_plain
from servicedesk.words import say

WHERE, STATE, WHAT, TICK = range(4)
TONES = {
    NEW: "moss", CHANGED: "water", KEPT: "ochre", ASKED: "ochre", SKIPPED: "clay",
    MISSING: "plum", SAME: "ink2",
}  # fmt: skip


def state_words(state: str) -> str:
    """The state of a line in a word or two."""
    return {
        NEW: say("New"),
        CHANGED: say("Changed"),
        KEPT: say("Kept"),
        ASKED: say("To look at"),
        SKIPPED: say("Skipped"),
        MISSING: say("Missing"),
        SAME: say("Unchanged"),
    }[state]


class _Lines(QAbstractTableModel):
    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self.lines: tuple[PageLine, ...] = ()
        self.ticked: set[Tick] = set()

    def put(self, lines: Sequence[PageLine]) -> None:
        self.beginResetModel()
        self.lines = tuple(lines)
        self.endResetModel()

    def rowCount(self, parent: Index = QModelIndex()) -> int:
        return 0 if parent.isValid() else len(self.lines)

    def columnCount(self, parent: Index = QModelIndex()) -> int:
        return 0 if parent.isValid() else 4

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> object:
        if not index.isValid() or index.row() >= len(self.lines):
            return None
        line = self.lines[index.row()]
        texts = (line.where, state_words(line.state), line.title, "")
        match role:
            case Role.ROW:
                return line
            case Role.SECOND:
                return line.text if index.column() == WHAT else ""
            case Qt.ItemDataRole.DisplayRole:
                return texts[index.column()]
            case Qt.ItemDataRole.ToolTipRole if index.column() == WHAT:
                return f"{line.title}\n{line.text}"
            case Qt.ItemDataRole.AccessibleTextRole:
                return self._spoken(line, index.column(), texts)
        return None

    def headerData(
        self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole
    ) -> object:
        if orientation != Qt.Orientation.Horizontal:
            return None
        if role == Qt.ItemDataRole.DisplayRole:
            return (say("Row"), say("State"), say("What becomes of it"), say("Overwrite"))[section]
        if role == Qt.ItemDataRole.TextAlignmentRole:
            return Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter
        return None

    def _spoken(self, line: PageLine, column: int, texts: tuple[str, ...]) -> str:
        if column == WHAT:
            return f"{line.title}: {line.text}"
        if column == TICK and line.tick is not None:
            return say("ticked") if line.tick in self.ticked else say("not ticked")
        return texts[column]


class _Painter(CellPainter):
    """A chip for the state, two lines for what happens, a box where a tick is possible."""

    def __init__(self, theme: Theme, lines: _Lines, parent: QTableView) -> None:
        super().__init__(theme, parent=parent)
        self._lines = lines

    def paint_cell(self, ink: Ink, box: QRectF, index: Index) -> None:
        line = index.data(Role.ROW)
        if not isinstance(line, PageLine):
            return
        match index.column():
            case 0:
                ink.text(box, line.where, color="ink2")
            case 1:
                height = self.theme.px(24)
                words = state_words(line.state)
                width = min(ink.chip_width(words) + 4, box.width())
                place = QRectF(box.left(), box.center().y() - height / 2, width, height)
                ink.chip(place, words, TONES[line.state])
            case 2:
                two_lines(ink, box, line.title, line.text, lead=True)
            case _ if line.tick is not None:
                self._paint_tick(ink, box, is_on=line.tick in self._lines.ticked)

    def _paint_tick(self, ink: Ink, box: QRectF, *, is_on: bool) -> None:
        side = self.theme.px(17)
        place = QRectF(box.left() + self.theme.px(14), box.center().y() - side / 2, side, side)
        ink.panel(
            place, fill="water" if is_on else "sheet", edge="water" if is_on else "edge", radius=4
        )
        if is_on:
            ink.icon("check", place.adjusted(2, 2, -2, -2), "on_water")


class BringInRows(QTableView):
    """Space or a click ticks a line that was kept; `ticks_changed` tells."""

    ticks_changed = Signal()

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme = theme
        self._lines = _Lines(self)
        self.setModel(self._lines)
        self._painter = _Painter(theme, self._lines, self)
        self.setItemDelegate(self._painter)
        set_up_plain(self, say("What becomes of each row"))
        theme.changed.connect(self._dress)
        self._dress()

    @property
    def lines(self) -> tuple[PageLine, ...]:
        """What is shown."""
        return self._lines.lines

    @property
    def ticked(self) -> frozenset[Tick]:
        """What was ticked, shown or not."""
        return frozenset(self._lines.ticked)

    def show_lines(self, lines: Sequence[PageLine]) -> None:
        """Show other lines; ticks stay."""
        self._lines.put(lines)
        self.scrollToTop()
        if lines:
            self.selectRow(0)
        self._fit_columns()

    def clear_ticks(self, *, keep: frozenset[Tick] = frozenset()) -> None:
        """Forget ticks, except those of `keep`."""
        self._lines.ticked &= keep

    def toggle(self, at: int) -> None:
        """Set or take away the tick of a line, if it can have one."""
        tick = self.lines[at].tick if 0 <= at < len(self.lines) else None
        if tick is None:
            return
        self._lines.ticked ^= {tick}
        self.viewport().update()
        self.ticks_changed.emit()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Space:
            self.toggle(self.currentIndex().row())
            return
        if event.text() and event.text().isprintable():
            event.ignore()  # letters belong to the page
            return
        super().keyPressEvent(event)

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        super().mouseReleaseEvent(event)
        index = self.indexAt(QPoint(round(event.position().x()), round(event.position().y())))
        if index.isValid() and index.column() == TICK:
            self.toggle(index.row())

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit_columns()

    def _fit_columns(self) -> None:
        px, metrics = self._theme.px, self._theme.metrics("text")
        where = max((metrics.horizontalAdvance(line.where) for line in self.lines), default=0.0)
        has_ticks = any(line.tick is not None for line in self.lines)
        self.setColumnHidden(TICK, not has_ticks)
        widths = {
            WHERE: max(px(56), min(round(where) + px(24), px(130))),
            STATE: px(120),
            TICK: px(100) if has_ticks else 0,
        }
        for column, width in widths.items():
            self.setColumnWidth(column, width)
        self.setColumnWidth(WHAT, max(px(160), self.viewport().width() - sum(widths.values())))

    @Slot()
    def _dress(self) -> None:
        self.verticalHeader().setDefaultSectionSize(self._painter.row_height)
        self.horizontalHeader().setFont(self._theme.font("second"))
        self._fit_columns()
        self.viewport().update()
