"""What the months to come are reckoned from: contracts over time, solids in tanks, pump-outs."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal, InvalidOperation

from sqlalchemy import or_, select
from sqlalchemy.orm import Session

from servicedesk.records.contracts import Contract
from servicedesk.records.sites import Site, System
from servicedesk.records.visits import Job, ReadingRow, Visit


@dataclass(frozen=True, slots=True)
class TermRow:
    """A signed contract over days (`until_on` excluded, as it ended). None: no price is written."""

    contract_id: int
    from_on: date
    until_on: date
    price_minor: int | None


def terms(session: Session, from_on: date, until_on: date) -> list[TermRow]:
    """Signed contracts that run on any day of the span."""
    query = (
        select(
            Contract.id, Contract.from_on, Contract.until_on, Contract.ended_on,
            Contract.price_minor,
        )
        .where(
            Contract.stage == "running",
            Contract.from_on < until_on,
            Contract.until_on > from_on,
            or_(Contract.ended_on.is_(None), Contract.ended_on > from_on),
        )
        .order_by(Contract.id)
    )  # fmt: skip
    return [
        TermRow(
            row.id,
            row.from_on,
            row.until_on if row.ended_on is None else min(row.until_on, row.ended_on),
            row.price_minor,
        )
        for row in session.execute(query)
    ]


@dataclass(frozen=True, slots=True, kw_only=True)
class TankSystem:
    """A system in service whose solids are watched."""

    system_id: int
    site_id: int
    site_number: int
    address: str
    locality: str
    permit: str
    lids_note: str
    started_on: date | None


def tank_systems(session: Session) -> dict[int, TankSystem]:
    """All systems in service, by key."""
    query = (
        select(
            System.id.label("system_id"), System.site_id, Site.number.label("site_number"),
            Site.address, Site.locality, System.permit, Site.lids_note, System.started_on,
        )
        .join(Site, Site.id == System.site_id)
        .where(System.ended_on.is_(None), Site.ended_on.is_(None))
    )  # fmt: skip
    return {
        row.system_id: TankSystem(**{**row, "permit": row.permit or ""})
        for row in session.execute(query).mappings()
    }


def solids(session: Session) -> dict[int, list[tuple[date, float]]]:
    """Scum and sludge together, percent of the liquid depth, by system and day.

    As it was written, else from the depths of sludge, scum and liquid of the same visit.
    """
    wanted = ("solids-share", "sludge-depth", "scum-depth", "liquid-depth")
    query = (
        select(
            Job.id, Job.system_id, Visit.planned_on, Visit.arrived_at, ReadingRow.item_id,
            ReadingRow.value, ReadingRow.unit,
        )
        .join(Job, Job.id == ReadingRow.job_id)
        .join(Visit, Visit.id == Job.visit_id)
        .where(
            ReadingRow.item_id.in_(wanted),
            ReadingRow.qualifier == "=",
            ReadingRow.state == "measured",
            Job.system_id.is_not(None),
            Visit.state == "done",
        )
        .order_by(Job.id, ReadingRow.id)
    )  # fmt: skip
    by_job: dict[int, tuple[int, date, dict[str, tuple[float, str]]]] = {}
    for job_id, system_id, planned_on, arrived_at, item, value, unit in session.execute(query):
        on = planned_on or (arrived_at.date() if arrived_at else None)
        number = _number(value)
        if on is not None and number is not None:
            by_job.setdefault(job_id, (system_id or 0, on, {}))[2][item] = (number, unit)
    found: dict[int, list[tuple[date, float]]] = {}
    for system_id, on, read in by_job.values():
        share = _share(read)
        if share is not None:
            found.setdefault(system_id, []).append((on, share))
    return found


def _number(text: str) -> float | None:
    try:
        number = Decimal(text)
    except InvalidOperation:
        return None
    return float(number) if number.is_finite() else None


def _share(read: dict[str, tuple[float, str]]) -> float | None:
    if "solids-share" in read:
        return read["solids-share"][0]
    sludge, liquid = read.get("sludge-depth"), read.get("liquid-depth")
    scum = read.get("scum-depth", (0.0, sludge[1] if sludge else ""))
    if sludge is None or liquid is None or liquid[0] <= 0:
        return None
    if len({sludge[1], liquid[1], scum[1]}) > 1:
        return None  # inches and centimeters of one visit: somebody's slip
    return 100 * (sludge[0] + scum[0]) / liquid[0]


def pump_outs(session: Session) -> dict[int, list[date]]:
    """Days on which tanks were emptied, by system: by us or by a hauler."""
    query = (
        select(Job.system_id, Visit.planned_on, Visit.arrived_at)
        .join(Visit, Visit.id == Job.visit_id)
        .where(
            Job.kind_of == "pump-out",
            Job.system_id.is_not(None),
            Visit.state == "done",
            or_(Job.outcome == "done", Job.firm_state == "done"),
        )
    )
    found: dict[int, list[date]] = {}
    for system_id, planned_on, arrived_at in session.execute(query):
        on = planned_on or (arrived_at.date() if arrived_at else None)
        if system_id is not None and on is not None:
            found.setdefault(system_id, []).append(on)
    return found
