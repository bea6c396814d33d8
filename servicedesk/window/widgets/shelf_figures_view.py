"""Small pictures of the shelf's figures: finished at the first visit, why not, what parts cost."""

from collections.abc import Sequence

from PySide6.QtWidgets import QFrame, QHBoxLayout, QScrollArea, QVBoxLayout, QWidget

from servicedesk.desk.office import Desk
from servicedesk.desk.shelf_figures import Quarter, ShelfFigures, why_text
from servicedesk.values.money import Money
from servicedesk.values.shapes import Box, Font, Line, Mark, Measure, Rect, Shape, TextBox
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.label import Words
from servicedesk.window.widgets.patterns_painted import FigureView
from servicedesk.words import say, say_n

HIGH, ROW = 170.0, 28.0
FEW = 5  # with fewer the disc is hollow: too few to say


class FiguresView(QScrollArea):
    """Three figures side by side."""

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        inner = QWidget()
        row = QHBoxLayout(inner)
        row.setContentsMargins(0, 4, 8, 0)
        row.setSpacing(28)
        self.rate = FigureView(theme, say("Finished at the first visit"))
        self.why = FigureView(theme, say("Why a second visit was needed"))
        self.costs = FigureView(theme, say("Parts, dearest systems"))
        self.cost_told = Words(theme, role="second", color="ink2", wraps=True)
        for title, view, more in (
            (say("Callbacks finished at the first visit"), self.rate, None),
            (say("Why a second visit was needed, last 12 months"), self.why, None),
            (say("What parts cost, last 12 months"), self.costs, self.cost_told),
        ):
            column = QVBoxLayout()
            column.addWidget(Words(theme, title, role="row_lead"))
            if more is not None:
                column.addWidget(more)
            column.addWidget(view)
            column.addStretch(1)
            row.addLayout(column, 1)
        self.setWidget(inner)

    def show_figures(self, desk: Desk, figures: ShelfFigures) -> None:
        """Draw them."""

        def money(minor: int) -> str:
            return desk.formats.money(Money(minor, desk.company.currency))

        told = say("{money} in all", money=money(figures.cost_minor))
        if figures.unknown:
            more = say_n("{n} piece without a known cost", "{n} pieces without a known cost",
                         figures.unknown)  # fmt: skip
            told = f"{told} · {more}"
        self.cost_told.setText(told)
        quarters = [(one, desk.formats.month(one.first)) for one in figures.quarters]
        why = [(why_text(code), n, str(n)) for code, n in figures.why]
        costs = [(address, cost, money(cost)) for address, _, cost in figures.dearest]

        def rate(width: float, measure: Measure, s: float) -> tuple[list[Shape], float]:
            return rate_figure(quarters, width, measure, s)

        def reasons(width: float, measure: Measure, s: float) -> tuple[list[Shape], float]:
            return bars_figure(why, width, measure, s)

        def dear(width: float, measure: Measure, s: float) -> tuple[list[Shape], float]:
            return bars_figure(costs, width, measure, s)

        self.rate.show_figure(rate, "; ".join(_spoken(one, name) for one, name in quarters))
        self.why.show_figure(reasons, "; ".join(f"{name} {said}" for name, _, said in why))
        self.costs.show_figure(dear, "; ".join(f"{name} {said}" for name, _, said in costs))


def _spoken(one: Quarter, name: str) -> str:
    return say("from {month} {n} of {of}", month=name, n=one.finished, of=one.visits)


def rate_figure(
    quarters: Sequence[tuple[Quarter, str]], width: float, measure: Measure, s: float
) -> tuple[list[Shape], float]:
    """Quarters from left to right: the share as a disc (hollow: few), its 95 % range upright."""
    small = Font(11 * s)
    left, top, high = measure("100%", small) + 10 * s, 8 * s, HIGH * s
    shapes: list[Shape] = []
    for share in (0.0, 0.5, 1.0):
        y = top + high * (1 - share)
        shapes.append(Line(left, y, width, y, color="line"))
        box = Box(0, y - 8 * s, left - 8 * s, 16 * s)
        shapes.append(TextBox(box, say("{n}%", n=round(100 * share)), small, "ink3", "right"))
    step = (width - left) / max(1, len(quarters))
    for n, (one, name) in enumerate(quarters):
        x = left + (n + 0.5) * step
        if one.share is not None:
            low, best, most = (
                top + high * (1 - v) for v in (one.share.low, one.share.best, one.share.high)
            )
            shapes.append(Line(x, low, x, most, color="ink3", width=1.5 * s))
            shapes.append(Mark("disc", x, best, 8 * s, color="moss", filled=one.visits >= FEW))
        if n % 4 == 0:
            wide = min(step * 4, width - x + step / 2)
            box = Box(x - step / 2, top + high + 4 * s, wide, 16 * s)
            shapes.append(TextBox(box, name, small, "ink3"))
    return shapes, top + high + 24 * s


def bars_figure(
    rows: Sequence[tuple[str, int, str]], width: float, measure: Measure, s: float
) -> tuple[list[Shape], float]:
    """A bar each, with words above it and what it stands for at its end."""
    text, small = Font(12 * s), Font(11 * s)
    shapes: list[Shape] = []
    most = max([value for _, value, _ in rows], default=1)
    room = width - max([measure(said, small) for _, _, said in rows], default=0.0) - 10 * s
    for n, (name, value, said) in enumerate(rows):
        y = n * ROW * s
        shapes.append(TextBox(Box(0, y, width, 15 * s), name, text))
        bar = Box(0, y + 16 * s, max(2.0, room * value / most), 6 * s)
        shapes.append(Rect(bar, fill="edge", stroke=None, radius=2 * s))
        at = Box(bar.right + 6 * s, y + 11 * s, width - bar.right - 6 * s, 16 * s)
        shapes.append(TextBox(at, said, small, "ink2"))
    return shapes, len(rows) * ROW * s + 4
