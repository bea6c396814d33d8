"""The upper sheet of the year: what each site kept, worst to best, and the sums."""

from PySide6.QtCore import Qt, Signal, Slot
from PySide6.QtGui import QMouseEvent
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QWidget

from servicedesk.desk.office import Desk
from servicedesk.desk.year_page import YearPage, if_raised_minor
from servicedesk.desk.year_words import signed
from servicedesk.papers.year_figures import LadderShown, ladder_at, ladder_figure
from servicedesk.values.shapes import Measure, Shape
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.label import Words
from servicedesk.window.widgets.patterns_painted import FigureView
from servicedesk.window.widgets.sheet import Sheet
from servicedesk.words import say, say_n

_SUMS_PX = 252


class LadderView(FigureView):
    """The ladder; a press says whose column was meant, by its number."""

    pressed = Signal(int)

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme, say("What each site kept of its price"))
        self.n = 0
        self.setCursor(Qt.CursorShape.PointingHandCursor)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        at = ladder_at(self.n, float(self.width()), event.position().x())
        if at is not None:
            self.pressed.emit(at)


class LadderSheet(Sheet):
    """`site_wanted` carries the contract whose column was pressed."""

    site_wanted = Signal(int)

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme, say("What each site kept of its price this year"), " ")
        self._page: YearPage | None = None
        self.view = LadderView(theme)
        self.view.pressed.connect(self._pressed)
        row = QHBoxLayout()
        row.setSpacing(20)
        row.addWidget(self.view, 1, Qt.AlignmentFlag.AlignTop)
        self.sums = QWidget()
        theme.changed.connect(self._fit_sums)
        self._fit_sums()
        grid = QGridLayout(self.sums)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setVerticalSpacing(4)
        self.values: dict[str, Words] = {}
        texts = {"kept": say("Kept in all"), "lost": say("Lost at the sites in red"),
                 "raise": say("If all “Raise” rows are taken")}  # fmt: skip
        for n, (name, words) in enumerate(texts.items()):
            grid.addWidget(Words(theme, words, color="ink2"), n, 0)
            value = self.values[name] = Words(theme, role="sum_small")
            grid.addWidget(value, n, 1, Qt.AlignmentFlag.AlignRight)
        self.formula = Words(theme, say("price less labor, road, parts and calls"), role="axis",
                             color="ink2")  # fmt: skip
        grid.addWidget(self.formula, len(texts), 0, 1, 2)
        grid.setRowStretch(len(texts) + 1, 1)
        row.addWidget(self.sums)
        self.body.addLayout(row)

    @Slot()
    def _fit_sums(self) -> None:
        self.sums.setFixedWidth(self._theme.px(_SUMS_PX))

    def show_page(self, desk: Desk, page: YearPage, chosen: int | None) -> None:
        """Show the ladder with one contract marked."""
        self._page = page
        n, n_losing = len(page.kept), len(page.losing)
        self.set_title(
            say("What each site kept of its price this year"),
            say_n("{n} site watched for a year, worst to best",
                  "{n} sites watched for a year, worst to best", n) if n
            else say("No contract was watched for a whole year yet."),
        )  # fmt: skip
        shown = LadderShown(
            values=tuple(one.kept_minor for one in page.kept),
            below=say_n("{n} site costs more than it brings",
                        "{n} sites cost more than they bring", n_losing),
            above=say_n("{n} site brings more than it costs",
                        "{n} sites bring more than they cost", n - n_losing),
            chosen=next((k for k, one in enumerate(page.kept) if one.contract_id == chosen), None),
            chosen_words=next(
                (one.address for one in page.kept if one.contract_id == chosen), ""
            ),
        )  # fmt: skip
        self.view.n = n

        def draw(width: float, measure: Measure, scale: float) -> tuple[list[Shape], float]:
            return ladder_figure(shown, width, measure, scale)

        self.view.show_figure(draw, f"{shown.below}; {shown.above}")
        self._show_sums(desk, page)

    def _show_sums(self, desk: Desk, page: YearPage) -> None:
        lost = sum(one.kept_minor for one in page.losing)
        sums = {"kept": page.kept_minor, "lost": lost, "raise": if_raised_minor(page)}
        for name, minor in sums.items():
            value = self.values[name]
            value.setText(signed(desk, minor) if name == "raise" or minor < 0
                          else signed(desk, minor)[1:])  # fmt: skip
            value.set_color("clay" if minor < 0 else "moss" if name == "raise" else "ink")

    def _pressed(self, at: int) -> None:
        if self._page is not None and at < len(self._page.kept):
            self.site_wanted.emit(self._page.kept[at].contract_id)
