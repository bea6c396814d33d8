"""The lower sheet of Ahead: one bracket for each site, the day that is best, and Enter takes it."""

from collections.abc import Mapping, Sequence
from datetime import date

from PySide6.QtCore import Qt, Signal, Slot
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QButtonGroup, QHBoxLayout, QSizePolicy

from servicedesk.desk.ahead_windows import BestDay, OpenWindow
from servicedesk.papers.pattern_figures import PlacedRow, chosen_shapes
from servicedesk.values.shapes import Box, Measure, Shape
from servicedesk.window.ink import Ink
from servicedesk.window.paint_shapes import ScreenMeasure, paint_shapes, rect_of
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.ahead_axis import axis_for
from servicedesk.window.widgets.ahead_hours import room_in, rows_area
from servicedesk.window.widgets.ahead_hours_shapes import legend
from servicedesk.window.widgets.ahead_windows_shapes import (
    ROW,
    TIGHT_ROW,
    WindowRow,
    spoken_window,
    window_shapes,
)
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.label import OneLine, Words
from servicedesk.window.widgets.patterns_painted import FigureView, PaintedRows
from servicedesk.window.widgets.sheet import Hairline, Sheet
from servicedesk.words import say
from servicedesk.words.formats import Formats

FILTERS = ("no_day", "all", "closing", "late")
_BATCH = 60
_WIDE_FROM = 1120  # px at 100 %: the legend has room beside the pills


class WindowsView(PaintedRows):
    """Rows are laid out when they come into sight: a large company has thousands.

    `lacks` asks for the best days of some stops, near what is in sight.
    """

    lacks = Signal(object)  # tuple of stop ids

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme, say("Windows still open"))
        self._windows: tuple[OpenWindow, ...] = ()
        self._at: dict[str, int] = {}
        self._best: dict[str, BestDay | None] = {}
        self._asked: set[str] = set()
        self._first, self._today, self._n_weeks = date.min, date.min, 1
        self._formats = Formats()
        self.is_tight = False

    def show_windows(
        self, windows: Sequence[OpenWindow], first: date, n_weeks: int, today: date, f: Formats
    ) -> None:
        """Show these rows; the one stood on stays, else the one that is now in its place."""
        before = self._at.get(self.current, 0)
        self._windows = tuple(windows)
        self._at = {one.stop_id: n for n, one in enumerate(self._windows)}
        self._first, self._n_weeks, self._today, self._formats = first, n_weeks, today, f
        self.redraw()
        if self.current not in self._at:
            self.current = ""
            if self._windows:
                self.stand_on(self._windows[min(before, len(self._windows) - 1)].stop_id)
            else:
                self.stood.emit("")
        else:
            self.stood.emit(self.current)

    def forget_days(self) -> None:
        """The rounds changed: every best day is to be found anew."""
        self._best, self._asked = {}, set()

    def show_days(self, found: Mapping[str, BestDay | None]) -> None:
        """Best days that were worked out."""
        self._best |= found
        self.redraw()
        if self.current in found:
            self.setAccessibleDescription(self.spoken(self.current))
            self.stood.emit(self.current)

    @property
    def row(self) -> WindowRow | None:
        """The row stood on."""
        n = self._at.get(self.current)
        return None if n is None else self._row(n)

    @property
    def shapes(self) -> Sequence[Shape]:
        """Everything, for those who look at the geometry."""
        measure = ScreenMeasure(self._theme)
        return [one for n in range(len(self._windows)) for one in self._row_shapes(n, measure)]

    def figure_at(
        self, width: float, measure: Measure, scale: float
    ) -> tuple[Sequence[Shape], tuple[PlacedRow, ...], float]:
        high, width = self.row_height, room_in(self, width)
        placed = tuple(
            PlacedRow(one.stop_id, Box(0, n * high, width, high), "")
            for n, one in enumerate(self._windows)
        )
        return (), placed, high * len(placed)

    def spoken(self, key: str) -> str:
        """How a row is read aloud."""
        n = self._at.get(key)
        return "" if n is None else spoken_window(self._row(n), self._today, self._formats)

    def paintEvent(self, event: QPaintEvent) -> None:
        s = self._theme.scale
        with QPainter(self) as painter:
            ink, measure = Ink(painter, self._theme), ScreenMeasure(self._theme)
            top, bottom = event.rect().top(), event.rect().bottom() + 1
            axis = axis_for(self._first, self._n_weeks, self._width(), s)
            high = self.row_height
            n_first, n_last = int(top // high), int(bottom // high)
            shown = range(max(0, n_first), min(len(self._windows), n_last + 1))
            current = self._at.get(self.current, -1)
            if current in shown:
                paint_shapes(ink, chosen_shapes(self.placed[current], s))
            paint_shapes(ink, axis.grid(top, bottom))
            for n in shown:
                paint_shapes(ink, self._row_shapes(n, measure))
            if current in shown and self.hasFocus():
                box = rect_of(self.placed[current].box)
                ink.focus_ring(box.adjusted(1, 1, -1, -1), 4)
        self._ask_for(shown)

    def _width(self) -> float:
        return room_in(self, float(self.width()))

    @property
    def row_height(self) -> float:
        """The height of one row."""
        return (TIGHT_ROW if self.is_tight else ROW) * self._theme.scale

    def _row(self, n: int) -> WindowRow:
        one = self._windows[n]
        return WindowRow(
            window=one, best=self._best.get(one.stop_id), is_known=one.stop_id in self._best
        )

    def _row_shapes(self, n: int, measure: Measure) -> list[Shape]:
        s = self._theme.scale
        axis = axis_for(self._first, self._n_weeks, self._width(), s)
        high = self.row_height
        box = Box(0, n * high, self._width(), high)
        return window_shapes(
            self._row(n), box, axis, self._today, self._formats, measure, s,
            is_chosen=self._windows[n].stop_id == self.current,
        )  # fmt: skip

    def _ask_for(self, shown: range) -> None:
        near = self._windows[shown.start : shown.stop + _BATCH]
        in_sight = self._windows[shown.start : shown.stop]
        if all(one.has_day or one.stop_id in self._asked for one in in_sight):
            return
        ids = tuple(o.stop_id for o in near if not o.has_day and o.stop_id not in self._asked)
        self._asked.update(ids)
        self.lacks.emit(ids)


class WindowsSheet(Sheet):
    """Rows with pills for which of them are shown, and at the foot the one that is chosen."""

    turned = Signal(str)  # which are shown now

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme, say("Windows still open"))
        self._theme = theme
        self.view = WindowsView(theme)
        self.legend = FigureView(theme, say("What the marks mean"))
        self.legend.show_figure(_legend)
        self.pills: dict[str, Button] = {}
        self._group = QButtonGroup(self)
        for number, name in enumerate(FILTERS, start=1):
            pill = Button(theme, "", kind="pill", small=True, key=str(number), shows_only=True)
            self.pills[name] = pill
            self._group.addButton(pill)
            self.head.addWidget(pill)
        self.head.addWidget(self.legend, 5, Qt.AlignmentFlag.AlignVCenter)
        self.head.addStretch(1)
        self._group.buttonClicked.connect(self._pressed)
        self.body.addWidget(Hairline(theme))
        self.none = Words(theme, "", color="ink2", wraps=True)
        self.none.hide()
        self.body.addWidget(self.none)
        self.area = rows_area(self.view)
        self.body.addWidget(self.area, 1)
        self.body.addLayout(self._foot())
        self.filter = "no_day"
        self.pills[self.filter].setChecked(True)

    def _foot(self) -> QHBoxLayout:
        foot = QHBoxLayout()
        foot.setSpacing(10)
        self.chosen = OneLine(self._theme, "", color="ink2")
        self.chosen.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        self.site = Button(self._theme, say("Open the site"), key="O", shows_only=True)
        self.take = Button(self._theme, say("Take this place"), kind="main", key="Return",
                           shows_only=True)  # fmt: skip
        foot.addWidget(self.chosen, 1)
        foot.addWidget(self.site)
        foot.addWidget(self.take)
        return foot

    def fit(self, *, is_low: bool) -> None:
        """Rows are tight where the page is low; the legend goes where it has room, if at all."""
        s = self._theme.scale
        if self.view.is_tight != is_low:
            self.view.is_tight = is_low
            self.view.redraw()
        is_wide = self.width() >= _WIDE_FROM * s
        home = self.head if is_wide else self.body
        if home.indexOf(self.legend) < 0:
            (self.body if is_wide else self.head).removeWidget(self.legend)
            if is_wide:
                self.head.insertWidget(
                    self.head.count() - 1, self.legend, 5, Qt.AlignmentFlag.AlignVCenter
                )
            else:
                self.body.insertWidget(self.body.count() - 1, self.legend)
        self.legend.setVisible(is_wide or not is_low)

    def show_counts(self, windows: Sequence[OpenWindow]) -> None:
        """How many each pill holds."""
        words = {
            "no_day": say("No day yet {n}", n=n_in(windows, "no_day")),
            "all": say("All open {n}", n=n_in(windows, "all")),
            "closing": say("Closing {n}", n=n_in(windows, "closing")),
            "late": say("Late {n}", n=n_in(windows, "late")),
        }
        for name, text in words.items():
            self.pills[name].setText(text)

    def show_none(self, words: str) -> None:
        """One sentence in place of the rows; "" for rows."""
        self.none.setText(words)
        self.none.setVisible(bool(words))

    def turn(self, name: str) -> None:
        """Show others."""
        self.filter = name
        self.pills[name].setChecked(True)
        self.turned.emit(name)

    @Slot(object)
    def _pressed(self, pill: Button) -> None:
        self.turn(next(name for name, one in self.pills.items() if one is pill))


def chosen_windows(windows: Sequence[OpenWindow], name: str) -> list[OpenWindow]:
    """The rows that a pill shows."""
    match name:
        case "no_day":
            return [one for one in windows if not one.has_day]
        case "closing":
            return [one for one in windows if one.state == "closing"]
        case "late":
            return [one for one in windows if one.state == "late"]
    return list(windows)


def n_in(windows: Sequence[OpenWindow], name: str) -> int:
    """How many rows a pill shows."""
    return len(chosen_windows(windows, name))


def _legend(width: float, measure: Measure, s: float) -> tuple[list[Shape], float]:
    items = (
        ("water", "bracket", say("window")),
        ("ochre", "best", say("best day for the roads")),
        ("water", "planned", say("planned")),
        ("ink", "now", say("today")),
    )
    return legend(items, width, measure, s)
