"""The data roles of our models."""

from enum import IntEnum

from PySide6.QtCore import Qt

_FIRST = int(Qt.ItemDataRole.UserRole)


class Role(IntEnum):
    """Roles beside Qt's own; always named with the dot, `Role.ROW_ID`."""

    ROW_ID = _FIRST + 1  # the record's id
    ROW = _FIRST + 2  # the whole frozen row, None until it has been fetched
    SECOND = _FIRST + 3  # second line of a cell, "" for none
    IS_HEADING = _FIRST + 4  # a heading between rows, cannot be chosen
