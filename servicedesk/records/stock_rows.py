"""Questions about parts, their prices, and what lies where by the ledger of their moves."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from servicedesk.records.equipment import Unit
from servicedesk.records.owed import Owed
from servicedesk.records.parts import Part, PartPrice, StockMove, StockPlace
from servicedesk.records.people import Firm
from servicedesk.records.visits import Job, PartLine, Visit

Balances = dict[tuple[int, int], int]  # by part and place


@dataclass(frozen=True, slots=True, kw_only=True)
class PartRow:
    """A part of the catalogue with cost and price as of a day (None: not known then)."""

    id: int
    revision: int
    number: str
    name: str
    part_kind: str
    unit: str
    pack: int
    supplier_id: int | None
    supplier: str
    supplier_number: str
    barcode: str
    reorder_at: int | None
    lead_days: int | None
    ended_on: date | None
    cost_minor: int | None
    price_minor: int | None


@dataclass(frozen=True, slots=True)
class PlaceRow:
    """A place where parts lie; `truck_id` None: no truck."""

    id: int
    name: str
    truck_id: int | None


def parts(session: Session, day: date, *, ended: bool = False) -> list[PartRow]:
    """The catalogue by number, with what costs on `day`; parts that have ended only if asked."""
    query = select(Part, Firm.name).outerjoin(Firm, Firm.id == Part.supplier_id)
    if not ended:
        query = query.where(Part.ended_on.is_(None) | (Part.ended_on > day))
    prices = prices_on(session, day)
    return [
        _part_row(part, firm or "", prices.get(part.id, (None, None)))
        for part, firm in session.execute(query.order_by(Part.number))
    ]


def _part_row(part: Part, firm: str, price: tuple[int | None, int | None]) -> PartRow:
    own = set(PartRow.__dataclass_fields__) - {"supplier", "cost_minor", "price_minor"}
    values: dict[str, Any] = {name: getattr(part, name) for name in own}
    return PartRow(supplier=firm, cost_minor=price[0], price_minor=price[1], **values)


def prices_on(session: Session, day: date) -> dict[int, tuple[int | None, int | None]]:
    """Cost and price of each part as of `day`: those that began last."""
    query = select(PartPrice).where(PartPrice.from_on <= day)
    rows = session.scalars(query.order_by(PartPrice.from_on, PartPrice.id))
    return {row.part_id: (row.cost_minor, row.price_minor) for row in rows}


def price_from(session: Session, part_id: int, day: date) -> PartPrice | None:
    """The price of a part that begins on `day` itself."""
    query = select(PartPrice).where(PartPrice.part_id == part_id, PartPrice.from_on == day)
    return session.scalars(query.order_by(PartPrice.id.desc()).limit(1)).first()


def part_numbers(session: Session) -> dict[str, int]:
    """Every number ever given, folded, with its part."""
    return {row.number.casefold(): row.id for row in session.execute(select(Part.number, Part.id))}


def barcodes(session: Session) -> dict[str, tuple[int, str]]:
    """Every barcode with the part that has it: key and number."""
    query = select(Part.barcode, Part.id, Part.number).where(Part.barcode != "")
    return {row[0]: (row[1], row[2]) for row in session.execute(query)}


def prices_from(session: Session, day: date) -> dict[int, PartPrice]:
    """The prices that begin on `day` itself, by part."""
    query = select(PartPrice).where(PartPrice.from_on == day).order_by(PartPrice.id)
    return {row.part_id: row for row in session.scalars(query)}


def firms(session: Session) -> dict[int, str]:
    """The firms that stand, by name."""
    query = select(Firm.id, Firm.name).where(Firm.ended_on.is_(None)).order_by(Firm.name, Firm.id)
    return {row.id: row.name for row in session.execute(query)}


def firm_ids(session: Session) -> frozenset[int]:
    """The firms that a part may be bought from."""
    return frozenset(session.scalars(select(Firm.id)))


def places(session: Session, day: date) -> list[PlaceRow]:
    """Where parts lie on `day`: the shelf and the trucks, in the order in which they were made."""
    query = select(StockPlace).where(StockPlace.ended_on.is_(None) | (StockPlace.ended_on > day))
    rows = session.scalars(query.order_by(StockPlace.id))
    return [PlaceRow(row.id, row.name, row.truck_id) for row in rows]


def balances(
    session: Session, *, on: date | None = None, part_ids: Iterable[int] | None = None
) -> Balances:
    """What lies where at the end of `on` (None: by all moves written), the sum of the moves.

    Below zero where more left than came; what adds up to nothing is left out.
    """
    found: Balances = {}
    for column, sign in ((StockMove.to_place_id, 1), (StockMove.from_place_id, -1)):
        query = (
            select(StockMove.part_id, column, func.sum(StockMove.quantity))
            .where(column.is_not(None))
            .group_by(StockMove.part_id, column)
        )
        if on is not None:
            query = query.where(StockMove.moved_on <= on)
        if part_ids is not None:
            query = query.where(StockMove.part_id.in_(list(part_ids)))
        for part_id, place_id, quantity in session.execute(query):
            key = (part_id, place_id or 0)
            found[key] = found.get(key, 0) + sign * int(quantity)
    return {key: n for key, n in found.items() if n}


@dataclass(frozen=True, slots=True, kw_only=True)
class MoveRow:
    """A move that is in effect: neither taken back, nor itself the taking back of one."""

    id: int
    part_id: int
    why: str
    quantity: int
    from_place_id: int | None
    to_place_id: int | None
    visit_id: int | None
    unit_cost_minor: int | None
    moved_on: date
    note: str
    details: dict[str, Any]


def moves(
    session: Session,
    *,
    whys: Iterable[str] | None = None,
    part_ids: Iterable[int] | None = None,
    since: date | None = None,
) -> list[MoveRow]:
    """Moves in effect, in the order in which they were written."""
    query = select(StockMove).where(StockMove.why != "undone").order_by(StockMove.id)
    if whys is not None:
        query = query.where(StockMove.why.in_(list(whys)))
    if part_ids is not None:
        query = query.where(StockMove.part_id.in_(list(part_ids)))
    if since is not None:
        query = query.where(StockMove.moved_on >= since)
    gone = taken_back(session)
    names = list(MoveRow.__dataclass_fields__)
    return [
        MoveRow(**{name: getattr(row, name) for name in names})
        for row in session.scalars(query)
        if row.id not in gone
    ]


@dataclass(frozen=True, slots=True)
class AnyMove:
    """A move as it was written, in effect or not."""

    id: int
    why: str
    quantity: int
    from_place_id: int | None
    to_place_id: int | None
    moved_on: date
    note: str
    details: dict[str, Any]


def all_moves(session: Session, part_id: int) -> list[AnyMove]:
    """Every move of a part in the order in which they were written, also those taken back."""
    names = list(AnyMove.__dataclass_fields__)
    query = select(StockMove).where(StockMove.part_id == part_id).order_by(StockMove.id)
    return [
        AnyMove(**{name: getattr(row, name) for name in names}) for row in session.scalars(query)
    ]


def place_names(session: Session) -> dict[int, str]:
    """Every place that ever was, by name."""
    return {row[0]: row[1] for row in session.execute(select(StockPlace.id, StockPlace.name))}


def taken_back(session: Session) -> frozenset[int]:
    """Moves that were taken back and not done again."""
    query = select(StockMove.id, StockMove.reverses_id).where(StockMove.reverses_id.is_not(None))
    gone: set[int] = set()
    # what takes back is younger than what it takes back: from the newest, each is settled in turn
    for move_id, target in session.execute(query.order_by(StockMove.id.desc())):
        if move_id not in gone and target is not None:
            gone.add(target)
    return frozenset(gone)


def last_counted_on(session: Session, part_id: int, place_id: int) -> date | None:
    """The latest day on which a part was counted at a place; None: never, or taken back."""
    days = [
        move.moved_on
        for move in moves(session, whys=["counted"], part_ids=[part_id])
        if place_id in (move.from_place_id, move.to_place_id)
    ]
    return max(days, default=None)


def first_moves(session: Session) -> dict[int, date]:
    """Since when the ledger knows each part."""
    query = select(StockMove.part_id, func.min(StockMove.moved_on)).group_by(StockMove.part_id)
    return {row[0]: row[1] for row in session.execute(query)}


def owed_parts(session: Session, owed_ids: Iterable[int]) -> dict[int, tuple[str, ...]]:
    """The kinds of part that owed work needs, by key."""
    query = select(Owed.id, Owed.needs_parts).where(Owed.id.in_(list(owed_ids)))
    return {
        row.id: tuple(str(one) for one in row.needs_parts or ()) for row in session.execute(query)
    }


@dataclass(frozen=True, slots=True)
class TakeRow:
    """How often inspections of a system took a part, and how many in all."""

    system_id: int
    part_id: int
    times: int
    quantity: int


def takes_at_inspections(session: Session, since: date) -> list[TakeRow]:
    """Parts of the catalogue that inspections took since a day, by system."""
    query = (
        select(
            Job.system_id,
            PartLine.part_id,
            func.count(func.distinct(Job.id)),
            func.sum(PartLine.quantity),
        )
        .join(Job, Job.id == PartLine.job_id)
        .join(Visit, Visit.id == Job.visit_id)
        .where(
            Job.kind_of == "inspection",
            Job.system_id.is_not(None),
            PartLine.part_id.is_not(None),
            Visit.state == "done",
            Visit.planned_on >= since,
        )
        .group_by(Job.system_id, PartLine.part_id)
    )
    return [
        TakeRow(row[0] or 0, row[1] or 0, row[2], int(row[3])) for row in session.execute(query)
    ]


def inspections_of(session: Session, since: date) -> dict[int, int]:
    """Inspections done since a day, counted by system."""
    query = (
        select(Job.system_id, func.count(Job.id))
        .join(Visit, Visit.id == Job.visit_id)
        .where(
            Job.kind_of == "inspection",
            Job.system_id.is_not(None),
            Job.outcome == "done",
            Visit.planned_on >= since,
        )
        .group_by(Job.system_id)
    )
    return {row[0] or 0: row[1] for row in session.execute(query)}


def takes_of_causes(session: Session) -> list[tuple[str, int, int | None, int]]:
    """Callbacks mended for good: cause, key of the job, part taken and how many (None, 0: none)."""
    query = (
        select(Job.cause_id, Job.id, PartLine.part_id, PartLine.quantity)
        .outerjoin(PartLine, PartLine.job_id == Job.id)
        .join(Visit, Visit.id == Job.visit_id)
        .where(
            Job.kind_of == "callback",
            Job.cause_id.is_not(None),
            Job.fix == "fixed",
            Visit.state == "done",
        )
        .order_by(Job.id)
    )
    return [(row[0] or "", row[1], row[2], int(row[3] or 0)) for row in session.execute(query)]


def components_of(session: Session) -> dict[int, frozenset[str]]:
    """The kinds of component that each system has in service."""
    query = select(Unit.system_id, Unit.component).where(Unit.removed_on.is_(None)).distinct()
    found: dict[int, set[str]] = {}
    for system_id, component in session.execute(query):
        found.setdefault(system_id, set()).add(component)
    return {system_id: frozenset(some) for system_id, some in found.items()}
