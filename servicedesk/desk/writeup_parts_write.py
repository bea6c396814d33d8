"""The parts of a write-up written: lines, moves of the ledger, units, the owner's approval.

A corrected write-up moves nothing twice: what stays as it was keeps its move, what is otherwise
gets the opposite move and a new one. All within the change that writes the visit.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from servicedesk.desk.ledger import Move
from servicedesk.desk.ledger_back import move_anew, place_of, take_back
from servicedesk.desk.office import Desk
from servicedesk.desk.unit_change import correct_unit, replace_unit, take_unit_back
from servicedesk.desk.writeup_notes import PartNote, VisitNotes
from servicedesk.desk.writeup_parts import (
    PartsHere,
    billing_for,
    causes_of,
    job_for,
    limits_exceeded,
    needs_approval,
)
from servicedesk.records import part_line_rows, writeup_rows
from servicedesk.records.owed import Owed
from servicedesk.records.parts import StockMove
from servicedesk.records.store import Work
from servicedesk.records.visits import PartLine, Visit
from servicedesk.values.money import Money
from servicedesk.values.trouble import Trouble
from servicedesk.words import say


@dataclass(frozen=True, slots=True)
class _Writing:
    desk: Desk
    work: Work
    visit: Visit
    here: PartsHere
    causes: Mapping[int, str | None]


def write_parts(desk: Desk, work: Work, visit: Visit, notes: VisitNotes, here: PartsHere) -> None:
    """Write the parts of a visit in place of those that stood. Raises Trouble, as units do."""
    at = _Writing(desk, work, visit, here, causes_of(notes))
    standing = {line.id: line for line in writeup_rows.part_lines(work.session, visit.id)}
    moves = part_line_rows.moves_by_line(
        standing.values(), part_line_rows.moves_of_visit(work.session, visit.id)
    )
    pairs = _pairs(notes.parts, standing)
    kept = {line.id for _, line in pairs if line is not None}
    for line_id, line in standing.items():
        if line_id not in kept:
            _drop(at, line, moves.get(line_id))
    for note, stands in pairs:
        _write(at, note, stands, moves.get(stands.id) if stands is not None else None)
    _write_approval(at, notes)


def _pairs(
    notes: tuple[PartNote, ...], standing: Mapping[int, PartLine]
) -> list[tuple[PartNote, PartLine | None]]:
    """Each note with the line it corrects: the one it names, else one that says the same."""
    left = dict(standing)
    named = {n: left.pop(note.line_id) for n, note in enumerate(notes) if note.line_id in left}
    pairs: list[tuple[PartNote, PartLine | None]] = []
    for n, note in enumerate(notes):
        says = (note.part_id, note.text.strip(), note.quantity)
        same = [i for i, o in left.items() if (o.part_id, o.text, o.quantity) == says]
        if n in named:
            pairs.append((note, named[n]))
        else:
            pairs.append((note, left.pop(same[0]) if same else None))
    return pairs


def _drop(at: _Writing, line: PartLine, move: StockMove | None) -> None:
    if part_line_rows.is_billed(at.work.session, line.id):
        raise Trouble(
            say("“{what}” stands on a bill already.", what=line.text),
            do=say("Leave it in the write-up, or take the bill back first."),
        )
    if line.new_unit_id is not None:
        take_unit_back(at.work, at.visit, line)
    if move is not None:
        take_back(at.work, move)
    at.work.session.delete(line)


def _write(at: _Writing, note: PartNote, stands: PartLine | None, move: StockMove | None) -> None:
    is_new = stands is None
    before = (stands.part_id, stands.quantity) if stands is not None else None
    line = stands or PartLine(visit_id=at.visit.id)
    part = at.here.catalogue.get(note.part_id or 0)
    line.text = note.text.strip() or (part.name if part is not None else "")
    line.quantity = note.quantity
    line.part_id = note.part_id
    line.price_minor = note.price_minor
    job_id = job_for(at.here, note, at.causes)
    if is_new or line.job_id is None or note.job_id is not None:
        line.job_id = job_id
    if is_new or note.billing or line.billing or before != (line.part_id, line.quantity):
        line.billing = note.billing or billing_for(at.here, note, at.causes).billing
    if is_new:
        at.work.add(line)
    _move(at, note, line, move, before)
    _unit(at, note, line)


def _move(
    at: _Writing,
    note: PartNote,
    line: PartLine,
    move: StockMove | None,
    before: tuple[int | None, int] | None,
) -> None:
    if line.part_id is None:
        if move is not None:
            take_back(at.work, move)
        return
    place_id = note.place_id
    if place_id is None:
        place_id = place_of(move) if move is not None else at.here.truck_place_id
    stays = before == (line.part_id, line.quantity)
    if stays and (move is None or place_id == place_of(move)):
        return  # also what was used before any ledger was kept
    move_anew(
        at.desk,
        at.work,
        move,
        Move(
            part_id=line.part_id,
            why="used",
            quantity=line.quantity,
            from_place_id=place_id,
            visit_id=at.visit.id,
            on=at.here.day,
            details={part_line_rows.LINE: line.id},
        ),
    )


def _unit(at: _Writing, note: PartNote, line: PartLine) -> None:
    unit = note.unit
    if unit is None:
        if line.new_unit_id is not None:
            take_unit_back(at.work, at.visit, line)
        return
    if line.new_unit_id is None:
        replace_unit(at.desk, at.work, at.visit, line, unit)
    else:
        correct_unit(at.desk, at.work, at.visit, line, unit)


def _write_approval(at: _Writing, notes: VisitNotes) -> None:
    """The owner's word on parts over the limit: agreed, or owed by them until they say so."""
    standing = part_line_rows.approvals_of(at.work.session, at.visit.id)
    if not limits_exceeded(at.here, notes.parts, at.causes):
        for owed in standing:
            _end(at, owed)
        return
    over = needs_approval(at.here, notes.parts, at.causes)
    if not over:
        return
    total = sum(one.total_minor for one in over)
    owed = standing[0] if standing else _new_approval(at)
    money = at.desk.formats.money(Money(total, at.here.currency))
    owed.what = say("Approval of {money} for parts used", money=money)
    owed.estimate_minor = total
    if notes.approved_by.strip():
        owed.state, owed.waits_for, owed.answer = "settled", "", "approved"
        owed.answered_by, owed.answered_how = notes.approved_by.strip(), "on site"
        owed.settled_on, owed.settled_visit_id = at.here.day, at.visit.id
    else:
        owed.state, owed.waits_for, owed.answer, owed.answered_by = "open", "approval", "", ""
        owed.answered_how, owed.settled_on, owed.settled_visit_id = "", None, None
    at.work.session.add(owed)
    at.work.session.flush()


def _new_approval(at: _Writing) -> Owed:
    owed = Owed(site_id=at.visit.site_id, visit_id=at.visit.id, since_on=at.here.day)
    systems = {job.system_id for job in at.here.jobs.values()}
    owed.system_id = next(iter(systems)) if len(systems) == 1 else None
    owed.debtor, owed.minutes = "owner", 0
    return owed


def _end(at: _Writing, owed: Owed) -> None:
    """Nothing is left to approve: the line goes unless the owner has spoken elsewhere."""
    is_ours = owed.settled_visit_id == at.visit.id or (owed.state == "open" and not owed.answer)
    if is_ours and not writeup_rows.is_owed_in_use(at.work.session, owed.id):
        at.work.session.delete(owed)


def with_unit_by(notes: VisitNotes, by: str) -> VisitNotes:
    """The notes with who fitted each new unit."""
    parts = tuple(
        replace(one, unit=replace(one.unit, by=one.unit.by or by)) if one.unit else one
        for one in notes.parts
    )
    return replace(notes, parts=parts)
