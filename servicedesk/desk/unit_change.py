"""A unit replaced at a visit: the old one out with its reason, the new one in, a claim owed.

All of it within the change that writes the part line, so that history, stock and cost agree.
"""

from datetime import date

from servicedesk.desk.ledger import Move, add_move
from servicedesk.desk.ledger_back import take_back
from servicedesk.desk.office import Desk
from servicedesk.desk.writeup_notes import UnitNote
from servicedesk.records import part_line_rows
from servicedesk.records.equipment import Unit, UnitModel
from servicedesk.records.owed import Owed
from servicedesk.records.parts import StockMove
from servicedesk.records.store import Work
from servicedesk.records.visits import Job, PartLine, Visit
from servicedesk.trade.components import components
from servicedesk.values.trouble import Trouble
from servicedesk.words import say

# the kinds of part that are a whole unit by themselves (common practice, no source)
UNIT_OF = {
    "float-switch-signal": "alarm-float",
    "float-switch-pump": "pump-floats",
    "effluent-pump": "effluent-pump",
    "compressor": "air-compressor",
    "sealed-splice-kit": "splices-box",
    "diffuser": "diffuser",
    "spray-head": "spray-heads",
    "timer-clock": "timer",
    "check-valve": "check-valve",
    "tablet-tube": "tablet-chlorinator",
    "bleach-feed-kit": "liquid-chlorinator",
    "uv-lamp": "uv-unit",
    "drip-filter-element": "drip-filter",
    "effluent-screen": "effluent-screen",
    "indexing-valve": "zone-valve",
    "solenoid-valve": "zone-valve",
    "lid": "tank-riser-lid",
}
FAILED = "failed"  # a reason that begins so is a failure to whoever judges lives
WHEREABOUTS = ("on the truck", "at the shop", "left with the owner", "sent back", "thrown away")
AT = "whereabouts"  # in the attributes of a unit that came out


def replace_unit(desk: Desk, work: Work, visit: Visit, line: PartLine, note: UnitNote) -> Unit:
    """Take the old unit out (if one was on record), put the new one in, owe the claim.

    Raises Trouble where the old unit is out already.
    """
    day = visit.planned_on or desk.today
    old = work.get(Unit, note.old_unit_id) if note.old_unit_id is not None else None
    if old is not None and old.state == "removed":
        raise Trouble(
            say("That unit was taken out already."),
            do=say("Open the visit anew: the unit that is there now is offered."),
        )
    new = Unit(
        system_id=old.system_id if old is not None else _system(work, line, note),
        component=note.component,
        installed_on=day,
        installed_by=note.by,
        predecessor_id=old.id if old is not None else None,
        attributes=_handed_on(old),
    )
    _fill(work, new, old, note)
    work.add(new)
    line.new_unit_id = new.id
    if old is not None:
        _take_out(work, old, line, note, day)
        if old.warranty_until is not None and day < old.warranty_until:
            _claim(desk, work, visit, line, old)
    return new


def correct_unit(desk: Desk, work: Work, visit: Visit, line: PartLine, note: UnitNote) -> None:
    """Write a replaced unit as a corrected write-up says it."""
    new = work.get(Unit, line.new_unit_id or 0)
    is_same = (new.predecessor_id, new.component) == (note.old_unit_id, note.component)
    if not is_same:
        take_unit_back(work, visit, line)
        replace_unit(desk, work, visit, line, note)
        return
    old = work.get(Unit, new.predecessor_id) if new.predecessor_id is not None else None
    _fill(work, new, old, note)
    if old is not None:
        _take_out(work, old, line, note, visit.planned_on or desk.today)
        claim = claim_of(work, visit, old)
        if claim is not None and claim.part_id != line.part_id:
            _withdraw(work, visit, old)
            _claim(desk, work, visit, line, old)


def take_unit_back(work: Work, visit: Visit, line: PartLine) -> None:
    """The old unit is in again, the new one never was, nothing is claimed.

    Raises Trouble where something was written about the new unit since, or the claim is answered.
    """
    new = work.get(Unit, line.new_unit_id or 0)
    if part_line_rows.is_unit_in_use(work.session, new.id, but_line_id=line.id):
        raise Trouble(
            say("Something was written about the new unit since."),
            do=say("Leave it in the write-up, or take that change back first."),
        )
    old = work.get(Unit, new.predecessor_id) if new.predecessor_id is not None else None
    line.new_unit_id = None
    work.session.flush()
    work.session.delete(new)
    work.session.flush()
    if old is not None:
        old.state = part_line_rows.state_before_removal(work.session, old.id)
        old.removed_on, old.removed_why = None, ""
        old.attributes = {k: v for k, v in old.attributes.items() if k != AT}
        _withdraw(work, visit, old)


def _system(work: Work, line: PartLine, note: UnitNote) -> int:
    job = work.get(Job, line.job_id) if line.job_id is not None else None
    system_id = note.system_id or (job.system_id if job is not None else None)
    if system_id is None:
        raise Trouble(
            say("It is not written which system the new unit is in."),
            do=say("Give the job its system first."),
        )
    return system_id


def _handed_on(old: Unit | None) -> dict[str, object]:
    """What stays as it was with a like unit, such as where its splice is."""
    return {k: v for k, v in old.attributes.items() if k != AT} if old is not None else {}


def _fill(work: Work, new: Unit, old: Unit | None, note: UnitNote) -> None:
    new.serial = note.serial.strip()
    new.warranty_until = note.warranty_until
    name = note.model.strip()
    if not name:
        new.model_id = old.model_id if old is not None else None
        return
    model = part_line_rows.model_of_unit(work.session, note.component, name)
    new.model_id = (model or work.add(UnitModel(component=note.component, name=name))).id


def _take_out(work: Work, old: Unit, line: PartLine, note: UnitNote, day: date) -> None:
    old.state = "removed"
    old.removed_on = day
    old.removed_why = _why(work, line, note.why.strip())
    attributes = {k: v for k, v in old.attributes.items() if k != AT}
    old.attributes = {**attributes, AT: note.whereabouts} if note.whereabouts else attributes


def _why(work: Work, line: PartLine, why: str) -> str:
    """The reason; a bare *failed* gets the cause that the job found."""
    if why != FAILED or line.job_id is None:
        return why
    cause_id = work.get(Job, line.job_id).cause_id
    return f"{FAILED}: {cause_id}" if cause_id else why


def _claim(desk: Desk, work: Work, visit: Visit, line: PartLine, old: Unit) -> None:
    """A line of the ledger until the supplier answers; owed by them where no part is known."""
    if line.part_id is not None:
        details = {part_line_rows.LINE: line.id, "unit_id": old.id}
        claim = Move(
            part_id=line.part_id,
            why="claimed",
            quantity=1,
            visit_id=visit.id,
            on=visit.planned_on,
            note=old.serial,
            details=details,
        )
        add_move(desk, work, claim)
        return
    known = components().get(old.component)
    name = known.name if known is not None else old.component
    words = say("Warranty claim: {name}, serial {serial}", name=name, serial=old.serial or "—")
    owed = Owed(site_id=visit.site_id, system_id=old.system_id, unit_id=old.id, visit_id=visit.id)
    owed.since_on = visit.planned_on or desk.today
    owed.what, owed.debtor, owed.waits_for = words, "supplier", "other firm"
    work.add(owed)


def claim_of(work: Work, visit: Visit, old: Unit) -> StockMove | None:
    """The claim for a unit that came out at a visit, None where the ledger holds none."""
    moves = part_line_rows.moves_of_visit(work.session, visit.id)
    claims = (m for m in moves if m.why == "claimed" and m.details.get("unit_id") == old.id)
    return next(claims, None)


def _withdraw(work: Work, visit: Visit, old: Unit) -> None:
    claim = claim_of(work, visit, old)
    if claim is not None:
        if part_line_rows.is_answered(work.session, claim.id):
            raise Trouble(
                say("The supplier has answered the claim for that unit."),
                do=say("Leave it in the write-up, or take the answer back first."),
            )
        take_back(work, claim)
    for owed in part_line_rows.owed_of_unit(work.session, old.id, visit.id):
        if owed.state != "open":
            raise Trouble(
                say("“{what}” is planned or settled already.", what=owed.what),
                do=say("Leave it in the write-up, or take that change back first."),
            )
        work.session.delete(owed)
