"""Models and delegates of lists and tables."""

from PySide6.QtCore import QModelIndex, QPersistentModelIndex

Index = QModelIndex | QPersistentModelIndex
