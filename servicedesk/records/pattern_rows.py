"""What patterns over the whole fleet are counted from: units, systems, calls, causes, prices.

Seven queries, whatever the size of the store; plain columns, for there are many rows.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from servicedesk.records.calls import Call
from servicedesk.records.equipment import Unit, UnitModel
from servicedesk.records.owed import Owed
from servicedesk.records.parts import Part, PartPrice
from servicedesk.records.people import Firm
from servicedesk.records.sites import Site, System
from servicedesk.records.visits import Finding, ItemResult, Job, PartLine, Visit


@dataclass(frozen=True, slots=True)
class UnitSeen:
    """A unit, also one that is gone by now. `model_id` None: not known."""

    id: int
    system_id: int
    component: str
    model_id: int | None
    model: str
    installed_on: date | None
    removed_on: date | None
    removed_why: str
    attributes: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class SystemSeen:
    """A system with its site; `since_on`: under our care; `ended_on`: system or site ended."""

    id: int
    site_id: int
    address: str
    locality: str
    treatment: str
    dispersal: str
    equipment: tuple[str, ...]
    installer: str
    since_on: date | None
    started_on: date | None
    ended_on: date | None


@dataclass(frozen=True, slots=True)
class CallSeen:
    """A call at a site we know that was not dropped."""

    id: int
    site_id: int
    system_id: int | None
    called_at: datetime
    symptoms: tuple[str, ...]
    is_event: bool


@dataclass(frozen=True, slots=True)
class CauseSeen:
    """A callback's job that was done: what it found, how long it took there and on the road."""

    call_id: int | None
    system_id: int | None
    planned_on: date | None
    arrived_at: datetime | None
    cause: str
    known_by: str
    no_fault_found: bool
    fix: str
    minutes: int | None
    travel_min: int | None


@dataclass(frozen=True, slots=True)
class RenewalSeen:
    """A unit of a component that was fitted with a part: minutes of the job, cost of the part."""

    component: str
    minutes: int | None
    cost_minor: int | None


@dataclass(frozen=True, slots=True)
class FleetSeen:
    """Everything at once. `looked_at`: units of which a check or item is written."""

    units: tuple[UnitSeen, ...]
    systems: tuple[SystemSeen, ...]
    calls: tuple[CallSeen, ...]
    causes: tuple[CauseSeen, ...]
    renewals: tuple[RenewalSeen, ...]
    looked_at: frozenset[int]


def fleet(session: Session) -> FleetSeen:
    """What patterns are counted from, in order of keys."""
    return FleetSeen(
        units=_units(session),
        systems=_systems(session),
        calls=_calls(session),
        causes=_causes(session),
        renewals=_renewals(session),
        looked_at=_looked_at(session),
    )


def _plain(session: Session, query: Any) -> Iterator[tuple[Any, ...]]:
    for row in session.execute(query):
        yield tuple(row)


def _units(session: Session) -> tuple[UnitSeen, ...]:
    query = (
        select(
            Unit.id,
            Unit.system_id,
            Unit.component,
            Unit.model_id,
            func.coalesce(UnitModel.name, ""),
            Unit.installed_on,
            Unit.removed_on,
            Unit.removed_why,
            Unit.attributes,
        )
        .outerjoin(UnitModel, UnitModel.id == Unit.model_id)
        .order_by(Unit.id)
    )
    rows = ([*row[:8], row[8] or {}] for row in _plain(session, query))
    return tuple(UnitSeen(*row) for row in rows)


def _systems(session: Session) -> tuple[SystemSeen, ...]:
    query = (
        select(
            System.id,
            System.site_id,
            Site.address,
            Site.locality,
            System.treatment,
            System.dispersal,
            System.equipment,
            func.coalesce(Firm.name, ""),
            Site.since_on,
            System.started_on,
            System.ended_on,
            Site.ended_on,
        )
        .join(Site, Site.id == System.site_id)
        .outerjoin(Firm, Firm.id == System.installer_id)
        .order_by(System.id)
    )
    found = []
    for row in _plain(session, query):
        ends = [day for day in (row[10], row[11]) if day is not None]
        ended_on = min(ends) if ends else None
        values = [*row[:6], tuple(row[6] or ()), *row[7:10], ended_on]
        found.append(SystemSeen(*values))
    return tuple(found)


def _calls(session: Session) -> tuple[CallSeen, ...]:
    query = (
        select(Call.id, Call.site_id, Call.system_id, Call.called_at, Call.symptoms, Call.event_id)
        .where(Call.site_id.is_not(None), Call.state != "dropped")
        .order_by(Call.called_at, Call.id)
    )
    rows = ([*row[:4], tuple(row[4] or ()), row[5] is not None] for row in _plain(session, query))
    return tuple(CallSeen(*row) for row in rows)


def _causes(session: Session) -> tuple[CauseSeen, ...]:
    query = (
        select(
            Job.call_id,
            Job.system_id,
            Visit.planned_on,
            Visit.arrived_at,
            func.coalesce(Job.cause_id, ""),
            Job.cause_known_by,
            Job.no_fault_found,
            Job.fix,
            Job.minutes,
            Visit.travel_min,
        )
        .join(Visit, Visit.id == Job.visit_id)
        .where(
            Job.kind_of == "callback",
            Job.outcome.in_(("done", "partly")),
            Visit.state == "done",
        )
        .order_by(Visit.planned_on, Job.id)
    )
    return tuple(CauseSeen(*row) for row in _plain(session, query))


def _renewals(session: Session) -> tuple[RenewalSeen, ...]:
    latest = (
        select(PartPrice.part_id, func.max(PartPrice.id).label("id"))
        .where(PartPrice.cost_minor.is_not(None))
        .group_by(PartPrice.part_id)
        .subquery()
    )
    query = (
        select(Unit.component, Job.minutes, PartPrice.cost_minor)
        .select_from(PartLine)
        .join(Unit, Unit.id == PartLine.new_unit_id)
        .outerjoin(Job, Job.id == PartLine.job_id)
        .outerjoin(Part, Part.id == PartLine.part_id)
        .outerjoin(latest, latest.c.part_id == Part.id)
        .outerjoin(PartPrice, PartPrice.id == latest.c.id)
        .order_by(PartLine.id)
    )
    return tuple(RenewalSeen(*row) for row in _plain(session, query))


def _looked_at(session: Session) -> frozenset[int]:
    found = select(Finding.unit_id).where(
        Finding.unit_id.is_not(None), Finding.result_id.is_not(None)
    )
    graded = select(ItemResult.unit_id).where(
        ItemResult.unit_id.is_not(None), ItemResult.grade != "not looked at"
    )
    return frozenset(one for one in session.scalars(found.union(graded)) if one is not None)


def systems_owing(session: Session, what: str) -> frozenset[int]:
    """Systems at which exactly this work is owed and open."""
    query = select(Owed.system_id).where(
        Owed.what == what, Owed.state == "open", Owed.system_id.is_not(None)
    )
    return frozenset(row for row in session.scalars(query) if row is not None)
