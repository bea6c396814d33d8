"""The items of an inspection as rows: a grade by one key, a reading by its digits."""

from collections.abc import Sequence

from PySide6.QtCore import QRectF, Qt, Signal, Slot
from PySide6.QtGui import (
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
)

from servicedesk.window.ink import Ink
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.writeup_boxes import Line, Measures, RowBox, row_boxes
from servicedesk.window.widgets.writeup_field import BEGINS, RowsWithField
from servicedesk.window.widgets.writeup_paint import RowState, paint_row
from servicedesk.words import say


class ItemRows(RowsWithField):
    """Rows with a current one. What is said of them comes in with `show_states`.

    `graded` (item, grade), `read` (number, text) and `moved` are sent for what a person does.
    """

    graded = Signal(str, str)
    least_px = 330

    def __init__(self, theme: Theme, lines: Sequence[Line]) -> None:
        super().__init__(theme, say("Items of the inspection"))
        self._lines = tuple(lines)
        self._states: dict[str, RowState] = {}
        self._boxes: list[RowBox] = []
        self._at = next((n for n, line in enumerate(lines) if line.kind != "heading"), 0)
        self.editor.stepped.connect(self._step_out)
        theme.changed.connect(self._lay_out)
        self._lay_out()

    @property
    def lines(self) -> tuple[Line, ...]:
        """All rows, headings too."""
        return self._lines

    @property
    def boxes(self) -> list[RowBox]:
        """Where they stand."""
        return self._boxes

    @property
    def current(self) -> Line:
        """The row in hand."""
        return self._lines[self._at]

    def show_states(self, states: dict[str, RowState]) -> None:
        """What is said so far, by item id and by "#" with the id of a number."""
        self._states = states
        self.update()
        self._tell()

    def go_to(self, *, item_id: str = "", number_id: str = "") -> None:
        """Take that row in hand."""
        for n, line in enumerate(self._lines):
            if (number_id and line.number_id == number_id) or (
                item_id and not number_id and line.item_id == item_id and line.kind == "item"
            ):
                self._go(n)
                return

    def next_reading(self) -> None:
        """Take the next row with a reading in hand."""
        self._step(1, readings_only=True)

    def paintEvent(self, event: QPaintEvent) -> None:
        shown = QRectF(event.rect())
        with QPainter(self) as painter:
            ink = Ink(painter, self._theme)
            for n, row in enumerate(self._boxes):
                if row.box.intersects(shown):
                    is_here = n == self._at and (self.hasFocus() or self.editor.isVisible())
                    paint_row(ink, row, self._states, is_current=n == self._at, has_keys=is_here)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        at = event.position()
        for n, row in enumerate(self._boxes):
            if row.box.contains(at) and row.line.kind != "heading":
                self._go(n)
                for grade, cap in row.caps.items():
                    if cap.contains(at):
                        self.graded.emit(row.line.item_id, grade)
                        return
                if row.line.number_id and row.value.contains(at):
                    self._edit(self._text_of(row.line))
                return

    def keyPressEvent(self, event: QKeyEvent) -> None:
        text = event.text()
        plain = event.modifiers() in (
            Qt.KeyboardModifier.NoModifier,
            Qt.KeyboardModifier.ShiftModifier,
            Qt.KeyboardModifier.KeypadModifier,
        )
        match event.key():
            case Qt.Key.Key_Down:
                self._step(1)
            case Qt.Key.Key_Up:
                self._step(-1)
            case Qt.Key.Key_PageDown:
                self._step(8)
            case Qt.Key.Key_PageUp:
                self._step(-8)
            case Qt.Key.Key_Home:
                self._go(0)
                self._step(0)
            case Qt.Key.Key_End:
                self._go(len(self._lines) - 1)
            case Qt.Key.Key_Return | Qt.Key.Key_Enter if plain:
                self._edit(self._text_of(self.current)) if self.current.number_id else self._step(1)
            case _ if plain and text and text in BEGINS and self._number_here():
                self._edit(text)
            case _:
                super().keyPressEvent(event)

    # inside

    def _number_here(self) -> bool:
        """Whether a digit has a reading to begin: of this row, or the first one of its item."""
        if self.current.number_id:
            return True
        for n, line in enumerate(self._lines):
            if line.kind == "number" and line.item_id == self.current.item_id:
                self._go(n)
                return True
        return False

    def _text_of(self, line: Line) -> str:
        state = self._states.get(f"#{line.number_id}")
        return state.typed if state else ""

    def _edit(self, text: str) -> None:
        row = self._boxes[self._at]
        self._editing = row.line.number_id
        box = row.value.adjusted(-4, 0, 0, 0).toRect()
        self.open_field(box, row.line.name, text)

    @Slot(int)
    def _step_out(self, by: int) -> None:
        """Enter (0) goes on to the next reading, the arrows to the next row."""
        self._accept()
        if by:
            self._step(by)
        else:
            self.next_reading()

    def _step(self, by: int, *, readings_only: bool = False) -> None:
        way = 1 if by >= 0 else -1
        left = abs(by)
        at = self._at
        while 0 <= (nxt := at + way) < len(self._lines) and left:
            at = nxt
            line = self._lines[at]
            fits = bool(line.number_id) if readings_only else line.kind != "heading"
            left -= fits
        if self._lines[at].kind == "heading":
            at = self._at if by else at + 1
        if readings_only and not self._lines[at].number_id:
            return
        self._go(at)

    def _go(self, at: int) -> None:
        self.take(at, len(self._lines))

    def _tell(self) -> None:
        """Say the row in hand to who cannot see it."""
        line = self.current
        said = [line.name]
        for key in (line.item_id if line.kind == "item" else "", f"#{line.number_id}"):
            state = self._states.get(key)
            if state and state.words:
                said.append(state.words)
        words = ", ".join(said)
        self.describe(words)

    @Slot()
    def _lay_out(self) -> None:
        theme = self._theme
        measures = Measures(
            name_px=theme.metrics("row_lead").height(),
            said_px=theme.metrics("second").height(),
            scale=theme.scale,
            width_of=theme.metrics("row_lead").horizontalAdvance,
        )
        self._boxes = row_boxes(self._lines, max(self.width(), 1), measures)
        self.fit()
