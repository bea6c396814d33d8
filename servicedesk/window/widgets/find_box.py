"""The find box: records, things to do, words in notes. It never needs the mouse."""

from collections.abc import Callable, Sequence

from PySide6.QtCore import QModelIndex, Qt, Signal, Slot
from PySide6.QtGui import QFont, QKeyEvent
from PySide6.QtWidgets import QHBoxLayout, QLineEdit, QListView, QWidget

from servicedesk.window.actions import Act, keys_in_words
from servicedesk.window.models.row_delegate import RowPainter
from servicedesk.window.models.row_list import Row, RowList
from servicedesk.window.office import FoundSeen
from servicedesk.window.shell import Shell
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.label import IconSign, KeyCap, Words
from servicedesk.window.widgets.sheet import Hairline
from servicedesk.window.widgets.veil import Veil
from servicedesk.window.work import Job
from servicedesk.words import say, say_n

_MOST_TO_DO = 5


class FindField(QLineEdit):
    """The field: arrows and Enter act on the list below it."""

    stepped = Signal(int)
    taken = Signal(bool)  # beside

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self.setObjectName("large")
        self.setProperty("ownFocus", True)
        self.setAccessibleName(say("Find or do"))
        self.setPlaceholderText(say("Name, street, phone, part — or a verb"))
        self._theme = theme
        self._dress()
        theme.changed.connect(self._dress)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        steps = {
            Qt.Key.Key_Down: 1,
            Qt.Key.Key_Up: -1,
            Qt.Key.Key_PageDown: 6,
            Qt.Key.Key_PageUp: -6,
        }
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.taken.emit(bool(event.modifiers() & Qt.KeyboardModifier.ControlModifier))
        elif event.key() in steps:
            self.stepped.emit(steps[Qt.Key(event.key())])
        else:
            super().keyPressEvent(event)

    @Slot()
    def _dress(self) -> None:
        font = QFont(self._theme.font("text"))
        font.setPixelSize(self._theme.px(19))
        self.setFont(font)


class FindBox(Veil):
    """`acts()` gives the frame's and the page's actions, offered where their words match."""

    def __init__(
        self,
        shell: Shell,
        home: QWidget,
        acts: Callable[[], Sequence[Act]],
        run: Callable[[str], object],
    ) -> None:
        super().__init__(shell.theme, home, width_px=720, height_px=560)
        self._shell, self._acts, self._run = shell, acts, run
        self._job: Job | None = None
        self.field = FindField(shell.theme)
        self.rows = RowList(self)
        self.list = QListView()
        self._told = Words(shell.theme, role="second", color="ink2")
        self._build()
        self.field.textChanged.connect(self._asked)
        self.field.stepped.connect(self._step)
        self.field.taken.connect(self._take)
        self.list.clicked.connect(self._clicked)

    @Slot()
    def open_box(self) -> None:
        """Start with an empty field."""
        self.field.clear()
        self._asked("")
        self.open_with(self.field)

    def _build(self) -> None:
        theme = self.theme
        row = QHBoxLayout()
        row.setContentsMargins(20, 12, 18, 12)
        row.addWidget(IconSign(theme, "find", "water", 18))
        row.addWidget(self.field, 1)
        row.addWidget(self._told)
        self.column.addLayout(row)
        self.column.addWidget(Hairline(theme))
        self.list.setModel(self.rows)
        self.list.setItemDelegate(RowPainter(theme, parent=self))
        self.list.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.list.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.list.setAccessibleName(say("What was found"))
        self.list.setContentsMargins(8, 4, 8, 4)
        self.list.viewport().setAutoFillBackground(False)
        holder = QHBoxLayout()
        holder.setContentsMargins(8, 4, 8, 4)
        holder.addWidget(self.list)
        self.column.addLayout(holder, 1)
        self.column.addWidget(Hairline(theme))
        self.column.addLayout(
            key_row(
                theme,
                (
                    (say("↑ ↓"), say("choose")),
                    (say("Enter"), say("go")),
                    (say("Ctrl Enter"), say("beside")),
                    (say("Esc"), say("back to where you were")),
                ),
            )
        )

    @Slot(str)
    def _asked(self, text: str) -> None:
        if self._job is not None:
            self._job.cancel()
            self._job = None
        if not text.strip():
            self._show((), text)
            return
        self._job = self._shell.ask(self._shell.office.find, text)
        self._job.done.connect(self._found)

    @Slot(object)
    def _found(self, found: Sequence[FoundSeen]) -> None:
        # a cancelled job sends no answer, so this one belongs to what stands in the field
        self._job = None
        self._show(found, self.field.text())

    def _show(self, found: Sequence[FoundSeen], text: str) -> None:
        rows: list[Row] = []
        heading = ""
        for one in found:
            if one.group != heading:
                heading = one.group
                rows.append(Row(title=heading, is_heading=True))
            rows.append(Row(title=one.title, second=one.second, icon=one.icon, thing=one))
        to_do = matching_acts(self._acts(), text)
        if to_do:
            if heading != say("Do"):
                rows.append(Row(title=say("Do"), is_heading=True))
            rows.extend(_act_row(act) for act in to_do)
        self.rows.set_rows(rows)
        self._choose(self.rows.step(-1, 1))
        n = sum(not row.is_heading for row in rows)
        if text.strip():
            self._told.setText(say_n("{n} found", "{n} found", n) if n else say("nothing found"))
        else:
            self._told.setText("")

    def _choose(self, at: int) -> None:
        if at >= 0:
            self.list.setCurrentIndex(self.rows.index(at))

    @Slot(int)
    def _step(self, by: int) -> None:
        at = self.list.currentIndex().row()
        for _ in range(abs(by)):
            at = self.rows.step(at, 1 if by > 0 else -1)
        self._choose(at)

    @Slot(QModelIndex)
    def _clicked(self, index: QModelIndex) -> None:
        self._take(beside=False)

    @Slot(bool)
    def _take(self, beside: bool) -> None:
        index = self.list.currentIndex()
        if not index.isValid():
            return
        thing = self.rows.rows[index.row()].thing
        self.close_veil()
        if isinstance(thing, Act):
            self._run(thing.id)
        elif thing is not None:
            self._shell.go(thing.place, *thing.ids, beside=beside)


def matching_acts(acts: Sequence[Act], text: str) -> list[Act]:
    """Acts whose words begin with each word typed, in any order; the first ten for no text.

    Acts without an icon only move the keys about and are not offered.
    """
    typed = text.casefold().split()
    fitting = []
    for act in acts:
        words = act.text.casefold().split()
        is_fit = bool(act.icon) and act.id != "find"
        is_fit = is_fit and all(any(word.startswith(part) for word in words) for part in typed)
        if is_fit and (act.when is None or act.when() is None):
            fitting.append(act)
    return fitting[: _MOST_TO_DO if typed else 2 * _MOST_TO_DO]


def key_row(theme: Theme, keys: Sequence[tuple[str, str]]) -> QHBoxLayout:
    """What the keys do here, at the foot of a box."""
    row = QHBoxLayout()
    row.setContentsMargins(18, 9, 18, 9)
    row.setSpacing(6)
    for cap, words in keys:
        row.addWidget(KeyCap(theme, cap))
        row.addWidget(Words(theme, words, role="second", color="ink2"))
        row.addSpacing(10)
    row.addStretch(1)
    return row


def _act_row(act: Act) -> Row:
    keys = [keys_in_words(keys) for keys in act.shortcuts if keys]
    return Row(
        title=act.text,
        second=act.tip,
        icon=act.icon or "forward",
        right=keys[0] if keys else "",
        cap=True,
        thing=act,
    )
