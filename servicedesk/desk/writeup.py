"""The write-up of a visit: one form for every kind of job, one change when it is finished."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from servicedesk.desk.office import Desk
from servicedesk.records import planning_rows, sheet_rows, writeup_rows
from servicedesk.records.calls import Call
from servicedesk.records.owed import Owed
from servicedesk.records.rounds import Round
from servicedesk.records.store import Changed, Work
from servicedesk.records.visits import ItemResult, Job, PartLine, ReadingRow, Visit
from servicedesk.records.writeup_rows import ItemRow
from servicedesk.trade.reading_shapes import Grade
from servicedesk.trade.readings import Part, answer_for, catalogue
from servicedesk.trade.service_rules import rule_for, shipped_rules
from servicedesk.values.reading import Qualifier, Reading, ReadingState
from servicedesk.values.trouble import Trouble
from servicedesk.words import say
from servicedesk.words.jobs import COULD_NOT_REASONS

NOT_LOOKED_AT = "not looked at"
GRADES = (*(grade.value for grade in Grade), NOT_LOOKED_AT)
OUTCOMES = ("done", "partly", "could not")


@dataclass(frozen=True, slots=True, kw_only=True)
class OwedNote:
    """Something left to do, as written at the visit."""

    what: str
    workaround: str = ""
    needs: str = ""
    by_on: date | None = None
    debtor: str = "us"
    waits_for: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class JobNotes:
    """What was written of one job: `items` by item id, `readings` by number id."""

    job_id: int
    outcome: str = "done"
    could_not: str = ""
    found: str = ""
    did: str = ""
    minutes: int | None = None
    fix: str = ""  # fixed, patched, reset only
    no_fault_found: bool = False
    told_whom: str = ""
    note_left: bool = False
    items: Mapping[str, ItemRow] = field(default_factory=dict)
    readings: Mapping[str, Reading] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class VisitNotes:
    """A whole write-up. Minutes are wall time after midnight of the visit's day."""

    visit_id: int
    seen: int  # the revision of the visit that was shown
    arrived_min: int
    left_min: int
    jobs: tuple[JobNotes, ...]
    technician_id: int | None = None
    travel_min: int | None = None
    weather: str = ""
    parts: tuple[tuple[str, int], ...] = ()  # text, quantity
    owed: tuple[OwedNote, ...] = ()
    settled: tuple[int, ...] = ()  # owed work that was finished on the way
    leaving: Mapping[str, bool] = field(default_factory=dict)
    as_left: str = ""
    note: str = ""


def as_usual() -> dict[str, ItemRow]:
    """Every item with its first good answer: the start of a write-up without exceptions."""
    usual: dict[str, ItemRow] = {}
    for part in (Part.AS_FOUND, Part.WORK, Part.AS_LEFT):
        for item in catalogue().parts[part]:
            answer = answer_for(item, Grade.GOOD)
            if answer is not None:
                usual[item.id] = ItemRow(Grade.GOOD.value, answer.text)
    return usual


def unticked(leaving: Mapping[str, bool]) -> tuple[str, ...]:
    """The leaving-list items that are not ticked, in their order, by name."""
    items = catalogue().parts[Part.LEAVING]
    return tuple(item.name for item in items if not leaving.get(item.id, False))


def write_up(desk: Desk, notes: VisitNotes) -> Changed:
    """Finish a visit: outcomes, readings, parts, owed work and how it was left, in one change.

    A visit that was written up before is corrected. Callbacks that are done answer their call,
    owed jobs that are done settle what was owed; the round is done with its last stop. Raises
    Trouble naming what is missing or wrong, StaleEdit if somebody else wrote in between.
    """
    with desk.store.read() as session:
        before = writeup_rows.written_visit(session, notes.visit_id)
        sites = planning_rows.site_places(session, [before.visit.site_id] if before else [])
    if before is None:
        raise Trouble(say("That visit is not in the store any more."))
    _refuse_what_is_wrong(desk, notes, before)
    address = sites[before.visit.site_id].address
    again = before.visit.state == "done"
    what = (
        say("Corrected {address}", address=address)
        if again
        else say("Finished {address}", address=address)
    )
    with desk.store.change(desk.who, what) as work:
        visit = work.fresh(Visit, notes.visit_id, seen=notes.seen)
        _write_visit(desk, visit, notes, before)
        for job in notes.jobs:
            _write_job(desk, work, visit, job)
        _write_parts(work, visit, notes)
        _write_owed(desk, work, visit, notes)
        _finish_round(work, visit)
    return work.changed


def _refuse_what_is_wrong(desk: Desk, notes: VisitNotes, before: writeup_rows.WrittenVisit) -> None:
    day = before.visit.planned_on or desk.today
    if day > desk.today:
        raise Trouble(
            say("This visit is planned for {day}.", day=desk.formats.weekday(day)),
            do=say("Write it up on the day, or move it to today first."),
        )
    if notes.left_min <= notes.arrived_min:
        raise Trouble(
            say(
                "Out at {left} is not after in at {arrived}.",
                left=desk.formats.time(notes.left_min),
                arrived=desk.formats.time(notes.arrived_min),
            ),
            do=say("Correct one of the two times."),
        )
    known = {job.id: job for job in before.visit.jobs}
    for job in notes.jobs:
        if job.job_id not in known:
            raise Trouble(say("A job of this visit is not in the store any more."))
        _refuse_job(job)
    missing = [i for i in known if i not in {job.job_id for job in notes.jobs}]
    if missing:
        raise Trouble(
            say("A job has no outcome yet: {kind}.", kind=known[missing[0]].kind),
            do=say("Say done, partly or could not."),
        )


def _refuse_job(job: JobNotes) -> None:
    if job.outcome not in OUTCOMES:
        raise Trouble(
            say("“{what}” is no outcome.", what=job.outcome),
            do=say("Say done, partly or could not."),
        )
    if job.outcome == "could not" and job.could_not not in COULD_NOT_REASONS:
        raise Trouble(
            say("A job that could not be done needs its reason."),
            do=say("One of: {reasons}.", reasons=", ".join(COULD_NOT_REASONS)),
        )
    for item, said in job.items.items():
        if said.grade not in GRADES:
            raise Trouble(say("“{grade}” is no grade of {item}.", grade=said.grade, item=item))
    for item, reading in job.readings.items():
        wants_number = reading.state in {ReadingState.MEASURED, ReadingState.NO_LIMIT}
        if (
            wants_number
            and reading.qualifier is not Qualifier.TOO_MANY
            and reading.number() is None
        ):
            raise Trouble(
                say("“{value}” is not a number for {item}.", value=reading.value, item=item),
                do=say("Write a number such as 0.4, or say not measured."),
            )


def _write_visit(
    desk: Desk, visit: Visit, notes: VisitNotes, before: writeup_rows.WrittenVisit
) -> None:
    day = visit.planned_on or desk.today
    visit.planned_on = day
    visit.state = "done"
    visit.technician_id = notes.technician_id or before.technician_id
    visit.arrived_at = desk.clock.instant(day, notes.arrived_min)
    visit.left_at = desk.clock.instant(day, notes.left_min)
    visit.travel_min = notes.travel_min
    visit.weather = notes.weather
    visit.leaving = dict(notes.leaving)
    visit.as_left = notes.as_left
    visit.note = notes.note


def _write_job(desk: Desk, work: Work, visit: Visit, notes: JobNotes) -> None:
    job = work.get(Job, notes.job_id)
    job.outcome = notes.outcome
    job.could_not = notes.could_not if notes.outcome == "could not" else ""
    job.found = notes.found
    job.did = notes.did
    job.fix = notes.fix
    job.no_fault_found = notes.no_fault_found
    job.told_whom = notes.told_whom
    job.note_left = notes.note_left
    job.minutes = notes.minutes if notes.minutes is not None else _minutes(visit)
    _write_items(work, job, notes)
    _write_readings(desk, work, job, notes)
    if job.call_id is not None:
        _answer_call(work, job.call_id, job.outcome == "done")
    if job.owed_id is not None and job.outcome == "done":
        _settle(work, job.owed_id, visit)


def _minutes(visit: Visit) -> int | None:
    if visit.arrived_at is None or visit.left_at is None:
        return None
    return round((visit.left_at - visit.arrived_at).total_seconds() / 60)


def _write_items(work: Work, job: Job, notes: JobNotes) -> None:
    stands = {row.item_id: row for row in writeup_rows.item_results(work.session, job.id)}
    for item_id, said in notes.items.items():
        row = stands.pop(item_id, None)
        if row is None:
            row = ItemResult(job_id=job.id, item_id=item_id, grade=said.grade)
            work.session.add(row)
        row.grade, row.answer, row.note = said.grade, said.answer, said.note
    for row in stands.values():
        work.session.delete(row)


def _write_readings(desk: Desk, work: Work, job: Job, notes: JobNotes) -> None:
    stands = {row.item_id: row for row in writeup_rows.reading_rows(work.session, job.id)}
    rule_id = writeup_rows.rule_id_of(work.session, job.system_id)
    day = work.get(Visit, job.visit_id).planned_on or desk.today
    for item_id, reading in notes.readings.items():
        number = catalogue().number(item_id)
        usual = number.usual if number else None
        row = stands.pop(item_id, None)
        if row is None:
            row = ReadingRow(job_id=job.id, item_id=item_id)
            work.session.add(row)
        row.value = reading.value
        row.unit = reading.unit
        row.qualifier = reading.qualifier.value
        row.state = reading.state.value
        row.limit_low = None if usual is None or usual.low is None else str(usual.low)
        row.limit_high = None if usual is None or usual.high is None else str(usual.high)
        row.rule_id, row.rule_version = rule_id, _version(rule_id, day)
    for row in stands.values():
        work.session.delete(row)


def _version(rule_id: str | None, day: date) -> str | None:
    """From when the wording of the rule holds that stood on the day of the visit."""
    rule = rule_for(shipped_rules(), rule_id, on=day) if rule_id else None
    return None if rule is None or rule.valid_from_on is None else rule.valid_from_on.isoformat()


def _answer_call(work: Work, call_id: int, is_done: bool) -> None:  # noqa: FBT001
    call = work.get(Call, call_id)
    if is_done and call.state == "open":
        call.state = "answered"
        call.answered_at = work.at
    elif not is_done and call.state == "answered":
        call.state = "open"
        call.answered_at = None


def _settle(work: Work, owed_id: int, visit: Visit) -> None:
    owed = work.get(Owed, owed_id)
    if owed.state == "open":
        owed.state = "settled"
        owed.settled_on = visit.planned_on
        owed.settled_visit_id = visit.id


def _write_parts(work: Work, visit: Visit, notes: VisitNotes) -> None:
    stands = writeup_rows.part_lines(work.session, visit.id)
    wanted = [(text.strip(), quantity) for text, quantity in notes.parts if text.strip()]
    for line in stands:
        if (line.text, line.quantity) in wanted:
            wanted.remove((line.text, line.quantity))
        else:
            work.session.delete(line)
    for text, quantity in wanted:
        work.session.add(PartLine(visit_id=visit.id, text=text, quantity=quantity))


def _write_owed(desk: Desk, work: Work, visit: Visit, notes: VisitNotes) -> None:
    systems = {work.get(Job, job.job_id).system_id for job in notes.jobs}
    system_id = next(iter(systems)) if len(systems) == 1 else None
    for owed in notes.owed:
        work.session.add(
            Owed(
                site_id=visit.site_id,
                system_id=system_id,
                visit_id=visit.id,
                since_on=visit.planned_on or desk.today,
                what=owed.what,
                workaround=owed.workaround,
                needs=owed.needs,
                by_on=owed.by_on,
                debtor=owed.debtor,
                waits_for=owed.waits_for,
            )
        )
    for owed_id in notes.settled:
        _settle(work, owed_id, visit)


def _finish_round(work: Work, visit: Visit) -> None:
    if visit.round_id is None:
        return
    work.session.flush()
    round_ = work.get(Round, visit.round_id)
    left = writeup_rows.other_visits_left(work.session, visit.round_id, visit.id)
    if left == 0 and round_.state == "handed out":
        round_.state = "done"


@dataclass(frozen=True, kw_only=True)
class VisitForm:
    """Everything the form shows of one visit before a word is written."""

    written: writeup_rows.WrittenVisit
    jobs: tuple[writeup_rows.WrittenJob, ...]
    site: planning_rows.SitePlace
    sheet: sheet_rows.SiteSheet
    owed: tuple[sheet_rows.OwedRow, ...]
    past: tuple[sheet_rows.PastJob, ...]
    calls: Mapping[int, sheet_rows.CallRow]
    earlier: Mapping[tuple[int, str], list[writeup_rows.EarlierReading]]
    technicians: Mapping[int, str]
    parts: tuple[tuple[int, str, int], ...]
    day: date


def visit_form(desk: Desk, visit_id: int) -> VisitForm:
    """The form of one visit. Raises Trouble if it is not there (any more)."""
    with desk.store.read() as session:
        written = writeup_rows.written_visit(session, visit_id)
        if written is None:
            raise Trouble(say("That visit is not in the store any more."))
        jobs = writeup_rows.written_jobs(session, visit_id)
        site_id = written.visit.site_id
        day = written.visit.planned_on or desk.today
        systems = [job.system_id for job in jobs if job.system_id is not None]
        calls = [j.call_id for j in written.visit.jobs if j.call_id is not None]
        return VisitForm(
            written=written,
            jobs=tuple(jobs),
            site=planning_rows.site_places(session, [site_id])[site_id],
            sheet=sheet_rows.site_sheets(session, [site_id])[site_id],
            owed=tuple(sheet_rows.owed_at(session, [site_id]).get(site_id, ())),
            past=tuple(sheet_rows.past_jobs(session, [site_id], before=day).get(site_id, ())[:5]),
            calls=sheet_rows.calls_by_id(session, calls),
            earlier=writeup_rows.earlier_readings(
                session, systems, before=desk.clock.instant(day, 0)
            ),
            technicians=writeup_rows.technician_names(session),
            parts=tuple(writeup_rows.part_texts(session, visit_id)),
            day=day,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class RoundStop:
    """A stop in the list of a round to write up."""

    visit_id: int
    place: int
    site_id: int
    address: str
    kinds: tuple[str, ...]
    arrive_min: int | None
    leave_min: int | None
    is_done: bool


def stops_of_round(desk: Desk, round_id: int, day: date) -> tuple[RoundStop, ...]:
    """The stops of a round in the order of its sheet."""
    with desk.store.read() as session:
        visits = [v for v in planning_rows.visits_of_day(session, day) if v.round_id == round_id]
        sites = planning_rows.site_places(session, [v.site_id for v in visits])
    return tuple(
        RoundStop(
            visit_id=v.id,
            place=v.place or n,
            site_id=v.site_id,
            address=sites[v.site_id].address,
            kinds=tuple(j.kind for j in v.jobs),
            arrive_min=v.begin_min if v.begin_min is not None else v.arrive_min,
            leave_min=v.leave_min,
            is_done=v.state == "done",
        )
        for n, v in enumerate(visits, start=1)
    )
