"""The right side of Patterns: one group told, its curves, the systems exposed, what it rests on."""

from collections.abc import Callable

from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from servicedesk.desk.office import Desk
from servicedesk.desk.pattern_page import FactorRows, GroupRow, PatternPage
from servicedesk.desk.pattern_shown import (
    age_section,
    assumed_lines,
    calls_plot,
    plots_of,
    times_of,
)
from servicedesk.desk.pattern_told import Told, lasting_text, told, told_row, trend_text
from servicedesk.desk.pattern_tried import Tried
from servicedesk.desk.patterns import Pattern
from servicedesk.papers.life_figures import PlotShown, plots_figure
from servicedesk.papers.pattern_figures import SectionShown, rows_figure
from servicedesk.papers.times_figure import TimesShown, times_figure
from servicedesk.values.shapes import Measure, Shape
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.patterns_exposed import FEW, ExposedRows
from servicedesk.window.widgets.patterns_painted import FigureView, TextView
from servicedesk.window.widgets.sheet import Sheet
from servicedesk.window.widgets.site_rows import FlowLayout
from servicedesk.words import say, say_n


class ToldSheet(Sheet):
    """The chosen group in four sentences, what can be done, and what to take care of."""

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme, stripe="plum")
        self.title = TextView(theme, role="sheet_title", color="plum")
        self.much = TextView(theme, role="row_lead")
        self.rate = TextView(theme, color="ink2")
        self.sure = TextView(theme, color="ink2")
        self.tried = TextView(theme)
        self.worth = TextView(theme)
        self.work = TextView(theme, weight=600)
        self.put = Button(theme, say("Put the check"), icon_name="plus", kind="main", key="P",
                          shows_only=True)  # fmt: skip
        self.choose = Button(theme, say("Choose which"), icon_name="sites", key="E",
                             shows_only=True)  # fmt: skip
        self.buttons = QWidget()
        row = FlowLayout(self.buttons, gap=8)
        row.addWidget(self.put)
        row.addWidget(self.choose)
        self.owed = TextView(theme, role="second", color="ochre")
        self.care = TextView(theme, role="second", color="ink2", icon="warn")
        sentences = (self.much, self.rate, self.sure, self.tried, self.worth)
        for widget in (self.title, *sentences, self.work):
            self.body.addWidget(widget)
        self.body.addWidget(self.buttons)
        self.body.addWidget(self.owed)
        self.body.addWidget(self.care)
        self.body.addStretch(1)

    @property
    def sentences(self) -> tuple[str, ...]:
        """What is told, as it is read."""
        views = (self.much, self.rate, self.sure, self.tried, self.worth)
        return tuple(view.text() for view in views if view.text())

    def show_told(self, said: Told, *, is_pattern: bool) -> None:
        """Tell another group."""
        self.setAccessibleName(said.title)
        self.set_stripe("plum" if is_pattern else "line")
        self.title.set_text(said.title, color="plum" if is_pattern else "ink")
        self.much.set_text(said.much)
        self.rate.set_text(said.rate)
        self.sure.set_text(said.sure)
        self.tried.set_text(said.tried)
        self.worth.set_text(said.worth)
        self.work.set_text(say("The work: {what}.", what=said.remedy) if said.remedy else "")
        self.buttons.setVisible(is_pattern)
        self.owed.setVisible(False)
        self.care.set_text(*said.cautions)

    def show_choice(self, words: str, n_owing: int) -> None:
        """What the button puts where, and what is owed already."""
        self.put.setText(words)
        text = say_n("Owed at {n} system already.", "Owed at {n} systems already.", n_owing)
        self.owed.set_text(text if n_owing else "")


class CurvesSheet(Sheet):
    """Still working, by years since fitted; below, whether replacing early pays."""

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme, say("Still working, by years since fitted"))
        self.view = FigureView(theme, say("Curves of units still working"))
        self.note = TextView(theme, role="axis", color="ink2")
        self.none = TextView(theme, color="ink2")
        self.body.addWidget(self.none)
        self.body.addWidget(self.view)
        self.body.addWidget(self.note)

    def show_plots(self, plots: tuple[PlotShown, ...], *, are_own: bool) -> None:
        """Show other curves; `are_own`: of the component that is chosen."""
        none = say("Too few units have failed yet to draw a curve.")
        if plots:
            none = "" if are_own else _no_curve()
        self.none.set_text(none)
        self.view.setVisible(bool(plots))
        said = "; ".join(f"{one.title}: {one.said}. {one.note}" for one in plots)
        self.view.show_figure(_plots(plots), said)
        note = say(
            "Shaded: 95% range. Ticks: units still in service, which are counted as having lasted "
            "at least so long."
        )
        if any(one.span for one in plots):
            more = say(
                "The bracket holds the ages at which replacing costs within 2% of the least, the "
                "diamond is the least."
            )
            note = f"{note} {more}"
        self.note.set_text(note if plots else "")


def _no_curve() -> str:
    return say("No curve belongs to this group; these are whole components, shortest-lived first.")


class AgeSheet(Sheet):
    """Against others of the same age, band by band, and over the years."""

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme, say("At equal age, and over the years"))
        self.times = FigureView(theme, say("As often as the others"))
        self.bands = FigureView(theme, say("The same component by age"))
        self.calls = FigureView(theme, say("Callbacks by years watched"))
        self.lasting = TextView(theme, color="ink2")
        self.trend = TextView(theme, color="ink2")
        for widget in (self.times, self.lasting, self.bands, self.calls, self.trend):
            self.body.addWidget(widget)

    def show_pattern(self, desk: Desk, page: PatternPage, pattern: Pattern) -> None:
        """Show another pattern."""
        f = desk.formats
        times, bands = times_of(pattern, f), age_section(page, pattern, f)
        calls = calls_plot(pattern, f)
        self.times.show_figure(_times(times), "; ".join(f"{t.label} {t.words}" for t in times))
        self.bands.show_figure(
            _rows(bands), "; ".join(row.spoken for one in bands for row in one.rows)
        )
        self.calls.show_figure(_plots(calls), "; ".join(one.title for one in calls))
        for view, is_there in ((self.times, times), (self.bands, bands), (self.calls, calls)):
            view.setVisible(bool(is_there))
        self.lasting.set_text(lasting_text(pattern))
        self.trend.set_text(trend_text(pattern, f))


class ExposedSheet(Sheet):
    """Systems still exposed, best saving first, to choose from."""

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme, say("Systems still exposed"))
        self.counts = TextView(theme, role="second", color="ink2")
        self.rows = ExposedRows(theme)
        self.more = Button(theme, say("Show all"), kind="link", key="M", shows_only=True)
        self.all = Button(theme, say("All or none"), kind="link", key="X", shows_only=True)
        self.sites = Button(theme, say("Show them in Sites"), kind="link", key="L", shows_only=True)
        foot = QWidget()
        flow = FlowLayout(foot, gap=8)
        for button in (self.more, self.all, self.sites):
            flow.addWidget(button)
        for widget in (self.counts, self.rows, foot):
            self.body.addWidget(widget)

    def show_pattern(
        self, desk: Desk, pattern: Pattern, ticked: set[int], owing: frozenset[int]
    ) -> None:
        """Show another pattern's systems."""
        self.rows.show_pattern(desk, pattern, ticked, owing)
        self.show_counts()

    def show_counts(self) -> None:
        """How many are chosen, and how many more there are."""
        every = self.rows.all_exposed
        n = len({one.system_id for one in every})
        self.counts.set_text(
            say(
                "{chosen} of {n} chosen, best saving first. Space chooses, Enter opens the site.",
                chosen=len(self.rows.ticked),
                n=n,
            )
        )
        self.more.setVisible(len(every) > FEW)
        self.more.setText(
            say("Show fewer") if self.rows.is_long else say("Show all {n}", n=len(every))
        )


class CostsSheet(Sheet):
    """What savings rest on, and the act to change it."""

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme, say("What savings rest on"))
        self.lines = TextView(theme, color="ink2")
        self.change = Button(theme, say("Write your own figures"), icon_name="note", key="C",
                             small=True, shows_only=True)  # fmt: skip
        row = QHBoxLayout()
        row.addWidget(self.change)
        row.addStretch(1)
        self.body.addWidget(self.lines)
        self.body.addLayout(row)

    def show_page(self, desk: Desk, page: PatternPage) -> None:
        """Show what is assumed and counted."""
        self.lines.set_text(*assumed_lines(desk, page))


class Detail(QWidget):
    """All sheets of the right side, below each other."""

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self.told = ToldSheet(theme)
        self.curves = CurvesSheet(theme)
        self.exposed = ExposedSheet(theme)
        self.age = AgeSheet(theme)
        self.costs = CostsSheet(theme)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(theme.tokens.space.sheet_gap)
        for sheet in (self.told, self.curves, self.exposed, self.age, self.costs):
            column.addWidget(sheet)
        column.addStretch(1)

    def show_row(
        self,
        desk: Desk,
        page: PatternPage,
        factor: FactorRows,
        row: GroupRow,
        pattern: Pattern | None,
        tried: Tried | None,
    ) -> None:
        """Show a group, with its pattern where it stands out."""
        said = told(desk, page, pattern, tried) if pattern else told_row(desk, factor, row)
        self.told.show_told(said, is_pattern=pattern is not None)
        plots = plots_of(page, factor, row.id, desk.formats)
        own = bool(factor.component) and any(
            one.component == factor.component for one in page.curves
        )
        self.curves.show_plots(plots, are_own=own)
        for sheet in (self.exposed, self.age):
            sheet.setVisible(pattern is not None)
        if pattern is not None:
            self.age.show_pattern(desk, page, pattern)
        self.costs.show_page(desk, page)


Draw = Callable[[float, Measure, float], tuple[list[Shape], float]]


def _plots(plots: tuple[PlotShown, ...]) -> Draw:
    def draw(width: float, measure: Measure, scale: float) -> tuple[list[Shape], float]:
        figure = plots_figure(plots, width, measure, scale=scale)
        return list(figure.shapes), figure.height

    return draw


def _times(rows: tuple[TimesShown, ...]) -> Draw:
    def draw(width: float, measure: Measure, scale: float) -> tuple[list[Shape], float]:
        return times_figure(rows, width, measure, scale=scale)

    return draw


def _rows(sections: tuple[SectionShown, ...]) -> Draw:
    def draw(width: float, measure: Measure, scale: float) -> tuple[list[Shape], float]:
        figure = rows_figure(sections, width, measure, scale=scale)
        return list(figure.shapes), figure.height

    return draw
