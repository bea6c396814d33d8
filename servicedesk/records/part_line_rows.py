"""Questions about the parts of a visit: its lines, their moves in the ledger, units fitted."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from servicedesk.records.changes import ChangeItem
from servicedesk.records.company import Technician
from servicedesk.records.equipment import Unit, UnitModel
from servicedesk.records.owed import Owed
from servicedesk.records.papers_sent import BillLine
from servicedesk.records.parts import Part, StockMove, StockPlace
from servicedesk.records.rounds import Round
from servicedesk.records.stock_rows import taken_back
from servicedesk.records.visits import Finding, ItemResult, Job, PartLine, Visit

LINE = "part_line_id"  # in the details of a move: the line it belongs to


@dataclass(frozen=True, slots=True, kw_only=True)
class PartLineRow:
    """A part line as written. `price_minor` only where it was set by hand."""

    id: int
    job_id: int | None
    part_id: int | None
    text: str
    quantity: int
    billing: str
    price_minor: int | None
    new_unit_id: int | None


def has_parts(session: Session) -> bool:
    """Does the company keep a catalogue of parts?"""
    return session.scalars(select(Part.id).limit(1)).first() is not None


def part_line_rows(session: Session, visit_id: int) -> list[PartLineRow]:
    """The part lines of a visit in the order written."""
    query = select(PartLine).where(PartLine.visit_id == visit_id).order_by(PartLine.id)
    names = PartLineRow.__dataclass_fields__
    return [
        PartLineRow(**{name: getattr(line, name) for name in names})
        for line in session.scalars(query)
    ]


def moves_of_visit(session: Session, visit_id: int) -> list[StockMove]:
    """What a visit used and claimed and is in effect: neither taken back nor a taking back."""
    query = select(StockMove).where(
        StockMove.visit_id == visit_id, StockMove.why.in_(("used", "claimed"))
    )
    found = list(session.scalars(query.order_by(StockMove.id)))
    gone = taken_back(session) if found else frozenset()
    return [move for move in found if move.id not in gone and "answers" not in move.details]


def is_answered(session: Session, claim_id: int) -> bool:
    """Has the supplier answered a claim?"""
    query = select(StockMove).where(StockMove.why == "claimed", StockMove.id > claim_id)
    answers = [move for move in session.scalars(query) if move.details.get("answers") == claim_id]
    return bool({move.id for move in answers} - taken_back(session)) if answers else False


def counts_after(session: Session, move: StockMove, place_id: int) -> bool:
    """Was the part counted at the place since: does a count already hold this move?"""
    query = select(StockMove.id).where(
        StockMove.part_id == move.part_id,
        StockMove.why == "counted",
        StockMove.id > move.id,
        StockMove.moved_on >= move.moved_on,
        (StockMove.from_place_id == place_id) | (StockMove.to_place_id == place_id),
    )
    found = set(session.scalars(query))
    return bool(found - taken_back(session)) if found else False


def truck_place(session: Session, visit_id: int) -> int | None:
    """Where the parts of a visit lie by default: the truck of its round, else of who came."""
    visit = session.get(Visit, visit_id)
    if visit is None:
        return None
    round_ = session.get(Round, visit.round_id) if visit.round_id is not None else None
    lead_id = visit.technician_id or (round_.lead_id if round_ else None)
    lead = session.get(Technician, lead_id) if lead_id is not None else None
    truck_id = (round_.truck_id if round_ else None) or (lead.truck_id if lead else None)
    if truck_id is None:
        return None
    day = visit.planned_on
    query = select(StockPlace).where(StockPlace.truck_id == truck_id).order_by(StockPlace.id)
    there = [p for p in session.scalars(query) if _stands(p, day)]
    return there[0].id if there else None


def _stands(place: StockPlace, day: date | None) -> bool:
    return place.ended_on is None or day is None or place.ended_on > day


def model_of_unit(session: Session, component: str, name: str) -> UnitModel | None:
    """The model of a component with this name, however its letters are written."""
    query = select(UnitModel).where(UnitModel.component == component).order_by(UnitModel.id)
    wanted = name.casefold()
    return next((one for one in session.scalars(query) if one.name.casefold() == wanted), None)


def state_before_removal(session: Session, unit_id: int) -> str:
    """How a unit that was taken out stood before, by the log; "in service" where it is silent."""
    query = (
        select(ChangeItem)
        .where(ChangeItem.table_name == "unit", ChangeItem.row_id == unit_id)
        .order_by(ChangeItem.id.desc())
    )
    for item in session.scalars(query):
        if (item.after or {}).get("state") == "removed" and item.before:
            return str(item.before.get("state") or "in service")
    return "in service"


def is_unit_in_use(session: Session, unit_id: int, *, but_line_id: int) -> bool:
    """Does anything but this part line name the unit: a later one, a finding, work owed?"""
    asked: Iterable[Any] = (
        select(Unit.id).where(Unit.predecessor_id == unit_id),
        select(Finding.id).where(Finding.unit_id == unit_id),
        select(ItemResult.id).where(ItemResult.unit_id == unit_id),
        select(Owed.id).where(Owed.unit_id == unit_id),
        select(PartLine.id).where(PartLine.new_unit_id == unit_id, PartLine.id != but_line_id),
    )
    return any(session.scalars(query.limit(1)).first() is not None for query in asked)


def owed_of_unit(session: Session, unit_id: int, visit_id: int) -> list[Owed]:
    """What the supplier owes for a unit that came out at a visit, to be changed."""
    query = select(Owed).where(
        Owed.unit_id == unit_id, Owed.visit_id == visit_id, Owed.debtor == "supplier"
    )
    return list(session.scalars(query.order_by(Owed.id)))


def approvals_of(session: Session, visit_id: int) -> list[Owed]:
    """The owner's approval of what was used at a visit, to be changed inside a piece of work.

    It takes no time on site and has a sum: nothing else that an owner owes has both.
    """
    query = select(Owed).where(
        Owed.visit_id == visit_id,
        Owed.debtor == "owner",
        Owed.minutes == 0,
        Owed.estimate_minor.is_not(None),
    )
    return list(session.scalars(query.order_by(Owed.id)))


def is_billed(session: Session, line_id: int) -> bool:
    """Does a line of a bill rest on this part?"""
    query = select(BillLine.id).where(BillLine.part_line_id == line_id)
    return session.scalars(query.limit(1)).first() is not None


def apart_from_form(session: Session, visit_id: int) -> frozenset[int]:
    """Owed work that follows from the parts of a visit: approvals, claims on suppliers."""
    claims = select(Owed.id).where(
        Owed.visit_id == visit_id, Owed.debtor == "supplier", Owed.unit_id.is_not(None)
    )
    approvals = (owed.id for owed in approvals_of(session, visit_id))
    return frozenset((*session.scalars(claims), *approvals))


@dataclass(frozen=True, slots=True)
class JobAbout:
    """A job as its parts see it: its kind, system, billing, and what owed work asks for."""

    kind: str
    system_id: int | None
    billing: str
    needs_parts: tuple[str, ...] = ()


def jobs_about(session: Session, visit_id: int) -> dict[int, JobAbout]:
    """The jobs of a visit by key, in their order."""
    query = (
        select(Job, Owed.needs_parts)
        .outerjoin(Owed, Owed.id == Job.owed_id)
        .where(Job.visit_id == visit_id)
        .order_by(Job.id)
    )
    return {
        job.id: JobAbout(job.kind_of, job.system_id, job.billing, tuple(map(str, needs or ())))
        for job, needs in session.execute(query)
    }


def moves_by_line(
    lines: Iterable[PartLineRow | PartLine], moves: Iterable[StockMove]
) -> dict[int, StockMove]:
    """The move of each line; where none names its line, one of as many of the same part."""
    used = [move for move in moves if move.why == "used"]
    named = {move.details[LINE]: move for move in used if LINE in move.details}
    free = [move for move in used if LINE not in move.details]
    found: dict[int, StockMove] = {}
    for line in lines:
        fits = (m for m in free if (m.part_id, m.quantity) == (line.part_id, line.quantity))
        move = named.get(line.id) or next(fits, None)
        if move is not None:
            found[line.id] = move
            if move in free:
                free.remove(move)
    return found


def usual_takes(session: Session, system_ids: Iterable[int], since: date) -> list[int]:
    """The parts that inspections of these systems took since a day, most often first."""
    times = func.count(func.distinct(Job.id))
    query = (
        select(PartLine.part_id)
        .join(Job, Job.id == PartLine.job_id)
        .join(Visit, Visit.id == Job.visit_id)
        .where(
            Job.kind_of == "inspection",
            Job.system_id.in_(list(system_ids)),
            PartLine.part_id.is_not(None),
            Visit.state == "done",
            Visit.planned_on >= since,
        )
        .group_by(PartLine.part_id)
        .order_by(times.desc(), PartLine.part_id)
    )
    return [part_id for part_id in session.scalars(query) if part_id is not None]
