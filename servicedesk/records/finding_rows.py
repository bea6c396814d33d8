"""What a write-up asks about trouble: the call behind a job, units in service, stored findings."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Session

from servicedesk.records.calls import Call
from servicedesk.records.equipment import Unit, UnitModel
from servicedesk.records.owed import Owed
from servicedesk.records.sites import System
from servicedesk.records.visits import Finding, Job

IN_SERVICE = ("in service", "patched", "failed")  # it hangs there; removed ones do not


@dataclass(frozen=True, slots=True)
class UnitThere:
    """A unit that hangs at a system now."""

    id: int
    component: str
    model: str
    installed_on: date | None


@dataclass(frozen=True, slots=True, kw_only=True)
class JobTroubleRow:
    """What a job is about. `symptoms` as the call has them, an old own word too.

    `equipment` is empty where nothing is known; `units` by component, the latest one in service;
    `told` results by check that the call itself gave.
    """

    job_id: int
    kind: str
    system_id: int | None
    call_id: int | None
    symptoms: tuple[str, ...]
    equipment: frozenset[str]
    units: Mapping[str, UnitThere]
    told: Mapping[str, str]


def trouble_rows(session: Session, visit_id: int) -> tuple[JobTroubleRow, ...]:
    """What the jobs of a visit are about, in their order."""
    jobs = session.scalars(select(Job).where(Job.visit_id == visit_id).order_by(Job.id)).all()
    systems = {job.system_id for job in jobs if job.system_id is not None}
    equipment = _equipment(session, systems)
    units = _units(session, systems)
    calls = _calls_behind(session, jobs)
    return tuple(
        JobTroubleRow(
            job_id=job.id,
            kind=job.kind_of,
            system_id=job.system_id,
            call_id=job.call_id,
            symptoms=tuple(calls[job.id].symptoms) if job.id in calls else (),
            equipment=equipment.get(job.system_id or 0, frozenset()),
            units=units.get(job.system_id or 0, {}),
            told=_told(session, calls[job.id].id) if job.id in calls else {},
        )
        for job in jobs
    )


def findings_of_visit(session: Session, visit_id: int) -> list[Finding]:
    """The findings of a visit, to be changed inside a piece of work."""
    query = select(Finding).where(Finding.visit_id == visit_id).order_by(Finding.id)
    return list(session.scalars(query))


def found_at_visit(session: Session, visit_id: int) -> dict[int | None, dict[str, str | None]]:
    """Results by system and check; None for *not looked at*."""
    found: dict[int | None, dict[str, str | None]] = {}
    for row in findings_of_visit(session, visit_id):
        found.setdefault(row.system_id, {})[row.check_id] = row.result_id
    return found


def _equipment(session: Session, system_ids: Iterable[int]) -> dict[int, frozenset[str]]:
    query = select(System).where(System.id.in_(sorted(system_ids)))
    return {
        system.id: frozenset((*system.equipment, system.dispersal))
        for system in session.scalars(query)
        if system.equipment
    }


def _units(session: Session, system_ids: Iterable[int]) -> dict[int, dict[str, UnitThere]]:
    query = (
        select(Unit, UnitModel.name)
        .outerjoin(UnitModel, UnitModel.id == Unit.model_id)
        .where(Unit.system_id.in_(sorted(system_ids)), Unit.state.in_(IN_SERVICE))
        .order_by(Unit.installed_on.is_not(None), Unit.installed_on, Unit.id)
    )
    found: dict[int, dict[str, UnitThere]] = {}
    for unit, model in session.execute(query):
        if unit.removed_on is None:
            there = UnitThere(unit.id, unit.component, model or "", unit.installed_on)
            found.setdefault(unit.system_id, {})[unit.component] = there
    return found


def _told(session: Session, call_id: int) -> dict[str, str]:
    query = select(Finding).where(Finding.call_id == call_id, Finding.result_id.is_not(None))
    return {row.check_id: row.result_id or "" for row in session.scalars(query)}


def _calls_behind(session: Session, jobs: Iterable[Job]) -> dict[int, Call]:
    """The call that a job answers, or that led to the work it settles."""
    found: dict[int, Call] = {}
    for job in jobs:
        call_id = job.call_id
        if call_id is None and job.owed_id is not None:
            query = (
                select(Job.call_id)
                .join(Owed, Owed.visit_id == Job.visit_id)
                .where(Owed.id == job.owed_id, Job.call_id.is_not(None))
                .order_by(Job.id)
            )
            call_id = session.scalars(query.limit(1)).first()
        call = session.get(Call, call_id) if call_id is not None else None
        if call is not None:
            found[job.id] = call
    return found
