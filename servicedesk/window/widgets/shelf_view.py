"""The page of the shelf as widgets: head, trucks, filters with verbs, one list or the figures."""

from collections.abc import Sequence

from PySide6.QtCore import Qt, Signal, Slot
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import (
    QButtonGroup,
    QFrame,
    QHBoxLayout,
    QLineEdit,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from servicedesk.desk.load import TruckLoad
from servicedesk.desk.office import Desk
from servicedesk.desk.order_list import OrderList, method_text
from servicedesk.desk.part_history import HistoryLine
from servicedesk.desk.price_list import PriceProposal
from servicedesk.desk.shelf import ShelfLine
from servicedesk.desk.shelf_figures import ShelfFigures
from servicedesk.desk.shelf_page import LoadData, ShelfData
from servicedesk.window.models.row_delegate import RowPainter
from servicedesk.window.models.row_list import Row
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.label import Words
from servicedesk.window.widgets.paper_notice import PaperNotice
from servicedesk.window.widgets.rows_sheet import keep_room_for_bar
from servicedesk.window.widgets.sheet import Sheet
from servicedesk.window.widgets.shelf_buttons import modes, verbs_of
from servicedesk.window.widgets.shelf_figures_view import FiguresView
from servicedesk.window.widgets.shelf_lists import (
    buy_rows,
    claim_rows,
    history_rows,
    order_rows,
    part_rows,
    price_rows,
    truck_names,
)
from servicedesk.window.widgets.shelf_painter import ShelfHead, ShelfPainter
from servicedesk.window.widgets.shelf_truck import TruckSheet
from servicedesk.window.widgets.site_rows import Flow
from servicedesk.window.widgets.today_rows import RowsView
from servicedesk.words import say

TRUCK_PX, TRUCK_HIGH, TRUCK_LOW = 300, 240, 172
LOW_PAGE = 700  # below, trucks are lower so that the parts keep their rows


class Trucks(QScrollArea):
    """The trucks side by side; more than fit scroll sideways. `changed`: another one is chosen."""

    changed = Signal()

    def __init__(self, theme: Theme) -> None:
        super().__init__()
        self._theme = theme
        self._sheets: list[TruckSheet] = []
        self._chosen: TruckSheet | None = None
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setAccessibleName(say("What goes on the trucks"))
        self._inner = QWidget()
        self._row = QHBoxLayout(self._inner)
        self._row.setContentsMargins(0, 0, 0, 1)
        self._row.setSpacing(14)
        self.none = Words(theme, say("Working out what the trucks need…"), color="ink2")
        self._row.addWidget(self.none)
        self.setWidget(self._inner)

    @property
    def sheets(self) -> tuple[TruckSheet, ...]:
        """Those that are shown."""
        return tuple(one for one in self._sheets if one.isVisibleTo(self))

    @property
    def chosen(self) -> TruckLoad | None:
        """The load of the truck that the keys were on last, else of the first."""
        shown = [one for one in self._sheets if one.load is not None]
        if self._chosen in shown:
            return self._chosen.load
        return shown[0].load if shown else None

    def resizeEvent(self, event: QResizeEvent) -> None:
        """No sheet is taller than there is room; its list scrolls."""
        super().resizeEvent(event)
        self._inner.setFixedHeight(self.viewport().height())

    def wait(self) -> None:
        """Other loads are on their way."""
        if not any(one.load for one in self._sheets):
            self.none.show()

    def show_loads(self, data: LoadData) -> None:
        """Other loads."""
        while len(self._sheets) < len(data.loads):
            sheet = TruckSheet(self._theme)
            sheet.setMinimumWidth(self._theme.px(TRUCK_PX))
            sheet.stepped_on.connect(self._stepped)
            self._sheets.append(sheet)
            self._row.addWidget(sheet, 1)
        for n, sheet in enumerate(self._sheets):
            sheet.setVisible(n < len(data.loads))
            if n < len(data.loads):
                sheet.show_load(data.loads[n])
        self.none.setText(say("No truck has a planned visit on these days: plan them in Rounds or "
                              "Ahead, then what to load stands here."))  # fmt: skip
        self.none.setVisible(not data.loads)

    @Slot(object)
    def _stepped(self, sheet: TruckSheet) -> None:
        self._chosen = sheet
        self.changed.emit()


class ShelfView:
    """Builds the page inside `home` and shows what it is given."""

    def __init__(self, theme: Theme, home: QWidget) -> None:
        self.theme, self.mode = theme, "parts"
        self.buttons: dict[str, Button] = {}
        self.told = Words(theme, color="ink2")
        self.trucks = Trucks(theme)
        self.notice = PaperNotice(theme)
        self.list = RowsView(theme, say("Parts"), ShelfPainter(theme), fits=False)
        keep_room_for_bar(self.list)
        self._parts_painter = self.list.itemDelegate()
        self._plain_painter = RowPainter(theme, hairlines=True, parent=self.list)
        self.head = ShelfHead(theme)
        self.about = Words(theme, role="second", color="ink2", wraps=True)
        self.figures = FiguresView(theme)
        self.sheet = Sheet(theme)
        self.sheet.body.setSpacing(0)
        head = QHBoxLayout()
        head.setContentsMargins(0, 0, 14, 0)  # beside the scroll bar
        head.addWidget(self.head)
        self.sheet.body.addWidget(self.about)
        self.sheet.body.addLayout(head)
        self.sheet.body.addWidget(self.list, 1)
        self.sheet.body.addWidget(self.figures, 1)
        self.figures.hide()
        self.about.hide()
        margin = theme.tokens.space.page_margin
        column = QVBoxLayout(home)
        column.setContentsMargins(margin, 12, margin, 14)
        column.setSpacing(10)
        column.addLayout(self._title())
        column.addWidget(self.notice)
        column.addWidget(self.trucks)
        column.addLayout(self._filters())
        column.addWidget(self.verbs)
        column.addWidget(self.sheet, 1)
        self.set_low(False)

    def set_low(self, is_low: bool) -> None:
        """A low window keeps less for the trucks."""
        self.trucks.setFixedHeight(self.theme.px(TRUCK_LOW if is_low else TRUCK_HIGH))

    def _title(self) -> QHBoxLayout:
        row = QHBoxLayout()
        row.setSpacing(8)
        row.addWidget(Words(self.theme, say("Shelf"), role="page_title"))
        row.addSpacing(6)
        row.addWidget(self.told, 0, Qt.AlignmentFlag.AlignVCenter)
        row.addStretch(1)
        self.buttons["prices"] = Button(
            self.theme, say("Price list"), icon_name="in", key="I", shows_only=True
        )
        row.addWidget(self.buttons["prices"])
        row.addSpacing(8)
        self.spans = QButtonGroup(row)
        self.span_buttons: dict[str, Button] = {}
        for name, words in (("day", say("Day")), ("week", say("Week"))):
            pill = Button(self.theme, words, kind="pill")
            pill.setObjectName(name)
            pill.setChecked(name == "day")
            self.spans.addButton(pill)
            self.span_buttons[name] = pill
            row.addWidget(pill, 0, Qt.AlignmentFlag.AlignVCenter)
        loaded, lists = say("Loaded"), say("Print load lists")
        self.buttons["loaded"] = Button(
            self.theme, loaded, icon_name="check", key="L", shows_only=True
        )
        self.buttons["print_loads"] = Button(
            self.theme, lists, kind="main", icon_name="print", key="P", shows_only=True
        )
        for act in ("loaded", "print_loads"):
            row.addWidget(self.buttons[act])
        return row

    def _filters(self) -> QHBoxLayout:
        row = QHBoxLayout()
        row.setSpacing(8)
        self.group = QButtonGroup(row)
        self.pills: dict[str, Button] = {}
        for name, words in modes():
            pill = Button(self.theme, words, kind="pill")
            pill.setObjectName(name)
            pill.setChecked(name == self.mode)
            self.group.addButton(pill)
            self.pills[name] = pill
            row.addWidget(pill)
        row.addStretch(1)
        self.find_told = Words(self.theme, role="second", color="clay")
        self.find = QLineEdit()
        self.find.setPlaceholderText(say("Scan or type a part, then Enter"))
        self.find.setAccessibleName(say("Scan or type a part"))
        self.find.setMinimumWidth(self.theme.px(230))
        row.addWidget(self.find_told)
        row.addWidget(self.find)
        self.verbs = Flow(gap=8)
        self._verbs: dict[str, list[Button]] = {}
        made: dict[str, Button] = {}
        for mode in ("parts", "dead", "buy", "orders", "claims", "history", "prices"):
            for act, words, icon, key in verbs_of(mode):
                if act not in made:
                    made[act] = Button(self.theme, words, icon_name=icon, key=key, small=True,
                                       shows_only=True)  # fmt: skip
                    self.verbs.flow.addWidget(made[act])
                self._verbs.setdefault(mode, []).append(made[act])
        self.buttons |= made
        return row

    # what is shown

    def show(
        self,
        desk: Desk,
        data: ShelfData,
        wanted: OrderList | None,
        figures: ShelfFigures | None,
    ) -> None:
        """The list that the mode asks for."""
        page = data.page
        dead = [line for line in page.lines if line.is_dead]
        buy = [line for line in page.lines if line.buy]
        needs = wanted.needs if wanted else ()
        counts = {"parts": len(page.lines), "buy": len(buy), "orders": len(data.orders),
                  "dead": len(dead), "claims": len(data.claims)}  # fmt: skip
        for name, words in modes():
            self.pills[name].setText(f"{words} {counts[name]}" if name in counts else words)
        self.head.show_trucks(truck_names(data))
        match self.mode:
            case "parts":
                rows = part_rows(desk, data, page.lines, needs)
                self._rows(rows, is_parts=True, none=_no_parts())
            case "dead":
                self._rows(part_rows(desk, data, dead, needs), is_parts=True,
                           none=say("Nothing lies unused for two years or more."))  # fmt: skip
            case "buy":
                self._rows(buy_rows(desk, buy, needs), told=method_text(),
                           none=say("Nothing is at its order point."))  # fmt: skip
            case "orders":
                self._rows(order_rows(desk, data.orders), none=say("Nothing is on order."))
            case "claims":
                self._rows(claim_rows(desk, data),
                           none=say("No warranty claim waits for an answer."))  # fmt: skip
            case _:
                self._figures(desk, figures)
        self._show_verbs(self.mode)

    def _rows(
        self, rows: Sequence[Row], *, is_parts: bool = False, told: str = "", none: str = ""
    ) -> None:
        painter = self._parts_painter if is_parts else self._plain_painter
        if self.list.itemDelegate() is not painter:
            self.list.show_rows([])
            self.list.setItemDelegate(painter)
        self.figures.hide()
        self.list.setVisible(bool(rows))
        self.head.setVisible(is_parts and bool(rows))
        words = told if rows else none
        self.about.setText(words)
        self.about.setVisible(bool(words))
        self.list.show_rows(rows)

    def _figures(self, desk: Desk, figures: ShelfFigures | None) -> None:
        self.list.hide()
        self.head.hide()
        self.about.setText("" if figures else say("Counting visits and parts…"))
        self.about.setVisible(figures is None)
        self.figures.setVisible(figures is not None)
        if figures is not None:
            self.figures.show_figures(desk, figures)

    def show_history(self, line: ShelfLine, lines: Sequence[HistoryLine]) -> None:
        """The moves of a part, the newest first."""
        told = say("{number} {name}: every move, the newest first",
                   number=line.part.number, name=line.part.name)  # fmt: skip
        self._rows(history_rows(lines), told=told, none=say("This part was never moved."))
        self._show_verbs("history")
        self.list.setFocus()

    def show_prices(self, desk: Desk, proposal: PriceProposal) -> None:
        """What a price list would change, its faults first."""
        from servicedesk.desk.price_list_text import columns_text, head_text

        told = f"{head_text(proposal, desk)}\n{columns_text(proposal)}"
        self._rows(price_rows(desk, proposal), told=told, none=told)
        self._show_verbs("prices")
        self.list.setFocus()

    def _show_verbs(self, mode: str) -> None:
        wanted = self._verbs.get(mode, [])
        for buttons in self._verbs.values():
            for button in buttons:
                button.setVisible(button in wanted)
        self.verbs.setVisible(bool(wanted))


def _no_parts() -> str:
    return say(
        "No part is in the catalogue yet. Bring in a supplier's price list (I), or write the first "
        "part (N): then stock, use and orders stand here."
    )
