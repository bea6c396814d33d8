"""How every table of ours is set up: rows chosen whole, no grid, nothing typed into."""

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QAbstractItemView, QHeaderView, QTableView


def set_up_plain(table: QTableView, accessible_name: str) -> QHeaderView:
    """Set the table up and return its header, whose sections keep the widths they are given."""
    table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
    table.setSelectionMode(QAbstractItemView.SelectionMode.SingleSelection)
    table.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
    table.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
    table.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    table.setTabKeyNavigation(False)
    table.setShowGrid(False)
    table.setAccessibleName(accessible_name)
    table.verticalHeader().hide()
    table.verticalHeader().setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
    head = table.horizontalHeader()
    head.setHighlightSections(False)
    head.setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
    return head
