"""The register of papers that left, and the monthly list for the authority in PDF and CSV."""

import csv
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date
from io import StringIO

from servicedesk.desk.office import Desk
from servicedesk.desk.report_content import page_size, shared_of
from servicedesk.papers.inspection_report import report_pdf
from servicedesk.papers.report_rows import ReportPaper, ReportRow, ReportSection
from servicedesk.records import register_rows as rows
from servicedesk.records.register_rows import RegisterRow
from servicedesk.words import say, say_n
from servicedesk.words.jobs import job_title, outcome_text

# a spreadsheet would run a cell that begins so
_RUNS = ("=", "+", "-", "@", "\t", "\r")


@dataclass(frozen=True, slots=True, kw_only=True)
class MonthLine:
    """One inspection or pump-out of a month and the paper that the authority has about it."""

    day: date
    address: str
    locality: str
    permit: str
    work: str
    outcome: str
    is_done: bool
    technician: str
    number: int | None
    sent_on: date | None
    how: str
    confirmation: str
    authority_id: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class MonthList:
    """A month of inspections and pump-outs, by day."""

    first: date
    lines: tuple[MonthLine, ...]

    @property
    def n_not_sent(self) -> int:
        """How many of those done have no paper at the authority yet."""
        return sum(line.is_done and line.sent_on is None for line in self.lines)


def next_month(first: date) -> date:
    """The first day of the month after."""
    return date(first.year + first.month // 12, first.month % 12 + 1, 1)


def take_numbers(desk: Desk, n: int) -> list[int]:
    """Numbers for papers, never given twice, also where the papers are not made after all."""
    with desk.store.change(desk.who, say("Took numbers of the register")) as work:
        return [work.next_number("report") for _ in range(n)]


def register(
    desk: Desk, *, first: date, until: date, to_kind: str | None = None
) -> tuple[RegisterRow, ...]:
    """Papers that left from `first` to `until` (excluded), by day."""
    begin, end = desk.clock.instant(first, 0), desk.clock.instant(until, 0)
    with desk.store.read() as session:
        return tuple(rows.register(session, from_at=begin, until_at=end, to_kind=to_kind))


def month_list(desk: Desk, month: date, *, authority_id: int | None = None) -> MonthList:
    """The month of any of its days: every inspection and pump-out, with its last paper.

    `authority_id`: only at systems under this authority.
    """
    first = month.replace(day=1)
    begin, end = desk.clock.instant(first, 0), desk.clock.instant(next_month(first), 0)
    with desk.store.read() as session:
        jobs = rows.jobs_between(session, begin, end)
        if authority_id is not None:
            jobs = [job for job in jobs if job.authority_id == authority_id]
        papers = rows.register(
            session, from_at=begin, until_at=end, to_kind="authority", by_visit=True
        )
    last = {paper.job_id: paper for paper in papers}
    return MonthList(
        first=first, lines=tuple(_line(desk, job, last.get(job.job_id)) for job in jobs)
    )


def _line(desk: Desk, job: rows.MonthJob, paper: RegisterRow | None) -> MonthLine:
    return MonthLine(
        day=desk.clock.day_of(job.arrived_at),
        address=job.address,
        locality=job.locality,
        permit=job.permit,
        work=job_title(job.kind, job.ordinal),
        outcome=outcome_text(job.outcome, job.could_not),
        is_done=job.outcome != "could not",
        technician=job.technician,
        number=paper.number if paper else None,
        sent_on=desk.clock.day_of(paper.sent_at) if paper else None,
        how=paper.how if paper else "",
        confirmation=paper.confirmation if paper else "",
        authority_id=job.authority_id,
    )


def month_files(desk: Desk, month: date) -> dict[str, bytes]:
    """The month's lists by file name, in PDF and CSV: one for each authority of its systems.

    Systems of which no authority is written down have a list of their own.
    """
    first = month.replace(day=1)
    begin, end = desk.clock.instant(first, 0), desk.clock.instant(next_month(first), 0)
    with desk.store.read() as session:
        there = {job.authority_id for job in rows.jobs_between(session, begin, end)}
        names = rows.authorities(session)
    found: dict[str, bytes] = {}
    for n, key in enumerate(sorted(there, key=lambda one: (one is None, one or 0)) or [None]):
        some = month_list(desk, month, authority_id=key)
        if key is None:
            without = tuple(x for x in month_list(desk, month).lines if x.authority_id is None)
            some = replace(some, lines=without)
        stem = f"inspections-{first:%Y-%m}" + ("" if n == 0 else f"-{n + 1}")
        found[f"{stem}.csv"] = month_csv(some)
        found[f"{stem}.pdf"] = month_pdf(desk, some, to=names.get(key or 0, ()))
    return found


def month_csv(month: MonthList) -> bytes:
    """The list as a text table (UTF-8 with its mark, so that spreadsheets read it right)."""
    heads = (
        *(say("Day"), say("Address"), say("Locality"), say("Permit"), say("Work"), say("Outcome")),
        *(say("Visited by"), say("Report"), say("Sent"), say("How"), say("Confirmation")),
    )
    table = [
        (
            *(one.day.isoformat(), one.address, one.locality, one.permit, one.work, one.outcome),
            *(one.technician, "" if one.number is None else str(one.number)),
            *("" if one.sent_on is None else one.sent_on.isoformat(), one.how, one.confirmation),
        )
        for one in month.lines
    ]
    return table_csv(heads, table)


def table_csv(heads: Iterable[str], table: Iterable[Iterable[str]]) -> bytes:
    """A text table whose cells no spreadsheet runs: such a cell begins with an apostrophe."""
    text = StringIO()
    writer = csv.writer(text)
    writer.writerow([_harmless(cell) for cell in heads])
    writer.writerows([_harmless(cell) for cell in row] for row in table)
    return text.getvalue().encode("utf-8-sig")


def _harmless(cell: str) -> str:
    return f"'{cell}" if cell.startswith(_RUNS) else cell


def month_pdf(desk: Desk, month: MonthList, *, to: Iterable[str] = ()) -> bytes:
    """The list as PDF, in the company's letterhead."""
    f = desk.formats
    table = tuple(
        ReportRow(
            (
                f.day(one.day, near=month.first),
                ", ".join(part for part in (one.address, one.locality) if part),
                one.permit,
                say("{work}: {outcome}", work=one.work, outcome=one.outcome),
                one.technician,
                _sent_text(desk, one),
            )
        )
        for one in month.lines
    )
    n = len(month.lines)
    count = say_n("{n} inspection or pump-out", "{n} inspections and pump-outs", n)
    if month.n_not_sent:
        open_ = say_n("{n} has no report here yet", "{n} have no report here yet", month.n_not_sent)
        count = f"{count} · {open_}"
    paper = ReportPaper(
        letterhead=shared_of(desk).letterhead,
        to=tuple(to) or (say("To the permitting authority"),),
        title=say("Inspections of {month}", month=f.month(month.first)),
        number="",
        day=f.long_day(desk.today),
        sections=(
            ReportSection(
                title=say("Visits by day"),
                text=(count,),
                head=(say("Day"), say("Where"), say("Permit"), say("Work"), say("Visited by"),
                      say("Report")),
                widths=(0.08, 0.24, 0.18, 0.17, 0.14, 0.19),
                rows=table,
            ),
        ),
        foot=desk.company.name,
        invented=desk.company.invented_note,
    )  # fmt: skip
    return report_pdf(paper, page_size(desk))


def _sent_text(desk: Desk, one: MonthLine) -> str:
    if one.sent_on is None:
        return say("not sent")
    day = desk.formats.day(one.sent_on, near=one.day)
    number = str(one.number) if one.number is not None else say("no number")
    text = say("{n}, sent {day}", n=number, day=day)
    return f"{text}, {one.confirmation}" if one.confirmation else text
