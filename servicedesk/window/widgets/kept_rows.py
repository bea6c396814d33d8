"""Rows of questions that are kept while their questions stand, so that nothing jumps."""

from collections.abc import Iterable

from PySide6.QtCore import QObject
from PySide6.QtWidgets import QAbstractButton, QVBoxLayout, QWidget

from servicedesk.window.theme import Theme


class KeptRows(QWidget):
    """A column of rows with answers as buttons; who inherits says which rows are wanted."""

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme = theme
        self.keys_filter: QObject | None = None  # hears the keys of every answer
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(0)

    def hear(self, answers: Iterable[QAbstractButton]) -> None:
        """Let the filter hear the keys of these answers."""
        if self.keys_filter is not None:
            for answer in answers:
                answer.installEventFilter(self.keys_filter)

    def let_go(self, row: QWidget) -> None:
        """Take a row away whose question is gone."""
        self._column.removeWidget(row)
        row.hide()
        row.deleteLater()
