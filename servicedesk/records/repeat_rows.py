"""What repeats are counted from: calls, contracts and repairs of the whole store, kept short."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from servicedesk.records.calls import Call
from servicedesk.records.contracts import Contract, ContractSystem
from servicedesk.records.owed import Owed
from servicedesk.records.sites import System
from servicedesk.records.trouble_rows import Sites, at_sites
from servicedesk.records.visits import Finding, Job, Visit


@dataclass(frozen=True, slots=True, kw_only=True)
class RepairRow:
    """A lasting fix of a named cause, and what its visit found.

    `answered`: symptoms of each call that its visit was for, or that had led to the work owed.
    """

    visit_id: int
    site_id: int
    system_id: int | None
    on: date | None
    arrived_at: datetime | None
    cause_id: str
    cause_known_by: str
    found: Mapping[str, str]
    answered: tuple[tuple[str, ...], ...] = ()


def repairs(
    session: Session, site_ids: Sites = None, *, proved_by: Iterable[str] = ()
) -> list[RepairRow]:
    """Lasting fixes with their cause, oldest first. Where `proved_by` says how the cause was
    known, nobody asks for the findings: they are left out.
    """
    named = (Visit.state == "done", Job.fix == "fixed", Job.cause_id.is_not(None))
    columns = (
        Job.visit_id, Visit.site_id, Job.system_id, Visit.planned_on.label("on"),
        Visit.arrived_at, Job.cause_id, Job.cause_known_by,
    )  # fmt: skip
    query = select(*columns).join(Visit, Visit.id == Job.visit_id).where(*named)
    query = at_sites(query, Visit.site_id, site_ids)
    looks = (
        select(Finding.visit_id, Finding.check_id, Finding.result_id)
        .join(Job, Job.visit_id == Finding.visit_id)
        .join(Visit, Visit.id == Job.visit_id)
        .where(*named, Finding.result_id.is_not(None), Job.cause_known_by.not_in(list(proved_by)))
        .order_by(Finding.id)
    )
    found: dict[int, dict[str, str]] = {}
    for visit_id, check_id, result_id in session.execute(at_sites(looks, Visit.site_id, site_ids)):
        found.setdefault(visit_id, {})[check_id] = result_id
    answered = _answered(session, site_ids)
    rows = session.execute(query.order_by(Visit.planned_on.nulls_first(), Job.id)).mappings()
    return [
        RepairRow(
            **row,
            found=found.get(row["visit_id"], {}),
            answered=answered.get(row["visit_id"], ()),
        )
        for row in rows
    ]


def _answered(session: Session, site_ids: Sites) -> dict[int, tuple[tuple[str, ...], ...]]:
    """Symptoms of the calls that a visit with a lasting fix was for, by visit.

    Work owed is for the call whose visit left it.
    """
    fixes = select(Job.visit_id).where(Job.fix == "fixed", Job.cause_id.is_not(None))
    own = (
        select(Job.visit_id, Call.id, Call.symptoms)
        .join(Call, Call.id == Job.call_id)
        .where(Job.visit_id.in_(fixes))
    )
    first = select(Job.visit_id, Job.call_id).where(Job.call_id.is_not(None)).subquery()
    left = (
        select(Job.visit_id, Call.id, Call.symptoms)
        .join(Owed, Owed.id == Job.owed_id)
        .join(first, first.c.visit_id == Owed.visit_id)
        .join(Call, Call.id == first.c.call_id)
        .where(Job.visit_id.in_(fixes), Owed.visit_id != Job.visit_id)
    )
    found: dict[int, dict[int, tuple[str, ...]]] = {}
    for query in (own, left):
        for visit_id, call_id, symptoms in session.execute(at_sites(query, Call.site_id, site_ids)):
            found.setdefault(visit_id, {})[call_id] = tuple(symptoms or ())
    return {visit_id: tuple(calls.values()) for visit_id, calls in found.items()}


@dataclass(frozen=True, slots=True)
class CallMark:
    """A call with no more than repeats ask of it."""

    id: int
    called_at: datetime
    site_id: int
    system_id: int | None
    symptom: str
    is_event: bool


def call_marks(session: Session) -> list[CallMark]:
    """All calls at sites that were not dropped, oldest first; the leading symptom alone."""
    columns = (
        Call.id, Call.called_at, Call.site_id, Call.system_id, Call.symptoms, Call.event_id,
    )  # fmt: skip
    query = select(*columns).where(Call.site_id.is_not(None), Call.state != "dropped")
    return [
        CallMark(
            row.id,
            row.called_at,
            row.site_id,
            row.system_id,
            row.symptoms[0] if row.symptoms else "",
            row.event_id is not None,
        )
        for row in session.execute(query.order_by(Call.called_at, Call.id))
    ]


def sites_of_systems(session: Session) -> dict[int, int]:
    """The site of every system."""
    return {row[0]: row[1] for row in session.execute(select(System.id, System.site_id))}


def contract_spans(session: Session, site_ids: Sites = None) -> list[tuple[int, date, date]]:
    """System, first day, day excluded, of every contract that ran or runs."""
    query = (
        select(ContractSystem.system_id, Contract.from_on, Contract.until_on, Contract.ended_on)
        .join(Contract, Contract.id == ContractSystem.contract_id)
        .join(System, System.id == ContractSystem.system_id)
        .where(Contract.stage != "draft")
        .order_by(ContractSystem.system_id, Contract.from_on)
    )
    return [
        (system_id, from_on, until_on if ended_on is None else min(until_on, ended_on))
        for system_id, from_on, until_on, ended_on in session.execute(
            at_sites(query, System.site_id, site_ids)
        )
    ]
