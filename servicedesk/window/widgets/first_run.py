"""The very first page: look around, bring a spreadsheet, or start empty."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRectF, Qt, Signal, Slot
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from servicedesk.window.ink import Ink
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.label import IconSign, LinkLabel, Words
from servicedesk.window.widgets.sheet import Sheet
from servicedesk.words import say


@dataclass(frozen=True, slots=True)
class _Card:
    way: str
    icon: str
    title: str
    text: str
    button: str
    note: str


def _cards() -> tuple[_Card, ...]:
    return (
        _Card(
            "sample",
            "look",
            say("Look around first"),
            say(
                "A small invented company in Tarrow County with about 420 sites, six years of"
                " visits and troubles that keep coming back."
            ),
            say("Open the sample"),
            say("takes a few seconds, delete it any time"),
        ),
        _Card(
            "spreadsheet",
            "in",
            say("Bring your spreadsheet"),
            say(
                "Sites, people, contracts, past visits: in any columns. You see what was"
                " understood, row by row, before anything is written."
            ),
            say("Choose a file…"),
            say("CSV or XLSX"),
        ),
        _Card(
            "empty",
            "plus",
            say("Start empty"),
            say(
                "Name the company, the working week and the first technician. Add the first site"
                " while the first customer is on the phone."
            ),
            say("Name the company"),
            say("about 3 minutes"),
        ),
    )


class FirstRun(QWidget):
    """`chosen` carries the way: "sample", "spreadsheet", "empty", "open" or "backup".

    Only the ways given are offered.
    """

    chosen = Signal(str)

    def __init__(self, theme: Theme, ways: Sequence[str]) -> None:
        super().__init__()
        self._theme = theme
        self.buttons: dict[str, Button] = {}
        whole = QHBoxLayout(self)
        whole.setContentsMargins(40, 0, 40, 0)
        middle = QWidget()
        middle.setMaximumWidth(theme.px(1000))
        whole.addStretch(1)
        whole.addWidget(middle, 20)
        whole.addStretch(1)
        outer = QVBoxLayout(middle)
        outer.setContentsMargins(0, 0, 0, 0)
        outer.addStretch(2)
        outer.addLayout(self._head())
        outer.addSpacing(theme.px(44))
        row = QHBoxLayout()
        row.setSpacing(20)
        shown = [card for card in _cards() if card.way in ways]
        for number, card in enumerate(shown, start=1):
            row.addWidget(self._card(card, number), 1)
        outer.addLayout(row)
        outer.addSpacing(16)
        outer.addLayout(self._foot(ways))
        outer.addStretch(7)
        theme.changed.connect(self.update)

    def first_focus(self) -> QWidget:
        """The button most people want."""
        return self.buttons.get("spreadsheet") or next(iter(self.buttons.values()), self)

    def paintEvent(self, event: QPaintEvent) -> None:
        with QPainter(self) as painter:
            painter.fillRect(self.rect(), self._theme.color("ground"))
            if self.height() >= self._theme.px(700):
                _paint_ground(Ink(painter, self._theme), self.width(), self.height())

    def _head(self) -> QHBoxLayout:
        head = QHBoxLayout()
        head.setSpacing(18)
        head.addWidget(IconSign(self._theme, "mark", "water", 54))
        words = QVBoxLayout()
        words.setSpacing(2)
        words.addWidget(
            Words(self._theme, say("Good morning. How shall we begin?"), role="page_title")
        )
        words.addWidget(
            Words(
                self._theme,
                say(
                    "Everything stays in one file on this computer."
                    " You can change every answer later."
                ),
                color="ink2",
            )
        )
        head.addLayout(words, 8)
        return head

    def _card(self, card: _Card, number: int) -> Sheet:
        theme = self._theme
        sheet = Sheet(theme)
        sheet.setAccessibleName(card.title)
        sheet.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
        sheet.setMaximumWidth(theme.px(340))
        sheet.body.setContentsMargins(6, 6, 6, 2)
        sheet.body.addWidget(IconSign(theme, card.icon, "water", 30))
        sheet.body.addSpacing(6)
        sheet.body.addWidget(Words(theme, card.title, role="sheet_title"))
        text = Words(theme, card.text, color="ink2", wraps=True)
        text.setMinimumHeight(theme.px(92))
        text.setAlignment(Qt.AlignmentFlag.AlignTop)
        sheet.body.addWidget(text)
        sheet.body.addStretch(1)
        is_main = card.way == "spreadsheet"
        button = Button(
            theme, card.button, key=str(number), kind="main" if is_main else "plain", wide=True
        )
        button.setObjectName(card.way)
        button.clicked.connect(self._pressed)
        self.buttons[card.way] = button
        sheet.body.addWidget(button)
        sheet.body.addSpacing(4)
        sheet.body.addWidget(Words(theme, card.note, role="second", color="ink2", wraps=True))
        return sheet

    def _foot(self, ways: Sequence[str]) -> QHBoxLayout:
        foot = QHBoxLayout()
        foot.setSpacing(10)
        offered = (
            ("open", say("open a store on another computer…")),
            ("backup", say("bring back a backup…")),
        )
        links = [(way, words) for way, words in offered if way in ways]
        if links:
            foot.addWidget(Words(self._theme, say("or"), color="ink2"))
        for way, words in links:
            link = LinkLabel(self._theme, words)
            link.setObjectName(way)
            link.clicked.connect(self._pressed)
            foot.addWidget(link)
        foot.addStretch(8)
        return foot

    @Slot()
    def _pressed(self) -> None:
        self.chosen.emit(self.sender().objectName())


def _paint_ground(ink: Ink, width: int, height: int) -> None:
    """The trade from the side: three tanks under the ground line, and the spray."""
    scale = min(1.0, width / 1440)
    ground_y = height - 150.0
    ink.line(QPointF(0, ground_y), QPointF(width, ground_y), "edge")
    tanks = (
        (0.11, 250, say("trash tank")),
        (0.315, 300, say("aeration")),
        (0.55, 200, say("pump tank")),
    )
    last_right = 0.0
    for share, wide, words in tanks:
        tank = QRectF(width * share, ground_y + 27, wide * scale, 98)
        if last_right:
            middle = tank.top() + 31
            ink.line(QPointF(last_right, middle), QPointF(tank.left(), middle), "edge", width=2.5)
        ink.panel(tank, fill="ground", edge="edge", radius=10, width=1.4)
        water = tank.adjusted(1.4, 36, -1.4, -1.4)
        ink.hatch(water, "line", gap=9, width=1)
        lid = QRectF(tank.center().x() - 23, ground_y - 5, 46, 31)
        ink.panel(lid, fill="ground", edge="edge", radius=4, width=1.4)
        below = QRectF(tank.left(), tank.bottom() + 3, tank.width(), 16)
        ink.text(below, words, role="axis", color="ink3", align="center")
        last_right = tank.right()
    _paint_spray(ink, last_right, width, ground_y)


def _paint_spray(ink: Ink, left: float, width: int, ground_y: float) -> None:
    riser = min(left + 100, width - 90)
    deep = ground_y + 80
    ink.line(QPointF(left, deep), QPointF(riser, deep), "edge", width=1.6)
    ink.line(QPointF(riser, deep), QPointF(riser, ground_y - 26), "edge", width=1.6)
    for n, reach in ((9, 20.0), (9, 34.0), (9, 48.0)):
        for at in range(n):
            turn = (at - (n - 1) / 2) * 0.28
            x, y = _around(riser, ground_y - 18, reach, turn)
            ink.mark("disc", QPointF(x, y), 1.6, "water")


def _around(x: float, y: float, reach: float, turn: float) -> tuple[float, float]:
    return x + reach * math.sin(turn), y - reach * math.cos(turn) * 0.8
