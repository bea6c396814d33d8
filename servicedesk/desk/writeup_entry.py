"""The form of a visit as it is being filled in: raw texts, kept as a draft, understood at the end.

Names of fields, as `Wrong.field` carries them: "arrived", "left", "job:7:outcome",
"job:7:could_not", "job:7:fix", "job:7:behind", "job:7:cause", "job:7:known_by",
"job:7:check:splice-look", "job:7:reading:ph", "part:0:text", "part:0:warranty", "approval",
"owed:0:what", "leaving:leave-lids-screwed".
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date

from servicedesk.desk.checking import Wrong, WrongEntry
from servicedesk.desk.office import Desk
from servicedesk.desk.writeup_behind import (
    NO_FAULT,
    behind_of,
    check_names,
    is_owed_sentence,
    owed_sentence,
    stored_as,
)
from servicedesk.desk.writeup_form import VisitForm
from servicedesk.desk.writeup_notes import JobNotes, OwedNote, VisitNotes
from servicedesk.desk.writeup_part_entry import PartEntry, first_parts, part_notes
from servicedesk.desk.writeup_read import (
    day_of,
    minute_of,
    reading_of,
    reading_text,
)
from servicedesk.desk.writeup_wrong import wrong_notes, wrong_reading
from servicedesk.records.writeup_rows import ItemRow, WrittenJob
from servicedesk.trade.check_units import number_of
from servicedesk.values.reading import Reading
from servicedesk.words import say


@dataclass(frozen=True, slots=True)
class ReadingEntry:
    """A reading as typed: "0.4", "<0.1", "over range"."""

    text: str
    unit: str


@dataclass(frozen=True, slots=True, kw_only=True)
class JobEntry:
    """One job as far as it is written. `findings`: result id or *not looked at*, by check id."""

    job_id: int
    outcome: str = ""
    could_not: str = ""
    found: str = ""
    did: str = ""
    fix: str = ""
    behind: str = ""
    cause_id: str = ""
    known_by: str = ""
    told_whom: str = ""
    note_left: bool = False
    items: Mapping[str, ItemRow] = field(default_factory=dict)
    readings: Mapping[str, ReadingEntry] = field(default_factory=dict)
    findings: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class OwedEntry:
    """Something still owed. `by` is a day as typed."""

    what: str = ""
    needs: str = ""
    by: str = ""
    owed_id: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class VisitEntry:
    """A whole form. `seen` is the revision of the visit that stood when it was opened."""

    visit_id: int
    seen: int
    arrived: str = ""
    left: str = ""
    jobs: tuple[JobEntry, ...] = ()
    technician_id: int | None = None
    parts: tuple[PartEntry, ...] = ()
    approved_by: str = ""  # parts over the contract's limit: who agreed
    approval_owed: bool = False  # or: nobody yet
    owed: tuple[OwedEntry, ...] = ()
    settled: tuple[int, ...] = ()
    leaving: Mapping[str, bool] = field(default_factory=dict)
    as_left: str = ""
    note: str = ""
    weather: str = ""

    def job(self, job_id: int) -> JobEntry:
        """One of its jobs. Raises KeyError if there is none of that id."""
        for job in self.jobs:
            if job.job_id == job_id:
                return job
        raise KeyError(job_id)

    def found(self) -> dict[str, str]:
        """What the checks of all its jobs say, by check."""
        return {check: said for job in self.jobs for check, said in job.findings.items()}

    def with_job(self, job: JobEntry) -> "VisitEntry":
        """The same with another state of one job."""
        jobs = tuple(job if one.job_id == job.job_id else one for one in self.jobs)
        return replace(self, jobs=jobs)


def first_entry(desk: Desk, form: VisitForm) -> VisitEntry:
    """The form as it opens: times as planned, the rest as written so far."""
    written = form.written
    return VisitEntry(
        visit_id=written.visit.id,
        seen=written.visit.revision,
        arrived=_time(desk, form.arrived_min),
        left=_time(desk, form.left_min),
        jobs=tuple(first_job(form, job) for job in form.jobs),
        technician_id=written.technician_id,
        parts=first_parts(form.parts, {job.id: job.cause_id for job in form.jobs}),
        approval_owed=form.parts.approval is not None and not form.parts.approval.by,
        owed=tuple(
            OwedEntry(
                what=one.what,
                needs=one.needs,
                by=_day_text(desk, one.by_on),
                owed_id=one.id,
            )
            for one in form.begun
        ),
        settled=tuple(one.id for one in form.owed if one.id in form.settled),
        leaving={item: bool(ticked) for item, ticked in written.leaving.items()},
        as_left=written.as_left,
        note=written.note,
        weather=written.weather,
    )


def _time(desk: Desk, minute: int | None) -> str:
    return "" if minute is None else desk.formats.time(minute)


def _day_text(desk: Desk, day: date | None) -> str:
    """A day as it would be typed: in words where they are understood again."""
    if day is None:
        return ""
    words = desk.formats.day(day)
    return words if day_of(words, desk.today) == day else day.isoformat()


def first_job(form: VisitForm, job: WrittenJob) -> JobEntry:
    """One job as it opens: as written so far."""
    return JobEntry(
        job_id=job.id,
        outcome=job.outcome or "",
        could_not=job.could_not,
        found=job.found,
        did=job.did,
        fix=job.fix,
        behind=behind_of(
            cause_id=job.cause_id, known_by=job.cause_known_by, no_fault_found=job.no_fault_found
        ),
        cause_id=job.cause_id or "",
        known_by=job.cause_known_by,
        told_whom=job.told_whom,
        note_left=job.note_left,
        items=dict(job.items),
        findings=dict(form.findings.get(job.id, {})),
        readings={
            number: ReadingEntry(reading_text(reading), reading.unit or _unit(number))
            for number, reading in job.readings.items()
        },
    )


def _unit(number_id: str) -> str:
    number = number_of(number_id)
    return number.units[0] if number is not None else ""


def readings_of(job: JobEntry) -> dict[str, Reading]:
    """The readings of a job that can be understood so far."""
    found = {}
    for number, typed in job.readings.items():
        reading = reading_of(typed.text, typed.unit)
        if reading is not None:
            found[number] = reading
    return found


def notes_of(desk: Desk, form: VisitForm, entry: VisitEntry) -> VisitNotes:
    """What the form says. Raises WrongEntry with all that cannot be understood or cannot be so."""
    wrong: list[Wrong] = []
    entry = with_owed_checks(form, entry)
    notes = VisitNotes(
        visit_id=entry.visit_id,
        seen=entry.seen,
        arrived_min=_minute(entry.arrived, "arrived", say("In"), wrong),
        left_min=_minute(entry.left, "left", say("Out"), wrong),
        technician_id=entry.technician_id,
        jobs=tuple(_job_notes(job, wrong) for job in entry.jobs),
        parts=part_notes(form.parts, entry.parts, wrong),
        approved_by=entry.approved_by,
        approval_owed=entry.approval_owed,
        owed=_owed(desk, form, entry, wrong),
        settled=entry.settled,
        leaving=dict(entry.leaving),
        as_left=entry.as_left,
        note=entry.note,
        weather=entry.weather,
        travel_min=form.written.travel_min,
    )
    said = {one.field for one in wrong}
    times = {"arrived", "left"}
    wrong += [
        more
        for more in wrong_notes(desk, notes, form.written, form.troubles, form.parts)
        # a time that was not understood makes no second complaint about the two
        if more.field not in said and not (more.field in times and said & times)
    ]
    if wrong:
        raise WrongEntry(wrong)
    return notes


def _minute(text: str, name: str, label: str, wrong: list[Wrong]) -> int:
    minute = minute_of(text)
    if minute is None:
        wrong.append(
            Wrong(
                name,
                say(
                    "“{text}” is no time for {label}: write it like 905 or 9:05.",
                    text=text,
                    label=label,
                ),
            )
        )
        return 0 if name == "arrived" else 1
    return minute


def with_owed_checks(form: VisitForm, entry: VisitEntry) -> VisitEntry:
    """The same with one line of owed work for the checks that *no fault found* still asks.

    A line of an earlier state is renewed, what it needs and by when stay; it goes with the last
    check that was missing.
    """
    missing = [
        check
        for job in entry.jobs
        if job.behind == NO_FAULT and job.outcome != "could not" and job.job_id in form.troubles
        for check in form.troubles[job.job_id].missing(job.findings)
    ]
    lines = [one for one in entry.owed if is_owed_sentence(one.what)]
    others = tuple(one for one in entry.owed if not is_owed_sentence(one.what))
    if not missing:
        return replace(entry, owed=others) if lines else entry
    known = next(iter(form.troubles.values())).known
    what = owed_sentence(check_names(known, dict.fromkeys(missing)))
    line = replace(lines[0] if lines else OwedEntry(), what=what)
    return replace(entry, owed=(*others, line))


def _job_notes(job: JobEntry, wrong: list[Wrong]) -> JobNotes:
    could_not = job.outcome == "could not"
    cause_id, known_by, no_fault = stored_as(
        "" if could_not else job.behind, job.cause_id, job.known_by
    )
    readings: dict[str, Reading] = {}
    for number, typed in job.readings.items():
        if could_not or not typed.text.strip():
            continue
        reading = reading_of(typed.text, typed.unit)
        if reading is None:
            meant = typed.text.replace(",", ".") if typed.text.count(",") == 1 else None
            wrong.append(
                Wrong(
                    f"job:{job.job_id}:reading:{number}",
                    wrong_typed(number, typed),
                    meant if meant and reading_of(meant, typed.unit) else None,
                )
            )
        else:
            readings[number] = reading
    return JobNotes(
        job_id=job.job_id,
        outcome=job.outcome,
        could_not=job.could_not,
        found=job.found,
        did=job.did,
        fix="" if could_not else job.fix,
        behind="" if could_not else job.behind,
        no_fault_found=no_fault,
        cause_id=cause_id,
        cause_known_by=known_by,
        findings={} if could_not else dict(job.findings),
        told_whom=job.told_whom,
        note_left=job.note_left,
        items={} if could_not else dict(job.items),
        readings=readings,
    )


def wrong_typed(number_id: str, typed: ReadingEntry) -> str:
    """What is wrong with a reading as typed, "" if nothing is."""
    reading = reading_of(typed.text, typed.unit)
    if reading is not None:
        return wrong_reading(number_id, reading)
    number = number_of(number_id)
    return say(
        "“{value}” is not a number for {name}: write it like 0.4, <0.1, over range.",
        value=typed.text,
        name=number.name if number else number_id,
    )


def _owed(
    desk: Desk, form: VisitForm, entry: VisitEntry, wrong: list[Wrong]
) -> tuple[OwedNote, ...]:
    begun = {one.id: one for one in form.begun}
    found = []
    for n, one in enumerate(entry.owed):
        if not (one.what.strip() or one.needs.strip() or one.by.strip()):
            continue
        by_on: date | None = None
        if one.by.strip():
            by_on = day_of(one.by, desk.today)
            if by_on is None:
                wrong.append(
                    Wrong(
                        f"owed:{n}:by",
                        say("“{text}” is no day: write it like Nov 30, or 2 weeks.", text=one.by),
                    )
                )
        before = begun.get(one.owed_id or 0)
        found.append(
            OwedNote(
                what=one.what,
                needs=one.needs,
                by_on=by_on,
                owed_id=one.owed_id,
                workaround=before.workaround if before else "",
                debtor=before.debtor if before else "us",
                waits_for=before.waits_for if before else "",
            )
        )
    return tuple(found)
