"""A place on a round with its price: what it costs in road, who would be late, home when."""

from dataclasses import dataclass

from PySide6.QtCore import QRectF, Qt, Slot
from PySide6.QtGui import QKeyEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QAbstractButton, QWidget

from servicedesk.window.ink import Ink
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.label import key_cap_size
from servicedesk.words import say


@dataclass(frozen=True, slots=True, kw_only=True)
class OfferWords:
    """One place in words. `is_bad` where somebody would be late."""

    where: str
    road: str
    others: str
    home: str
    is_bad: bool = False


def _columns(theme: Theme, box: QRectF) -> tuple[QRectF, QRectF, QRectF, QRectF]:
    """Boxes for place, road, others, home."""
    home, others, road = theme.px(52), theme.px(62), theme.px(66)
    left = box.left() + theme.px(28)
    right = box.right()
    boxes = []
    for width in (home, others, road):
        boxes.append(QRectF(right - width, box.top(), width, box.height()))
        right -= width
    place = QRectF(left, box.top(), right - left - 4, box.height())
    return place, boxes[2], boxes[1], boxes[0]


class OfferHeads(QWidget):
    """Heads of the columns of places."""

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme = theme
        self._resize()
        theme.changed.connect(self._resize)

    def paintEvent(self, event: QPaintEvent) -> None:
        with QPainter(self) as painter:
            ink = Ink(painter, self._theme)
            place, *others = _columns(self._theme, QRectF(self.rect()))
            place.setLeft(0)
            ink.text(place, say("place"), role="axis", color="ink3")
            heads = (say("road"), say("others"), say("home"))
            for box, words in zip(others, heads, strict=True):
                ink.text(box, words, role="axis", color="ink3", align="right")

    @Slot()
    def _resize(self) -> None:
        self.setFixedHeight(self._theme.px(17))


class OfferRow(QAbstractButton):
    """One place with its price: pressed by mouse, Enter, Space or its digit."""

    def __init__(self, theme: Theme, number: int) -> None:
        super().__init__()
        self._theme, self.number = theme, number
        self.offer: OfferWords | None = None
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setCursor(Qt.CursorShape.PointingHandCursor)
        self._resize()
        theme.changed.connect(self._resize)

    def show_offer(self, offer: OfferWords | None) -> None:
        """Carry another offer, or none."""
        self.offer = offer
        if offer is not None:
            parts = (offer.where, offer.road, offer.others, say("home {time}", time=offer.home))
            self.setAccessibleName(", ".join(parts))
        self.update()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.click()
            return
        super().keyPressEvent(event)

    def paintEvent(self, event: QPaintEvent) -> None:
        offer = self.offer
        if offer is None:
            return
        with QPainter(self) as painter:
            ink = Ink(painter, self._theme)
            box = QRectF(self.rect())
            if self.underMouse():
                ink.panel(box, fill="soft.water", radius=4)
            cap = key_cap_size(self._theme, "1")
            top = (box.height() - cap.height()) / 2
            ink.key_cap(QRectF(0, top, cap.width(), cap.height()), str(self.number + 1))
            place, road, others, home = _columns(self._theme, box)
            ink.text(place, offer.where, role="second", weight=500)
            ink.text(road, offer.road, role="second", color="ink2", align="right")
            bad = "clay" if offer.is_bad else "ink2"
            weight = 600 if offer.is_bad else 0
            ink.text(others, offer.others, role="second", color=bad, align="right", weight=weight)
            ink.text(home, offer.home, role="second", color="ink2", align="right")

    @Slot()
    def _resize(self) -> None:
        self.setFixedHeight(self._theme.px(26))
        self.update()
