"""`servicedesk reports`: what is owed, the register, the month's list; papers into a folder."""

import argparse
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from servicedesk.desk.corrections import correction_lines
from servicedesk.desk.deadline_line import DeadlineLine, to_kind
from servicedesk.desk.deadlines_cli import line_text
from servicedesk.desk.deadlines_reports import report_lines
from servicedesk.desk.office import Desk
from servicedesk.desk.report_mail import draft_of, mail_address, write_file
from servicedesk.desk.report_register import (
    MonthLine,
    month_files,
    month_list,
    next_month,
    register,
)
from servicedesk.desk.reports import Leaving, Sent, Wanted, draft_pdf, send_reports
from servicedesk.desk.verb_options import Tell, desk_of
from servicedesk.records.register_rows import RegisterRow
from servicedesk.words import say, say_n
from servicedesk.words.papers import paper_text

DONE, LOOK = 0, 1


@dataclass(frozen=True, slots=True, kw_only=True)
class ReportsAnswer:
    """The whole answer, as `--json` prints it."""

    format: int
    today: date
    owed: tuple[DeadlineLine, ...]
    corrected_owed: tuple[DeadlineLine, ...]
    month: date | None
    visits: tuple[MonthLine, ...]
    register: tuple[RegisterRow, ...]
    sent: tuple[int, ...]
    written: tuple[Path, ...]


def reports_from_shell(
    chosen: argparse.Namespace,
    *,
    tell: Tell,
    print_json: Callable[[Any], None],
) -> int:
    """Lists, writes and, with --send, numbers. Exit code 1 where a report is owed and late."""
    desk = desk_of(chosen)
    sent, written = _papers(desk, chosen)
    owed = tuple(report_lines(desk))
    corrected = tuple(correction_lines(desk))
    visits: tuple[MonthLine, ...] = ()
    papers: tuple[RegisterRow, ...] = ()
    if chosen.month is not None:
        month = month_list(desk, chosen.month)
        visits = month.lines
        papers = register(desk, first=chosen.month, until=next_month(chosen.month))
        if chosen.out is not None:
            for name, data in month_files(desk, chosen.month).items():
                written.append(write_file(chosen.out / name, data))
    if chosen.json:
        print_json(
            ReportsAnswer(
                format=1, today=desk.today, owed=owed, corrected_owed=corrected,
                month=chosen.month, visits=visits, register=papers,
                sent=tuple(one.number for one in sent), written=tuple(written),
            )
        )  # fmt: skip
    else:
        tell(*_lines(desk, owed, corrected))
        if chosen.month is not None:
            tell(*_month_lines(desk, visits, papers))
        done = _written_lines(sent, written)
        if done:
            tell(*done)
    return LOOK if any(one.is_late for one in (*owed, *corrected)) else DONE


def wanted_of(
    lines: Iterable[DeadlineLine], *, only: str | None = None
) -> list[tuple[DeadlineLine, Wanted]]:
    """The papers that rows of the list ask for, each once."""
    found: dict[tuple[int, str], tuple[DeadlineLine, Wanted]] = {}
    for line in lines:
        if line.job_id is None:
            continue
        for receiver in line.receivers:
            kind = to_kind(receiver)
            if only is None or kind == only:
                found.setdefault((line.job_id, kind), (line, Wanted(line.job_id, kind)))
    return list(found.values())


def _papers(desk: Desk, chosen: argparse.Namespace) -> tuple[tuple[Sent, ...], list[Path]]:
    """Drafts into the folder, or with --send numbered papers with their mails."""
    out: Path | None = chosen.out
    if chosen.send is None and (out is None or chosen.month is not None):
        return (), []
    lines = (*report_lines(desk), *correction_lines(desk))
    wanted = wanted_of(lines, only=chosen.to)
    if chosen.send is None:
        return (), [] if out is None else _drafts(desk, wanted, out)
    if chosen.send == "email" and out is not None:
        mail_address(desk)  # before numbers are taken
    leaving = Leaving(how=chosen.send, signed_by=chosen.signed, confirmation=chosen.confirmation)
    sent, _ = send_reports(desk, [one for _, one in wanted], leaving)
    return sent, [] if out is None else _sent_files(desk, sent, out, mails=chosen.send == "email")


def _drafts(desk: Desk, wanted: Sequence[tuple[DeadlineLine, Wanted]], out: Path) -> list[Path]:
    written = []
    for _, one in wanted:
        name = f"draft-{one.job_id}-{one.to_kind}.pdf"
        written.append(write_file(out / name, draft_pdf(desk, one)))
    return written


def _sent_files(desk: Desk, sent: Iterable[Sent], out: Path, *, mails: bool) -> list[Path]:
    written = []
    for one in sent:
        written.append(write_file(out / one.file_name, one.pdf))
        if mails:
            eml = out / f"{Path(one.file_name).stem}.eml"
            written.append(write_file(eml, draft_of(desk, one)))
    return written


def _lines(
    desk: Desk, owed: Sequence[DeadlineLine], corrected: Sequence[DeadlineLine]
) -> list[str]:
    lines = [say_n("{n} report is owed", "{n} reports are owed", len(owed))]
    lines += [f"  {line_text(desk, one)}" for one in owed]
    if corrected:
        lines.append(
            say_n("{n} corrected report is owed", "{n} corrected reports are owed", len(corrected))
        )
        lines += [f"  {line_text(desk, one)}" for one in corrected]
    return lines


def _month_lines(
    desk: Desk, visits: Sequence[MonthLine], papers: Sequence[RegisterRow]
) -> list[str]:
    lines = [
        "",
        say_n("{n} visit in the month", "{n} visits in the month", len(visits)),
        say_n("{n} paper left in it:", "{n} papers left in it:", len(papers)),
    ]
    for one in papers:
        day = desk.clock.day_of(one.sent_at).isoformat()
        number = "" if one.number is None else str(one.number)
        parts = (paper_text(one.kind_of), one.address, say("to {whom}", whom=one.to_whom), one.how)
        text = " · ".join(part for part in (*parts, one.confirmation) if part)
        lines.append(f"  {day}  {number:>6}  {text}")
    return lines


def _written_lines(sent: Sequence[Sent], written: Sequence[Path]) -> list[str]:
    lines = []
    if sent:
        numbers = say("{first} to {last}", first=sent[0].number, last=sent[-1].number)
        text = say_n("{n} report numbered", "{n} reports numbered", len(sent))
        lines.append(f"{text} ({numbers})")
    if written:
        count = say_n("{n} file written to {folder}.", "{n} files written to {folder}.",
                      len(written), folder=written[0].parent)  # fmt: skip
        lines.append(count)
    return lines
