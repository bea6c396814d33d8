"""What has a last day: filtered by kind, the soonest first, with what can be done about a row."""

from functools import partial
from typing import Any

from PySide6.QtCore import Signal, Slot
from PySide6.QtWidgets import QAbstractButton, QButtonGroup, QHBoxLayout, QVBoxLayout, QWidget

from servicedesk.desk.deadline_line import DeadlineLine
from servicedesk.desk.deadlines import KINDS, deadlines, kind_name, n_of_kind
from servicedesk.desk.deadlines_cli import left_text
from servicedesk.desk.due_acts import (
    REPORT_KINDS,
    why_no_paper,
    why_no_result,
    why_not_sent,
    write_drafts,
)
from servicedesk.desk.office import Desk
from servicedesk.desk.samples import laboratories
from servicedesk.window.models.row_list import Row
from servicedesk.window.shell import Shell
from servicedesk.window.theme import Theme
from servicedesk.window.widgets.button import Button
from servicedesk.window.widgets.due_forms import (
    all_fields,
    how_field,
    paper_fields,
    result_fields,
    sample_fields,
    sign_fields,
    write_all_sent,
    write_lab_result,
    write_mail,
    write_sample,
    write_sent,
    write_signature,
)
from servicedesk.window.widgets.due_painter import ICONS, DueHead, DuePainter, due_color
from servicedesk.window.widgets.label import Words
from servicedesk.window.widgets.paper_notice import PaperNotice
from servicedesk.window.widgets.rows_sheet import keep_room_for_bar
from servicedesk.window.widgets.setup_fields import FieldSpec
from servicedesk.window.widgets.setup_form import Forms
from servicedesk.window.widgets.sheet import Sheet
from servicedesk.window.widgets.site_rows import Flow
from servicedesk.window.widgets.today_rows import RowsView
from servicedesk.words import say, say_n

Laboratories = tuple[tuple[int, str], ...]


class DueView(QWidget):
    """The list with its filters and verbs. `opened` carries the row to open, `beside` if Ctrl."""

    opened = Signal(object, bool)
    moved = Signal()  # other rows, or another one is chosen
    read = Signal(int)  # how many there are

    def __init__(self, shell: Shell, theme: Theme, forms: Forms) -> None:
        super().__init__()
        self.shell, self.theme, self._forms = shell, theme, forms
        self._asked: object = None
        self._lines: tuple[DeadlineLine, ...] = ()
        self._laboratories: Laboratories = ()
        self._kind = ""
        self.told = Words(theme, color="ink2")
        self.notice = PaperNotice(theme)
        self.empty = Words(theme, say("Reading what has a last day…"), color="ink2")
        self.list = RowsView(theme, say("Last days"), DuePainter(theme), fits=False)
        keep_room_for_bar(self.list)
        self.list.opened.connect(self.opened)
        self.list.current_changed.connect(self._moved)
        self.sheet = Sheet(theme)
        self.sheet.setAccessibleName(say("Last days"))
        self.sheet.body.setSpacing(0)
        head = QHBoxLayout()
        head.setContentsMargins(0, 0, 14, 0)  # beside the scroll bar
        head.addWidget(DueHead(theme))
        self.sheet.body.addLayout(head)
        self.sheet.body.addWidget(self.list, 1)
        self.sheet.hide()
        self.verbs = Flow(gap=8)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(10)
        column.addWidget(self._filters())
        column.addWidget(self.verbs)
        column.addWidget(self.told)
        column.addWidget(self.notice)
        column.addWidget(self.empty)
        column.addWidget(self.sheet, 1)
        self.about = Words(theme, color="ink2")
        column.addWidget(self.about)

    def _filters(self) -> Flow:
        row = Flow(gap=8)
        self.pills: dict[str, Button] = {}
        group = QButtonGroup(self)
        for kind in ("", *KINDS):
            pill = Button(self.theme, _pill_name(kind), kind="pill")
            pill.setObjectName(kind)
            pill.setChecked(kind == self._kind)
            group.addButton(pill)
            self.pills[kind] = pill
            row.flow.addWidget(pill)
        group.buttonClicked.connect(self._pressed)
        return row

    @property
    def desk(self) -> Desk:
        """The desk that the office sits at now."""
        found: Desk = self.shell.office.desk  # type: ignore[attr-defined]
        return found

    @property
    def chosen(self) -> DeadlineLine | None:
        """What the keys are on, None where the list is not shown."""
        thing = self.list.chosen if self.isVisible() else None
        return thing if isinstance(thing, DeadlineLine) else None

    def choose_kind(self, kind: str) -> None:
        """Show one kind alone, "" all."""
        if kind in self.pills:
            self.pills[kind].setChecked(True)
            self._kind = kind
            self.show_lines()

    def why_no_paper(self) -> str | None:
        """Why there is nothing to look at."""
        return why_no_paper(self.chosen)

    def why_not_sent(self) -> str | None:
        """Why nothing can be marked as sent."""
        return why_not_sent(self.chosen)

    def why_no_result(self) -> str | None:
        """Why there is no result to write."""
        return why_no_result(self.chosen)

    def refresh(self) -> None:
        """Read anew, on the worker."""
        job = self.shell.ask(_read, self.desk)
        self._asked = job
        job.done.connect(self._arrived)

    def look(self) -> None:
        """The chosen report as it would leave now, written as a draft."""
        if self.chosen is not None:
            job = self.shell.ask(write_drafts, self.desk, self.chosen)
            job.done.connect(self.notice.tell_written)

    def ask_sent(self) -> None:
        """How it went, and to whom; then it is numbered, kept and in the register."""
        if self.chosen is not None:
            fields = (how_field(), *paper_fields(self.chosen))
            self._ask(self.chosen, say("Sent"), fields, write_sent)

    def ask_mail(self) -> None:
        """Who signs; then a draft lies in the folder, to be opened in any mail program."""
        if self.chosen is not None:
            fields = paper_fields(self.chosen)
            write = partial(write_mail, self.notice)
            self._ask(self.chosen, say("E-mail draft"), fields, write)

    def ask_all(self) -> None:
        """How all reports of the list go; then they go in one run that can be stopped."""
        self._forms.form(self.desk).open_form(
            say("All reports that are owed"),
            all_fields(),
            {"how": "email", "receiver": ""},
            partial(write_all_sent, self.notice, self.desk, self._reports()),
            button=say("Number and write all"),
            hint=say_n("{n} row of the list", "{n} rows of the list", len(self._reports())),
        )

    def _reports(self) -> tuple[DeadlineLine, ...]:
        return tuple(one for one in self._lines if one.kind in REPORT_KINDS)

    def why_not_all(self) -> str | None:
        """Why there is nothing to send in one run."""
        if not self.isVisible():
            return say("Show the last days first.")
        return None if self._reports() else say("No report is owed.")

    def ask_sign(self) -> None:
        """Who signs the chosen report."""
        if self.chosen is not None:
            self._ask(self.chosen, say("Sign"), sign_fields(), write_signature,
                      button=say("Sign it"))  # fmt: skip

    def ask_sample(self) -> None:
        """The form for a sample; its site is found by what is typed."""
        self._forms.form(self.desk).open_form(
            say("Take a sample"),
            sample_fields(self._laboratories),
            {"taken_on": self.desk.today, "item_id": "fecal-coliform", "laboratory_id": None},
            partial(write_sample, self.desk),
            button=say("Write it"),
        )

    def ask_result(self) -> None:
        """What the laboratory found."""
        if self.chosen is not None:
            self._ask(self.chosen, say("Result"), result_fields(), write_lab_result,
                      button=say("Write it"))  # fmt: skip

    def _ask(
        self,
        line: DeadlineLine,
        title: str,
        fields: tuple[FieldSpec, ...],
        write: Any,
        *,
        button: str = "",
    ) -> None:
        self._forms.form(self.desk).open_form(
            title,
            fields,
            {"how": "email", "receiver": "", "known_on": self.desk.today},
            partial(write, self.desk, line),
            button=button or say("Number it and write it"),
            hint=say("{address}: {what}", address=line.address, what=line.what),
        )

    @Slot(object)
    def _arrived(self, seen: tuple[tuple[DeadlineLine, ...], Laboratories]) -> None:
        if self.sender() is self._asked:
            self._lines, self._laboratories = seen
            self.show_lines()

    def show_lines(self) -> None:
        """The rows of the kind that is chosen."""
        counts = n_of_kind(self._lines)
        for kind, pill in self.pills.items():
            n = len(self._lines) if not kind else counts[kind]
            pill.setText(f"{_pill_name(kind)} {n}")
            pill.setVisible(bool(n) or not kind or kind == self._kind)
        some = [one for one in self._lines if not self._kind or one.kind == self._kind]
        self.list.show_rows([_row(self.desk, one) for one in some])
        self.sheet.setVisible(bool(some))
        self.empty.setText(say("Nothing has a last day now."))
        self.empty.setVisible(not some)
        late = sum(one.is_late and one.is_legal for one in some)
        self.told.setText(
            say_n("{n} is past its day", "{n} are past their day", late) if late else ""
        )
        self.told.setVisible(bool(late))
        if some and not self.list.currentIndex().isValid():
            self.list.setCurrentIndex(self.list.rows.index(0))
        self._moved(self.list.chosen)
        self.read.emit(len(self._lines))

    @Slot(QAbstractButton)
    def _pressed(self, pressed: QAbstractButton) -> None:
        self._kind = pressed.objectName()
        self.show_lines()

    @Slot(object)
    def _moved(self, thing: object) -> None:
        self.about.setText(about_text(thing) if isinstance(thing, DeadlineLine) else "")
        self.moved.emit()


def about_text(line: DeadlineLine) -> str:
    """Why the day is what it is, and where that was read."""
    why = " · ".join(line.why)
    sure = "" if line.is_legal else say("Not confirmed: ask your permitting authority.")
    read = say("Source: {source}", source=line.source) if line.source else ""
    return " ".join(part for part in (f"{why}." if why else "", sure, read) if part)


def _read(desk: Desk) -> tuple[tuple[DeadlineLine, ...], Laboratories]:
    """On the worker: what has a last day, and the laboratories we know."""
    return deadlines(desk), laboratories(desk)


def _pill_name(kind: str) -> str:
    return kind_name(kind) if kind else say("All")


def _row(desk: Desk, line: DeadlineLine) -> Row:
    """The thing; where, to whom, why; how long."""
    parts = (
        line.address,
        say("to {whom}", whom=", ".join(line.to)) if line.to else "",
        *line.why,
        "" if line.is_legal else say("not confirmed"),
        line.source,
    )
    return Row(
        title=line.what,
        second=" · ".join(part for part in parts if part),
        icon=ICONS[line.kind],
        right=left_text(desk, line),
        right_color=due_color(line),
        thing=line,
    )
