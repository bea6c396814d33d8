"""What the store knows about trouble: calls, what visits did and found, what hangs there.

Questions in bulk, one query each: for one site, or for all of them (`site_ids` None).
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import func, or_, select
from sqlalchemy.orm import Session

from servicedesk.records.calls import Call
from servicedesk.records.equipment import Unit, UnitModel
from servicedesk.records.parts import Part
from servicedesk.records.sites import System
from servicedesk.records.visits import Finding, ItemResult, Job, PartLine, ReadingRow, Visit

Sites = Iterable[int] | None


@dataclass(frozen=True, slots=True, kw_only=True)
class SystemFact:
    """A system: `equipment` as flags, empty where nobody said."""

    id: int
    site_id: int
    label: str
    equipment: tuple[str, ...]
    dispersal: str
    started_on: date | None
    ended_on: date | None


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitFact:
    """A unit, also one that is gone by now."""

    id: int
    system_id: int
    component: str
    model_id: int | None
    model: str
    state: str
    installed_on: date | None
    removed_on: date | None
    predecessor_id: int | None
    attributes: Mapping[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class CallFacts:
    """A call that was not dropped. Symptoms as written, also old own words."""

    id: int
    called_at: datetime
    site_id: int
    system_id: int | None
    symptoms: tuple[str, ...]
    answers: Mapping[str, Any]
    is_event: bool
    state: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DoneJob:
    """A job of a visit that took place. `on`: the day planned, else look at `arrived_at`."""

    id: int
    visit_id: int
    site_id: int
    on: date | None
    arrived_at: datetime | None
    system_id: int | None
    kind_of: str
    call_id: int | None
    outcome: str | None
    fix: str
    no_fault_found: bool
    cause_id: str | None
    cause_known_by: str
    checks_done: tuple[str, ...]
    parts_changed: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class FoundFact:
    """A finding at a visit or told in a call; `result_id` None: not looked at."""

    visit_id: int | None
    call_id: int | None
    system_id: int | None
    unit_id: int | None
    check_id: str
    result_id: str | None


@dataclass(frozen=True, slots=True)
class ItemFact:
    """What an inspection said of one item."""

    job_id: int
    item_id: str
    grade: str
    answer: str
    unit_id: int | None


@dataclass(frozen=True, slots=True)
class ReadingFact:
    """A number measured at an inspection."""

    job_id: int
    item_id: str
    value: str
    unit: str


@dataclass(frozen=True, slots=True)
class PartFact:
    """A part of a known kind that was left at a site."""

    visit_id: int
    job_id: int | None
    part_kind: str


def systems(session: Session, site_ids: Sites = None) -> list[SystemFact]:
    """Systems by key."""
    query = at_sites(select(System), System.site_id, site_ids).order_by(System.id)
    return [
        SystemFact(
            id=row.id,
            site_id=row.site_id,
            label=row.label,
            equipment=tuple(row.equipment),
            dispersal=row.dispersal,
            started_on=row.started_on,
            ended_on=row.ended_on,
        )
        for row in session.scalars(query)
    ]


def units(session: Session, site_ids: Sites = None) -> list[UnitFact]:
    """All units, the first fitted first."""
    query = (
        select(Unit, UnitModel.name)
        .outerjoin(UnitModel, UnitModel.id == Unit.model_id)
        .join(System, System.id == Unit.system_id)
        .order_by(Unit.installed_on.is_not(None), Unit.installed_on, Unit.id)
    )
    return [
        UnitFact(
            id=unit.id,
            system_id=unit.system_id,
            component=unit.component,
            model_id=unit.model_id,
            model=model or "",
            state=unit.state,
            installed_on=unit.installed_on,
            removed_on=unit.removed_on,
            predecessor_id=unit.predecessor_id,
            attributes=unit.attributes,
        )
        for unit, model in session.execute(at_sites(query, System.site_id, site_ids))
    ]


def calls(session: Session, site_ids: Sites = None) -> list[CallFacts]:
    """Calls at sites that were not dropped, oldest first."""
    columns = (
        Call.id, Call.called_at, Call.site_id, Call.system_id, Call.symptoms, Call.answers,
        Call.event_id, Call.state,
    )  # fmt: skip
    query = select(*columns).where(Call.site_id.is_not(None), Call.state != "dropped")
    query = at_sites(query, Call.site_id, site_ids).order_by(Call.called_at, Call.id)
    return [
        CallFacts(
            id=row.id,
            called_at=row.called_at,
            site_id=row.site_id,
            system_id=row.system_id,
            symptoms=tuple(row.symptoms or ()),
            answers=row.answers or {},
            is_event=row.event_id is not None,
            state=row.state,
        )
        for row in session.execute(query)
    ]


def done_jobs(session: Session, site_ids: Sites = None) -> list[DoneJob]:
    """Jobs of visits that took place, oldest first."""
    names = [n for n in DoneJob.__dataclass_fields__ if n not in {"site_id", "on", "arrived_at"}]
    query = (
        select(
            *(getattr(Job, name) for name in names),
            Visit.site_id,
            Visit.planned_on.label("on"),
            Visit.arrived_at,
        )
        .join(Visit, Visit.id == Job.visit_id)
        .where(Visit.state == "done")
        .order_by(Visit.planned_on.nulls_first(), Visit.arrived_at, Job.id)
    )
    rows = session.execute(at_sites(query, Visit.site_id, site_ids)).mappings()
    return [
        DoneJob(
            **{
                **row,
                "checks_done": tuple(row["checks_done"] or ()),
                "parts_changed": tuple(row["parts_changed"] or ()),
            }
        )
        for row in rows
    ]


def findings(session: Session, site_ids: Sites = None) -> list[FoundFact]:
    """Findings of visits and calls, in the order in which they were written."""
    columns = (
        Finding.visit_id, Finding.call_id, Finding.system_id, Finding.unit_id, Finding.check_id,
        Finding.result_id,
    )  # fmt: skip
    query = (
        select(*columns)
        .outerjoin(Visit, Visit.id == Finding.visit_id)
        .outerjoin(Call, Call.id == Finding.call_id)
        .order_by(Finding.id)
    )
    if site_ids is not None:
        ids = list(site_ids)
        query = query.where(or_(Visit.site_id.in_(ids), Call.site_id.in_(ids)))
    return [FoundFact(*row) for row in session.execute(query)]


def items(session: Session, site_ids: Sites = None) -> list[ItemFact]:
    """What inspections said of their items."""
    columns = (
        ItemResult.job_id, ItemResult.item_id, ItemResult.grade, ItemResult.answer,
        ItemResult.unit_id,
    )  # fmt: skip
    query = _of_jobs(select(*columns).join(Job, Job.id == ItemResult.job_id), site_ids)
    return [ItemFact(*row) for row in session.execute(query.order_by(ItemResult.id))]


def readings(session: Session, site_ids: Sites = None) -> list[ReadingFact]:
    """Numbers that were measured and are exact."""
    columns = (ReadingRow.job_id, ReadingRow.item_id, ReadingRow.value, ReadingRow.unit)
    query = select(*columns).join(Job, Job.id == ReadingRow.job_id)
    query = query.where(ReadingRow.state == "measured", ReadingRow.qualifier == "=")
    query = _of_jobs(query, site_ids).order_by(ReadingRow.id)
    return [ReadingFact(*row) for row in session.execute(query)]


def parts_left(session: Session, site_ids: Sites = None) -> list[PartFact]:
    """Parts of a known kind left at sites."""
    query = (
        select(PartLine.visit_id, PartLine.job_id, Part.part_kind)
        .join(Part, Part.id == PartLine.part_id)
        .join(Visit, Visit.id == PartLine.visit_id)
        .where(Part.part_kind != "")
        .order_by(PartLine.id)
    )
    return [PartFact(*row) for row in session.execute(at_sites(query, Visit.site_id, site_ids))]


def learning_stamps(session: Session) -> dict[int, tuple[object, ...]]:
    """By site something that changes whenever what is confirmed there may have changed."""
    looks = select(Visit.site_id, func.count(Finding.id), func.sum(Finding.revision)).join(
        Finding, Finding.visit_id == Visit.id
    )
    jobs = (
        select(Visit.site_id, func.count(Job.id), func.sum(Job.revision), func.sum(Visit.revision))
        .join(Job, Job.visit_id == Visit.id)
        .where(Job.call_id.is_not(None))
    )
    called = select(Call.site_id, func.count(Call.id), func.sum(Call.revision))
    stamps: dict[int, tuple[object, ...]] = dict.fromkeys(sites_with_causes(session), ())
    for query in (
        called.group_by(Call.site_id),
        jobs.group_by(Visit.site_id),
        looks.group_by(Visit.site_id),
    ):
        for site_id, *counts in session.execute(query):
            if site_id in stamps:
                stamps[site_id] = (*stamps[site_id], *counts)
    return stamps


def at_sites(query: Any, column: Any, site_ids: Sites) -> Any:
    return query if site_ids is None else query.where(column.in_(list(site_ids)))


def _of_jobs(query: Any, site_ids: Sites) -> Any:
    if site_ids is None:
        return query
    return query.join(Visit, Visit.id == Job.visit_id).where(Visit.site_id.in_(list(site_ids)))


def site_of_system(session: Session, system_id: int) -> int | None:
    """The site where a system stands."""
    return session.scalar(select(System.site_id).where(System.id == system_id))


def sites_with_causes(session: Session) -> list[int]:
    """Sites where a visit for a call named a cause."""
    query = (
        select(Visit.site_id)
        .join(Job, Job.visit_id == Visit.id)
        .where(Visit.state == "done", Job.call_id.is_not(None), Job.cause_id.is_not(None))
        .distinct()
        .order_by(Visit.site_id)
    )
    return list(session.scalars(query))
