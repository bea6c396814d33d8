"""Work still owed: lines of fields, always with an empty one at the end."""

from collections.abc import Mapping, Sequence
from itertools import pairwise

from PySide6.QtCore import Signal, Slot
from PySide6.QtWidgets import QHBoxLayout, QLineEdit, QVBoxLayout, QWidget

from servicedesk.desk.writeup_entry import OwedEntry
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.label import Words
from servicedesk.words import say


class FieldsLine(QWidget):
    """Fields by name, and room under them for what is wrong with one."""

    fields: Mapping[str, QLineEdit]
    wrong: Words

    def show_wrong(self, name: str, sentence: str) -> None:
        """Say under the line what is wrong with a field of it; "" clears it."""
        field = self.fields.get(name)
        if field is not None:
            field.setProperty("wrong", bool(sentence))
            field.style().unpolish(field)
            field.style().polish(field)
        self.wrong.setText(sentence)
        self.wrong.setVisible(bool(sentence))


class _Line(FieldsLine):
    """One line of fields with room for a complaint under it."""

    edited = Signal()

    def __init__(self, theme: Theme, rows: Sequence[Sequence[tuple[str, str, int]]]) -> None:
        super().__init__()
        fields_here: dict[str, QLineEdit] = {}
        column = QVBoxLayout(self)
        column.setContentsMargins(4, 4, 4, 4)
        column.setSpacing(6)
        for fields in rows:
            row = QHBoxLayout()
            row.setSpacing(8)
            for name, words, width in fields:
                field = QLineEdit()
                field.setPlaceholderText(words)
                field.setAccessibleName(words)
                if width:
                    field.setFixedWidth(theme.px(width))
                field.textEdited.connect(self._edited)
                row.addWidget(field, 0 if width else 1)
                fields_here[name] = field
            column.addLayout(row)
        self.fields = fields_here
        self.wrong = Words(theme, color="clay", role="second", weight=500, wraps=True)
        self.wrong.hide()
        column.addWidget(self.wrong)

    @property
    def is_empty(self) -> bool:
        return not any(field.text().strip() for field in self.fields.values())

    def put(self, values: dict[str, str]) -> None:
        for name, value in values.items():
            field = self.fields[name]
            field.setText(value)
            field.setToolTip(value)
            if not field.hasFocus():
                field.setCursorPosition(0)  # a long line shows how it begins

    @Slot(str)
    def _edited(self, text: str) -> None:
        self.edited.emit()


class Lines(QWidget):
    """Lines of one kind. `edited` after each key."""

    edited = Signal()

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme = theme
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(2)
        self.lines: list[_Line] = []
        self._grow()

    def show_wrong(self, n: int, name: str, sentence: str) -> None:
        """Say at the nth filled line what is wrong with it."""
        filled = [line for line in self.lines if not line.is_empty]
        line = filled[n] if n < len(filled) else self.lines[-1]
        line.show_wrong(name, sentence)

    def clear_wrong(self) -> None:
        """Nothing is wrong, or not judged yet."""
        for line in self.lines:
            for name in line.fields:
                line.show_wrong(name, "")

    def first_empty(self) -> QLineEdit:
        """The field to write the next one in."""
        return next(iter(self.lines[-1].fields.values()))

    def _put(self, values: Sequence[dict[str, str]]) -> None:
        while len(self.lines) > 1:
            line = self.lines.pop()
            self._column.removeWidget(line)
            line.hide()
            line.deleteLater()
        self.lines[0].put(dict.fromkeys(self.lines[0].fields, ""))
        for n, one in enumerate(values):
            self.lines[n].put(one)
            self._grow()

    def _grow(self) -> None:
        line = _Line(self._theme, self._rows())
        line.edited.connect(self._edited)
        self.lines.append(line)
        self._column.addWidget(line)
        fields = [field for one in self.lines for field in one.fields.values()]
        for first, second in pairwise(fields):
            QWidget.setTabOrder(first, second)

    def _rows(self) -> tuple[tuple[tuple[str, str, int], ...], ...]:
        raise NotImplementedError

    @Slot()
    def _edited(self) -> None:
        if not self.lines[-1].is_empty:
            self._grow()
        self.edited.emit()


class OwedLines(Lines):
    """Work still owed: what, what it needs, by when."""

    def __init__(self, theme: Theme) -> None:
        self._ids: list[int | None] = []
        super().__init__(theme)

    def entries(self) -> tuple[OwedEntry, ...]:
        """What stands here, empty lines left out."""
        ids = [*self._ids, *[None] * len(self.lines)]
        return tuple(
            OwedEntry(
                what=line.fields["what"].text(),
                needs=line.fields["needs"].text(),
                by=line.fields["by"].text(),
                owed_id=ids[n],
            )
            for n, line in enumerate(self.lines)
            if not line.is_empty
        )

    def show_entries(self, owed: Sequence[OwedEntry]) -> None:
        """Show these."""
        self._ids = [one.owed_id for one in owed]
        self._put([{"what": one.what, "needs": one.needs, "by": one.by} for one in owed])

    def _rows(self) -> tuple[tuple[tuple[str, str, int], ...], ...]:
        return (
            (("what", say("What is still owed"), 0),),
            (("needs", say("What it needs"), 0), ("by", say("By: Nov 30"), 96)),
        )
