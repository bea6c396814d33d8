"""The checks of a trouble: each with what to do, its cautions in full, and one key a result."""

from collections.abc import Mapping, Sequence

from PySide6.QtCore import QPointF, QRectF, Qt, Signal, Slot
from PySide6.QtGui import (
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
)

from servicedesk.desk.writeup_checks import NOT_LOOKED_AT
from servicedesk.window.ink import Ink
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.writeup_boxes import broken
from servicedesk.window.widgets.writeup_check_boxes import (
    CheckBox,
    CheckLine,
    TextMeasures,
    check_boxes,
)
from servicedesk.window.widgets.writeup_field import BEGINS, RowsWithField
from servicedesk.window.widgets.writeup_keys import grade_letters, result_letters
from servicedesk.words import say

_LEAST_PX = 300
_BOLD = 1.06  # room for the same words in a heavier weight


class CheckRows(RowsWithField):
    """Checks with one in hand. What is said of them comes in with `show_said`.

    `answered` (check, result id; "" takes it back), `read` (check, number as typed) and `moved`
    are sent for what a person does; `asked` (check) where they want to know more of it.
    """

    answered = Signal(str, str)
    asked = Signal(str)
    least_px = _LEAST_PX

    def __init__(self, theme: Theme, lines: Sequence[CheckLine]) -> None:
        super().__init__(theme, say("Checks of the trouble"))
        self._lines = tuple(lines)
        self._said: Mapping[str, str] = {}
        self._numbers: Mapping[str, tuple[str, str]] = {}
        self._wrong: dict[str, str] = {}
        self._boxes: list[CheckBox] = []
        self.editor.stepped.connect(self._step_out)
        theme.changed.connect(self._lay_out)
        self._lay_out()

    @property
    def lines(self) -> tuple[CheckLine, ...]:
        """All checks."""
        return self._lines

    @property
    def boxes(self) -> list[CheckBox]:
        """Where they stand."""
        return self._boxes

    @property
    def current(self) -> CheckLine:
        """The check in hand."""
        return self._lines[self._at]

    def show_said(
        self, said: Mapping[str, str], numbers: Mapping[str, tuple[str, str]], wrong: dict[str, str]
    ) -> None:
        """What is said so far: results, numbers with their unit, what is wrong, by check."""
        self._said, self._numbers = said, numbers
        if wrong != self._wrong:
            self._wrong = wrong
            self._lay_out()
        self.update()
        self._tell()

    def answer(self, n: int) -> None:
        """The nth result of the check in hand, from 0; then the next check."""
        options = self.current.options[:-1]
        if n < len(options):
            self._answer(options[n][0])

    def not_looked_at(self) -> None:
        """Nobody looked at the check in hand; then the next one."""
        self._answer(NOT_LOOKED_AT)

    def go_to(self, check_id: str) -> None:
        """Take that check in hand."""
        for n, line in enumerate(self._lines):
            if line.check_id == check_id:
                self._go(n)

    def next_reading(self) -> None:
        """Take the next check with a number in hand and open its field."""
        later = [n for n, line in enumerate(self._lines) if line.unit and n > self._at]
        if self.current.unit and not self._numbers.get(self.current.check_id):
            self._edit("")
        elif later:
            self._go(later[0])
            self._edit("")

    def paintEvent(self, event: QPaintEvent) -> None:
        shown = QRectF(event.rect())
        with QPainter(self) as painter:
            ink = Ink(painter, self._theme)
            for n, box in enumerate(self._boxes):
                if box.box.intersects(shown):
                    self._paint(ink, box, is_current=n == self._at)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        at = event.position()
        for n, row in enumerate(self._boxes):
            if not row.box.contains(at):
                continue
            self._go(n)
            if event.modifiers() & Qt.KeyboardModifier.ControlModifier:
                self.asked.emit(row.line.check_id)
                return
            for result_id, cap in row.caps.items():
                if cap.united(row.words[result_id]).contains(at):
                    again = self._said.get(row.line.check_id) == result_id
                    self.answered.emit(row.line.check_id, "" if again else result_id)
                    return
            if row.line.unit and row.value.contains(at):
                self._edit(self._typed())
            return

    def keyPressEvent(self, event: QKeyEvent) -> None:
        text = event.text()
        plain = not event.modifiers() & (
            Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.AltModifier
        )
        match event.key():
            case Qt.Key.Key_Down:
                self._go(self._at + 1)
            case Qt.Key.Key_Up:
                self._go(self._at - 1)
            case Qt.Key.Key_PageDown:
                self._go(self._at + 4)
            case Qt.Key.Key_PageUp:
                self._go(self._at - 4)
            case Qt.Key.Key_Home:
                self._go(0)
            case Qt.Key.Key_End:
                self._go(len(self._lines) - 1)
            case Qt.Key.Key_Backspace | Qt.Key.Key_Delete if plain:
                self.answered.emit(self.current.check_id, "")
            case Qt.Key.Key_Return | Qt.Key.Key_Enter if plain:
                self._edit(self._typed()) if self.current.unit else self._go(self._at + 1)
            case _ if plain and text and text in BEGINS and self.current.unit:
                self._edit(text)
            case _:
                super().keyPressEvent(event)

    # inside

    def _answer(self, result_id: str) -> None:
        self.end_editing()
        self.answered.emit(self.current.check_id, result_id)
        self._go(self._at + 1)

    def _typed(self) -> str:
        return " ".join(part for part in self._numbers.get(self.current.check_id, ()) if part)

    def _edit(self, text: str) -> None:
        row = self._boxes[self._at]
        self._editing = row.line.check_id
        box = row.value.toRect()
        self.editor.setPlaceholderText(row.line.unit)
        self.open_field(box, row.line.name, text)

    @Slot(int)
    def _step_out(self, by: int) -> None:
        """Enter (0) stays at the check until its result is said, the arrows go on."""
        self._accept()
        if by or self.current.check_id in self._said:
            self._go(self._at + (by or 1))

    def _go(self, at: int) -> None:
        self.end_editing()
        self.take(at, len(self._lines))

    def _tell(self) -> None:
        """Say the check in hand to who cannot see it, its cautions too."""
        line = self.current
        said = dict(line.options).get(self._said.get(line.check_id, ""), say("no answer yet"))
        letters = [*result_letters()[: len(line.options) - 1], grade_letters()[NOT_LOOKED_AT]]
        keys = (f"{key}: {text}" for key, (_, text) in zip(letters, line.options, strict=True))
        parts = (line.name, said, self._typed(), line.about, *line.cautions, *keys)
        words = ". ".join(part for part in parts if part)
        self.describe(words)

    def _paint(self, ink: Ink, row: CheckBox, *, is_current: bool) -> None:
        if is_current:
            has_keys = self.hasFocus() or self.editor.isVisible()
            edge = "focus" if has_keys else "water"
            ink.panel(
                row.box.adjusted(1, 1, -1, -1),
                fill="sheet" if ink.theme.outlined else "soft.water",
                edge=edge if has_keys or ink.theme.outlined else None,
                radius=ink.theme.tokens.radius.control,
                width=ink.theme.tokens.stroke.focus,
            )
        elif row.box.top() > 0:
            ink.line(QPointF(0, row.box.top()), QPointF(row.box.right(), row.box.top()), "line")
        said = self._said.get(row.line.check_id, "")
        for text, box in row.name:
            ink.text(box, text, role="row_lead", weight=600)
        ink.text(row.effort, row.line.effort, role="second", color="ink2", align="right")
        for text, box in row.about:
            ink.text(box, text, role="second", color="ink2")
        for box in row.signs:
            ink.icon("warn", box, "clay")
        for text, box in row.cautions:
            ink.text(box, text, role="second", color="clay")
        self._paint_value(ink, row)
        self._paint_options(ink, row, said)
        self._paint_wrong(ink, row)

    def _paint_wrong(self, ink: Ink, row: CheckBox) -> None:
        sentence = self._wrong.get(row.line.check_id, "")
        height = self._theme.metrics("second").height()
        parts = broken(sentence, row.wrong.width(), self._theme.metrics("second").horizontalAdvance)
        for n, text in enumerate(parts):
            box = QRectF(row.wrong.left(), row.wrong.top() + n * height, row.wrong.width(), height)
            ink.text(box, text, role="second", color="clay", weight=600)

    def _paint_value(self, ink: Ink, row: CheckBox) -> None:
        if not row.line.unit:
            return
        typed, unit = self._numbers.get(row.line.check_id, ("", row.line.unit))
        box = row.value
        ink.panel(box, fill="sheet", edge="edge", radius=ink.theme.tokens.radius.chip)
        inner = box.adjusted(ink.theme.px(8), 0, -ink.theme.px(6), 0)
        if typed:
            place = ink.text(inner, typed, role="row_lead", weight=600)
            inner.setLeft(place.right() + ink.theme.px(4))
        ink.text(inner, unit, role="second", color="ink2" if typed else "ink3")

    def _paint_options(self, ink: Ink, row: CheckBox, said: str) -> None:
        letters = [*result_letters()[: len(row.line.options) - 1], grade_letters()[NOT_LOOKED_AT]]
        for letter, (result_id, text) in zip(letters, row.line.options, strict=True):
            is_on = said == result_id
            tone = "plum" if result_id == NOT_LOOKED_AT else "water"
            cap = row.caps[result_id]
            ink.panel(
                cap,
                fill=tone if is_on else "sheet",
                edge=tone if is_on else "edge",
                radius=ink.theme.tokens.radius.chip,
            )
            on = "sheet" if is_on else "ink2"
            ink.text(cap, letter, role="chip", color=on, align="center", weight=600 if is_on else 0)
            color = tone if is_on else "ink2" if said else "ink"
            weight = 600 if is_on else 0
            ink.text(row.words[result_id], text, role="second", color=color, weight=weight)

    @Slot()
    def _lay_out(self) -> None:
        theme = self._theme
        lead, second = theme.metrics("row_lead"), theme.metrics("second")
        measures = TextMeasures(
            lead_px=lead.height(),
            second_px=second.height(),
            scale=theme.scale,
            lead_width=lambda text: lead.horizontalAdvance(text) * _BOLD,
            second_width=lambda text: second.horizontalAdvance(text) * _BOLD,
        )
        width = max(self.width(), theme.px(_LEAST_PX))
        self._boxes = check_boxes(self._lines, width, measures, tuple(self._wrong))
        self.fit()
