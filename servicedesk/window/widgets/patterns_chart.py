"""The left sheet of Patterns: rows that scroll under their axis, and what the marks mean."""

from PySide6.QtCore import Qt, Signal, Slot
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QScrollArea, QVBoxLayout, QWidget

from servicedesk.desk.pattern_page import PatternPage
from servicedesk.desk.pattern_papers import legend_words, upright_words
from servicedesk.desk.pattern_shown import sections_of
from servicedesk.desk.pattern_told import association_text, comparisons_text
from servicedesk.papers.pattern_figures import legend_figure
from servicedesk.values.shapes import Measure, Shape
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.patterns_painted import FigureView, TextView
from servicedesk.window.widgets.patterns_rows import RowsChart
from servicedesk.window.widgets.sheet import Sheet
from servicedesk.words import say
from servicedesk.words.formats import Formats

_LEGEND_FROM = 560  # px at 100 %


class ChartSheet(Sheet):
    """Rows with ranges. `everything_changed`: all that is compared is shown, or no longer."""

    everything_changed = Signal()

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme, say("How often, group by group"), " ")
        self._notes: tuple[str, ...] = ()
        self.everything = Button(theme, _words(False), key="A", kind="link", shows_only=True)
        self.head.addWidget(self.everything)
        self.rows = RowsChart(theme)
        self.legend = FigureView(theme, say("What the marks mean"))
        self.none = TextView(theme, color="ink2")
        self.inner = QWidget()
        self.within = QVBoxLayout(self.inner)
        self.within.setContentsMargins(0, 0, 0, 0)
        self.within.addWidget(self.rows)
        self.within.addStretch(1)
        self.area = QScrollArea()
        self.area.setWidgetResizable(True)
        self.area.setFrameShape(QScrollArea.Shape.NoFrame)
        self.area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.area.setWidget(self.inner)
        bar = self.area.verticalScrollBar()
        bar.valueChanged.connect(self.rows.set_top)
        bar.rangeChanged.connect(self.rows.keep_in_sight)
        self.is_everything = False
        self.body.addWidget(self.none)
        self.body.addWidget(self.area, 1)
        self.body.addWidget(self.legend)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Where a window is low the legend scrolls with the rows, below them."""
        super().resizeEvent(event)
        scale = self._theme.scale
        is_low = self.height() < _LEGEND_FROM * scale
        home = self.within if is_low else self.body
        if home.indexOf(self.legend) < 0:
            (self.body if is_low else self.within).removeWidget(self.legend)
            home.insertWidget(1 if is_low else home.count(), self.legend)

    def show_page(self, page: PatternPage, formats: Formats) -> None:
        """Show the rows of a page."""
        range_said = say("Mark: best estimate; line: 95% range.")
        self._notes = (comparisons_text(page), f"{range_said} {association_text()}")
        nothing = not page.patterns
        none = say("Nothing stands out: no group lies clearly above the others.")
        self.none.set_text(none if nothing else "")
        everything = self.is_everything or nothing
        self.rows.show_sections(sections_of(page, formats, everything=everything))
        self.everything.setText(_words(everything))
        self.everything.setVisible(not nothing)
        self.legend.show_figure(self._legend, " ".join(self._notes))

    @Slot()
    def turn_everything(self) -> None:
        """Show all that is compared, or only what stands out."""
        self.is_everything = not self.is_everything
        self.everything_changed.emit()

    def _legend(self, width: float, measure: Measure, s: float) -> tuple[list[Shape], float]:
        return legend_figure(legend_words(), upright_words(), self._notes, width, measure, s)


def _words(everything: bool) -> str:
    return say("Only what stands out") if everything else say("All that is compared")
