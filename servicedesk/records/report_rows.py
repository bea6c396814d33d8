"""What a report of a visit is made from, for many visits at once: a fixed number of queries."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from servicedesk.records.company import Company, CompanyLicense, Technician, TechnicianLicense
from servicedesk.records.contracts import Contract
from servicedesk.records.owed import Owed
from servicedesk.records.people import Authority, Customer, SiteRole
from servicedesk.records.planning_rows import batches
from servicedesk.records.sites import Site, System
from servicedesk.records.visits import Finding, ItemResult, Job, PartLine, ReadingRow, Visit


@dataclass(frozen=True, slots=True, kw_only=True)
class ItemSaid:
    """What was said of one inspection item."""

    item_id: str
    grade: str
    answer: str
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingSaid:
    """A reading with the range that stood on that day."""

    item_id: str
    value: str
    unit: str
    qualifier: str
    state: str
    limit_low: str | None
    limit_high: str | None


@dataclass(frozen=True, slots=True)
class FindingSaid:
    """A check that was made; `result_id` None: not looked at."""

    check_id: str
    result_id: str | None
    note: str


@dataclass(frozen=True, slots=True)
class OwedSaid:
    """Something owed at the site as of a day."""

    id: int
    what: str
    workaround: str
    needs: str
    by_on: date | None
    debtor: str
    since_on: date
    settled_on: date | None


@dataclass(frozen=True, slots=True)
class Party:
    """Somebody who has a role at a site, from/until (excluded); None is open."""

    role: str
    customer_id: int
    name: str
    mail_address: str
    email: str
    preferred_way: str
    from_on: date | None
    until_on: date | None

    def holds(self, day: date) -> bool:
        """Does the role hold on `day`?"""
        begun = self.from_on is None or self.from_on <= day
        return begun and (self.until_on is None or day < self.until_on)


@dataclass(frozen=True, slots=True)
class LicenseSpan:
    """A license and the days on which it is valid (until excluded); None is open."""

    technician_id: int | None
    license_class: str
    number: str
    valid_from: date | None
    valid_until: date | None

    def valid_on(self, day: date) -> bool:
        """Is it valid on `day`?"""
        begun = self.valid_from is None or self.valid_from <= day
        return begun and (self.valid_until is None or day < self.valid_until)


@dataclass(frozen=True, slots=True)
class AuthoritySaid:
    """The permitting authority of a system."""

    id: int
    name: str
    office: str
    address: str
    email: str
    takes_reports: str


@dataclass(frozen=True, slots=True, kw_only=True)
class JobFacts:
    """All that a report of one job says, as it was written."""

    job_id: int
    visit_id: int
    visit_uid: str
    site_id: int
    site_number: int
    address: str
    locality: str
    postcode: str
    kind: str
    ordinal: int | None
    outcome: str | None
    could_not: str
    told_whom: str
    note_left: bool
    found: str
    did: str
    fix: str
    no_fault_found: bool
    window_from: date | None
    window_until: date | None
    contract_id: int | None
    contract_number: int | None
    system_id: int | None
    system_label: str
    permit: str
    treatment: str
    dispersal: str
    rule_id: str | None
    single_family: bool
    technician_id: int | None
    technician: str
    arrived_at: datetime | None
    left_at: datetime | None
    weather: str
    as_left: str
    note: str
    leaving: dict[str, Any]
    authority: AuthoritySaid | None = None
    items: tuple[ItemSaid, ...] = ()
    readings: tuple[ReadingSaid, ...] = ()
    findings: tuple[FindingSaid, ...] = ()
    parts: tuple[str, ...] = ()
    owed: tuple[OwedSaid, ...] = ()
    parties: tuple[Party, ...] = field(default=())


def job_facts(session: Session, job_ids: Iterable[int]) -> dict[int, JobFacts]:
    """The facts of jobs by key. What is owed is that of the site, of whatever day."""
    found: dict[int, JobFacts] = {}
    authorities = {a.id: _authority(a) for a in session.scalars(select(Authority))}
    for some in batches(sorted(set(job_ids))):
        found |= _facts(session, some, authorities)
    return found


def _facts(
    session: Session, job_ids: list[int], authorities: dict[int, AuthoritySaid]
) -> dict[int, JobFacts]:
    heads = session.execute(
        select(Job, Visit, Site, System, Technician.name, Contract.number)
        .join(Visit, Visit.id == Job.visit_id)
        .join(Site, Site.id == Visit.site_id)
        .outerjoin(System, System.id == Job.system_id)
        .outerjoin(Technician, Technician.id == Visit.technician_id)
        .outerjoin(Contract, Contract.id == Job.contract_id)
        .where(Job.id.in_(job_ids))
    ).all()
    beside = _beside(
        session,
        job_ids,
        visits={visit.id for _, visit, _, _, _, _ in heads},
        sites={site.id for _, _, site, _, _, _ in heads},
    )
    found = {}
    for job, visit, site, system, technician, number in heads:
        found[job.id] = JobFacts(
            **_of_job(job),
            **_of_visit(visit),
            **_of_place(site, system),
            technician=technician or "",
            contract_number=number,
            authority=authorities.get(system.authority_id or 0) if system else None,
            items=beside["items"].get(job.id, ()),
            readings=beside["readings"].get(job.id, ()),
            findings=beside["findings"].get((visit.id, job.system_id), ()),
            parts=beside["parts"].get(visit.id, ()),
            owed=beside["owed"].get(site.id, ()),
            parties=beside["parties"].get(site.id, ()),
        )
    return found


def _beside(
    session: Session, job_ids: Iterable[int], *, visits: Iterable[int], sites: Iterable[int]
) -> dict[str, dict[Any, tuple[Any, ...]]]:
    """What hangs on jobs, visits and sites, by their keys, in the order written."""

    def rows(column: Any, keys: Iterable[int]) -> Any:
        model = column.class_
        return session.scalars(select(model).where(column.in_(sorted(keys))).order_by(model.id))

    items = rows(ItemResult.job_id, job_ids)
    readings = rows(ReadingRow.job_id, job_ids)
    findings = rows(Finding.visit_id, visits)
    parts = rows(PartLine.visit_id, visits)
    owed = rows(Owed.site_id, sites)
    return {
        "items": _grouped((i.job_id, _said(ItemSaid, i)) for i in items),
        "readings": _grouped((r.job_id, _said(ReadingSaid, r)) for r in readings),
        "findings": _grouped(((f.visit_id, f.system_id), _said(FindingSaid, f)) for f in findings),
        "parts": _grouped((p.visit_id, _quantity(p)) for p in parts),
        "owed": _grouped((o.site_id, _said(OwedSaid, o)) for o in owed),
        "parties": _grouped(_parties(session, sites)),
    }


def _grouped(pairs: Iterable[tuple[Any, Any]]) -> dict[Any, tuple[Any, ...]]:
    found: dict[Any, list[Any]] = {}
    for key, value in pairs:
        found.setdefault(key, []).append(value)
    return {key: tuple(values) for key, values in found.items()}


def _said(shape: Any, record: Any) -> Any:
    return shape(**{name: getattr(record, name) for name in shape.__dataclass_fields__})


def _quantity(line: PartLine) -> str:
    return line.text if line.quantity == 1 else f"{line.quantity} × {line.text}"


def _of_job(job: Job) -> dict[str, Any]:
    names = (
        *("visit_id", "ordinal", "outcome", "could_not", "told_whom", "note_left", "found", "did"),
        *("fix", "no_fault_found", "window_from", "window_until", "contract_id", "system_id"),
    )
    return {"job_id": job.id, "kind": job.kind_of} | {n: getattr(job, n) for n in names}


def _of_visit(visit: Visit) -> dict[str, Any]:
    names = ("technician_id", "arrived_at", "left_at", "weather", "as_left", "note", "leaving")
    return {"visit_uid": visit.uid} | {name: getattr(visit, name) for name in names}


def _of_place(site: Site, system: System | None) -> dict[str, Any]:
    return {
        "site_id": site.id,
        "site_number": site.number,
        "address": site.address,
        "locality": site.locality,
        "postcode": site.postcode,
        "system_label": system.label if system else "",
        "permit": (system.permit or "") if system else "",
        "treatment": system.treatment if system else "",
        "dispersal": system.dispersal if system else "",
        "rule_id": system.rule_id if system else None,
        "single_family": system.single_family if system else True,
    }


def _authority(record: Authority) -> AuthoritySaid:
    found: AuthoritySaid = _said(AuthoritySaid, record)
    return found


def _parties(session: Session, sites: Iterable[int]) -> Iterator[tuple[int, Party]]:
    query = (
        select(SiteRole, Customer)
        .join(Customer, Customer.id == SiteRole.customer_id)
        .where(SiteRole.site_id.in_(sorted(sites)))
        .order_by(SiteRole.id)
    )
    for role, person in session.execute(query):
        yield (
            role.site_id,
            Party(
                role.role,
                person.id,
                person.name,
                person.mail_address or "",
                person.email or "",
                person.preferred_way,
                role.from_on,
                role.until_on,
            ),
        )


def license_spans(session: Session) -> list[LicenseSpan]:
    """All licenses of the company (technician None) and of technicians, with their spans."""
    found = [
        LicenseSpan(None, r.license_class, r.number, r.valid_from, r.valid_until)
        for r in session.scalars(select(CompanyLicense).order_by(CompanyLicense.id))
    ]
    held = session.scalars(select(TechnicianLicense).order_by(TechnicianLicense.id))
    found += [
        LicenseSpan(r.technician_id, r.license_class, r.number, r.valid_from, r.valid_until)
        for r in held
    ]
    return found


def letterhead(session: Session) -> str:
    """The company's own lines over its papers; empty where none are written."""
    return session.scalar(select(Company.letterhead).order_by(Company.id).limit(1)) or ""


def attempt_ids(
    session: Session, system_id: int | None, contract_id: int | None, ordinal: int | None
) -> list[int]:
    """Inspections of a system that could not be made, of one window of a contract."""
    query = (
        select(Job.id)
        .join(Visit, Visit.id == Job.visit_id)
        .where(
            Job.kind_of == "inspection",
            Job.outcome == "could not",
            Job.system_id == system_id,
            Job.contract_id == contract_id,
            Job.ordinal == ordinal,
            Visit.state == "done",
        )
    )
    return list(session.scalars(query.order_by(Visit.arrived_at, Job.id)))
