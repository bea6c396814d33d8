"""Owed: what did we leave unfinished, what paper has a last day? The soonest first."""

from datetime import date
from functools import partial
from typing import Any, ClassVar

from PySide6.QtCore import Qt, Slot
from PySide6.QtWidgets import (
    QAbstractButton,
    QButtonGroup,
    QHBoxLayout,
    QLayout,
    QVBoxLayout,
    QWidget,
)

from servicedesk.desk import owed as owed_desk
from servicedesk.desk.coming import first_upper
from servicedesk.desk.deadline_line import DeadlineLine
from servicedesk.desk.office import Desk
from servicedesk.desk.owed import OwedLine
from servicedesk.window.actions import Act
from servicedesk.window.models.row_list import Row
from servicedesk.window.places.base import DeskPlace
from servicedesk.window.places.registry import places
from servicedesk.window.shell import Shell
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.due_view import DueView
from servicedesk.window.widgets.label import Words
from servicedesk.window.widgets.owed_asks import ask_answer, ask_estimate
from servicedesk.window.widgets.owed_empty import EmptyOwed
from servicedesk.window.widgets.owed_painter import OwedHead, OwedPainter
from servicedesk.window.widgets.owed_verbs import due_verbs, filters, owed_verbs
from servicedesk.window.widgets.paper_notice import PaperNotice
from servicedesk.window.widgets.rows_sheet import RowsSheet
from servicedesk.window.widgets.setup_fields import FieldSpec
from servicedesk.window.widgets.setup_form import Forms
from servicedesk.window.widgets.site_forms import owed_fields
from servicedesk.window.widgets.site_named import site_found
from servicedesk.window.widgets.today_rows import RowsView
from servicedesk.words import say, say_n


class OwedPlace(DeskPlace):
    """A list read on the worker; Enter opens the site, single letters act on the chosen row."""

    name: ClassVar[str] = "owed"

    def __init__(self, shell: Shell) -> None:
        super().__init__(shell)
        self._asked: object = None
        self._forms = Forms(shell, self)
        self.due = DueView(shell, self.theme, self._forms)
        self._open_lines: tuple[OwedLine, ...] = ()
        self._ended_lines: tuple[OwedLine, ...] = ()
        self._name = "all"
        self.told = Words(self.theme, color="ink2")
        self.list = RowsView(self.theme, say("Owed"), OwedPainter(self.theme), fits=False)
        self.list.opened.connect(self._open_site)
        self.list.current_changed.connect(self.keys.refresh)
        self.nothing = EmptyOwed(self.theme)
        self.nothing.add.clicked.connect(self.add)
        self.nothing.settled.clicked.connect(self._show_settled)
        self.empty = self.nothing.words
        self.sheet = RowsSheet(self.theme, OwedHead(self.theme), self.list)
        margin = self.theme.tokens.space.page_margin
        column = QVBoxLayout(self)
        column.setContentsMargins(margin, 14, margin, 16)
        column.setSpacing(10)
        column.addLayout(self._head())
        column.addWidget(self._verbs())
        self.notice = PaperNotice(self.theme)
        column.addWidget(self.notice)
        column.addWidget(self.nothing, 1)
        column.addWidget(self.sheet, 1)
        column.addWidget(self.due, 1)
        self.due.opened.connect(self._open_due)
        self.due.moved.connect(self.keys.refresh)
        self.due.read.connect(self._count_due)
        self._add_verbs(self.due.verbs.flow, due_verbs())
        for part in (self.sheet, self.nothing, self.due):
            part.hide()

    def _head(self) -> QHBoxLayout:
        """Title, filters, and what can be done with the chosen row."""
        row = QHBoxLayout()
        row.setSpacing(8)
        row.addWidget(Words(self.theme, say("Owed"), role="page_title"))
        row.addSpacing(8)
        self.pills: dict[str, Button] = {}
        group = QButtonGroup(self)
        for name, words in filters():
            pill = Button(self.theme, words, kind="pill")
            pill.setObjectName(name)
            pill.setChecked(name == self._name)
            group.addButton(pill)
            self.pills[name] = pill
            row.addWidget(pill, 0, Qt.AlignmentFlag.AlignVCenter)
        group.buttonClicked.connect(self._pressed)
        row.addStretch(1)
        if any(kind.id == "bills" for kind in places()):
            bill = Button(self.theme, say("To bill…"), icon_name="note", key="B", shows_only=True)
            bill.clicked.connect(self.keys["to_bill"].trigger)
            row.addWidget(bill)
        new = Button(
            self.theme, say("Add something owed"), icon_name="plus", kind="main", key="N",
            shows_only=True,
        )  # fmt: skip
        new.clicked.connect(self.add)
        row.addWidget(new)
        return row

    def _verbs(self) -> QWidget:
        """How much it is, and what can be done with the chosen row."""
        self.bar = QWidget()
        row = QHBoxLayout(self.bar)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(8)
        row.addWidget(self.told, 1)
        self._add_verbs(row, owed_verbs())
        return self.bar

    def _add_verbs(self, row: QLayout, verbs: tuple[tuple[str, str, str, str], ...]) -> None:
        for act, words, icon, key in verbs:
            button = Button(self.theme, words, icon_name=icon, key=key, small=True, shows_only=True)
            button.clicked.connect(self.keys[act].trigger)
            self.keys[act].enabledChanged.connect(button.setEnabled)
            row.addWidget(button)

    @property
    def chosen(self) -> OwedLine | None:
        """What the keys are on."""
        thing = self.list.chosen if self._name != "due" else None
        return thing if isinstance(thing, OwedLine) else None

    def acts(self) -> tuple[Act, ...]:
        group, why = say("What is owed"), self._why_not
        return (
            Act(id="new", text=say("Owe something…"), shortcut="N", do=self.add, group=group),
            Act(id="settle", text=say("Settled"), shortcut="S", do=self.settle, group=group,
                when=why),
            Act(id="decline", text=say("Declined…"), shortcut="D", group=group, when=why,
                do=partial(self._ask_who, "decline")),
            Act(id="approve", text=say("Approved…"), shortcut="A", group=group,
                do=partial(self._ask_who, "approve"), when=self._why_not_approved),
            Act(id="estimate", text=say("Estimate…"), shortcut="I", group=group, when=why,
                do=self._ask_estimate),
            Act(id="to_bill", text=say("To bill"), shortcut="B", group=group,
                do=partial(self._go, "bills")),
            Act(id="went_out", text=say("What went out"), shortcut="U", group=group,
                do=partial(self._go, "register")),
            Act(id="look_paper", text=say("Look at the draft"), shortcut="L", group=group,
                do=self._look, when=self._why_no_paper),
            Act(id="mark_sent", text=say("Sent…"), shortcut="M", group=group,
                do=self._mark_sent, when=self._why_not_sent),
            Act(id="mail_draft", text=say("E-mail draft…"), shortcut="E", group=group,
                do=self._mail, when=self._why_no_paper),
            Act(id="send_all", text=say("Send all reports…"), shortcut="W", group=group,
                do=self._send_all, when=self._why_not_all),
            Act(id="sign_report", text=say("Sign…"), shortcut="G", group=group,
                do=self._sign, when=self._why_no_paper),
            Act(id="take_sample", text=say("Take a sample…"), shortcut="T", group=group,
                do=self._take_sample),
            Act(id="write_result", text=say("Result of the sample…"), shortcut="R", group=group,
                do=self._write_result, when=self._why_no_result),
        )  # fmt: skip

    def refresh(self, changed: object) -> None:
        job = self.shell.ask(_read, self.desk)
        self._asked = job
        job.done.connect(self._arrived)
        self.due.refresh()

    def show_record(self, ids: tuple[object, ...]) -> None:
        """("due",) or ("due", kind) shows what has a last day; () what is owed."""
        if ids[:1] == ("due",):
            self.due.choose_kind(str(ids[1]) if len(ids) > 1 else "")
            self.pills["due"].click()

    def first_focus(self) -> QWidget:
        return self.due.list if self._name == "due" else self.list

    def position(self) -> object:
        chosen = self.chosen
        return chosen.row.id if chosen else None

    def restore(self, position: object) -> None:
        self._choose(position)

    def _look(self) -> None:
        self.due.look()

    def _mark_sent(self) -> None:
        self.due.ask_sent()

    def _mail(self) -> None:
        self.due.ask_mail()

    def _send_all(self) -> None:
        self.due.ask_all()

    def _why_not_all(self) -> str | None:
        return self.due.why_not_all()

    def _sign(self) -> None:
        self.due.ask_sign()

    def _take_sample(self) -> None:
        self.due.ask_sample()

    def _write_result(self) -> None:
        self.due.ask_result()

    def _why_no_result(self) -> str | None:
        return self.due.why_no_result()

    def _why_no_paper(self) -> str | None:
        return self.due.why_no_paper()

    def _why_not_sent(self) -> str | None:
        return self.due.why_not_sent()

    def add(self) -> None:
        """The form for something new; its site is found by what is typed."""
        site = FieldSpec(name="site", label=say("Site"), hint=say("street, owner or number"))
        self._forms.form(self.desk).open_form(
            say("Owe something"),
            (site, *owed_fields()),
            {"debtor": "us", "waits_for": ""},
            partial(_add, self.desk),
            button=say("Write it"),
        )

    def settle(self) -> None:
        """The chosen thing is done."""
        one = self.chosen
        if one is not None:
            self.shell.change(owed_desk.settle, self.desk, one.row.id, seen=one.row.revision)

    def _ask_who(self, verb: str) -> None:
        if self.chosen is not None:
            ask_answer(self._forms.form(self.desk), self.desk, self.chosen, verb)

    def _ask_estimate(self) -> None:
        if self.chosen is not None:
            ask_estimate(self._forms.form(self.desk), self.desk, self.chosen, self.notice)

    def _go(self, place: str) -> None:
        if any(kind.id == place for kind in places()):
            self.shell.go(place)

    def _why_not(self) -> str | None:
        if self.chosen is not None and self.chosen.row.state != "open":
            return say("That has ended already; take the change back under All changes.")
        return None if self.chosen is not None else say("Choose something in the list first.")

    def _why_not_approved(self) -> str | None:
        one = self.chosen
        if one is not None and one.row.estimate_minor is None:
            return say("There is no estimate to approve.")
        return self._why_not()

    @Slot(object)
    def _arrived(self, seen: tuple[tuple[OwedLine, ...], tuple[OwedLine, ...]]) -> None:
        if self.sender() is self._asked:
            self._open_lines, self._ended_lines = seen
            self._show()

    def _show(self) -> None:
        late = tuple(o for o in self._open_lines if o.days_left is not None and o.days_left < 0)
        kinds = {"all": self._open_lines, "past": late, "settled": self._ended_lines}
        for name, words in filters():
            if name in kinds:
                self.pills[name].setText(f"{words} {len(kinds[name])}")
        is_due = self._name == "due"
        self.due.setVisible(is_due)
        self.bar.setVisible(not is_due)
        lines = kinds.get(self._name, ())
        before = self.chosen
        at = self.list.currentIndex().row()
        self.list.show_rows([_row(self.desk, one) for one in lines])
        self.sheet.setVisible(bool(lines))
        self.nothing.setVisible(not lines and not is_due)
        self.empty.setVisible(not lines and not is_due)
        self.nothing.settled.setVisible(self._name != "settled" and bool(self._ended_lines))
        last = max(self._ended_lines, key=lambda o: o.row.settled_on or date.min, default=None)
        self.nothing.last.setText(_last_text(self.desk, last))
        count = say_n("{n} thing, soonest first", "{n} things, soonest first", len(lines))
        self.told.setText(count if lines and self._name == "all" else "")
        # the thing itself, otherwise its neighbor, so that the next key meets a row
        if lines and not self._choose(before.row.id if before else None):
            self.list.setCurrentIndex(self.list.rows.index(min(max(at, 0), len(lines) - 1)))
        self.keys.refresh()

    @Slot(QAbstractButton)
    def _pressed(self, pressed: QAbstractButton) -> None:
        self._name = pressed.objectName()
        self._show()

    @Slot()
    def _show_settled(self) -> None:
        self.pills["settled"].click()

    @Slot(object, bool)
    def _open_due(self, thing: object, beside: bool) -> None:
        if isinstance(thing, DeadlineLine) and any(kind.id == thing.place for kind in places()):
            # loaded here: the site's file is opened anyway, the start does not wait for it
            from servicedesk.window.places.sites_contracts import CONTRACTS

            is_paper = thing.kind == "contract" or (thing.kind == "notice" and thing.contract_id)
            where = (CONTRACTS,) if is_paper and thing.place == "sites" else ()
            self.shell.go(thing.place, *thing.ids, *where, beside=beside)

    @Slot(int)
    def _count_due(self, n: int) -> None:
        self.pills["due"].setText(say("Last days {n}", n=n))

    def _choose(self, owed_id: object) -> bool:
        things = [row.thing for row in self.list.rows.rows]
        thing = next((one for one in things if one.row.id == owed_id), None)
        return thing is not None and self.list.choose(thing)

    @Slot(object, bool)
    def _open_site(self, thing: object, beside: bool) -> None:
        if isinstance(thing, OwedLine) and any(kind.id == "sites" for kind in places()):
            self.shell.go("sites", thing.row.site_id, beside=beside)


def _read(desk: Desk) -> tuple[tuple[OwedLine, ...], tuple[OwedLine, ...]]:
    """On the worker: what is open, and what has ended."""
    return owed_desk.owed_list(desk), owed_desk.owed_list(desk, settled=True)


def _last_text(desk: Desk, one: OwedLine | None) -> str:
    if one is None:
        return ""
    day = desk.formats.day(one.row.settled_on, near=desk.today)
    return say("Last ended: {what} at {address}, {day}", what=one.row.what,
               address=one.row.address, day=day)  # fmt: skip


def _add(desk: Desk, values: dict[str, Any], _seen: int | None) -> object:
    """On the worker: find the site, then write."""
    entry = dict(values)
    site_id = site_found(desk, entry.pop("site"))
    return owed_desk.add_owed(desk, owed_desk.NewOwed(site_id=site_id, **entry))


def _row(desk: Desk, one: OwedLine) -> Row:
    """The thing; where, what it needs, who owes it, what it waits for, since when; by when."""
    row, days = one.row, desk.formats.days
    since = say("since {day}", day=desk.formats.day(row.since_on, near=desk.today))
    needs = say("needs {what}", what=row.needs) if row.needs else ""
    owes = say("owed by {who}", who=one.debtor_text)
    parts = (row.address, needs, owes, one.state_text, since)
    color = "ochre"
    if row.state != "open":
        right, color = one.state_text, "moss"
    elif row.by_on is None or one.days_left is None:
        right = say("{days} old", days=days(one.days_old))
    else:
        by = desk.formats.day(row.by_on, near=desk.today)
        if one.days_left < 0:
            right, color = say("by {day}, {days} late", day=by, days=days(-one.days_left)), "clay"
        elif one.days_left == 0:
            right = say("by {day}, today", day=by)
        else:
            right = say("by {day}, {days} left", day=by, days=days(one.days_left))
    return Row(
        title=first_upper(row.what),
        second=" · ".join(part for part in parts if part),
        icon="owed",
        right=right,
        right_color=color,
        thing=one,
    )
