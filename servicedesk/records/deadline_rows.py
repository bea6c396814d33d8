"""What deadlines are counted from: visits without a report, contracts, sales, licenses, calls."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import ColumnElement, exists, func, or_, select
from sqlalchemy.orm import Session, aliased

from servicedesk.records.calls import Call
from servicedesk.records.changes import Change
from servicedesk.records.company import Technician
from servicedesk.records.contracts import Contract, ContractSystem
from servicedesk.records.papers_sent import PaperSent
from servicedesk.records.people import Customer, Firm, SiteRole
from servicedesk.records.planning_rows import batches
from servicedesk.records.sites import Site, System
from servicedesk.records.visits import Job, Visit

DONE = ("done", "partly")


@dataclass(frozen=True, slots=True, kw_only=True)
class DoneJob:
    """A job of a visit that took place, as far as a report about it goes."""

    job_id: int
    visit_id: int
    site_id: int
    address: str
    locality: str
    system_id: int | None
    rule_id: str | None
    authority_id: int | None
    kind: str
    ordinal: int | None
    outcome: str
    arrived_at: datetime
    technician: str


def reports_begin_at(session: Session, paper_kind: str, to_kind: str) -> datetime | None:
    """From when on reports are watched: the first paper of this kind to such a receiver, or the
    first change in this store if that was earlier. None in an empty store.

    What a list of past visits brings in was reported elsewhere, before.
    """
    paper = select(func.min(PaperSent.sent_at)).where(
        PaperSent.kind_of == paper_kind, PaperSent.to_kind == to_kind
    )
    found = [
        at for at in (session.scalar(paper), session.scalar(select(func.min(Change.at)))) if at
    ]
    return min(found, default=None)


def without_paper(
    session: Session,
    *,
    job_kind: str,
    paper_kind: str,
    to_kind: str,
    since_at: datetime | None = None,
    rule_ids: Collection[str] | None = None,
    outcomes: Iterable[str] = DONE,
) -> list[DoneJob]:
    """Jobs that were done and of which no paper of a kind went to such a receiver, by day.

    `rule_ids` looks only at systems under these rules.
    """
    query = (
        _done_jobs()
        .where(Job.kind_of == job_kind, Job.outcome.in_(list(outcomes)))
        .where(~_sent(paper_kind, to_kind))
        .order_by(Visit.arrived_at, Job.id)
    )
    if since_at is not None:
        query = query.where(Visit.arrived_at >= since_at)
    if rule_ids is not None:
        query = query.where(System.rule_id.in_(sorted(rule_ids)))
    return [DoneJob(**row._mapping) for row in session.execute(query)]


def done_jobs(session: Session, job_ids: Iterable[int]) -> dict[int, DoneJob]:
    """Jobs of visits that took place, by key; also those that could not be done."""
    found: dict[int, DoneJob] = {}
    for some in batches(sorted(set(job_ids))):
        query = _done_jobs().where(Job.id.in_(some), Job.outcome.is_not(None))
        found |= {row.job_id: DoneJob(**row._mapping) for row in session.execute(query)}
    return found


def _done_jobs() -> Any:
    return (
        select(
            Job.id.label("job_id"),
            Job.visit_id,
            Visit.site_id,
            Site.address,
            Site.locality,
            Job.system_id,
            System.rule_id,
            System.authority_id,
            Job.kind_of.label("kind"),
            Job.ordinal,
            Job.outcome,
            Visit.arrived_at,
            func.coalesce(Technician.name, "").label("technician"),
        )
        .join(Visit, Visit.id == Job.visit_id)
        .join(Site, Site.id == Visit.site_id)
        .outerjoin(System, System.id == Job.system_id)
        .outerjoin(Technician, Technician.id == Visit.technician_id)
        .where(Visit.state == "done", Visit.arrived_at.is_not(None))
    )


def _sent(paper_kind: str, to_kind: str) -> ColumnElement[bool]:
    """Did a paper of this kind about the job go to such a receiver?"""
    about = or_(
        PaperSent.job_id == Job.id,
        PaperSent.job_id.is_(None) & (PaperSent.visit_id == Visit.id),
    )
    same = (PaperSent.kind_of == paper_kind) & (PaperSent.to_kind == to_kind)
    # asked by the visit, which has an index of its own; the job decides
    return exists().where(PaperSent.visit_id == Visit.id, about, same)


@dataclass(frozen=True, slots=True, kw_only=True)
class ContractDue:
    """A contract over one system, with the one that follows it there, if any.

    `until_on` is excluded. `papers` are the kinds of papers that went out about it.
    """

    contract_id: int
    number: int
    site_id: int
    address: str
    locality: str
    system_id: int
    rule_id: str | None
    holder_id: int
    holder: str
    from_on: date
    until_on: date
    ended_on: date | None
    copy_sent_on: date | None
    handed_to_id: int | None = None
    papers: frozenset[str] = frozenset()
    next: "ContractDue | None" = None


def contracts_due(session: Session, *, over_since: date) -> list[ContractDue]:
    """Contracts over systems that stand, those over before `over_since` left out; with followers.

    By system and day. A draft is no contract yet.
    """
    query = (
        select(
            Contract.id.label("contract_id"),
            Contract.number,
            System.site_id,
            Site.address,
            Site.locality,
            ContractSystem.system_id,
            System.rule_id,
            Contract.holder_id,
            Customer.name.label("holder"),
            Contract.from_on,
            Contract.until_on,
            Contract.ended_on,
            Contract.copy_sent_on,
            Contract.handed_to_id,
        )
        .join(ContractSystem, ContractSystem.contract_id == Contract.id)
        .join(System, System.id == ContractSystem.system_id)
        .join(Site, Site.id == System.site_id)
        .join(Customer, Customer.id == Contract.holder_id)
        .where(
            Contract.stage != "draft",
            Contract.until_on > over_since,
            System.ended_on.is_(None),
            Site.ended_on.is_(None),
        )
        .order_by(ContractSystem.system_id, Contract.from_on.desc(), Contract.id.desc())
    )
    papers = _papers_of_contracts(session)
    found: list[ContractDue] = []
    for row in session.execute(query):
        later = found[-1] if found and found[-1].system_id == row.system_id else None
        kinds = frozenset(papers.get(row.contract_id, ()))
        found.append(ContractDue(**row._mapping, papers=kinds, next=later))
    return found


def _papers_of_contracts(session: Session) -> dict[int, set[str]]:
    query = select(PaperSent.contract_id, PaperSent.kind_of).where(
        PaperSent.contract_id.is_not(None), PaperSent.job_id.is_(None)
    )
    found: dict[int, set[str]] = {}
    for contract_id, kind in session.execute(query):
        if contract_id is not None:
            found.setdefault(contract_id, set()).add(kind)
    return found


@dataclass(frozen=True, slots=True, kw_only=True)
class Sale:
    """A house changed hands: the new owner is there from `on`."""

    site_id: int
    address: str
    locality: str
    system_id: int
    rule_id: str | None
    owner_id: int
    owner: str
    on: date


def sales(session: Session, *, since: date) -> list[Sale]:
    """Sites whose owner changed on or after a day, one row for each system that stands."""
    before = aliased(SiteRole)
    earlier = exists().where(
        before.site_id == SiteRole.site_id,
        before.role == "owner",
        before.until_on.is_not(None),
        before.until_on <= SiteRole.from_on,
        before.customer_id != SiteRole.customer_id,
    )
    query = (
        select(
            SiteRole.site_id,
            Site.address,
            Site.locality,
            System.id.label("system_id"),
            System.rule_id,
            SiteRole.customer_id.label("owner_id"),
            Customer.name.label("owner"),
            SiteRole.from_on.label("on"),
        )
        .join(Site, Site.id == SiteRole.site_id)
        .join(System, System.site_id == Site.id)
        .join(Customer, Customer.id == SiteRole.customer_id)
        .where(
            SiteRole.role == "owner",
            SiteRole.from_on >= since,
            SiteRole.until_on.is_(None),
            System.ended_on.is_(None),
            Site.ended_on.is_(None),
            earlier,
        )
        .order_by(SiteRole.from_on, System.id)
    )
    return [Sale(**row._mapping) for row in session.execute(query)]


@dataclass(frozen=True, slots=True)
class FirmLicense:
    """The license of another firm; `valid_until` is excluded."""

    firm_id: int
    name: str
    number: str
    valid_until: date


def firm_licenses(session: Session) -> list[FirmLicense]:
    """Licenses of firms we work with, as far as their end is known."""
    query = (
        select(Firm.id, Firm.name, Firm.license_number, Firm.license_until)
        .where(Firm.license_until.is_not(None), Firm.ended_on.is_(None))
        .order_by(Firm.license_until, Firm.id)
    )
    return [
        FirmLicense(firm_id, name, number, until)
        for firm_id, name, number, until in session.execute(query)
        if until is not None
    ]


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenCall:
    """A call that is open, and the instant by which somebody promised to be there, if anybody."""

    call_id: int
    site_id: int | None
    address: str
    locality: str
    caller: str
    called_at: datetime
    promised_by_at: datetime | None


def open_calls(session: Session) -> list[OpenCall]:
    """Open calls, the soonest promise first, those without one last and by age."""
    query = (
        select(
            Call.id.label("call_id"),
            Call.site_id,
            func.coalesce(Site.address, "").label("address"),
            func.coalesce(Site.locality, "").label("locality"),
            func.coalesce(Call.caller, "").label("caller"),
            Call.called_at,
            Call.promised_by_at,
        )
        .outerjoin(Site, Site.id == Call.site_id)
        .where(Call.state == "open")
        .order_by(Call.promised_by_at.nulls_last(), Call.called_at, Call.id)
    )
    return [OpenCall(**row._mapping) for row in session.execute(query)]


@dataclass(frozen=True, slots=True)
class SiteName:
    """What a site is called."""

    address: str
    locality: str


def site_names(session: Session, ids: Iterable[int]) -> dict[int, SiteName]:
    """Addresses by key."""
    found: dict[int, SiteName] = {}
    for some in batches(sorted(set(ids))):
        query = select(Site.id, Site.address, Site.locality).where(Site.id.in_(some))
        found |= {row[0]: SiteName(row[1], row[2]) for row in session.execute(query)}
    return found


@dataclass(frozen=True, slots=True)
class Tried:
    """An attempt that failed: its day as an instant, and why."""

    job_id: int
    arrived_at: datetime | None
    could_not: str


def attempts(session: Session, job_ids: Iterable[int]) -> dict[int, Tried]:
    """Attempts by the key of their job."""
    found: dict[int, Tried] = {}
    for some in batches(sorted(set(job_ids))):
        query = (
            select(Job.id, Visit.arrived_at, Job.could_not)
            .join(Visit, Visit.id == Job.visit_id)
            .where(Job.id.in_(some))
        )
        found |= {row[0]: Tried(row[0], row[1], row[2]) for row in session.execute(query)}
    return found
