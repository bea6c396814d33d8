"""What was taken at visits and what it cost then; how callbacks ended."""

from dataclasses import dataclass
from datetime import date

from sqlalchemy import Subquery, func, select
from sqlalchemy.orm import Session

from servicedesk.records.owed import Owed
from servicedesk.records.parts import PartPrice, StockMove
from servicedesk.records.sites import Site, System
from servicedesk.records.stock_rows import taken_back
from servicedesk.records.visits import Job, PartLine, Visit


@dataclass(frozen=True, slots=True)
class TakenRow:
    """Some pieces of a part, taken at a visit. `move_cost_minor`: of one, by the ledger."""

    system_id: int | None
    contract_id: int | None
    visit_id: int
    part_id: int | None
    quantity: int
    on: date
    billing: str
    move_cost_minor: int | None


def ledger_costs(session: Session) -> Subquery:
    """What one piece of a part cost by the ledger (`c`), by visit and part; moves in effect."""
    return (
        select(
            StockMove.visit_id, StockMove.part_id, func.max(StockMove.unit_cost_minor).label("c")
        )
        .where(
            StockMove.why == "used",
            StockMove.visit_id.is_not(None),
            StockMove.id.not_in(taken_back(session)),
        )
        .group_by(StockMove.visit_id, StockMove.part_id)
        .subquery()
    )


def taken(session: Session, since: date, until: date) -> list[TakenRow]:
    """Parts taken at done visits from `since` until `until` (excluded)."""
    moves = ledger_costs(session)
    query = (
        select(Job.system_id, Job.contract_id, Visit.id, PartLine.part_id, PartLine.quantity,
               Visit.planned_on, PartLine.billing, moves.c.c)
        .join(Visit, Visit.id == PartLine.visit_id)
        .outerjoin(Job, Job.id == PartLine.job_id)
        .outerjoin(moves, (moves.c.visit_id == Visit.id) & (moves.c.part_id == PartLine.part_id))
        .where(Visit.state == "done", Visit.planned_on >= since, Visit.planned_on < until)
        .order_by(PartLine.id)
    )  # fmt: skip
    return [TakenRow(*row) for row in session.execute(query)]


def price_steps(session: Session) -> dict[int, list[tuple[date, int | None, int | None]]]:
    """Every cost and price of each part with the day it began, oldest first."""
    found: dict[int, list[tuple[date, int | None, int | None]]] = {}
    query = select(PartPrice).order_by(PartPrice.from_on, PartPrice.id)
    for row in session.scalars(query):
        steps = found.setdefault(row.part_id, [])
        steps.append((row.from_on, row.cost_minor, row.price_minor))
    return found


@dataclass(frozen=True, slots=True)
class AnsweredRow:
    """One job of a callback at a done visit. `waits_for`: of the work it left owed, None: none."""

    job_id: int
    call_id: int
    visit_id: int
    system_id: int | None
    on: date
    outcome: str
    could_not: str
    fix: str
    no_fault_found: bool
    waits_for: str | None
    needs_parts: bool


def answered(session: Session, since: date) -> list[AnsweredRow]:
    """Jobs of callbacks since a day, in the order of their visits."""
    owed = (
        select(Owed.visit_id, Owed.system_id, func.max(Owed.waits_for).label("waits_for"),
               func.max(Owed.needs).label("needs"))
        .where(Owed.visit_id.is_not(None), Owed.debtor == "us")
        .group_by(Owed.visit_id, Owed.system_id)
        .subquery()
    )  # fmt: skip
    query = (
        select(Job, Visit.planned_on, owed.c.waits_for, owed.c.needs)
        .join(Visit, Visit.id == Job.visit_id)
        .outerjoin(owed, (owed.c.visit_id == Visit.id) & (owed.c.system_id == Job.system_id))
        .where(
            Job.kind_of == "callback", Job.call_id.is_not(None), Job.outcome.is_not(None),
            Visit.state == "done", Visit.planned_on >= since,
        )
        .order_by(Visit.planned_on, Job.id)
    )  # fmt: skip
    return [
        AnsweredRow(
            job.id, job.call_id or 0, job.visit_id, job.system_id, day, job.outcome or "",
            job.could_not, job.fix, job.no_fault_found, waits, bool(needs),
        )
        for job, day, waits, needs in session.execute(query)
    ]  # fmt: skip


def addresses_of_systems(session: Session) -> dict[int, tuple[int, str]]:
    """Site and address of each system."""
    query = select(System.id, Site.id, Site.address).join(Site, Site.id == System.site_id)
    return {row[0]: (row[1], row[2]) for row in session.execute(query)}
