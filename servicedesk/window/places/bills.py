"""To bill: what is to be billed, what became of it, out as a list and back again."""

from functools import partial
from pathlib import Path
from typing import Any, ClassVar

from PySide6.QtCore import Qt, Slot
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractItemView,
    QButtonGroup,
    QFileDialog,
    QHBoxLayout,
    QVBoxLayout,
    QWidget,
)

from servicedesk.desk.bills import BILLED, STATES, TO_BILL, Bill, BillPage
from servicedesk.desk.bills_out import BillsBack, state_text, take_back
from servicedesk.desk.coming import first_upper
from servicedesk.desk.office import Desk
from servicedesk.values.money import Money
from servicedesk.window.actions import Act
from servicedesk.window.places.base import DeskPlace
from servicedesk.window.places.registry import places
from servicedesk.window.shell import Shell
from servicedesk.window.widgets import bills_forms as forms
from servicedesk.window.widgets.bills_back import BillsBackSheet
from servicedesk.window.widgets.bills_painter import BillCells, BillHead, BillPainter
from servicedesk.window.widgets.bills_rows import MOST_ROWS, BillsSeen, read_seen
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.label import Words
from servicedesk.window.widgets.paper_notice import PaperNotice
from servicedesk.window.widgets.rows_sheet import RowsSheet
from servicedesk.window.widgets.setup_form import Forms
from servicedesk.window.widgets.site_rows import Flow
from servicedesk.window.widgets.today_rows import RowsView
from servicedesk.words import say, say_n


class BillsPlace(DeskPlace):
    """A list read on the worker; single letters act on the chosen rows."""

    name: ClassVar[str] = "bills"

    def __init__(self, shell: Shell) -> None:
        super().__init__(shell)
        self._forms = Forms(shell, self)
        self._asked: object = None
        self._seen: BillsSeen | None = None
        self._state = TO_BILL
        self.told = Words(self.theme, color="ink2", wraps=True)
        self.notice = PaperNotice(self.theme)
        self.back = BillsBackSheet(self.theme)
        self.back.taken.connect(self._take_back)
        self.empty = Words(self.theme, say("Reading what is to be billed…"), color="ink2")
        self.list = RowsView(self.theme, say("To bill"), BillPainter(self.theme), fits=False)
        self.list.setUniformItemSizes(True)
        self.list.setSelectionMode(QAbstractItemView.SelectionMode.ExtendedSelection)
        self.list.opened.connect(self._open_site)
        self.list.current_changed.connect(self.keys.refresh)
        self.sheet = RowsSheet(self.theme, BillHead(self.theme), self.list)
        margin = self.theme.tokens.space.page_margin
        column = QVBoxLayout(self)
        column.setContentsMargins(margin, 14, margin, 16)
        column.setSpacing(10)
        column.addLayout(self._head())
        column.addWidget(self._verbs())
        column.addWidget(self.told)
        column.addWidget(self.notice)
        column.addWidget(self.back)
        column.addWidget(self.empty)
        column.addWidget(self.sheet, 1)
        column.addStretch(0)

    def _head(self) -> QHBoxLayout:
        row = QHBoxLayout()
        row.setSpacing(8)
        row.addWidget(Words(self.theme, say("To bill"), role="page_title"))
        row.addSpacing(8)
        self.pills: dict[str, Button] = {}
        group = QButtonGroup(self)
        for state in STATES:
            pill = Button(self.theme, first_upper(state_text(state)), kind="pill")
            pill.setObjectName(state)
            pill.setChecked(state == self._state)
            group.addButton(pill)
            self.pills[state] = pill
            row.addWidget(pill, 0, Qt.AlignmentFlag.AlignVCenter)
        group.buttonClicked.connect(self._pressed)
        row.addStretch(1)
        self.out = Button(self.theme, say("List out"), icon_name="out", kind="main", key="X",
                          shows_only=True)  # fmt: skip
        self.out.clicked.connect(self.keys["list_out"].trigger)
        row.addWidget(self.out)
        return row

    def _verbs(self) -> QWidget:
        flow = Flow(gap=8)
        for act, words, icon, key in (
            ("billed", say("Billed…"), "note", "B"),
            ("paid", say("Paid…"), "check", "P"),
            ("waive", say("Waive…"), "cross", "W"),
            ("amount", say("Amount…"), "plus", "A"),
            ("list_back", say("Bring a list back…"), "in", "K"),
            ("rates", say("Rates…"), "panel", "R"),
        ):
            button = Button(self.theme, words, icon_name=icon, key=key, small=True, shows_only=True)
            button.clicked.connect(self.keys[act].trigger)
            self.keys[act].enabledChanged.connect(button.setEnabled)
            flow.flow.addWidget(button)
        return flow

    @property
    def _page(self) -> BillPage | None:
        return self._seen.page if self._seen is not None else None

    @property
    def chosen(self) -> list[Bill]:
        """The lines that a verb is about, in their order."""
        rows = self.list.selectionModel().selectedRows() if self.sheet.isVisible() else []
        things = [self.list.rows.rows[at.row()].thing for at in sorted(rows, key=_row_of)]
        return [one.bill for one in things if isinstance(one, BillCells)]

    # what the frame asks

    def acts(self) -> tuple[Act, ...]:
        group = say("To bill")

        def act(act_id: str, text: str, key: str, do: Any, when: Any = None) -> Act:
            return Act(id=act_id, text=text, shortcut=key, do=do, group=group, when=when)

        return (
            act("billed", say("Billed…"), "B", self.ask_billed, self._why_not_billed),
            act("paid", say("Paid…"), "P", self.ask_paid, self._why_over),
            act("waive", say("Waive…"), "W", self.ask_waive, self._why_over),
            act("amount", say("Amount by hand…"), "A", self.ask_amount, self._why_not_billed),
            act("list_out", say("List out, as workbook and CSV"), "X", self.list_out),
            act("list_back", say("Bring a list back…"), "K", self.ask_back),
            act("rates", say("Rates…"), "R", self.ask_rates),
        )

    def refresh(self, changed: object) -> None:
        job = self.shell.ask(read_seen, self.desk)
        self._asked = job
        job.done.connect(self._arrived)

    def first_focus(self) -> QWidget:
        return self.list

    # verbs

    def ask_billed(self) -> None:
        """Number and day for the chosen lines."""
        self._ask(say("Billed"), forms.billed_fields(), forms.write_billed)

    def ask_paid(self) -> None:
        """The day on which the chosen lines were paid."""
        self._ask(say("Paid"), forms.paid_fields(), forms.write_paid)

    def ask_waive(self) -> None:
        """Why the chosen lines are not billed."""
        self._ask(say("Waive"), forms.waive_fields(), forms.write_waived)

    def ask_amount(self) -> None:
        """What the chosen line comes to."""
        fields = forms.amount_fields(self.desk.company.currency)
        self._ask(say("Amount by hand"), fields, forms.write_amount)

    def _ask(self, title: str, fields: Any, write: Any) -> None:
        chosen = self.chosen
        if not chosen:
            return
        first = chosen[0]
        hint = say_n("{first}", "{first} and {more} more", len(chosen),
                     first=f"{first.address}: {first.text}", more=len(chosen) - 1)  # fmt: skip
        self._forms.form(self.desk).open_form(
            title,
            fields,
            {"on": self.desk.today, "amount_minor": first.amount_minor},
            partial(write, self.desk, [one.key for one in chosen]),
            button=say("Write it"),
            hint=hint,
        )

    def ask_rates(self) -> None:
        """The company's charge for a trip in vain, and from when on bills are watched."""
        page = self._page
        if page is None:
            return
        self._forms.form(self.desk).open_form(
            say("Rates"),
            forms.rate_fields(self.desk.company.currency),
            {"trip_minor": page.trip_minor, "since_on": page.since_on},
            partial(forms.write_rates, self.desk),
            button=say("Write the rates"),
        )

    def list_out(self) -> None:
        """The lines that are shown as a workbook and as CSV beside the store."""
        if self._page is not None:
            lines = self._page.of_state(self._state)
            job = self.shell.ask(forms.write_lists, self.desk, self._page, lines)
            job.done.connect(self.notice.tell_written)

    def ask_back(self) -> None:
        """Choose a list that went out and came back."""
        dialog = QFileDialog(self, say("Choose a list that came back"))
        dialog.setFileMode(QFileDialog.FileMode.ExistingFile)
        dialog.setNameFilter(say("Lists (*.csv *.xlsx)"))
        dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        dialog.fileSelected.connect(self.look_back)
        dialog.open()

    @Slot(str)
    def look_back(self, path: str) -> None:
        """Read the list on the worker; what differs is shown before anything is written."""
        job = self.shell.ask(forms.read_back, self.desk, Path(path))
        job.done.connect(self.back.show_back)

    @Slot(object)
    def _take_back(self, back: BillsBack) -> None:
        self.shell.change(take_back, self.desk, back)

    def _why_over(self) -> str | None:
        chosen = self.chosen
        if not chosen:
            return say("Choose something in the list first.")
        over = any(one.state not in (TO_BILL, BILLED) for one in chosen)
        return say("That is over already.") if over else None

    def _why_not_billed(self) -> str | None:
        if self._why_over() is not None:
            return self._why_over()
        billed = any(one.state != TO_BILL for one in self.chosen)
        return say("That is billed already.") if billed else None

    # what is shown

    @Slot(object)
    def _arrived(self, seen: BillsSeen) -> None:
        if self.sender() is self._asked:
            self._seen = seen
            self._show()

    @Slot(QAbstractButton)
    def _pressed(self, pressed: QAbstractButton) -> None:
        self._state = pressed.objectName()
        self._show()

    def _show(self) -> None:
        page = self._page
        if page is None:
            return
        for state, pill in self.pills.items():
            pill.setText(f"{first_upper(state_text(state))} {len(page.of_state(state))}")
        lines = page.of_state(self._state)
        self.list.show_rows(self._seen.rows[self._state] if self._seen is not None else ())
        self.sheet.setVisible(bool(lines))
        self.empty.setText(say("Nothing stands here now."))
        self.empty.setVisible(not lines)
        self.told.setText(" ".join(_told(self.desk, page, self._state, len(lines))))
        if lines and not self.list.currentIndex().isValid():
            self.list.setCurrentIndex(self.list.rows.index(0))
        self.keys.refresh()

    @Slot(object, bool)
    def _open_site(self, thing: object, beside: bool) -> None:
        if isinstance(thing, BillCells) and any(kind.id == "sites" for kind in places()):
            self.shell.go("sites", thing.bill.site_id, beside=beside)


def _row_of(index: Any) -> int:
    return int(index.row())


def _told(desk: Desk, page: BillPage, state: str, n: int) -> list[str]:
    """The sum, who is over the limit, from when on bills are watched."""

    def money(minor: int) -> str:
        return desk.formats.money(Money(minor, page.currency))

    texts = [say("{sum} in all.", sum=money(page.sum_of(state)))]
    if n > MOST_ROWS:
        texts.append(say("The latest {n} are shown; the list out has all.", n=MOST_ROWS))
    missing = sum(one.amount_minor is None for one in page.of_state(state))
    if missing:
        texts.append(
            say_n("{n} line has no amount yet.", "{n} lines have no amount yet.", missing)
        )  # fmt: skip
    if page.over and page.limit_minor is not None:
        texts.append(
            say_n("{n} site is on hold: more than {limit} unpaid.",
                  "{n} sites are on hold: more than {limit} unpaid.",
                  len(page.over), limit=money(page.limit_minor))
        )  # fmt: skip
    if state == TO_BILL:
        texts.append(say("Watched since {day}.", day=desk.formats.day(page.since_on)))
        if page.trip_minor is None:
            texts.append(say("Trips in vain cost nothing yet: see Rates."))
    return texts
