"""What the columns of the form are made of: scrolled columns, key hints, cautions in full."""

from collections.abc import Iterable

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHBoxLayout, QScrollArea, QVBoxLayout, QWidget

from servicedesk.window.theme import Theme
from servicedesk.window.widgets.label import IconSign, KeyCap, Words
from servicedesk.window.widgets.sheet import Sheet
from servicedesk.words import say

_AROUND_PX = 96


def scrolled(inside: QWidget) -> QScrollArea:
    """`inside` in a scroll area that follows its width."""
    scroll = QScrollArea()
    scroll.setWidgetResizable(True)
    scroll.setFocusPolicy(Qt.FocusPolicy.NoFocus)
    scroll.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    scroll.setWidget(inside)
    return scroll


def column_of(sheets: tuple[QWidget, ...], gap: int) -> QScrollArea:
    """Sheets below each other, scrolled where room is short."""
    inside = QWidget()
    column = QVBoxLayout(inside)
    column.setContentsMargins(0, 0, 6, 0)
    column.setSpacing(gap)
    for sheet in sheets:
        column.addWidget(sheet)
    column.addStretch(1)
    return scrolled(inside)


def bring_into_view(widget: QWidget) -> None:
    """Scroll the column that `widget` is in so far that it can be seen."""
    above = widget.parentWidget()
    while above is not None and not isinstance(above, QScrollArea):
        above = above.parentWidget()
    if above is not None:
        above.ensureWidgetVisible(widget, 0, _AROUND_PX)


def show_key(theme: Theme, sheet: Sheet, words: str, letter: str) -> None:
    """What a letter does here, at the end of the head of a sheet."""
    sheet.head.addStretch(1)
    sheet.head.addWidget(Words(theme, words, role="second", color="ink2"))
    sheet.head.addWidget(KeyCap(theme, letter))


def cautions_sheet(theme: Theme, texts: Iterable[str]) -> Sheet:
    """The cautions of the jobs: every text whole, never elided, never behind a click."""
    sheet = Sheet(theme, say("Take care"))
    for text in texts:
        row = QHBoxLayout()
        row.setSpacing(8)
        row.addWidget(IconSign(theme, "warn", "clay", 16), 0, Qt.AlignmentFlag.AlignTop)
        row.addWidget(Words(theme, text, role="second", color="ink", wraps=True), 1)
        sheet.body.addLayout(row)
    return sheet
