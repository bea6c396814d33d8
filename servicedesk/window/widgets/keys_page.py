"""F1: the keys of this page, read from the same table as menus and buttons."""

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QScrollArea, QWidget

from servicedesk.window.actions import Act, by_group, keys_in_words
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.label import KeyCap, Words
from servicedesk.window.widgets.veil import Veil
from servicedesk.words import say


class KeysPage(Veil):
    """Filled anew each time it is opened."""

    def __init__(self, theme: Theme, home: QWidget) -> None:
        super().__init__(theme, home, width_px=760, height_px=640)
        head = QHBoxLayout()
        head.setContentsMargins(20, 16, 20, 8)
        head.addWidget(Words(theme, say("Keys of this page"), role="sheet_title"))
        head.addStretch(1)
        head.addWidget(KeyCap(theme, say("Esc")))
        self.column.addLayout(head)
        self.area = QScrollArea()
        self.area.setWidgetResizable(True)
        self.area.setAccessibleName(say("Keys of this page"))
        self.column.addWidget(self.area, 1)

    def open_with_acts(self, acts: Sequence[Act]) -> None:
        """List the keys of these acts, two columns of groups."""
        page = QWidget()
        grid = QGridLayout(page)
        grid.setContentsMargins(20, 4, 20, 16)
        grid.setHorizontalSpacing(10)
        grid.setVerticalSpacing(6)
        groups = list(by_group(acts).items())
        halves = _balanced(groups)
        for column, half in enumerate(halves):
            row = 0
            for heading, members in half:
                title = Words(self.theme, heading, role="second", color="ink3", weight=600)
                grid.addWidget(title, row, 3 * column, 1, 2)
                row += 1
                for act in members:
                    caps = _caps(self.theme, act)
                    grid.addWidget(caps, row, 3 * column, Qt.AlignmentFlag.AlignLeft)
                    grid.addWidget(Words(self.theme, act.text), row, 3 * column + 1)
                    row += 1
                grid.setRowMinimumHeight(row, 0)
        grid.setColumnStretch(1, 1)
        grid.setColumnMinimumWidth(2, 24)
        grid.setColumnStretch(4, 1)
        grid.setRowStretch(grid.rowCount(), 1)
        self.area.setWidget(page)
        self.open_with(self.area)


def _balanced(
    groups: Sequence[tuple[str, list[Act]]],
) -> tuple[list[tuple[str, list[Act]]], list[tuple[str, list[Act]]]]:
    left: list[tuple[str, list[Act]]] = []
    right: list[tuple[str, list[Act]]] = []
    total = sum(len(members) + 1 for _, members in groups)
    used = 0
    for group in groups:
        (left if used < total / 2 else right).append(group)
        used += len(group[1]) + 1
    return left, right


def _caps(theme: Theme, act: Act) -> QWidget:
    holder = QWidget()
    row = QHBoxLayout(holder)
    row.setContentsMargins(0, 0, 0, 0)
    row.setSpacing(4)
    for keys in act.shortcuts:
        row.addWidget(KeyCap(theme, keys_in_words(keys)))
    return holder
