"""Two small places for tests of the frame."""

from PySide6.QtWidgets import QLineEdit, QVBoxLayout

from servicedesk.window.actions import Act
from servicedesk.window.places.base import Place
from servicedesk.window.places.registry import PlaceKind
from servicedesk.window.widgets.label import Chip, LinkedText, Words
from servicedesk.window.widgets.sheet import Sheet


class PlainPlace(Place):
    """Remembers what it was asked."""

    def __init__(self, shell):
        self.read, self.shown, self.put_back, self.pressed = [], [], [], 0
        super().__init__(shell)
        column = QVBoxLayout(self)
        column.setContentsMargins(24, 16, 24, 24)
        column.addWidget(Words(self.theme, "Wednesday, October 14", role="page_title"))
        column.addWidget(
            LinkedText(self.theme, 'Three people are out with <a href="rounds">19 stops</a>.')
        )
        self.sheet = Sheet(self.theme, "Waiting for an answer", "oldest promise first")
        self.sheet.body.addWidget(Chip(self.theme, "Draft, not handed out", "ochre", "look"))
        self.field = QLineEdit()
        self.sheet.body.addWidget(self.field)
        self.sheet.body.addStretch(1)
        column.addWidget(self.sheet, 1)

    def acts(self):
        return (Act(id="new", text="New thing", shortcut="N", do=self._press, group="This page"),)

    def title(self):
        return f"record {self.shown[-1][0]}" if self.shown and self.shown[-1] else ""

    def show_record(self, ids):
        self.shown.append(ids)

    def refresh(self, changed):
        self.read.append(changed)

    def position(self):
        return self.shown[-1]

    def restore(self, position):
        self.put_back.append(position)

    def _press(self):
        self.pressed += 1


class TodayPlace(PlainPlace):
    name = "today"


class PhonePlace(PlainPlace):
    name = "phone"


class RoundsPlace(PlainPlace):
    name = "rounds"


class SitesPlace(PlainPlace):
    name = "sites"


class OwedPlace(PlainPlace):
    name = "owed"


class _Kind(PlaceKind):
    def build(self, shell):
        return globals()[f"{self.id.title()}Place"](shell)


def some_kinds():
    from servicedesk.window.places.registry import all_places

    shown = [kind for kind in all_places() if f"{kind.id.title()}Place" in globals()]
    plain = [_Kind(k.id, k.title, k.icon, k.group, k.number, k.factory) for k in shown]
    setup = next(kind for kind in all_places() if kind.id == "setup")
    return (*plain, setup)
