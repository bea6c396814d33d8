"""What a report of a visit says: facts of the records become the rows of the paper."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from servicedesk.desk.office import Desk
from servicedesk.desk.report_parts import (
    attention_section,
    checked_section,
    finding_section,
    left_section,
    owed_section,
    readings_section,
    work_section,
)
from servicedesk.papers.layout import PageName
from servicedesk.papers.report_rows import Fact, ReportPaper, ReportSection
from servicedesk.records import report_rows as rows
from servicedesk.records.report_rows import JobFacts, LicenseSpan, Party
from servicedesk.trade.cautions import caution_texts
from servicedesk.words import say
from servicedesk.words.calls import plain
from servicedesk.words.jobs import could_not_text, job_title, kind_text

# for people who live with the system, not for those who work on it
OWNER_CAUTIONS = ("no-entry", "open-riser-fall", "chlorine-handling")
REPORT_ROLES = ("report", "owner", "pays", "occupant")


@dataclass(frozen=True, slots=True, kw_only=True)
class Signed:
    """Who signs a report, and by which license; an empty name waits for the signature."""

    name: str = ""
    license: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Shared:
    """What all reports of a run have in common: read once."""

    letterhead: tuple[str, ...]
    licenses: tuple[LicenseSpan, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Corrects:
    """The report that a corrected one takes the place of, and what is otherwise now."""

    number: int | None
    sent_on: date
    changed: tuple[str, ...]


def shared_of(desk: Desk) -> Shared:
    """Letterhead and licenses, as they stand now."""
    with desk.store.read() as session:
        own = rows.letterhead(session)
        licenses = tuple(rows.license_spans(session))
    if own.strip():
        lines = tuple(line.strip() for line in own.splitlines() if line.strip())
    else:
        facts = desk.company
        reach = " · ".join(part for part in (facts.phone, facts.email) if part)
        lines = tuple(part for part in (facts.name, facts.address, reach) if part)
    return Shared(letterhead=lines, licenses=licenses)


def page_size(desk: Desk) -> PageName:
    """The company's size of paper."""
    return "a4" if desk.company.page_size == "a4" else "letter"


def visited_on(desk: Desk, job: JobFacts) -> date:
    """The company's day of the visit. Raises ValueError for one that did not take place."""
    if job.arrived_at is None:
        raise ValueError(f"job {job.job_id}: nobody was there yet")
    return desk.clock.day_of(job.arrived_at)


def report_paper(
    desk: Desk,
    job: JobFacts,
    shared: Shared,
    *,
    to_kind: str,
    number: int | None = None,
    printed_on: date | None = None,
    signed: Signed | None = None,
    corrects: Corrects | None = None,
) -> ReportPaper:
    """The paper of a job for a kind of receiver (owner, authority, maker); no number: a draft."""
    on = visited_on(desk, job)
    by = signed or Signed()
    return ReportPaper(
        letterhead=shared.letterhead,
        to=receiver_lines(job, to_kind, on),
        title=_title(job, corrects),
        subtitle=place_of_job(job),
        number=_number(number, corrects),
        day=desk.formats.long_day(printed_on or desk.today),
        facts=tuple(_facts(desk, job, shared, to_kind, on)),
        changed=_changed(desk, corrects),
        sections=tuple(_sections(desk, job, on, to_kind)),
        cautions=caution_texts(OWNER_CAUTIONS) if to_kind == "owner" else (),
        signed=signed_lines(by) if by.name else (),
        foot=_foot(desk, job, number),
        invented=desk.company.invented_note,
    )


def _title(job: JobFacts, corrects: Corrects | None) -> str:
    kind = {
        "inspection": say("Inspection report"),
        "pump-out": say("Pump-out report"),
    }.get(job.kind, say("Report: {work}", work=kind_text(job.kind)))
    return say("Corrected {report}", report=kind[0].lower() + kind[1:]) if corrects else kind


def _number(number: int | None, corrects: Corrects | None) -> str:
    if number is None:
        return say("Draft, not sent")
    if corrects is not None and corrects.number is not None:
        return say("Report {n}, corrects report {first}", n=number, first=corrects.number)
    return say("Report {n}", n=number)


def _changed(desk: Desk, corrects: Corrects | None) -> tuple[str, ...]:
    if corrects is None:
        return ()
    sent = desk.formats.day(corrects.sent_on)
    named = (
        say("This report takes the place of report {n}, sent {day}.", n=corrects.number, day=sent)
        if corrects.number is not None
        else say("This report takes the place of the one sent {day}.", day=sent)
    )
    return (named, *corrects.changed)


def receiver_of(job: JobFacts, on: date) -> Party | None:
    """Who gets the report of a visit: whoever had that role on the day of the visit.

    A buyer is never sent the seller's papers, nor the seller the buyer's.
    """
    there = [party for party in job.parties if party.holds(on)]
    for role in REPORT_ROLES:
        for party in there:
            if party.role == role:
                return party
    return None


def receiver_lines(job: JobFacts, to_kind: str, on: date) -> tuple[str, ...]:
    """Name and address of whom a paper goes to."""
    if to_kind == "authority":
        if job.authority is None:
            return (say("To the permitting authority"),)
        one = job.authority
        return tuple(part for part in (one.name, one.office, *one.address.splitlines()) if part)
    if to_kind == "maker":
        return (say("To the maker of the treatment unit"),)
    party = receiver_of(job, on)
    if party is None:
        return (say("To the owner"), job.address)
    lines = party.mail_address.splitlines() if party.mail_address else [job.address, job.locality]
    return tuple(part for part in (party.name, *lines) if part)


def place_of_job(job: JobFacts) -> str:
    """Address, town and which of several systems."""
    town = " ".join(part for part in (job.locality, job.postcode) if part)
    return ", ".join(part for part in (job.address, town, job.system_label) if part)


def _facts(desk: Desk, job: JobFacts, shared: Shared, to_kind: str, on: date) -> Iterable[Fact]:
    f = desk.formats
    yield Fact(say("Visited on"), f.long_day(on))
    if job.arrived_at is not None and job.left_at is not None:
        begin, end = (f.time(desk.clock.minute_of(at)) for at in (job.arrived_at, job.left_at))
        yield Fact(say("Time"), say("{begin} to {end}", begin=begin, end=end))
    yield Fact(say("Visited by"), visitor_text(job, shared, on))
    yield Fact(say("Company license"), company_license_text(shared, on))
    yield Fact(say("Work"), job_title(job.kind, job.ordinal).capitalize())
    if job.window_from is not None and job.window_until is not None:
        last = job.window_until - timedelta(days=1)
        window = say("{first} to {last}", first=f.day(job.window_from), last=f.day(last))
        yield Fact(say("Due between"), window)
    yield Fact(say("Permit"), job.permit or say("not written down"))
    kinds = " · ".join(plain(part) for part in (job.treatment, job.dispersal) if part)
    if kinds:
        yield Fact(say("System"), kinds)
    if to_kind != "owner":
        owner = receiver_of(job, on)
        yield Fact(say("Owner"), owner.name if owner else say("not written down"))
    if job.contract_number is not None:
        yield Fact(say("Contract"), str(job.contract_number))
    if job.weather:
        yield Fact(say("Weather"), job.weather)


def licenses_text(some: Iterable[LicenseSpan]) -> str:
    """Licenses as one line: "registered technician TC-RT-140"."""
    return ", ".join(
        " ".join(part for part in (one.license_class, one.number) if part) for one in some
    )


def visitor_text(job: JobFacts, shared: Shared, on: date) -> str:
    """Who visited, with the licenses that were valid that day."""
    if not job.technician:
        return say("not written down")
    held = [one for one in shared.licenses if one.technician_id == job.technician_id]
    valid = [one for one in held if one.valid_on(on)]
    if valid:
        return say("{name}, {license}", name=job.technician, license=licenses_text(valid))
    if held:
        return say("{name}, no license valid that day", name=job.technician)
    return job.technician


def company_license_text(shared: Shared, on: date) -> str:
    """The company's licenses that were valid on a day."""
    own = [one for one in shared.licenses if one.technician_id is None]
    valid = [one for one in own if one.valid_on(on)]
    if valid:
        return licenses_text(valid)
    return say("none valid that day") if own else say("not written down")


def signed_lines(signed: Signed) -> tuple[str, ...]:
    """The lines of a signature."""
    who = (
        say("{name}, {license}", name=signed.name, license=signed.license)
        if signed.license
        else signed.name
    )
    return (say("Signed by {who}", who=who),)


def _sections(desk: Desk, job: JobFacts, on: date, to_kind: str) -> Iterable[ReportSection]:
    found: Iterable[ReportSection | None] = (
        outcome_section(job),
        attention_section(job, to_kind),
        readings_section(job),
        finding_section(job),
        work_section(job),
        owed_section(desk, job, on),
        checked_section(job, to_kind),
        left_section(job),
    )
    return (section for section in found if section is not None)


def outcome_section(job: JobFacts) -> ReportSection | None:
    """How it went, where it did not all go."""
    if job.outcome == "done":
        return None
    if job.outcome == "could not":
        why = could_not_text(job.could_not) if job.could_not else say("no reason given")
        return ReportSection(
            title=say("Could not be done"), text=(say("It could not be done: {why}.", why=why),)
        )
    return ReportSection(
        title=say("Partly done"), text=(say("Not all of it could be done this time."),)
    )


def _foot(desk: Desk, job: JobFacts, number: int | None) -> str:
    name = say("report {n}", n=number) if number is not None else say("draft")
    return f"{desk.company.name} · {name} · {job.address}"


def facts_of(desk: Desk, job_ids: Iterable[int]) -> Mapping[int, JobFacts]:
    """The records behind the reports of some jobs."""
    with desk.store.read() as session:
        return rows.job_facts(session, job_ids)
