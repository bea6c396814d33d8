"""Bring in a list: look at it against the book (nothing is written), then take it in one change.

proposal = look_at(desk, path)                 # again with mapping= or answers= as corrected
proposal.rows, proposal.questions, proposal.missing, proposal.counts
changed = take(desk, proposal, overwrite={(12, "site.note")})
"""

from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass, field, fields, replace
from pathlib import Path
from typing import Any

from servicedesk.desk.bring_in_match import missing_rows
from servicedesk.desk.bring_in_plan import (
    CHANGED,
    KEPT,
    NEW,
    SAME,
    RowPlan,
    plan_rows,
    shared_region,
)
from servicedesk.desk.bring_in_start import Start, start_of
from servicedesk.desk.bring_in_words import assumed_lines
from servicedesk.desk.bring_in_write import write_plans
from servicedesk.desk.office import Desk
from servicedesk.exchange import columns
from servicedesk.exchange.headers import Layout, Left
from servicedesk.exchange.positions import WorkArea
from servicedesk.exchange.price_list import is_price_list
from servicedesk.exchange.sheetfile import SheetFile, read_sheet_file
from servicedesk.exchange.understand import layout_for, likeliest_table, understand
from servicedesk.exchange.understood import (
    Answers,
    Complaint,
    Question,
    Severity,
    Understood,
)
from servicedesk.records import brought_rows
from servicedesk.records.store import Changed
from servicedesk.values.progress import Progress, quiet
from servicedesk.values.trouble import Trouble
from servicedesk.words import say, say_n

Ticks = Iterable[tuple[int, str]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Counts:
    """How many rows, sites, systems, visits; `asked` counts rows that a person should look at."""

    new_sites: int
    new_systems: int
    new_rows: int
    changed: int
    kept: int
    same: int
    asked: int
    skipped: int
    missing: int
    visits: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Skipped:
    """A row that cannot be brought in, and why."""

    row: int
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Missing:
    """A record that this list held the last time and holds no more."""

    site_id: int
    system_id: int
    title: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Proposal:
    """What would become of a list. Nothing is written yet.

    `name`, `table`, `tables`: file and sheets. `samples`: first cells of each column. `assumed`:
    what is taken for granted, in words. `remembers`: would column meanings or answers be kept?
    """

    name: str
    table: str
    tables: tuple[str, ...]
    header_row: int
    list_name: str
    mapping: columns.Mapping
    samples: Mapping[int, tuple[str, ...]] = field(repr=False)
    answers: Answers
    understood: Understood = field(repr=False)
    rows: tuple[RowPlan, ...] = field(repr=False)
    missing: tuple[Missing, ...]
    skipped: tuple[Skipped, ...]
    start: Start
    remembers: bool
    sheet: SheetFile = field(repr=False)

    @property
    def questions(self) -> tuple[Question, ...]:
        """What is still open."""
        return self.understood.questions

    @property
    def warnings(self) -> tuple[Complaint, ...]:
        """What is doubtful in cells that are brought in all the same."""
        return tuple(c for c in self.understood.complaints if c.severity is Severity.WARN)

    @property
    def left(self) -> tuple[tuple[int, Left, str], ...]:
        """Rows that are no site: number, reason, text."""
        return tuple((one.number, one.why, one.text) for one in self.understood.left)

    @property
    def assumed(self) -> tuple[str, ...]:
        """What is taken for granted about the company and all sites, in words."""
        no_owner = sum(plan.new_contract and plan.customer_id is None for plan in self.rows)
        no_rule = sum(plan.state == NEW for plan in self.rows)
        told = [*self.start.told]
        if not any(question.code == "day_first" for question in self.questions):
            told += assumed_lines(self.rows)  # before that no date is known
        if region := shared_region(self.understood):
            told.append(say("All rows say {region}: it is not noted at each site.", region=region))
        if no_owner:
            told.append(
                say_n(
                    "{n} contract without an owner is held by “Owner of” its address.",
                    "{n} contracts without an owner are held by “Owner of” their address.",
                    no_owner,
                )
            )
        if no_rule and any(plan.new_contract for plan in self.rows):
            told.append(
                say("New systems have no service rule yet: set one in the site file. ")
                + say("Until then the visits a year of the contract count, 14 days early at most.")
            )
        return tuple(told)

    @property
    def counts(self) -> Counts:
        """The whole in figures."""
        by_state = {s: sum(p.state == s for p in self.rows) for s in (NEW, CHANGED, KEPT, SAME)}
        new = [plan for plan in self.rows if plan.state == NEW]
        sites = sum(plan.site_id is None and plan.lead for plan in new)
        return Counts(
            new_sites=sites,
            new_systems=len(new) - sites,
            new_rows=len(new),
            changed=by_state[CHANGED],
            kept=by_state[KEPT],
            same=by_state[SAME],
            asked=sum(bool(plan.asked) for plan in self.rows),
            skipped=len(self.skipped),
            missing=len(self.missing),
            visits=sum(len(plan.visits) for plan in self.rows),
        )

    @property
    def writes(self) -> bool:
        """Would taking it write anything?"""
        return bool(
            self.remembers
            or any(plan.cells is not None or plan.state in (NEW, CHANGED) for plan in self.rows)
        )


def look_at(
    desk: Desk,
    file: Path | SheetFile,
    *,
    table: str | None = None,
    header_row: int | None = None,
    mapping: columns.Mapping | None = None,
    answers: Answers | None = None,
    corrections: Mapping[str, str] | None = None,
    progress: Progress = quiet,
) -> Proposal:
    """What a list would make, change, leave and ask. Writes nothing.

    `file`: CSV or XLSX, or what was read of one before. `table`: the sheet (the likeliest).
    `mapping` corrects what columns mean (a remembered or proposed one otherwise), `corrections`
    does so by heading: {"Ring": "phone"}. `answers` go before remembered ones. Raises Trouble for
    files, sheets and headings that are not there; Stopped as `progress` does.
    """
    sheet = file if isinstance(file, SheetFile) else read_sheet_file(file)
    with desk.store.read() as session:
        memory = brought_rows.column_memory(session)
        book = brought_rows.book(session, desk.today)
    layout = layout_for(_table(sheet, table), header_row=header_row)
    remembered = {key: plain["columns"] for key, (_id, plain, _answers) in memory.items()}
    if mapping is None:
        mapping = columns.propose(layout, remembered)
        if not corrections and mapping.signature not in memory:
            _refuse_prices(sheet.name, layout, mapping)
    for heading, name in (corrections or {}).items():
        mapping = _corrected(mapping, heading, name)
    known = memory.get(mapping.signature)
    answers = _merged(answers or Answers(), known[2] if known else {})
    understood = understand(
        layout,
        mapping,
        answers,
        country=desk.company.country,
        today=desk.today,
        currency=desk.company.currency,
        area=WorkArea.around(desk.company.position) if desk.company.position else None,
        decimal_comma=sheet.decimal_comma,
        progress=progress,
    )
    rows, found = plan_rows(
        understood, mapping, book, list_name=mapping.signature, today=desk.today,
        formats=desk.formats, currency=_currency(desk, answers), progress=progress,
    )  # fmt: skip
    lost = missing_rows(book, mapping.signature, found)
    return Proposal(
        name=sheet.name,
        table=layout.table.name,
        tables=tuple(one.name for one in sheet.tables if one.rows),
        header_row=layout.header_row,
        list_name=mapping.signature,
        mapping=mapping,
        samples={choice.col: tuple(layout.texts(choice.col, 3)) for choice in mapping.choices},
        answers=answers,
        understood=understood,
        rows=rows,
        missing=tuple(_missing(book, one) for one in lost),
        skipped=_skipped(understood),
        start=start_of(desk, understood, book),
        remembers=known is None or (known[1], known[2]) != _memory_of(mapping, answers),
        sheet=sheet,
    )


def take(
    desk: Desk, proposal: Proposal, *, overwrite: Ticks = (), progress: Progress = quiet
) -> Changed:
    """Write what was proposed, as one undoable change; all or nothing.

    `overwrite`: pairs of row and field (as in `RowPlan.changes`) that may go over what was edited
    here. A list that changes nothing writes nothing. Raises Trouble while the order of day and
    month is open, and if somebody changed the book since it was looked at; Stopped as `progress`.
    """
    if any(question.code == "day_first" for question in proposal.questions):
        raise Trouble(
            say("It is not known whether dates begin with the day or with the month."),
            do=say("Answer that first; nothing was written."),
        )
    ticks = frozenset(overwrite)
    if not proposal.writes and not ticks:
        return Changed(0, {})
    with desk.store.change(desk.who, _sentence(proposal)) as work:
        book = brought_rows.book(work.session, desk.today)
        if _plans(desk, proposal, book) != proposal.rows:
            raise Trouble(
                say("Somebody changed the book while you were looking at the list."),
                means=say("Nothing was written."),
                do=say("Look at the list again, then bring it in."),
            )
        plans = _plans(desk, proposal, book, ticks) if ticks else proposal.rows
        write_plans(desk, work, replace(proposal, rows=plans), book, progress)
        brought_rows.remember_columns(
            work, proposal.list_name, *_memory_of(proposal.mapping, proposal.answers)
        )
        progress(1, 1, say("Writing it down"))
    return work.changed


def _plans(
    desk: Desk,
    proposal: Proposal,
    book: brought_rows.Book,
    ticks: frozenset[tuple[int, str]] = frozenset(),
) -> tuple[RowPlan, ...]:
    return plan_rows(
        proposal.understood, proposal.mapping, book, list_name=proposal.list_name,
        today=desk.today, formats=desk.formats, currency=_currency(desk, proposal.answers),
        overwrite=ticks,
    )[0]  # fmt: skip


def _currency(desk: Desk, answers: Answers) -> str:
    return answers.currency or desk.company.currency


def _sentence(proposal: Proposal) -> str:
    n = proposal.counts
    if n.new_rows:
        return say_n(
            "Brought in {n} row from {name}", "Brought in {n} rows from {name}", n.new_rows,
            name=proposal.name,
        )  # fmt: skip
    if n.changed:
        return say("Brought in changes from {name}", name=proposal.name)
    return say("Remembered what {name} says", name=proposal.name)


def _table(sheet: SheetFile, name: str | None) -> Any:
    if name is None:
        return likeliest_table(sheet)
    try:
        return sheet.table(name)
    except KeyError:
        raise Trouble(
            say("There is no sheet “{name}” in {file}.", name=name, file=sheet.name),
            do=say("Its sheets: {names}", names=", ".join(t.name for t in sheet.tables)),
        ) from None


def _refuse_prices(name: str, layout: Layout, mapping: columns.Mapping) -> None:
    """A supplier's price list is no list of sites: every line of it would become one."""
    if is_price_list(layout, [choice.field for choice in mapping.choices]):
        raise Trouble(
            say("“{name}” is a supplier's price list, not a list of sites.", name=name),
            do=say("Bring it in on the page Shelf with Price list, or with: "
                   "servicedesk shelf price-list FILE --supplier NAME"),
        )  # fmt: skip


def _corrected(mapping: columns.Mapping, heading: str, name: str) -> columns.Mapping:
    wanted = columns.folded(heading)
    cols = [c.col for c in mapping.choices if columns.folded(c.heading) == wanted]
    if not cols:
        headings = ", ".join(c.heading for c in mapping.choices if c.heading)
        raise Trouble(
            say("There is no column “{heading}”.", heading=heading),
            do=say("The columns: {headings}", headings=headings),
        )
    for col in cols:
        mapping = mapping.with_choice(col, field_named(name))
    return mapping


def field_named(name: str) -> str:
    """The field that a person calls so: its key, its title, or "nothing". Raises Trouble."""
    wanted = name.strip().casefold()
    if wanted in ("nothing", say("nothing").casefold()):
        return columns.IGNORE
    names = (*columns.known_fields(), columns.EXTRA, columns.IGNORE)
    for one in names:
        if wanted in (one, columns.field_title(one).casefold()):
            return one
    raise Trouble(
        say("“{name}” is nothing a column can mean.", name=name),
        do=say("Choose one of: {names}", names=", ".join(columns.field_title(n) for n in names)),
    )


def _merged(given: Answers, remembered: Mapping[str, Any]) -> Answers:
    values = {
        f.name: remembered.get(f.name) if getattr(given, f.name) is None else getattr(given, f.name)
        for f in fields(Answers)
    }
    return Answers(**values)


def _memory_of(mapping: columns.Mapping, answers: Answers) -> tuple[dict[str, Any], dict[str, Any]]:
    kept = {name: value for name, value in asdict(answers).items() if value is not None}
    return {"columns": [list(pair) for pair in mapping.to_plain()]}, kept


def _skipped(understood: Understood) -> tuple[Skipped, ...]:
    return tuple(
        Skipped(row=one.row or 0, why=f"{one.what} {one.how}")
        for one in understood.complaints
        if one.severity is Severity.SKIP
    )


def _missing(book: brought_rows.Book, one: brought_rows.BroughtNow) -> Missing:
    site = book.sites[one.site_id]
    title = " · ".join(
        part for part in (site.own_number or "", site.address, site.locality) if part
    )
    return Missing(site_id=one.site_id, system_id=one.system_id or 0, title=title)
