"""Shelf: can the coming visits be finished at the first one? Trucks above, parts below."""

from collections.abc import Callable
from pathlib import Path
from typing import Any, ClassVar

from PySide6.QtCore import Qt, Signal, Slot
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QAbstractButton, QFileDialog, QWidget

from servicedesk.desk import part_orders
from servicedesk.desk.load import TruckLoad
from servicedesk.desk.load_moves import write_loaded
from servicedesk.desk.order_list import OrderList
from servicedesk.desk.part_find import matching
from servicedesk.desk.part_history import HistoryLine, part_history, take_back_move
from servicedesk.desk.price_list import PriceProposal, take_prices
from servicedesk.desk.shelf import ShelfLine
from servicedesk.desk.shelf_figures import ShelfFigures, shelf_figures
from servicedesk.desk.shelf_page import (
    LoadData,
    MoveRow,
    OrderRow,
    ShelfData,
    Span,
    load_data,
    shelf_data,
)
from servicedesk.window.actions import Act
from servicedesk.window.places import shelf_asks as asks
from servicedesk.window.places import shelf_papers as papers
from servicedesk.window.places.base import DeskPlace
from servicedesk.window.places.shelf_acts import shelf_acts
from servicedesk.window.shell import Shell
from servicedesk.window.widgets.setup_form import Forms
from servicedesk.window.widgets.shelf_painter import line_of
from servicedesk.window.widgets.shelf_view import LOW_PAGE, ShelfView
from servicedesk.words import say, say_n


class ShelfPlace(DeskPlace):
    """Read on the worker: parts first, then loads, then what the patterns say."""

    name: ClassVar[str] = "shelf"
    looked_at = Signal(object)  # PriceProposal, from the worker

    def __init__(self, shell: Shell) -> None:
        super().__init__(shell)
        self.data: ShelfData | None = None
        self.loads: LoadData | None = None
        self.wanted: OrderList | None = None
        self.figures: ShelfFigures | None = None
        self.prices: PriceProposal | None = None
        self._history: ShelfLine | None = None
        self._span: Span = "day"
        self._asked: dict[str, object] = {}
        self._forms = Forms(shell, self)
        self.view = ShelfView(self.theme, self)
        for act, button in self.view.buttons.items():
            button.clicked.connect(self.keys[act].trigger)
            self.keys[act].enabledChanged.connect(button.setEnabled)
        self.view.list.opened.connect(self._open)
        self.view.list.current_changed.connect(self.keys.refresh)
        self.view.group.buttonClicked.connect(self._pressed)
        self.view.spans.buttonClicked.connect(self._span_pressed)
        self.view.find.returnPressed.connect(self._found)
        self.view.trucks.changed.connect(self.keys.refresh)
        self.looked_at.connect(self._show_prices)

    def acts(self) -> tuple[Act, ...]:
        return shelf_acts(self)

    def title(self) -> str:
        if self.prices is not None:
            return say("Price list of {supplier}", supplier=self.prices.supplier)
        return self._history.part.name if self._history is not None else ""

    def count(self) -> int | None:
        page = self.data.page if self.data else None
        return None if page is None else page.n_buy + page.n_short

    def first_focus(self) -> QWidget:
        return self.view.list

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.view.set_low(self.height() < LOW_PAGE * self.theme.scale)

    def position(self) -> object:
        line = self.part
        return line.part.id if line else None

    def restore(self, position: object) -> None:
        if isinstance(position, int):
            self._choose_part(position)

    def show_record(self, ids: tuple[object, ...]) -> None:
        """(part id,) chooses a part; () is the first page."""
        if ids and isinstance(ids[0], int):
            self._wanted_part = ids[0]
            self._choose_part(ids[0])

    _wanted_part: int | None = None

    # what is read

    def refresh(self, changed: object) -> None:
        self._read("data", self._data_read, shelf_data, self.desk)

    def _read(
        self, what: str, done: Callable[[Any], object], verb: Callable[..., Any], *args: Any,
        title: str = "",
    ) -> None:  # fmt: skip
        job = self.shell.ask(verb, *args, title=title)
        self._asked[what] = job
        job.done.connect(done)

    @Slot(object)
    def _data_read(self, data: ShelfData) -> None:
        if self.sender() is not self._asked.get("data"):
            return
        self.data = data
        self._show()
        if self._wanted_part is not None:
            self._choose_part(self._wanted_part)
            self._wanted_part = None
        self._read_loads()
        self._read("needs", self._needs_read, papers.read_order_list, self.desk, data)
        if self._history is not None:
            self._read_history()
        if self.view.mode == "figures":
            self._read("figures", self._figures_read, shelf_figures, self.desk)

    def _read_loads(self) -> None:
        if self.data is not None:
            self.view.trucks.wait()
            title = say("Working out what the trucks need")
            self._read("loads", self._loads_read, load_data, self.desk, self.data.load_day,
                       self._span, title=title)  # fmt: skip

    @Slot(object)
    def _loads_read(self, loads: LoadData) -> None:
        if self.sender() is self._asked.get("loads"):
            self.loads = loads
            self.view.trucks.show_loads(loads)
            self._show_head()
            self.keys.refresh()

    @Slot(object)
    def _needs_read(self, wanted: OrderList) -> None:
        if self.sender() is self._asked.get("needs"):
            self.wanted = wanted
            self._show()

    @Slot(object)
    def _figures_read(self, figures: ShelfFigures) -> None:
        self.figures = figures
        self._show()

    @Slot(object)
    def _history_read(self, lines: tuple[HistoryLine, ...]) -> None:
        if self.sender() is self._asked.get("history") and self._history is not None:
            self.view.show_history(self._history, lines)
            self.trail_changed.emit()
            self.keys.refresh()

    # what is shown

    def _show(self) -> None:
        if self.data is None:
            return
        self._show_head()
        if self.prices is None and self._history is None:
            chosen = self.part
            self.view.show(self.desk, self.data, self.wanted, self.figures)
            if chosen is not None:
                self._choose_part(chosen.part.id)
        self.keys.refresh()

    def _show_head(self) -> None:
        if self.data is None:
            return
        page = self.data.page
        buy = say_n("{n} thing to buy", "{n} things to buy", page.n_buy)
        parts = [buy if page.n_buy else say("nothing to buy")]
        if page.n_short:
            parts.append(say_n("{n} below nothing", "{n} below nothing", page.n_short))
        day = self.desk.formats.day(self.data.load_day, near=self.desk.today)
        parts.append(
            say("load for the week from {day}", day=day)
            if self._span == "week"
            else say("load for {day}", day=day)
        )
        self.view.told.setText(" · ".join(parts))

    def _choose_part(self, part_id: int) -> bool:
        for row in self.view.list.rows.rows:
            line = line_of(row.thing)
            if line is not None and line.part.id == part_id:
                return self.view.list.choose(row.thing)
        return False

    # what is chosen

    @property
    def part(self) -> ShelfLine | None:
        """The part that the keys are on, or whose history is shown."""
        return self._history or line_of(self.view.list.chosen)

    @property
    def truck(self) -> TruckLoad | None:
        """The truck that the keys were on last."""
        return self.view.trucks.chosen

    def chosen(self, kind: type) -> Any:
        """The thing of the chosen row if it is of this kind."""
        thing = self.view.list.chosen
        return thing if isinstance(thing, kind) else None

    # what is done

    def _form(self) -> Any:
        return self._forms.form(self.desk)

    def count_part(self) -> None:
        """Write what was counted."""
        if self.part is not None and self.data is not None:
            asks.ask_count(self._form(), self.desk, self.data, self.part)

    def move_part(self, why: str) -> None:
        """Write a move of the chosen part."""
        if self.part is not None and self.data is not None:
            asks.ask_move(self._form(), self.desk, self.data, self.part, why)

    def add_part(self) -> None:
        """The form of a new part."""
        if self.data is not None:
            asks.ask_part(self._form(), self.desk, self.data, None)

    def edit_part(self) -> None:
        """The form of the chosen part."""
        if self.data is not None and self.part is not None:
            asks.ask_part(self._form(), self.desk, self.data, self.part)

    def arrived(self) -> None:
        """The chosen order came."""
        one = self.chosen(OrderRow)
        if one is not None and self.data is not None:
            asks.ask_arrived(self._form(), self.desk, self.data, one)

    def give_up(self) -> None:
        """The chosen order will not come."""
        one = self.chosen(OrderRow)
        if one is not None:
            self.shell.change(part_orders.give_up, self.desk, one.id, seen=one.revision)

    def answer_claim(self) -> None:
        """The supplier answered."""
        one = self.chosen(MoveRow)
        if one is not None and self.data is not None:
            asks.ask_claim(self._form(), self.desk, self.data, one)

    def write_loaded(self) -> None:
        """The chosen truck's list was put on, in one change."""
        load = self.truck
        if load is not None:
            self.shell.change(write_loaded, self.desk, load, title=say("Writing what was loaded"))

    def print_loads(self) -> None:
        """The pick lists as one PDF."""
        if self.loads is not None:
            tell, title = self.view.notice.tell_written, say("Writing the load lists")
            self._read("paper", tell, papers.write_lists, self.desk, self.loads, title=title)

    def write_orders(self) -> None:
        """All that is to be bought, by supplier, with its papers."""
        if self.wanted is not None:
            self.shell.change(
                papers.write_orders, self.desk, self.wanted, self.view.notice.written.emit,
                title=say("Writing the orders"),
            )  # fmt: skip

    def take_back(self) -> None:
        """The opposite of the chosen move; refused across a later count."""
        line = self.chosen(HistoryLine)
        if line is not None:
            self.shell.change(take_back_move, self.desk, line.id)

    def turn_span(self) -> None:
        """The load of a day, or of the week from it."""
        self._span = "week" if self._span == "day" else "day"
        self.view.span_buttons[self._span].setChecked(True)
        self._show_head()
        self._read_loads()

    def find_part(self) -> None:
        """Keys to the field that a scanner types into."""
        self.view.find.setFocus()
        self.view.find.selectAll()

    def bring_prices(self) -> None:
        """Ask for the file of a price list."""
        dialog = QFileDialog(self, say("Choose a price list"))
        dialog.setFileMode(QFileDialog.FileMode.ExistingFile)
        dialog.setNameFilters([say("Price lists (*.csv *.tsv *.txt *.xlsx)"), say("All files (*)")])
        dialog.fileSelected.connect(self.look_at_file)
        dialog.open()

    @Slot(str)
    def look_at_file(self, name: str) -> None:
        """Ask whose list it is, then show what it would change."""
        if self.data is not None:
            show = self.looked_at.emit
            asks.ask_price_list(self._form(), self.desk, self.data, Path(name), show)

    @Slot(object)
    def _show_prices(self, proposal: PriceProposal) -> None:
        self.prices, self._history = proposal, None
        self.view.show_prices(self.desk, proposal)
        self.trail_changed.emit()
        self.keys.refresh()

    def take_prices(self) -> None:
        """Write the list that is shown."""
        if self.prices is not None:
            proposal, self.prices = self.prices, None
            self.shell.change(take_prices, self.desk, proposal, title=say("Writing the price list"))
            self.trail_changed.emit()

    def back(self) -> None:
        """From a history or a price list to the parts."""
        if self.prices is None and self._history is None:
            return
        line, self.prices, self._history = self._history, None, None
        self._show()
        if line is not None:
            self._choose_part(line.part.id)
        self.view.list.setFocus()
        self.trail_changed.emit()

    @Slot(object, bool)
    def _open(self, thing: object, _beside: bool) -> None:
        line = line_of(thing)
        if line is not None:
            self._history = line
            self._read_history()
        elif isinstance(thing, OrderRow):
            self.arrived()
        elif isinstance(thing, MoveRow):
            self.answer_claim()

    def _read_history(self) -> None:
        if self._history is not None:
            self._read("history", self._history_read, part_history, self.desk,
                       self._history.part.id)  # fmt: skip

    @Slot(QAbstractButton)
    def _pressed(self, button: QAbstractButton) -> None:
        self.view.mode = button.objectName()
        self.prices, self._history = None, None
        self._show()
        self.view.list.setFocus()
        self.trail_changed.emit()
        if self.view.mode == "figures" and self.figures is None:
            self._read("figures", self._figures_read, shelf_figures, self.desk)

    @Slot(QAbstractButton)
    def _span_pressed(self, button: QAbstractButton) -> None:
        if button.objectName() != self._span:
            self.turn_span()

    @Slot()
    def _found(self) -> None:
        """A scanner typed its digits and Enter, or a person words."""
        if self.data is None:
            return
        found = matching([line.part for line in self.data.page.lines], self.view.find.text())
        if not found:
            self.view.find_told.setText(say("No part has that barcode, number or name."))
            return
        n = say_n("{n} part fits, the first is chosen", "{n} parts fit, the first is chosen",
                  len(found))  # fmt: skip
        self.view.find_told.setText("" if len(found) == 1 else n)
        self.view.find.clear()
        self.view.pills["parts"].setChecked(True)
        self.view.mode, self.prices, self._history = "parts", None, None
        self._show()
        self._choose_part(found[0].id)
        self.view.list.setFocus(Qt.FocusReason.OtherFocusReason)
