"""Causes of one trouble: chance as bar and number, and how each stands, in shape and words."""

from collections.abc import Sequence

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QGridLayout, QSizePolicy, QWidget

from servicedesk.desk.trouble_view import CauseSeen, TroubleView
from servicedesk.window.ink import Ink
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.knowledge_link import KnowledgeLink
from servicedesk.window.widgets.label import IconSign, Words
from servicedesk.window.widgets.site_rows import emptied
from servicedesk.words import say, say_n

_SIGNS = {
    "never": ("ask", "plum"),
    "old": ("ask", "plum"),
    "tested": ("check", "ink2"),
    "ruled out": ("cross", "ink2"),
    "found": ("look", "clay"),
}


def percent(chance: float) -> str:
    """As "62%"; "under 1%" for what is next to nothing."""
    n = round(100 * chance)
    return say("under 1%") if n < 1 else say("{n}%", n=n)


class ChanceBar(QWidget):
    """A chance as a bar on a sunken ground."""

    def __init__(self, theme: Theme, chance: float, color: str) -> None:
        super().__init__()
        self._theme, self._chance, self._color = theme, chance, color
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setAccessibleName(percent(chance))
        theme.changed.connect(self.update)

    def sizeHint(self) -> QSize:
        return QSize(self._theme.px(110), self._theme.px(16))

    def minimumSizeHint(self) -> QSize:
        return QSize(self._theme.px(48), self._theme.px(16))

    def paintEvent(self, event: QPaintEvent) -> None:
        high = self._theme.px(8)
        box = QRectF(0, (self.height() - high) / 2, self.width(), high)
        with QPainter(self) as painter:
            ink = Ink(painter, self._theme)
            edge = "edge" if self._theme.outlined else None
            ink.panel(box, fill="sunken", edge=edge, radius=3)
            wide = max(box.width() * min(1.0, self._chance), 3.0)
            ink.panel(QRectF(box.x(), box.y(), wide, high), fill=self._color, radius=3)


class CauseBars(QWidget):
    """One line a cause; the others together and what is not in the list come last."""

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme = theme
        self.grid = QGridLayout(self)
        self.grid.setContentsMargins(0, 0, 0, 0)
        self.grid.setHorizontalSpacing(10)
        self.grid.setVerticalSpacing(5)
        self.grid.setColumnStretch(0, 5)
        self.grid.setColumnStretch(1, 3)

    def show_causes(self, view: TroubleView) -> None:
        """Show other causes."""
        emptied(self.grid)
        for at, cause in enumerate(view.causes):
            self._line(at, cause)
        for at, (words, chance) in enumerate(_rest(view), start=len(view.causes)):
            self._plain(at, words, chance)
        self.setAccessibleDescription("; ".join(self.lines()))

    def lines(self) -> Sequence[str]:
        """Everything as text, a line each."""
        rows: dict[int, list[str]] = {}
        for n in range(self.grid.count()):
            widget = self.grid.itemAt(n)
            row = self.grid.getItemPosition(n)[0]  # type: ignore[index]
            label = widget.widget() if widget is not None else None
            if isinstance(label, Words):
                rows.setdefault(row, []).append(label.text())
        return tuple(", ".join(parts) for _, parts in sorted(rows.items()))

    def _line(self, at: int, cause: CauseSeen) -> None:
        theme = self._theme
        weight = 600 if at == 0 else 0
        name = KnowledgeLink(theme, cause.name, "cause", cause.id, weight=weight)
        sign, color = _SIGNS[cause.verdict]
        self.grid.addWidget(name, at, 0)
        self.grid.addWidget(ChanceBar(theme, cause.chance, "plum" if at == 0 else "ink3"), at, 1)
        self._number(at, cause.chance)
        self.grid.addWidget(IconSign(theme, sign, color, 14), at, 3)
        weight = 600 if color != "ink2" else 0
        self.grid.addWidget(
            Words(theme, cause.state, role="second", color=color, weight=weight), at, 4
        )

    def _plain(self, at: int, words: str, chance: float) -> None:
        self.grid.addWidget(Words(self._theme, words, color="ink2", wraps=True), at, 0)
        self.grid.addWidget(ChanceBar(self._theme, chance, "ink3"), at, 1)
        self._number(at, chance)

    def _number(self, at: int, chance: float) -> None:
        number = Words(self._theme, percent(chance), weight=600)
        self.grid.addWidget(number, at, 2, Qt.AlignmentFlag.AlignRight)


def _rest(view: TroubleView) -> list[tuple[str, float]]:
    rest = [(say("Something not in this list"), view.unlisted)]
    if view.n_others:
        words = say_n("{n} other", "{n} others together", view.n_others)
        rest.insert(0, (words, view.others))
    return rest
