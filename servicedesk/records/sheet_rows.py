"""What a route sheet tells about a site: how to get in, what happened last, what is owed."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from servicedesk.records.calls import Call
from servicedesk.records.company import Technician
from servicedesk.records.owed import Owed
from servicedesk.records.people import Customer, Phone, SiteRole
from servicedesk.records.planning_rows import batches
from servicedesk.records.sites import Site, SiteKey, SiteSecret, System
from servicedesk.records.visits import Job, Visit


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteSheet:
    """What a technician wants to know before driving there."""

    site_id: int
    access_note: str
    gate_note: str
    dogs_note: str
    lids_note: str
    call_before: bool
    note: str
    on_hold: bool
    keys: tuple[str, ...]
    phone: str  # as typed
    systems: tuple[tuple[int, str], ...]  # key, label
    phone_e164: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PastJob:
    """A job done at a site."""

    on: date
    kind: str
    outcome: str | None
    could_not: str
    found: str
    did: str
    fix: str
    technician: str


@dataclass(frozen=True, slots=True, kw_only=True)
class OwedRow:
    """Open owed work at a site."""

    id: int
    what: str
    needs: str
    since_on: date
    by_on: date | None
    waits_for: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CallRow:
    """A call that a job answers."""

    id: int
    called_at: datetime
    symptoms: tuple[str, ...]
    own_words: str
    caller: str
    promised_by_at: datetime | None
    priority: str


def site_sheets(session: Session, ids: Iterable[int]) -> dict[int, SiteSheet]:
    """The notes of the given sites, by key."""
    wanted = sorted(set(ids))
    found: dict[int, SiteSheet] = {}
    for some in batches(wanted):
        held = select(SiteKey.site_id, SiteKey.label).where(
            SiteKey.site_id.in_(some), SiteKey.returned_on.is_(None)
        )
        keys: dict[int, list[str]] = {}
        for site_id, label in session.execute(held.order_by(SiteKey.id)):
            keys.setdefault(site_id, []).append(label)
        phones = _owner_phones(session, some)
        systems: dict[int, list[tuple[int, str]]] = {}
        query = select(System).where(System.site_id.in_(some), System.ended_on.is_(None))
        for system in session.scalars(query.order_by(System.id)):
            systems.setdefault(system.site_id, []).append((system.id, system.label))
        for site in session.scalars(select(Site).where(Site.id.in_(some))):
            found[site.id] = SiteSheet(
                site_id=site.id,
                access_note=site.access_note,
                gate_note=site.gate_note,
                dogs_note=site.dogs_note,
                lids_note=site.lids_note,
                call_before=site.call_before,
                note=site.note,
                on_hold=site.on_hold,
                keys=tuple(keys.get(site.id, ())),
                phone=phones.get(site.id, ("", None))[0],
                phone_e164=phones.get(site.id, ("", None))[1],
                systems=tuple(systems.get(site.id, ())),
            )
    return found


def _owner_phones(session: Session, ids: list[int]) -> dict[int, tuple[str, str | None]]:
    query = (
        select(SiteRole.site_id, Phone.typed, Phone.e164)
        .join(Customer, Customer.id == SiteRole.customer_id)
        .join(Phone, Phone.customer_id == Customer.id)
        .where(
            SiteRole.site_id.in_(ids),
            SiteRole.role == "owner",
            SiteRole.until_on.is_(None),
            Phone.ended_on.is_(None),
        )
        .order_by(Phone.id.desc())
    )
    return {row.site_id: (row.typed, row.e164) for row in session.execute(query)}


def past_jobs(session: Session, ids: Iterable[int], *, before: date) -> dict[int, list[PastJob]]:
    """Jobs at the given sites before a day, newest first."""
    found: dict[int, list[PastJob]] = {}
    for some in batches(sorted(set(ids))):
        query = (
            select(Visit.site_id, Visit.planned_on, Job, Technician.name)
            .join(Job, Job.visit_id == Visit.id)
            .outerjoin(Technician, Technician.id == Visit.technician_id)
            .where(Visit.site_id.in_(some), Job.outcome.is_not(None), Visit.planned_on < before)
            .order_by(Visit.planned_on.desc(), Job.id.desc())
        )
        for site_id, on, job, technician in session.execute(query):
            past = PastJob(
                on=on or before,
                kind=job.kind_of,
                outcome=job.outcome,
                could_not=job.could_not,
                found=job.found,
                did=job.did,
                fix=job.fix,
                technician=technician or "",
            )
            found.setdefault(site_id, []).append(past)
    return found


def owed_at(session: Session, ids: Iterable[int]) -> dict[int, list[OwedRow]]:
    """Open owed work at the given sites, oldest first."""
    found: dict[int, list[OwedRow]] = {}
    for some in batches(sorted(set(ids))):
        query = select(Owed).where(Owed.site_id.in_(some), Owed.state == "open")
        for owed in session.scalars(query.order_by(Owed.since_on, Owed.id)):
            row = OwedRow(
                id=owed.id,
                what=owed.what,
                needs=owed.needs,
                since_on=owed.since_on,
                by_on=owed.by_on,
                waits_for=owed.waits_for,
            )
            found.setdefault(owed.site_id, []).append(row)
    return found


def calls_by_id(session: Session, ids: Iterable[int]) -> dict[int, CallRow]:
    """Calls by key."""
    found: dict[int, CallRow] = {}
    for some in batches(sorted(set(ids))):
        for call in session.scalars(select(Call).where(Call.id.in_(some))):
            found[call.id] = CallRow(
                id=call.id,
                called_at=call.called_at,
                symptoms=tuple(call.symptoms),
                own_words=call.own_words or "",
                caller=call.caller or "",
                promised_by_at=call.promised_by_at,
                priority=call.priority,
            )
    return found


def secrets_at(session: Session, ids: Iterable[int]) -> dict[int, list[tuple[str, str]]]:
    """Gate codes and the like of the given sites: what, value. Only for those who may see them."""
    found: dict[int, list[tuple[str, str]]] = {}
    for some in batches(sorted(set(ids))):
        query = select(SiteSecret).where(SiteSecret.site_id.in_(some)).order_by(SiteSecret.id)
        for secret in session.scalars(query):
            found.setdefault(secret.site_id, []).append((secret.what, secret.value))
    return found
