"""Papers about attempts: an inspection could not be made, and the letter before the next."""

from collections.abc import Iterable

from servicedesk.desk.letter_wording import SECOND_ATTEMPT, check_wording, filled, wording_of
from servicedesk.desk.office import Desk
from servicedesk.desk.report_content import (
    Shared,
    Signed,
    company_license_text,
    receiver_lines,
    receiver_of,
    signed_lines,
    visited_on,
    visitor_text,
)
from servicedesk.papers.report_rows import Fact, ReportPaper, ReportRow, ReportSection
from servicedesk.records import report_rows as rows
from servicedesk.records.report_rows import JobFacts
from servicedesk.trade.cautions import caution_texts
from servicedesk.words import say, say_n
from servicedesk.words.jobs import could_not_text, job_title

# what the owner can do about it, by the reason written down
_ASKS = {
    "no access": lambda: say("Please leave the gate or door to the system unlocked, or call us."),
    "refused": lambda: say("Please call us: we should like to know what stands in the way."),
    "no power": lambda: say("Please see that the system has power, and keep it on."),
    "lid buried": lambda: say(
        "Please have the lids uncovered. Do not open them: an open tank can kill."
    ),
    "unsafe": lambda: say("Please call us: what was unsafe must be put right first."),
}


def attempts_of(desk: Desk, job: JobFacts) -> tuple[JobFacts, ...]:
    """This attempt and those before it for the same inspection of the same system, by day."""
    with desk.store.read() as session:
        ids = rows.attempt_ids(session, job.system_id, job.contract_id, job.ordinal)
        found = rows.job_facts(session, {*ids, job.job_id})
    until = visited_on(desk, job)
    some = [one for one in found.values() if one.arrived_at and visited_on(desk, one) <= until]
    return tuple(sorted(some, key=lambda one: (visited_on(desk, one), one.job_id)))


def could_not_paper(
    desk: Desk,
    job: JobFacts,
    attempts: Iterable[JobFacts],
    shared: Shared,
    *,
    to_kind: str,
    number: int | None = None,
    signed: Signed | None = None,
) -> ReportPaper:
    """The paper that says when we were there, and why the inspection could not be made."""
    on = visited_on(desk, job)
    some = tuple(attempts)
    by = signed or Signed()
    text = say_n(
        "We came once to inspect this system and could not.",
        "We came {n} times to inspect this system and could not.",
        len(some),
    )
    sections = (_attempts_section(desk, some, text), *_owner_asks(job, to_kind))
    return ReportPaper(
        letterhead=shared.letterhead,
        to=receiver_lines(job, to_kind, on),
        title=say("Could not inspect"),
        subtitle=", ".join(part for part in (job.address, job.locality) if part),
        number=_number(number),
        day=desk.formats.long_day(desk.today),
        facts=tuple(_facts(job, shared, desk, to_kind)),
        sections=sections,
        cautions=_cautions(to_kind),
        signed=signed_lines(by) if by.name else (),
        foot=f"{desk.company.name} · {job.address}",
        invented=desk.company.invented_note,
    )


def second_attempt_letter(
    desk: Desk,
    job: JobFacts,
    attempts: Iterable[JobFacts],
    shared: Shared,
    *,
    number: int | None = None,
    signed: Signed | None = None,
) -> ReportPaper:
    """The letter to the owner: we were there in vain and shall come again; please help.

    In the company's own wording where it has one. Raises Trouble if that cannot be filled in.
    """
    on = visited_on(desk, job)
    some = tuple(attempts)
    by = signed or Signed()
    text, *again = _worded(desk, job)
    return ReportPaper(
        letterhead=shared.letterhead,
        to=receiver_lines(job, "owner", on),
        title=say("We will come again"),
        subtitle=", ".join(part for part in (job.address, job.locality) if part),
        number=_number(number),
        day=desk.formats.long_day(desk.today),
        facts=(Fact(say("Work"), job_title(job.kind, job.ordinal).capitalize()),
               Fact(say("Permit"), job.permit or say("not written down"))),
        sections=(
            _attempts_section(desk, some, text),
            *_owner_asks(job, "owner"),
            ReportSection(title=say("The next visit"), text=tuple(again)),
        ),
        cautions=_cautions("owner"),
        signed=signed_lines(by) if by.name else (),
        foot=f"{desk.company.name} · {job.address}",
        invented=desk.company.invented_note,
    )  # fmt: skip


def _worded(desk: Desk, job: JobFacts) -> tuple[str, ...]:
    """The paragraphs of the letter: the first above the attempts, the others below them."""
    wording = wording_of(desk, SECOND_ATTEMPT)
    check_wording(wording.text, wording.kind.fields)
    company = desk.company
    reach, text = company.phone or company.email, wording.text
    if not reach and not wording.is_own:  # nobody is told to call nowhere
        text = "\n\n".join(part for part in text.split("\n\n") if "{phone}" not in part)
    values = {
        "address": job.address,
        "work": job_title(job.kind, job.ordinal),
        "company": company.name,
        "phone": reach,
        "email": company.email,
    }
    return filled(text, values)


def _number(number: int | None) -> str:
    return say("Draft, not sent") if number is None else say("Number {n}", n=number)


def _facts(job: JobFacts, shared: Shared, desk: Desk, to_kind: str) -> Iterable[Fact]:
    on = visited_on(desk, job)
    yield Fact(say("Work"), job_title(job.kind, job.ordinal).capitalize())
    yield Fact(say("Permit"), job.permit or say("not written down"))
    yield Fact(say("Visited by"), visitor_text(job, shared, on))
    yield Fact(say("Company license"), company_license_text(shared, on))
    if to_kind != "owner":
        owner = receiver_of(job, on)
        yield Fact(say("Owner"), owner.name if owner else say("not written down"))


def _attempts_section(desk: Desk, attempts: Iterable[JobFacts], text: str) -> ReportSection:
    f = desk.formats
    table = []
    for one in attempts:
        time = f.time(desk.clock.minute_of(one.arrived_at)) if one.arrived_at else ""
        why = could_not_text(one.could_not) if one.could_not else say("no reason given")
        told = [say("told {whom}", whom=one.told_whom)] if one.told_whom else []
        told += [say("note left")] if one.note_left else []
        day = say("{day}, {time}", day=f.day(visited_on(desk, one)), time=time)
        table.append(ReportRow((day, one.technician, why, ", ".join(told))))
    return ReportSection(
        title=say("When we were there"),
        text=(text,),
        head=(say("When"), say("Who"), say("Why not"), say("Told")),
        widths=(0.28, 0.24, 0.22, 0.26),
        rows=tuple(table),
    )


def _owner_asks(job: JobFacts, to_kind: str) -> tuple[ReportSection, ...]:
    ask = _ASKS.get(job.could_not)
    if to_kind != "owner" or ask is None:
        return ()
    return (ReportSection(title=say("What would help"), text=(ask(),)),)


def _cautions(to_kind: str) -> tuple[str, ...]:
    return caution_texts(("no-entry", "open-riser-fall")) if to_kind == "owner" else ()
