"""Two more sheets of the year: its inspections, and the months to come."""

from PySide6.QtCore import Qt, Signal, Slot
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QScrollArea, QVBoxLayout, QWidget

from servicedesk.desk.office import Desk
from servicedesk.desk.year_figures import (
    counts_words,
    hours_shown,
    income_shown,
    inspections_shown,
    outlook_lines,
    pumps_shown,
)
from servicedesk.desk.year_inspections import LateInspection, YearInspections
from servicedesk.desk.year_outlook import Outlook
from servicedesk.desk.year_pumps import PumpOut, basis_lines, span_text
from servicedesk.papers.outlook_figures import ColumnsShown, columns_figure, spoken_columns
from servicedesk.values.shapes import Measure, Shape
from servicedesk.window.models.row_delegate import RowPainter
from servicedesk.window.models.row_list import Row
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.patterns_painted import FigureView, TextView
from servicedesk.window.widgets.sheet import Sheet
from servicedesk.window.widgets.today_rows import RowsView
from servicedesk.words import say, say_n
from servicedesk.words.jobs import job_title

_LIST_PX = 420


class FigureSheet(Sheet):
    """A sheet with columns by month and sentences under them."""

    def __init__(self, theme: Theme, title: str) -> None:
        super().__init__(theme, title)
        self.view = FigureView(theme, title)
        self.notes = TextView(theme, role="second", color="ink2")
        self.body.addWidget(self.view)
        self.body.addWidget(self.notes)
        self.body.addStretch(1)

    def show_columns(self, shown: ColumnsShown, *notes: str) -> None:
        """Show other columns."""

        def draw(width: float, measure: Measure, scale: float) -> tuple[list[Shape], float]:
            return columns_figure(shown, width, measure, scale)

        self.view.show_figure(draw, spoken_columns(shown.columns))
        self.notes.set_text(*notes)


class ListSheet(Sheet):
    """A sheet with rows that scroll. `site_wanted`: a site, and whether in a second window."""

    site_wanted = Signal(int, bool)

    def __init__(self, theme: Theme, title: str) -> None:
        super().__init__(theme, title, " ")
        theme.changed.connect(self._fit)
        self._fit()
        self.none = TextView(theme, color="ink2")
        self.list = RowsView(theme, title, RowPainter(theme, hairlines=True), fits=False)
        self.list.opened.connect(self._opened)
        self.body.addWidget(self.none)
        self.body.addWidget(self.list, 1)

    @Slot()
    def _fit(self) -> None:
        self.setFixedWidth(self._theme.px(_LIST_PX))

    @Slot(object, bool)
    def _opened(self, thing: object, beside: bool) -> None:
        if isinstance(thing, LateInspection):
            self.site_wanted.emit(thing.site_id, beside)
        elif isinstance(thing, PumpOut):
            self.site_wanted.emit(thing.system.site_id, beside)


def _scrolled(inner: QWidget) -> QScrollArea:
    area = QScrollArea()
    area.setWidgetResizable(True)
    area.setFrameShape(QScrollArea.Shape.NoFrame)
    area.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
    area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
    area.setWidget(inner)
    return area


class InspectionsView(QWidget):
    """Inspections of the year month by month, and every one that was late, worst first."""

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(theme.tokens.space.sheet_gap)
        self.figure = FigureSheet(theme, say("Inspections by the month of their last day"))
        self.late = ListSheet(theme, say("Late, worst first"))
        row.addWidget(self.figure, 1)
        row.addWidget(self.late)

    def show_year(self, desk: Desk, year: YearInspections) -> None:
        """Show another year."""
        total = year.total
        self.figure.show_columns(
            inspections_shown(desk, year),
            say("{n} inspections: {counts}.", n=total.all, counts=counts_words(total)),
            say("Late by us: nobody had been there in vain before the last day was over. Want of "
                "access: from the day on which somebody stood there in vain."),
        )  # fmt: skip
        n = len(year.late)
        self.late.set_title(say("Late, worst first"), say_n("{n} inspection", "{n} inspections", n))
        self.late.none.set_text("" if n else say("None was late."))
        self.late.list.show_rows([_late_row(desk, one) for one in year.late])


def _late_row(desk: Desk, one: LateInspection) -> Row:
    f, late = desk.formats, one.late
    parts = []
    if late.ours:
        parts.append(say("{days} by us", days=f.days(late.ours)))
    if late.no_access:
        parts.append(say("{days} no access", days=f.days(late.no_access)))
    if one.is_missed:
        state = say("never done")
    elif one.done_on is not None:
        state = say("done {day}", day=f.day(one.done_on, near=desk.today))
    else:
        state = say("still owed")
    return Row(
        title=", ".join(part for part in (one.address, one.locality) if part),
        second=say("{job}, last day {day}, {state}",
                   job=job_title("inspection", one.ordinal).capitalize(),
                   day=f.day(one.closes_on, near=desk.today), state=state),
        icon="cross" if one.is_missed else "clock",
        right=", ".join(parts),
        right_color="clay" if late.ours else "ochre",
        thing=one,
    )  # fmt: skip


class OutlookView(QWidget):
    """Income, hours and pump-outs of the months to come; the hauler's list beside them."""

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        gap = theme.tokens.space.sheet_gap
        self.income = FigureSheet(theme, say("Income of contracts"))
        self.hours = FigureSheet(theme, say("Hours wanted beside hours there are"))
        self.pumps = FigureSheet(theme, say("Tanks to pump"))
        self.list = ListSheet(theme, say("For the hauler, by month and area"))
        inner = QWidget()
        grid = QGridLayout(inner)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setSpacing(gap)
        for n, sheet in enumerate((self.income, self.hours, self.pumps)):
            grid.addWidget(sheet, n, 0)
        grid.setRowStretch(3, 1)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(gap)
        column = QVBoxLayout()
        column.addWidget(_scrolled(inner), 1)
        row.addLayout(column, 1)
        row.addWidget(self.list)

    def show_outlook(self, desk: Desk, seen: Outlook) -> None:
        """Show other months."""
        first, *rest = outlook_lines(desk, seen)
        self.income.show_columns(income_shown(desk, seen), first, rest[0])
        self.hours.show_columns(
            hours_shown(desk, seen), " ".join(rest[1:]),
            say("Of this month only the hours from today on are counted."),
        )  # fmt: skip
        self.pumps.show_columns(pumps_shown(desk, seen), " ".join(basis_lines(desk, seen.pumps)))
        lines = seen.pumps.lines
        n = len(lines)
        self.list.set_title(say("For the hauler, by month and area"),
                            say_n("{n} tank", "{n} tanks", n))  # fmt: skip
        self.list.none.set_text(
            ""
            if n
            else say("No tank is expected to want pumping in these months. Readings of scum and "
                     "sludge make this list.")
        )  # fmt: skip
        self.list.list.show_rows(_pump_rows(desk, lines))


def _pump_rows(desk: Desk, lines: tuple[PumpOut, ...]) -> list[Row]:
    rows: list[Row] = []
    before: tuple[object, str] | None = None
    for one in lines:
        key = (one.month, one.system.locality)
        if key != before:
            month = desk.formats.month(one.month)
            area = one.system.locality or say("no area")
            rows.append(Row(title=f"{month} · {area}", is_heading=True))
            before = key
        last = one.forecast.last
        rows.append(
            Row(
                title=one.system.address,
                second=say("{percent}% on {day}, {rate} points a year, {n} readings",
                           percent=desk.formats.number(round(last.percent)),
                           day=desk.formats.day(last.on, near=desk.today),
                           rate=desk.formats.number(round(one.forecast.a_year, 1)),
                           n=one.forecast.n),
                icon="tank",
                right=span_text(desk, one),
                right_color="clay" if one.is_over else "ink2",
                thing=one,
            )
        )  # fmt: skip
    return rows
