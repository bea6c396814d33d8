"""The renewals of the year: ladder, table and reasons, with what is chosen and ticked."""

from collections.abc import Callable

from PySide6.QtCore import Signal, Slot
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from servicedesk.desk.office import Desk
from servicedesk.desk.renewals import RenewalLine
from servicedesk.desk.year_page import YearPage
from servicedesk.desk.year_rows import YearRow, shown_rows, sorted_rows
from servicedesk.window.actions import Actions
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.label import Words
from servicedesk.window.widgets.sheet import Sheet
from servicedesk.window.widgets.year_ladder import LadderSheet
from servicedesk.window.widgets.year_reasons import ReasonsSheet
from servicedesk.window.widgets.year_table import YearTable
from servicedesk.words import say

_REASONS_PX = 318


class RenewalsView(QWidget):
    """Shows a page that was worked out. `site_wanted`: a site, and whether in a second window."""

    site_wanted = Signal(int, bool)

    def __init__(self, theme: Theme, keys: Actions, desk: Callable[[], Desk]) -> None:
        super().__init__()
        self._desk, self._keys = desk, keys
        self._page: YearPage | None = None
        self.all_rows: tuple[YearRow, ...] = ()
        self._sort, self._down, self._which = "kept", False, "all"
        self._wanted: int | None = None
        gap = theme.tokens.space.sheet_gap
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(gap)
        column = QVBoxLayout()
        column.setSpacing(gap)
        self.ladder = LadderSheet(theme)
        self.ladder.site_wanted.connect(self._ladder_pressed)
        sheet = Sheet(theme)
        sheet.setAccessibleName(say("Contracts that end"))
        self.table = YearTable(theme, desk)
        self.table.chosen.connect(self._chose)
        self.table.opened.connect(self.open_row)
        self.table.sort_wanted.connect(self.sort_by)
        self.table.ticks_changed.connect(self._show_choice)
        self.none = Words(theme, color="ink2", wraps=True)
        sheet.body.addWidget(self.none)
        sheet.body.addWidget(self.table, 1)
        column.addWidget(self.ladder)
        column.addWidget(sheet, 1)
        self.reasons = ReasonsSheet(theme, keys)
        self._theme = theme
        theme.changed.connect(self._dress)
        self._dress()
        row.addLayout(column, 1)
        row.addWidget(self.reasons)

    @Slot()
    def _dress(self) -> None:
        self.reasons.setFixedWidth(self._theme.px(_REASONS_PX))

    @property
    def line(self) -> RenewalLine | None:
        """The chosen contract."""
        return self._page.line(self.table.current_id) if self._page is not None else None

    @property
    def row(self) -> YearRow | None:
        """The chosen contract in words."""
        key = self.table.current_id
        return next((row for row in self.all_rows if row.contract_id == key), None)

    @property
    def ticked(self) -> list[YearRow]:
        """The contracts ticked, in the order of the page."""
        return [row for row in self.all_rows if row.contract_id in self.table.ticked]

    @property
    def meant(self) -> list[YearRow]:
        """The contracts that an action is about: those ticked, else the chosen one."""
        row = self.row
        return self.ticked or ([row] if row is not None else [])

    def show_page(self, page: YearPage, rows: tuple[YearRow, ...]) -> None:
        """Show another page with its rows; what is chosen stays."""
        self._page, self.all_rows = page, rows
        self.table.ticked &= {row.contract_id for row in self.all_rows if row.can_be_taken}
        self._show_rows()

    def choose(self, contract_id: int | None) -> None:
        """Stand on a contract, now or as soon as it is shown."""
        self._wanted = contract_id
        if contract_id is not None and self.table.choose(contract_id):
            self._wanted = None

    @Slot(str)
    def show_only(self, which: str) -> None:
        """Show only some rows, as `shown_rows` names them."""
        self._which = which
        self._show_rows()

    @Slot(str)
    def sort_by(self, sort: str) -> None:
        """Another order; the same once more turns it round."""
        self._down = not self._down if sort == self._sort else False
        self._sort = sort
        self._show_rows()

    def _show_rows(self) -> None:
        page = self._page
        if page is None:
            return
        some = shown_rows(self.all_rows, page, self._which)
        rows = sorted_rows(some, self._sort, down=self._down)
        self.table.show_sort(self._sort, down=self._down)
        self.table.show_rows(rows)
        self.choose(self._wanted)
        self.table.setVisible(bool(rows))
        self.none.setVisible(not rows)
        self.none.setText(
            say("No contract ends in these days. Choose other days above.")
            if not self.all_rows
            else say("None of the contracts is like that. Choose other rows above.")
        )
        self._chose(self.table.current_id)

    @Slot(object)
    def _chose(self, _contract_id: object) -> None:
        page = self._page
        if page is None:
            return
        line = self.line
        self.ladder.show_page(self._desk(), page, line.contract_id if line else None)
        self.reasons.show_line(self._desk(), page, line, self.row)
        self._show_choice()

    @Slot()
    def _show_choice(self) -> None:
        self.reasons.show_choice(self._desk(), self.row, len(self.ticked))
        self._keys.refresh()

    @Slot(int)
    def _ladder_pressed(self, contract_id: int) -> None:
        if self.table.choose(contract_id) or self._page is None:
            return
        kept = next((one for one in self._page.kept if one.contract_id == contract_id), None)
        if kept is not None and kept.site_id is not None:
            self.site_wanted.emit(kept.site_id, False)

    @Slot(object, bool)
    def open_row(self, contract_id: object, beside: bool) -> None:
        """Ask for the site of a contract."""
        row = next((one for one in self.all_rows if one.contract_id == contract_id), None)
        if row is not None and row.site_id is not None:
            self.site_wanted.emit(row.site_id, beside)
