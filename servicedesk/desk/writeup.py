"""The write-up of a visit: one form for every kind of job, one change when it is finished."""

from dataclasses import replace
from datetime import date

from servicedesk.desk.checking import refuse
from servicedesk.desk.office import Desk
from servicedesk.desk.rules import rules_in
from servicedesk.desk.writeup_behind import with_missing
from servicedesk.desk.writeup_checks import KINDS, troubles_of
from servicedesk.desk.writeup_findings import write_findings
from servicedesk.desk.writeup_notes import JobNotes, OwedNote, VisitNotes
from servicedesk.desk.writeup_parts import parts_here
from servicedesk.desk.writeup_parts_write import with_unit_by, write_parts
from servicedesk.desk.writeup_wrong import refuse_day, wrong_notes
from servicedesk.records import finding_rows, part_line_rows, planning_rows, writeup_rows
from servicedesk.records.calls import Call
from servicedesk.records.owed import Owed
from servicedesk.records.rounds import Round
from servicedesk.records.store import Changed, Work
from servicedesk.records.visits import ItemResult, Job, ReadingRow, Visit
from servicedesk.trade.readings import catalogue
from servicedesk.trade.service_rules import rule_for
from servicedesk.values.reading import Reading
from servicedesk.values.trouble import Trouble
from servicedesk.words import say


def write_up(desk: Desk, notes: VisitNotes) -> Changed:
    """Finish a visit: outcomes, findings, parts, owed work, how it was left; all in one change.

    A visit that was written up before is corrected: what this says stands in place of what was
    said. Callbacks that are done answer their call, owed jobs that are done settle what was owed;
    the round is done with its last stop. Raises WrongEntry naming each field, Trouble for a visit
    of a day to come, StaleEdit if somebody else wrote in between.
    """
    with desk.store.read() as session:
        before = writeup_rows.written_visit(session, notes.visit_id)
        sites = planning_rows.site_places(session, [before.visit.site_id] if before else [])
        about = finding_rows.trouble_rows(session, notes.visit_id)
        names = writeup_rows.technician_names(session)
    if before is None:
        raise Trouble(say("That visit is not in the store any more."))
    day = refuse_day(desk, before)
    with desk.store.read() as session:
        here = parts_here(desk, session, notes.visit_id, before.visit.site_id, day)
    rows = {row.job_id: row for row in about if row.kind in KINDS}
    troubles = troubles_of(desk, rows.values(), day, {}, in_order=False)
    refuse(wrong_notes(desk, notes, before, troubles, here))
    notes = replace(
        notes, jobs=tuple(with_missing(job, troubles.get(job.job_id)) for job in notes.jobs)
    )
    address = sites[before.visit.site_id].address
    with desk.store.change(desk.who, _sentence(before, address)) as work:
        visit = work.fresh(Visit, notes.visit_id, seen=notes.seen)
        _write_visit(desk, visit, notes, day=day, technician_id=before.technician_id)
        for job in notes.jobs:
            _write_job(work, visit, job, day=day)
        by = names.get(visit.technician_id or 0, desk.who)
        left_at = desk.clock.instant(day, notes.left_min)
        if rows:
            write_findings(work, visit, notes, rows, troubles, by=by, at=left_at)
        write_parts(desk, work, visit, with_unit_by(notes, by), here)
        _write_owed(work, visit, notes, day=day)
        _settle_on_the_way(work, visit, notes)
        _finish_round(work, visit)
        if work.items() and visit.revision == notes.seen:
            visit.revision += 1  # who has the older page open is told, whatever was changed
    return work.changed


def _sentence(before: writeup_rows.WrittenVisit, address: str) -> str:
    if before.visit.state == "done":
        return say("Corrected the visit at {address}", address=address)
    return say("Finished {address}", address=address)


def _write_visit(
    desk: Desk, visit: Visit, notes: VisitNotes, *, day: date, technician_id: int | None
) -> None:
    visit.planned_on = day
    visit.state = "done"
    visit.technician_id = notes.technician_id or technician_id
    visit.arrived_at = desk.clock.instant(day, notes.arrived_min)
    visit.left_at = desk.clock.instant(day, notes.left_min)
    visit.travel_min = notes.travel_min
    visit.weather = notes.weather.strip()
    visit.leaving = dict(notes.leaving)
    visit.as_left = notes.as_left.strip()
    visit.note = notes.note.strip()


def _write_job(work: Work, visit: Visit, notes: JobNotes, *, day: date) -> None:
    job = work.get(Job, notes.job_id)
    was_done = job.outcome == "done"
    is_done = notes.outcome == "done"
    job.outcome = notes.outcome
    job.could_not = notes.could_not if notes.outcome == "could not" else ""
    job.found = notes.found.strip()
    job.did = notes.did.strip()
    job.fix = notes.fix
    job.no_fault_found = notes.no_fault_found
    job.cause_id = notes.cause_id
    job.cause_known_by = notes.cause_known_by
    job.told_whom = notes.told_whom.strip()
    job.note_left = notes.note_left
    job.minutes = notes.minutes if notes.minutes is not None else _minutes(visit)
    _write_items(work, job, notes)
    _write_readings(work, job, notes, day=day)
    if job.call_id is not None:
        _answer_call(work, job.call_id, visit, is_done=is_done, was_done=was_done)
    if job.owed_id is not None:
        _settle(work, job.owed_id, visit, is_done=is_done)


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


def _write_readings(work: Work, job: Job, notes: JobNotes, *, day: date) -> None:
    stands = {row.item_id: row for row in writeup_rows.reading_rows(work.session, job.id)}
    rule_id = writeup_rows.rule_id_of(work.session, job.system_id)
    version = _version(work, rule_id, day)
    for item_id, reading in notes.readings.items():
        row = stands.pop(item_id, None)
        if row is None:
            row = ReadingRow(job_id=job.id, item_id=item_id)
            work.session.add(row)
        row.value = reading.value
        row.unit = reading.unit
        row.qualifier = reading.qualifier.value
        row.state = reading.state.value
        row.limit_low, row.limit_high = _limits(item_id, reading)
        row.rule_id, row.rule_version = rule_id, version
    for row in stands.values():
        work.session.delete(row)


def _limits(item_id: str, reading: Reading) -> tuple[str | None, str | None]:
    """The usual range as it stands this day, where the reading is in its unit."""
    number = catalogue().number(item_id)
    usual = number.usual if number is not None else None
    if number is None or usual is None or reading.unit != number.units[0]:
        return None, None
    low, high = (None if end is None else f"{end.normalize():f}" for end in (usual.low, usual.high))
    return low, high


def _version(work: Work, rule_id: str | None, day: date) -> str | None:
    """From when the wording of the rule holds that stood on the day of the visit."""
    rule = rule_for(rules_in(work.session), rule_id, on=day) if rule_id else None
    return None if rule is None or rule.valid_from_on is None else rule.valid_from_on.isoformat()


def _answer_call(work: Work, call_id: int, visit: Visit, *, is_done: bool, was_done: bool) -> None:
    call = work.get(Call, call_id)
    if is_done and call.state == "open":
        call.state = "answered"
        call.answered_at = visit.left_at
    elif was_done and not is_done and call.state == "answered":
        # it was this visit that answered it, and it did not after all
        call.state = "open"
        call.answered_at = None


def _settle(work: Work, owed_id: int, visit: Visit, *, is_done: bool) -> None:
    owed = work.get(Owed, owed_id)
    if is_done and owed.state == "open":
        owed.state = "settled"
        owed.settled_on = visit.planned_on
        owed.settled_visit_id = visit.id
    elif not is_done and owed.state == "settled" and owed.settled_visit_id == visit.id:
        owed.state = "open"
        owed.settled_on = None
        owed.settled_visit_id = None


def _settle_on_the_way(work: Work, visit: Visit, notes: VisitNotes) -> None:
    """Settle what was ticked, and open again what an earlier write-up ticked and this does not."""
    by_job = writeup_rows.owed_of_jobs(work.session, visit.id)
    apart = part_line_rows.apart_from_form(work.session, visit.id)
    before = writeup_rows.owed_settled_by(work.session, visit.id) - apart
    for owed_id in sorted(before - by_job - set(notes.settled)):
        _settle(work, owed_id, visit, is_done=False)
    for owed_id in notes.settled:
        if owed_id not in by_job:
            _settle(work, owed_id, visit, is_done=True)


def _write_owed(work: Work, visit: Visit, notes: VisitNotes, *, day: date) -> None:
    apart = part_line_rows.apart_from_form(work.session, visit.id)
    begun = writeup_rows.owed_begun_at(work.session, visit.id)
    stands = {owed.id: owed for owed in begun if owed.id not in apart}
    for note in notes.owed:
        owed = stands.pop(note.owed_id, None) if note.owed_id is not None else None
        if owed is None:
            owed = Owed(site_id=visit.site_id, visit_id=visit.id, since_on=day)
            owed.system_id = _system_of(work, visit)
            work.session.add(owed)
        _fill_owed(owed, note)
    work.session.flush()
    for owed in stands.values():
        _take_back_owed(work, owed)


def _fill_owed(owed: Owed, note: OwedNote) -> None:
    owed.what = note.what.strip()
    owed.workaround = note.workaround.strip()
    owed.needs = note.needs.strip()
    owed.by_on = note.by_on
    owed.debtor = note.debtor
    owed.waits_for = note.waits_for


def _take_back_owed(work: Work, owed: Owed) -> None:
    """A corrected write-up no longer says it. What others already build on stays."""
    if owed.state != "open" or writeup_rows.is_owed_in_use(work.session, owed.id):
        raise Trouble(
            say("“{what}” is planned or settled already.", what=owed.what),
            do=say("Leave it in the write-up, or take that change back first."),
        )
    work.session.delete(owed)


def _system_of(work: Work, visit: Visit) -> int | None:
    """The system of all jobs of the visit, None where there are several."""
    systems = writeup_rows.systems_of(work.session, visit.id)
    return next(iter(systems)) if len(systems) == 1 else None


def _finish_round(work: Work, visit: Visit) -> None:
    if visit.round_id is None:
        return
    work.session.flush()
    round_ = work.get(Round, visit.round_id)
    left = writeup_rows.other_visits_left(work.session, visit.round_id, visit.id)
    if left == 0 and round_.state == "handed out":
        round_.state = "done"
