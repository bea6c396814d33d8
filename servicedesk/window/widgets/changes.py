"""All changes: every one of them can be taken back, or says what stands in the way."""

from collections.abc import Callable, Sequence

from PySide6.QtCore import QModelIndex, Qt, Slot
from PySide6.QtGui import QCursor, QKeyEvent
from PySide6.QtWidgets import QHBoxLayout, QListView, QWidget

from servicedesk.window.models.row_delegate import RowPainter
from servicedesk.window.models.row_list import Row, RowList
from servicedesk.window.office import ChangeSeen
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.find_box import key_row
from servicedesk.window.widgets.label import KeyCap, Words
from servicedesk.window.widgets.sheet import Hairline
from servicedesk.window.widgets.veil import Veil
from servicedesk.words import say


class _ChangeList(QListView):
    """Enter takes the chosen change back."""

    def __init__(self, take: Callable[[], object]) -> None:
        super().__init__()
        self._take = take

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self._take()
            return
        super().keyPressEvent(event)


class AllChanges(Veil):
    """`undo_change(change_id)` is called for the chosen change; `show_changes` fills the list."""

    def __init__(self, theme: Theme, home: QWidget, undo_change: Callable[[int], object]) -> None:
        super().__init__(theme, home, width_px=640, height_px=600)
        self._undo_change = undo_change
        self.rows = RowList(self)
        self.list = _ChangeList(self._take)
        self.list.setAccessibleName(say("All changes"))
        self._reason = Words(theme, role="second", color="ochre", wraps=True)
        self._note = Words(
            theme,
            say("An undo is itself a change: it can be undone, tomorrow too."),
            role="second",
            color="ink2",
            wraps=True,
        )
        self._build()
        self.list.clicked.connect(self._clicked)
        self.list.selectionModel().currentChanged.connect(self._chosen)

    def open_list(self) -> None:
        """Show it, keys in the list."""
        self.open_with(self.list)

    def show_changes(self, changes: Sequence[ChangeSeen]) -> None:
        """The latest changes, newest first."""
        self.rows.set_rows([_row(change) for change in changes])
        if changes:
            self.list.setCurrentIndex(self.rows.index(0))
        self._reason.setText("" if changes else say("Nothing has been changed yet."))

    def _build(self) -> None:
        head = QHBoxLayout()
        head.setContentsMargins(18, 14, 18, 10)
        head.addWidget(Words(self.theme, say("All changes"), role="sheet_title"))
        head.addStretch(1)
        head.addWidget(KeyCap(self.theme, say("Ctrl H")))
        self.column.addLayout(head)
        self.list.setModel(self.rows)
        self.list.setItemDelegate(RowPainter(self.theme, hairlines=True, parent=self))
        self.list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        holder = QHBoxLayout()
        holder.setContentsMargins(8, 0, 8, 0)
        holder.addWidget(self.list)
        self.column.addLayout(holder, 1)
        self.column.addWidget(Hairline(self.theme))
        for words in (self._reason, self._note):
            row = QHBoxLayout()
            row.setContentsMargins(18, 8, 18, 0)
            row.addWidget(words)
            self.column.addLayout(row)
        self.column.addLayout(
            key_row(
                self.theme,
                (
                    (say("↑ ↓"), say("choose")),
                    (say("Enter"), say("undo it")),
                    (say("Esc"), say("close")),
                ),
            )
        )

    @Slot(QModelIndex, QModelIndex)
    def _chosen(self, now: QModelIndex, before: QModelIndex) -> None:
        if now.isValid():
            self._reason.setText(self.rows.rows[now.row()].thing.why_not)

    @Slot(QModelIndex)
    def _clicked(self, index: QModelIndex) -> None:
        # only the word Undo at the right end acts; the rest of the row chooses
        from_right = self.list.viewport().width() - self._pressed_x()
        if 0 <= from_right <= self.theme.px(96):
            self._take()

    def _pressed_x(self) -> int:
        return self.list.viewport().mapFromGlobal(QCursor.pos()).x()

    def _take(self) -> None:
        index = self.list.currentIndex()
        if not index.isValid():
            return
        change: ChangeSeen = self.rows.rows[index.row()].thing
        if change.why_not:
            self._reason.setText(change.why_not)
            return
        self._undo_change(change.change_id)


def _row(change: ChangeSeen) -> Row:
    when = " · ".join(part for part in (change.when, change.who) if part)
    if change.why_not:
        return Row(
            title=change.words,
            second=when,
            right=say("why?"),
            right_icon="hold",
            right_color="ink2",
            thing=change,
        )
    return Row(title=change.words, second=when, right=say("Undo"), right_icon="undo", thing=change)
