"""How map, tray, ribbons, list and the strips above them share the page of a day."""

from babel.dates import get_day_names
from PySide6.QtCore import Slot
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QStackedWidget, QVBoxLayout, QWidget

from servicedesk.window.theme import Theme
from servicedesk.window.widgets.another_day_sheet import AnotherDaySheet
from servicedesk.window.widgets.away_sheet import AwaySheet
from servicedesk.window.widgets.bench_sheet import BenchSheet
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.empty_day import EmptyDay
from servicedesk.window.widgets.no_day_yet import NoDayYet
from servicedesk.window.widgets.notice import Notice
from servicedesk.window.widgets.plan_offer import PlanOffer
from servicedesk.window.widgets.ribbon_bench import RibbonBench
from servicedesk.window.widgets.round_map import RoundMap
from servicedesk.window.widgets.sheet import Sheet
from servicedesk.window.widgets.stops_table import StopsTable
from servicedesk.window.widgets.ways_sheet import WaysSheet
from servicedesk.words import say
from servicedesk.words.formats import Formats

_TRAY_PX = 388
_WIDE_SIDE_PX = 520  # what is read before it is taken gets more room than the tray
_LOW_SIDE_PX = 700  # list and effect beside one another
_LOW_PX = 640
_MAP_PX = 190
_BENCH_LEAST_PX = 150


class RoundsView(QWidget):
    """Only arranges; the place fills and listens."""

    def __init__(self, theme: Theme, formats: Formats, *, metric: bool) -> None:
        super().__init__()
        self._theme = theme
        self.bench = RibbonBench(theme, formats)
        self.map = RoundMap(theme, metric=metric)
        self.tray = NoDayYet(theme)
        self.ways = WaysSheet(theme)
        names = get_day_names("abbreviated", locale=formats.locale_name)  # 0 is Monday
        self.another_day = AnotherDaySheet(theme, formats, [names[n] for n in range(7)])
        self.away = AwaySheet(theme)
        self.side = QStackedWidget()  # at the right of the map
        self.table = StopsTable(theme)
        self.sheet = BenchSheet(theme, self.bench)
        self.offer = PlanOffer(theme)
        self.notice = Notice(theme, say("Open the folder"))
        self.mending = Notice(theme, say("Show it"))
        self.empty = EmptyDay(theme)
        self.list_view = Sheet(theme, say("All stops in order"), say("Enter opens the site"))
        self.as_ribbons = Button(
            theme, say("As ribbons"), key="T", kind="link", small=True, shows_only=True
        )
        self.list_view.head.addWidget(self.as_ribbons)
        self.list_view.body.addWidget(self.table)
        self._gap = theme.tokens.space.sheet_gap
        self._views = QStackedWidget()
        for sheet in (self.tray, self.ways, self.another_day, self.away):
            self.side.addWidget(sheet)
        for view in (self._bench_view(), self.list_view, self.empty):
            self._views.addWidget(view)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(self._gap)
        column.addWidget(self.offer)
        column.addWidget(self.notice)
        column.addWidget(self.mending)
        column.addWidget(self._views, 1)
        theme.changed.connect(self.fit)

    def show_view(self, *, is_empty: bool, is_list: bool) -> None:
        """The empty day, the list, or map and ribbons."""
        self._views.setCurrentIndex(2 if is_empty else 1 if is_list else 0)

    def show_side(self, sheet: QWidget) -> None:
        """Which sheet stands at the right of the map."""
        self.side.setCurrentWidget(sheet)
        self.fit()

    @property
    def shown(self) -> QWidget | None:
        """Which of the three is shown."""
        return self._views.currentWidget()

    @Slot()
    def fit(self) -> None:
        """The bench gets the height it needs, but never all: above it map and tray stay."""
        theme = self._theme
        is_tray = self.side.currentWidget() is self.tray
        is_low = self.height() < theme.px(_LOW_PX)
        wanted = _TRAY_PX if is_tray else _LOW_SIDE_PX if is_low else _WIDE_SIDE_PX
        share = 36 if is_tray else 72 if is_low else 60
        self.side.setFixedWidth(min(theme.px(wanted), max(300, self.width() * share // 100)))
        strips = sum(
            strip.sizeHint().height() + self._gap
            for strip in (self.offer, self.notice, self.mending)
            if strip.isVisible()
        )
        room = self.height() - strips - self._gap - theme.px(_MAP_PX)
        height = max(theme.px(_BENCH_LEAST_PX), min(self.sheet.wanted_height, room))
        self.sheet.setFixedHeight(height)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.fit()

    def _bench_view(self) -> QWidget:
        view = QWidget()
        column = QVBoxLayout(view)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(self._gap)
        upper = QHBoxLayout()
        upper.setSpacing(self._gap)
        upper.addWidget(self.map, 1)
        upper.addWidget(self.side)
        column.addLayout(upper, 1)
        column.addWidget(self.sheet)
        return view
