"""What happened at a site, newest first: visits, calls, what people were told, papers."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime

from servicedesk.desk.coming import first_upper, work_of
from servicedesk.desk.office import Desk
from servicedesk.records.call_rows import CallRow
from servicedesk.records.told_rows import PaperRow, ToldRow
from servicedesk.records.visit_rows import JobRow, ReadingLine, VisitRow
from servicedesk.words import calls as call_words
from servicedesk.words import say, say_n
from servicedesk.words.jobs import beyond_reason, job_title, outcome_text
from servicedesk.words.papers import paper_text


@dataclass(frozen=True, slots=True, kw_only=True)
class HistoryEntry:
    """One thing that happened. `kind`: visit, call, told, paper; `row_id` is its key.

    `title` is a short line, `lines` what there is to say; `who` did or wrote it. `late` marks an
    inspection done after its window, `is_kept` a paper whose very bytes lie here.
    """

    kind: str
    row_id: int
    on: date
    at: datetime | None
    title: str
    who: str
    lines: tuple[str, ...]
    outcome: str = ""
    late: bool = False
    symptoms: tuple[str, ...] = ()
    is_kept: bool = False


def history_of(
    desk: Desk,
    visits: Iterable[VisitRow],
    calls: Iterable[CallRow],
    told: Iterable[ToldRow],
    papers: Iterable[PaperRow],
    *,
    parts: Mapping[int, tuple[str, ...]],
    readings: Mapping[int, tuple[ReadingLine, ...]],
) -> tuple[HistoryEntry, ...]:
    """All of it in one line of time, newest first. Stops that are still to come are left out."""
    entries = [
        _visit(desk, v, parts.get(v.id, ()), readings.get(v.id, ()))
        for v in visits
        if v.state != "planned"
    ]
    entries += [_call(desk, call) for call in calls]
    entries += [_told(desk, one) for one in told]
    entries += [_paper(desk, paper) for paper in papers]
    return tuple(sorted(entries, key=lambda e: _when(desk, e), reverse=True))


def _when(desk: Desk, entry: HistoryEntry) -> tuple[datetime, int]:
    return (entry.at or desk.clock.instant(entry.on, 0), entry.row_id)


def _visit(
    desk: Desk, visit: VisitRow, parts: tuple[str, ...], readings: tuple[ReadingLine, ...]
) -> HistoryEntry:
    at = visit.arrived_at
    on = desk.clock.day_of(at) if at else (visit.planned_on or desk.today)
    lines = [line for job in visit.jobs for line in job_lines(job)]
    if parts:
        lines.append(say("Parts: {parts}", parts=", ".join(parts)))
    if readings:
        lines.append(say_n("{n} reading taken", "{n} readings taken", len(readings)))
    lines += [text for text in (visit.note, visit.as_left) if text.strip()]
    dropped = visit.state == "dropped"
    return HistoryEntry(
        kind="visit",
        row_id=visit.id,
        on=on,
        at=at,
        title=say("Not driven to: {work}", work=work_of(visit))
        if dropped
        else first_upper(work_of(visit)),
        who=visit.technician,
        lines=tuple(lines),
        outcome="" if dropped else _outcome(visit.jobs),
        late=any(_is_late(job, on) for job in visit.jobs),
    )


def _outcome(jobs: tuple[JobRow, ...]) -> str:
    """The worst outcome of a visit's jobs: could not, partly, done."""
    outcomes = {job.outcome for job in jobs}
    return next((name for name in ("could not", "partly", "done") if name in outcomes), "")


def _is_late(job: JobRow, on: date) -> bool:
    done = job.kind_of == "inspection" and job.outcome == "done"
    return done and job.window_until is not None and on >= job.window_until


def job_lines(job: JobRow) -> Iterable[str]:
    """What a job came to: its title with the outcome, then what was found and done."""
    title = first_upper(job_title(job.kind_of, job.ordinal))
    result = outcome_text(job.outcome, job.could_not)
    yield say("{job}: {outcome}", job=title, outcome=result) if result else title
    if found := beyond_reason(job.found, job.could_not):
        yield say("Found: {text}", text=found)
    if job.did.strip():
        yield say("Did: {text}", text=job.did.strip())
    if job.no_fault_found:
        yield say("No fault found")
    if job.fix == "patched":
        yield say("Patched, not lasting")


def _call(desk: Desk, call: CallRow) -> HistoryEntry:
    lines = [say("“{words}”", words=call.own_words)] if call.own_words else []
    if call.state == "dropped":
        why = call.answers.get("dropped why", "")
        lines.append(say("Dropped: {why}", why=why) if why else say("Dropped"))
    if call.answers.get("answered how"):
        lines.append(say("Answered: {how}", how=call.answers["answered how"]))
    if call.state == "open":
        lines.append(say("Still open"))
    symptoms = call_words.symptoms(call.symptoms) or say("no symptom noted")
    return HistoryEntry(
        kind="call",
        row_id=call.id,
        on=desk.clock.day_of(call.called_at),
        at=call.called_at,
        title=say("Call: {symptoms}", symptoms=symptoms),
        who=call.caller or "",
        lines=tuple(lines),
        outcome=call.state,
        symptoms=call.symptoms,
    )


def _told(desk: Desk, told: ToldRow) -> HistoryEntry:
    return HistoryEntry(
        kind="told",
        row_id=told.id,
        on=desk.clock.day_of(told.told_at),
        at=told.told_at,
        title=say("Told {whom} by {how}", whom=told.whom, how=how_text(told.how)),
        who=told.by_whom,
        lines=(told.what,) if told.what else (),
    )


def how_text(how: str) -> str:
    """A way to reach somebody."""
    ways = {
        "phone": say("phone"),
        "text": say("text message"),
        "email": say("email"),
        "letter": say("letter"),
        "in person": say("word of mouth"),
        "paper": say("paper"),
    }
    return ways.get(how, how)


def _paper(desk: Desk, paper: PaperRow) -> HistoryEntry:
    whom = paper.to_whom or paper.to_kind
    title = first_upper(say("{paper} to {whom}", paper=paper_text(paper.kind_of), whom=whom))
    lines = [] if paper.how == "paper" else [say("Sent by {how}", how=how_text(paper.how))]
    if paper.number is not None:
        lines.append(say("Number {n}", n=paper.number))
    if paper.confirmation:
        lines.append(say("Confirmed: {number}", number=paper.confirmation))
    return HistoryEntry(
        kind="paper",
        row_id=paper.id,
        on=desk.clock.day_of(paper.sent_at),
        at=paper.sent_at,
        title=title,
        who="",
        lines=tuple(lines),
        is_kept=paper.sha256 is not None,
    )
