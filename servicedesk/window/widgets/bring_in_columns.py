"""What each column of a list was understood as, and a choice to correct it."""

from collections.abc import Mapping

from PySide6.QtCore import Qt, Signal, Slot
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from servicedesk.desk.bring_in_page import field_choices
from servicedesk.exchange.columns import EXTRA, Choice
from servicedesk.exchange.columns import Mapping as Columns
from servicedesk.exchange.sheetfile import column_letters
from servicedesk.window.theme import Theme
from servicedesk.window.widgets import choice as choices
from servicedesk.window.widgets.label import OneLine
from servicedesk.window.widgets.sheet import Hairline, Sheet
from servicedesk.words import say

UNSURE = 0.7


class BringInColumns(Sheet):
    """`corrected` carries the column (from 1) and the field chosen for it."""

    corrected = Signal(int, str)

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme, say("What the columns mean"), say("change what is wrong"))
        self._theme = theme
        self._shown: Columns | None = None
        self._rows: QWidget | None = None
        self.pickers: dict[int, choices.Choice] = {}

    def show_columns(self, mapping: Columns, samples: Mapping[int, tuple[str, ...]]) -> None:
        """Show a mapping with the first cells of each column."""
        if mapping == self._shown:
            return
        self._shown = mapping
        if self._rows is not None:
            self.body.removeWidget(self._rows)
            self._rows.deleteLater()
        self.pickers = {}
        self._rows = QWidget()
        column = QVBoxLayout(self._rows)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        for n, one in enumerate(mapping.choices):
            if n:
                column.addWidget(Hairline(self._theme))
            column.addLayout(self._row(one, samples.get(one.col, ())))
        self.body.addWidget(self._rows)

    def _row(self, one: Choice, samples: tuple[str, ...]) -> QHBoxLayout:
        theme = self._theme
        row = QHBoxLayout()
        row.setContentsMargins(0, theme.px(5), 0, theme.px(5))
        row.setSpacing(theme.px(10))
        heading = one.heading or say("column {letters}", letters=column_letters(one.col))
        words = QVBoxLayout()
        words.setSpacing(0)
        for text, role, color in (
            (heading, "row_lead", "ink"),
            (", ".join(samples) or say("empty"), "second", "ink2"),
        ):
            line = OneLine(theme, text, role=role, color=color)
            line.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
            words.addWidget(line)
        row.addLayout(words, 1)
        picker = choices.Choice(theme, say("What “{heading}” means", heading=heading))
        picker.setFixedWidth(theme.px(168))
        picker.setMaxVisibleItems(18)
        picker.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        doubtful = one.confidence < UNSURE and one.field != EXTRA
        for name, title in field_choices():
            shown = say("{title} ?", title=title) if doubtful and name == one.field else title
            picker.addItem(shown, name)
        picker.setCurrentIndex(picker.findData(one.field))
        if doubtful:
            picker.setToolTip(say("Not sure: look at it."))
        picker.setProperty("col", one.col)
        picker.activated.connect(self._picked)
        self.pickers[one.col] = picker
        row.addWidget(picker, 0, Qt.AlignmentFlag.AlignVCenter)
        return row

    @Slot(int)
    def _picked(self, at: int) -> None:
        picker = self.sender()
        if isinstance(picker, choices.Choice):
            self.corrected.emit(int(picker.property("col")), str(picker.itemData(at)))
