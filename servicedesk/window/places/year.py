"""Year: what did each site cost, what should it pay? Renewals, inspections, and what is to come."""

from collections.abc import Callable
from typing import ClassVar

from PySide6.QtCore import Slot
from PySide6.QtWidgets import QStackedWidget, QVBoxLayout, QWidget
from shiboken6 import isValid

from servicedesk.desk.office import Desk
from servicedesk.desk.renew import Accepted, renew_many
from servicedesk.desk.renew_decide import Chosen, decide
from servicedesk.desk.renewals_sheet import span_title
from servicedesk.desk.year_page import YearPage, YearSpan, usual_spans
from servicedesk.desk.year_rows import YearSeen, read_year_seen, year_seen_again
from servicedesk.renewals.price import NOT_RENEW
from servicedesk.values.money import Money
from servicedesk.window.actions import Act
from servicedesk.window.places.base import DeskPlace
from servicedesk.window.places.registry import places
from servicedesk.window.places.year_acts import year_acts
from servicedesk.window.places.year_ahead import YearAhead
from servicedesk.window.places.year_asks import (
    AskedLetters,
    AskedSpan,
    ask_end,
    ask_letters,
    ask_price,
    ask_span,
)
from servicedesk.window.places.year_papers import YearPapers
from servicedesk.window.shell import Shell
from servicedesk.window.widgets.label import Words
from servicedesk.window.widgets.notice import Notice
from servicedesk.window.widgets.setup_form import EntryForm, Forms
from servicedesk.window.widgets.year_head import (
    INSPECTIONS,
    OTHER,
    OUTLOOK,
    RENEWALS,
    SOON,
    YearHead,
)
from servicedesk.window.widgets.year_renewals import RenewalsView
from servicedesk.window.widgets.year_wording import WordingEditor
from servicedesk.window.work import Job
from servicedesk.words import say, say_n

SHEETS = (RENEWALS, INSPECTIONS, OUTLOOK)
# what a decision touches: the ladder and what was done stand still
_LIGHT = frozenset({"contract", "contract_system", "paper_sent", "counter", "told", "bill_line"})


class YearPlace(DeskPlace):
    """() keeps what is shown; (sheet,) another sheet; (contract,) that one."""

    name: ClassVar[str] = "year"

    def __init__(self, shell: Shell) -> None:
        self._page: YearPage | None = None
        self._sheet = RENEWALS
        self._chosen_span = "next"
        self._span: YearSpan | None = None
        self._job: Job | None = None
        super().__init__(shell)
        self._forms = Forms(shell, self)
        self._listens = False
        self._editor: WordingEditor | None = None
        self._build()

    def _build(self) -> None:
        theme, margin = self.theme, self.theme.tokens.space.page_margin
        column = QVBoxLayout(self)
        column.setContentsMargins(margin, 12, margin, 14)
        column.setSpacing(10)
        self.head = YearHead(theme, self.keys)
        self.head.sheet_wanted.connect(self.show_sheet)
        self.head.span_wanted.connect(self._span_wanted)
        self.notice = Notice(theme, say("Open the folder"))
        self.papers = YearPapers(self.shell, self.notice, self)
        self.state = Words(theme, color="ink2", wraps=True)
        self.stack = QStackedWidget()
        self.ahead = YearAhead(self.shell, self)
        self.view = RenewalsView(theme, self.keys, self._the_desk)
        self.ahead.arrived.connect(self._ahead_arrived)
        for sheet in (self.ahead.inspections.late, self.ahead.outlook.list):
            sheet.site_wanted.connect(self._go_to_site)
        self.head.rows_wanted.connect(self.view.show_only)
        self.view.site_wanted.connect(self._go_to_site)
        for view in (self.view, self.ahead.inspections, self.ahead.outlook):
            self.stack.addWidget(view)
        for widget in (self.head, self.notice, self.state):
            column.addWidget(widget)
        column.addWidget(self.stack, 1)
        column.addStretch(0)
        self.stack.hide()
        self.head.show_sheet(self._sheet)

    # what the frame asks

    def _the_desk(self) -> Desk:
        return self.desk

    @property
    def span(self) -> YearSpan:
        """The span that is shown, or will be."""
        return self._span or usual_spans(self.desk)[str(self.desk.today.year + 1)]

    def acts(self) -> tuple[Act, ...]:
        return year_acts(self)

    def title(self) -> str:
        span = self.span
        return self.ahead.title(self._sheet) or span_title(self.desk, span.since, span.until)

    def show_record(self, ids: tuple[object, ...]) -> None:
        if ids and isinstance(ids[0], str):
            self.show_sheet(ids[0])
        contract = next((one for one in ids if isinstance(one, int)), None)
        if contract is not None:
            self.show_sheet(RENEWALS)
            self.view.choose(contract)

    def refresh(self, changed: object) -> None:
        touched = getattr(changed, "rows", None)
        page = self._page
        if page is not None and touched is not None and set(touched) <= _LIGHT:
            self._start(year_seen_again, page)
        else:
            self.compute()

    def position(self) -> object:
        return self._sheet, self.view.table.current_id

    def restore(self, position: object) -> None:
        if isinstance(position, tuple) and len(position) == 2:
            self.show_sheet(str(position[0]))
            self.view.choose(position[1])

    def first_focus(self) -> QWidget:
        wanted = self.ahead.list_of(self._sheet) or self.view.table
        return wanted if wanted.isVisibleTo(self) else self.head.chosen_sheet

    # reading

    def compute(self) -> None:
        """Work the page out from the start; an earlier try is dropped."""
        self._start(read_year_seen)

    def _start(self, function: Callable[..., YearSeen], *args: object) -> None:
        if self._job is not None:
            self._job.cancel()
        desk = self.desk
        title = say("Working out the year")
        self._job = self.shell.ask(function, desk, self.span, *args, title=title)
        self._job.done.connect(self._arrived)
        self._job.stopped.connect(self._stopped)
        self._job.failed.connect(self._stopped)
        self._job.crashed.connect(self._stopped)
        self.head.again.hide()
        if self._page is None:
            self.state.setText(say("Working out what each contract cost and what it should pay …"))
            self.state.show()

    @Slot(object)
    def _arrived(self, seen: YearSeen) -> None:
        if self.sender() is self._job:
            self._job = None
            self.show_seen(seen)

    @Slot()
    def _stopped(self) -> None:
        if self.sender() is not self._job:
            return
        self._job = None
        self.state.setText(
            say("Stopped before it was done.")
            if self._page is None
            else say("Stopped: what stands here was worked out before the last changes.")
        )
        self.state.show()
        self.head.again.show()

    # showing

    def show_seen(self, seen: YearSeen) -> None:
        """Show a page that was worked out."""
        had, page = self._page is not None, seen.page
        self._page, self._span = page, page.span
        self.ahead.forget()
        self.view.show_page(page, seen.rows)
        self._read_sheet()
        self.state.hide()
        self.head.again.hide()
        self.stack.show()
        self.head.show_spans(self._span_words(), self._chosen_span)
        self._show_head()
        waits = (None, self, self.head.chosen_sheet)
        if not had and self.isVisible() and self.window().focusWidget() in waits:
            self.first_focus().setFocus()
        self.trail_changed.emit()

    def _span_words(self) -> dict[str, str]:
        today, day = self.desk.today, self.desk.formats.day
        other = say("Other days…")
        if self._chosen_span == OTHER:
            first, last = self.span.first_on, self.span.last_on
            other = say("{first} to {last}…", first=day(first, near=last), last=day(last))
        return {SOON: say("Next 90 days"), "this": str(today.year), "next": str(today.year + 1),
                OTHER: other}  # fmt: skip

    def _show_head(self) -> None:
        page = self._page
        self.head.heading.setText(self.title())
        if page is None or self._sheet != RENEWALS:
            self.head.of.set_text(self.ahead.line(self._sheet))
            return
        parts = [
            say_n("{n} contract ends", "{n} contracts end", len(page.page.lines)),
            say("{n} decided", n=page.n_decided),
        ]
        if page.unanswered:
            n = len(page.unanswered)
            parts.append(say_n("{n} offer not answered", "{n} offers not answered", n))
        if page.to_remind:
            n = len(page.to_remind)
            parts.append(say_n("{n} to be reminded now", "{n} to be reminded now", n))
        self.head.of.set_text(" · ".join(parts))

    # verbs

    def take(self) -> None:
        """Make the next contract of the ticked ones, else of the chosen one: one change."""
        accepted = [
            Accepted(row.contract_id, Money(row.next_minor, self.desk.company.currency),
                     row.revision)
            for row in self.view.meant
            if row.next_minor is not None and row.can_be_taken
        ]  # fmt: skip
        if accepted:
            self.view.table.ticked.clear()
            self.shell.change(renew_many, self.desk, accepted, title=say("Making the contracts"))

    def decide(self, code: str) -> None:
        """Write a decision; not to renew one asks why."""
        if code == NOT_RENEW:
            if self.view.line is not None:
                ask_end(self._form(), self.desk, self.view.line)
            return
        self._decide(code)

    def undecide(self) -> None:
        """Go by what is proposed again."""
        self._decide("")

    def _decide(self, code: str) -> None:
        chosen = [Chosen(row.contract_id, row.revision) for row in self.view.meant]
        if chosen:
            self.shell.change(decide, self.desk, chosen, code)

    def ask_price(self) -> None:
        """The form of a price set by hand."""
        if self.view.line is not None:
            ask_price(self._form(), self.desk, self.view.line)

    def tick_all(self) -> None:
        """Tick all rows shown, or none."""
        self.view.table.tick_all()

    def ask_letters(self) -> None:
        """The form of letters."""
        if self._page is not None:
            ask_letters(self._form(), self._page, self.view.ticked)

    def ask_wording(self) -> None:
        """The wording of the letters."""
        if self._editor is None or not isValid(self._editor):
            home = self.window()
            central = getattr(home, "centralWidget", None)
            over = (central() if central is not None else None) or home
            self._editor = WordingEditor(self.shell, self.desk, over)
        self._editor.open_wording(self.desk)

    def ask_span(self) -> None:
        """The form of another span."""
        ask_span(self._form(), self.span)

    def write_sheet(self) -> None:
        """The renewals sheet."""
        if self._page is not None:
            self.papers.write_sheet(self.desk, self._page.page)

    def write_list(self) -> None:
        """The papers of the sheet that is shown."""
        self.ahead.write(self._sheet, self.papers)

    def open_site(self) -> None:
        """The site of the chosen contract."""
        self.view.open_row(self.view.table.current_id, False)

    def turn_sheet(self) -> None:
        """The next one of the three sheets."""
        names = [button.objectName() for button in self.head.sheets.buttons()]
        self.show_sheet(names[(names.index(self._sheet) + 1) % len(names)])

    def _form(self) -> EntryForm:
        form = self._forms.form(self.desk)
        if not self._listens:
            self._listens = True
            form.written.connect(self._asked)
        return form

    @Slot(object)
    def _asked(self, asked: object) -> None:
        """A form that wrote nothing into the store, but says what to do."""
        if isinstance(asked, AskedSpan):
            self._chosen_span, self._span = OTHER, asked.span
            self._again_for_span()
        elif isinstance(asked, AskedLetters) and self._page is not None:
            self.papers.write_letters(self.desk, self._page.page, asked)

    @Slot(str)
    def show_sheet(self, sheet: str) -> None:
        """Renewals, inspections or the outlook; the last two are read when first looked at."""
        if sheet not in SHEETS:
            return
        self._sheet = sheet
        self.head.show_sheet(sheet)
        self.stack.setCurrentWidget(self.ahead.view(sheet) or self.view)
        self._show_head()
        self._read_sheet()
        self.keys.refresh()
        self.trail_changed.emit()

    def _read_sheet(self) -> None:
        """Read what the sheet shown still lacks."""
        if self._page is not None:
            self.ahead.read(self._sheet, self._page.work)

    @Slot()
    def _ahead_arrived(self) -> None:
        self._show_head()
        self.keys.refresh()

    @Slot(str)
    def _span_wanted(self, name: str) -> None:
        if name == OTHER:
            self.head.show_spans(self._span_words(), self._chosen_span)
            self.ask_span()
            return
        today = self.desk.today
        key = {"this": str(today.year), "next": str(today.year + 1)}.get(name, SOON)
        self._chosen_span, self._span = name, usual_spans(self.desk)[key]
        self._again_for_span()

    def _again_for_span(self) -> None:
        self.head.show_spans(self._span_words(), self._chosen_span)
        page = self._page
        if page is not None:
            self._start(year_seen_again, page)
        self.trail_changed.emit()

    @Slot(int, bool)
    def _go_to_site(self, site_id: int, beside: bool) -> None:
        if any(kind.id == "sites" for kind in places()):
            self.shell.go("sites", site_id, beside=beside)

    # why not

    def why_no_page(self) -> str | None:
        """Why nothing can be done yet."""
        return None if self._page is not None else say("It is not worked out yet.")

    def why_no_rows(self) -> str | None:
        """Why nothing can be done about rows."""
        if self._sheet != RENEWALS:
            return say("Show the renewals first (V).")
        if self._page is not None and not self._page.page.lines:
            return say("No contract ends in these days.")
        return self.why_no_page()

    def why_no_row(self) -> str | None:
        """Why nothing can be done about the chosen contract."""
        if self.why_no_rows() is None and self.view.row is None:
            return say("Choose a contract first.")
        return self.why_no_rows()

    def why_not_take(self) -> str | None:
        """Why the price cannot be taken."""
        if self.why_no_row() is not None:
            return self.why_no_row()
        meant = self.view.meant
        if any(row.can_be_taken for row in meant):
            return None
        if any(row.next_minor is None and row.now_minor is None for row in meant):
            return say("No price is written: set one by hand first (P).")
        return say("It is renewed already, or written as ending.")

    def why_no_list(self) -> str | None:
        """Why there is no list to write."""
        if self._sheet == RENEWALS:
            return say("Show inspections or the outlook first (V).")
        known = self.ahead.is_known(self._sheet)
        return None if known else say("It is not worked out yet.")
