"""Where a file is dropped or chosen while there is none."""

from PySide6.QtCore import QRectF, Qt, Signal
from PySide6.QtGui import QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from servicedesk.window.theme import Theme
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.label import IconSign, Words
from servicedesk.words import say


class BringInDrop(QWidget):
    """`wanted`: a file shall be chosen. The place takes what is dropped."""

    wanted = Signal()

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme = theme
        middle = QVBoxLayout()
        middle.setSpacing(theme.px(10))
        middle.addStretch(1)
        center = Qt.AlignmentFlag.AlignHCenter
        middle.addWidget(IconSign(theme, "in", "water", 40), 0, center)
        middle.addWidget(Words(theme, say("Drop your list here"), role="sheet_title"), 0, center)
        for line in (
            say("Sites, owners, phones, contracts, past visits, in any columns: CSV or XLSX."),
            say("Also places with names from a device: GPX."),
            say("You see row by row what was understood before anything is written."),
        ):
            words = Words(theme, line, color="ink2", wraps=True)
            words.setAlignment(center)
            middle.addWidget(words)
        middle.addSpacing(theme.px(8))
        self.button = Button(
            theme, say("Choose a file…"), icon_name="in", kind="main", key="Ctrl+O"
        )
        self.button.clicked.connect(self.wanted)
        middle.addWidget(self.button, 0, center)
        middle.addStretch(2)
        row = QHBoxLayout(self)
        row.addStretch(1)
        row.addLayout(middle, 4)
        row.addStretch(1)
        theme.changed.connect(self.update)

    def paintEvent(self, event: QPaintEvent) -> None:
        with QPainter(self) as painter:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            painter.setPen(QPen(self._theme.color("edge"), 1.4, Qt.PenStyle.DashLine))
            painter.setBrush(self._theme.color("sheet"))
            box = QRectF(self.rect()).adjusted(1, 1, -1, -1)
            radius = self._theme.tokens.radius.sheet
            painter.drawRoundedRect(box, radius, radius)
