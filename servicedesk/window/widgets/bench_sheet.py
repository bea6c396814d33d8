"""The sheet of the route bench: it scrolls where there are more ribbons than room."""

from PySide6.QtCore import QEvent, QPointF, QRectF, Qt, Slot
from PySide6.QtGui import QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QFrame, QScrollArea, QVBoxLayout, QWidget

from servicedesk.desk.rounds_page import StopWords
from servicedesk.window.ink import Ink
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.bench_data import block_words
from servicedesk.window.widgets.bench_shapes import BLOCK, natural_height
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.ribbon_bench import RibbonBench
from servicedesk.words import say


class BenchSheet(QFrame):
    """White sheet with a hairline round the ribbons, and the way to the list in its corner."""

    def __init__(self, theme: Theme, bench: RibbonBench) -> None:
        super().__init__()
        self._theme, self._bench = theme, bench
        self.area = QScrollArea()
        self.area.setFrameShape(QFrame.Shape.NoFrame)
        self.area.setWidgetResizable(True)
        self.area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.area.setWidget(bench)
        self.area.viewport().setAutoFillBackground(False)
        bench.setAutoFillBackground(False)
        column = QVBoxLayout(self)
        column.setContentsMargins(1, 1, 1, 1)
        column.addWidget(self.area)
        self.as_list = Button(
            theme, say("As a list"), key="T", kind="link", small=True, shows_only=True, parent=self
        )
        self.as_list.move(theme.px(8), theme.px(3))

    @property
    def wanted_height(self) -> int:
        """The height at which nothing scrolls."""
        n = len(self._bench.plan.days) if self._bench.plan is not None else 3
        return round(natural_height(n, self._theme.scale)) + 2

    def paintEvent(self, event: QPaintEvent) -> None:
        radius = self._theme.tokens.radius.sheet
        with QPainter(self) as painter:
            Ink(painter, self._theme).panel(
                QRectF(self.rect()), fill="sheet", edge="line", radius=radius
            )

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.as_list.adjustSize()


class CarriedBlock(QWidget):
    """A stop on its way outside the ribbons: follows the hand; `note` tells where it would land."""

    def __init__(self, theme: Theme, home: QWidget) -> None:
        super().__init__(home)
        self._theme = theme
        self._words: StopWords | None = None
        self._note = ""
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.hide()

    def show_at(self, words: StopWords, at: QPointF, note: str = "") -> None:
        """Carry these words with the middle at `at` (of the home widget), below it `note`."""
        self._words, self._note = words, note
        width, height = self._theme.px(96), round(BLOCK * self._theme.scale) + 6
        top = round(at.y() - height / 2)
        if note:
            metrics = self._theme.metrics("second")
            width = max(width, round(metrics.horizontalAdvance(note)) + self._theme.px(18))
            height += self._theme.px(20)
        left = round(at.x() - self._theme.px(48))
        home = self.parentWidget()
        if home is not None:
            left = min(left, home.width() - width - 4)
        self.setGeometry(max(0, left), top, width, height)
        self.show()
        self.raise_()
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        if self._words is None:
            return
        s = self._theme.scale
        lead, second = block_words(self._words)
        with QPainter(self) as painter:
            ink = Ink(painter, self._theme)
            box = QRectF(self.rect()).adjusted(1, 1, -1, -5)
            ink.panel(box, fill="sheet", edge="focus", radius=4 * s, width=2)
            foot = 20 * s if self._note else 0.0
            upper = box.adjusted(7 * s, 3 * s, -4 * s, -18 * s - foot)
            ink.text(upper, lead, role="second", weight=600)
            lower = box.adjusted(7 * s, 18 * s, -4 * s, -3 * s - foot)
            ink.text(lower, second, role="axis", color="ink2")
            if self._note:
                note = box.adjusted(7 * s, box.height() - foot - 2 * s, -4 * s, -4 * s)
                ink.text(note, self._note, role="second", color="focus", weight=600)

    def changeEvent(self, event: QEvent) -> None:
        super().changeEvent(event)
        self.update()

    @Slot()
    def put_away(self) -> None:
        """Show nothing."""
        self.hide()
