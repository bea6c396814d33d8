"""A sheet that holds a list of painted rows under its headings."""

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QAbstractScrollArea, QAbstractSlider, QHBoxLayout, QScrollBar

from servicedesk.window.theme import Theme
from servicedesk.window.widgets.axis_rows import AxisHead
from servicedesk.window.widgets.sheet import Sheet
from servicedesk.window.widgets.today_rows import RowsView

_BESIDE_THE_BAR = 14


class _QuietBar(QScrollBar):
    """Off, and by the style sheet unseen, while there is nothing to scroll."""

    def sliderChange(self, change: QAbstractSlider.SliderChange) -> None:
        super().sliderChange(change)
        if change is QAbstractSlider.SliderChange.SliderRangeChange:
            self.setEnabled(self.maximum() > self.minimum())


def keep_room_for_bar(rows: QAbstractScrollArea) -> None:
    """The columns stay where they are whether or not it scrolls; an idle bar is not seen."""
    rows.setVerticalScrollBar(_QuietBar(rows))
    rows.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOn)


class RowsSheet(Sheet):
    """`head` stands over `rows`, clear of their scroll bar. Hidden until there are rows."""

    def __init__(self, theme: Theme, head: AxisHead, rows: RowsView) -> None:
        super().__init__(theme)
        self.setAccessibleName(rows.accessibleName())
        keep_room_for_bar(rows)
        self.body.setSpacing(0)
        over = QHBoxLayout()
        over.setContentsMargins(0, 0, _BESIDE_THE_BAR, 0)
        over.addWidget(head)
        self.body.addLayout(over)
        self.body.addWidget(rows, 1)
        self.hide()
