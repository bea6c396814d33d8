"""The contracts on a site's file: the picture of owed against done, and the forms of their life."""

from collections.abc import Sequence
from datetime import timedelta
from functools import partial
from typing import Any, Protocol

from PySide6.QtCore import Signal, Slot
from PySide6.QtWidgets import QVBoxLayout

from servicedesk.desk.contract_file import (
    DRAFT,
    ENDING,
    RUNNING,
    TO_BEGIN,
    ContractFile,
    ContractLife,
    contract_file,
)
from servicedesk.desk.contract_sale import MOVES
from servicedesk.desk.contracts import sign_contract
from servicedesk.desk.office import Desk
from servicedesk.papers.pattern_figures import PlacedRow
from servicedesk.values.shapes import Measure, Shape
from servicedesk.window.shell import Shell
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.contract_forms import (
    edit_fields,
    end_fields,
    hand_over_fields,
    new_fields,
    sale_fields,
    write_edit,
    write_end,
    write_hand_over,
    write_new,
    write_sale,
)
from servicedesk.window.widgets.contract_shapes import contract_figure, legend
from servicedesk.window.widgets.label import Words
from servicedesk.window.widgets.patterns_painted import FigureView, PaintedRows
from servicedesk.window.widgets.setup_fields import FieldSpec
from servicedesk.window.widgets.setup_form import Forms
from servicedesk.window.widgets.sheet import Sheet
from servicedesk.window.widgets.site_rows import Flow
from servicedesk.words import say

CONTRACTS = "contracts"  # after a site's key: its file opens at the contracts


class Page(Protocol):
    """What the sheet needs of its place."""

    shell: Shell
    theme: Theme

    @property
    def desk(self) -> Desk: ...
    @property
    def forms(self) -> Forms: ...


class ContractRows(PaintedRows):
    """The contracts of a site; arrows walk them, the newest on top."""

    def __init__(self, theme: Theme) -> None:
        super().__init__(theme, say("Contracts, owed against done"))
        self._file: ContractFile | None = None

    def show_contracts(self, file: ContractFile) -> None:
        """Show another site's, or the same anew."""
        self._file = file
        self.redraw()

    def figure_at(
        self, width: float, measure: Measure, scale: float
    ) -> tuple[Sequence[Shape], tuple[PlacedRow, ...], float]:
        if self._file is None:
            return (), (), 1.0
        figure = contract_figure(self._file, width, measure, scale)
        return figure.shapes, figure.rows, figure.height


class ContractsSheet(Sheet):
    """Reads the contracts of the site that is shown; its buttons open forms.

    `came` is sent once they are shown, where somebody asked for them alone.
    """

    came = Signal()

    def __init__(self, page: Page) -> None:
        super().__init__(page.theme, say("Contracts"), say("owed against done; arrows walk them"))
        self._page = page
        self._site_id = 0
        self._reading: object = None
        self._is_wanted = False
        self.file: ContractFile | None = None
        self.rows = ContractRows(page.theme)
        self.rows.stood.connect(self._stood)
        self.legend = FigureView(page.theme, say("What the marks mean"))
        self.legend.show_figure(legend)
        self.about = Words(page.theme, "", role="second", color="ink2", wraps=True)
        self.none = Words(page.theme, say("No contract is written down for this site."),
                          color="ink2")  # fmt: skip
        self.buttons: dict[str, Button] = {}
        verbs = Flow(gap=8)
        for name, words, icon, do in (
            ("new", say("New contract…"), "plus", self.ask_new),
            ("change", say("Change…"), "panel", self.ask_change),
            ("sign", say("Sign it"), "check", self.sign),
            ("end", say("End it…"), "cross", self.ask_end),
            ("take_over", say("Taken over…"), "in", self.ask_take_over),
            ("hand_over", say("Hand over…"), "out", self.ask_hand_over),
            ("sold", say("House sold…"), "person", self.ask_sold),
        ):
            button = Button(page.theme, words, icon_name=icon, small=True)
            button.clicked.connect(do)
            self.buttons[name] = button
            verbs.flow.addWidget(button)
        inner = QVBoxLayout()
        inner.setSpacing(8)
        for part in (verbs, self.none, self.rows, self.about, self.legend):
            inner.addWidget(part)
        self.body.addLayout(inner)

    def show_site(self, site_id: int) -> None:
        """Read the contracts of a site on the worker."""
        if site_id != self._site_id:
            self.rows.current = ""
            self.rows.hide()
        self._site_id = site_id
        job = self._page.shell.ask(contract_file, self._page.desk, site_id)
        self._reading = job
        job.done.connect(self._arrived)

    def come_to(self, *, wanted: bool) -> None:
        """Whether the file shall open here."""
        self._is_wanted = wanted

    @property
    def chosen(self) -> ContractLife | None:
        """The contract that the keys are on, else the newest."""
        if self.file is None:
            return None
        key = self.rows.current
        found = self.file.life(int(key)) if key else None
        return found or next(iter(self.file.lives), None)

    @Slot(object)
    def _arrived(self, file: ContractFile) -> None:
        if self.sender() is not self._reading or file.site_id != self._site_id:
            return
        self.file = file
        has_rows = bool(file.lives)
        self.none.setVisible(not has_rows)
        self.legend.setVisible(has_rows)
        self.rows.setVisible(has_rows or bool(file.outside))
        self.rows.show_contracts(file)
        self._tell()
        if self._is_wanted:
            self._is_wanted = False
            self.came.emit()
            self.rows.setFocus()

    @Slot(str)
    def _stood(self, _key: str) -> None:
        self._tell()

    def _tell(self) -> None:
        one = self.chosen
        lines = [] if one is None else [", ".join(one.facts), *one.apart]
        lead = "" if one is None else say("Contract {n}: ", n=one.row.number)
        self.about.setText(lead + ". ".join(lines) if lines else "")
        self.about.setVisible(bool(lines))
        state = one.state if one is not None else ""
        self.buttons["change"].setEnabled(one is not None)
        self.buttons["sign"].setEnabled(state == DRAFT)
        self.buttons["end"].setEnabled(state in (DRAFT, TO_BEGIN, RUNNING, ENDING))
        self.buttons["hand_over"].setEnabled(state in (RUNNING, ENDING))

    # verbs

    @Slot()
    def ask_new(self) -> None:
        """The form for a new contract."""
        fields = new_fields(taken=False, systems=self._standing)
        self._ask(say("New contract"), fields, partial(write_new, self._site_id))

    @property
    def _standing(self) -> tuple[str, ...]:
        return self.file.standing if self.file is not None else ()

    @Slot()
    def ask_take_over(self) -> None:
        """The form for a contract taken over from another company."""
        title = say("Taken over from another company")
        fields = new_fields(taken=True, systems=self._standing)
        self._ask(title, fields, partial(write_new, self._site_id))

    def _ask(self, title: str, fields: tuple[FieldSpec, ...], write: Any) -> None:
        desk = self._page.desk
        lives = self.file.lives if self.file is not None else ()
        ends = [one.row.effective_until_on for one in lives if one.is_signed]
        first = max([desk.today, *ends])
        values = {
            "from_on": first, "visits_a_year": 3, "counting": "fixed", "tolerance_days": 14,
            "signed": True, "is_first_policy": False, "response_hours": desk.company.response_hours,
        }  # fmt: skip
        self._page.forms.form(desk).open_form(
            title, fields, values, partial(write, desk), button=say("Write the contract"),
            hint=self.file.address if self.file is not None else "",
        )  # fmt: skip

    @Slot()
    def ask_change(self) -> None:
        """The terms of the chosen contract: of a signed one what may still change."""
        one = self.chosen
        if one is None:
            return
        fields = edit_fields(is_draft=one.row.stage == "draft")
        self._page.forms.form(self._page.desk).open_form(
            say("Change contract {n}", n=one.row.number),
            fields,
            {spec.name: getattr(one.row, spec.name) for spec in fields},
            partial(write_edit, self._page.desk, one.row.id),
            button=say("Write it"),
            hint=one.span_text,
            seen=one.row.revision,
            only_changed=True,
        )

    @Slot()
    def sign(self) -> None:
        """The chosen draft is signed."""
        one = self.chosen
        if one is not None:
            self._page.shell.change(
                sign_contract, self._page.desk, one.row.id, seen=one.row.revision
            )

    @Slot()
    def ask_end(self) -> None:
        """On which day the chosen contract ends, and why."""
        self._ask_end(say("End contract {n}"), end_fields(), write_end)

    @Slot()
    def ask_hand_over(self) -> None:
        """Which company takes the chosen contract over, from when."""
        self._ask_end(say("Hand over contract {n}"), hand_over_fields(), write_hand_over)

    def _ask_end(self, title: str, fields: tuple[FieldSpec, ...], write: Any) -> None:
        one = self.chosen
        if one is None:
            return
        self._page.forms.form(self._page.desk).open_form(
            title.format(n=one.row.number),
            fields,
            {"on": self._page.desk.today + timedelta(days=1)},
            partial(write, self._page.desk, one.row.id),
            button=say("Write it"),
            hint=one.span_text,
            seen=one.row.revision,
        )

    @Slot()
    def ask_sold(self) -> None:
        """Who bought the house, from when, and what becomes of the contract."""
        hint = say("What the seller was there ends that day; the buyer's papers never show the "
                   "seller.")  # fmt: skip
        self._page.forms.form(self._page.desk).open_form(
            say("House sold"),
            sale_fields(),
            {"on": self._page.desk.today, "contract": MOVES},
            partial(write_sale, self._page.desk, self._site_id),
            button=say("Write the sale"),
            hint=hint,
        )
