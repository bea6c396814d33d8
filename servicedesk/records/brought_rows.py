"""Questions of a list that is brought in: what stands in the book, what the list said before."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from servicedesk.records.changes import Counter
from servicedesk.records.company import BroughtRow, ColumnMemory, Technician
from servicedesk.records.contracts import Contract, ContractSystem
from servicedesk.records.people import Authority, Contact, Customer, Phone, SiteRole
from servicedesk.records.sites import Site, SiteSecret, System
from servicedesk.records.store import Work
from servicedesk.records.visits import Job, Visit


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteNow:
    """A standing site as a list is compared with it. `owner_ids`: who owns it today."""

    id: int
    own_number: str | None
    address: str
    locality: str
    postcode: str
    lat_deg: float | None
    lon_deg: float | None
    position_source: str | None
    access_note: str
    dogs_note: str
    note: str
    owner_ids: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SystemNow:
    """A standing system; `authority` by name."""

    id: int
    site_id: int
    label: str
    permit: str | None
    authority: str
    treatment: str
    dispersal: str
    bedrooms: int | None
    design_flow_gpd: int | None
    started_on: date | None


@dataclass(frozen=True, slots=True, kw_only=True)
class CustomerNow:
    """A customer; `phones` as (key, E.164 or None, as typed), `contacts` by name."""

    id: int
    name: str
    kind_of: str
    email: str | None
    mail_address: str | None
    phones: tuple[tuple[int, str | None, str], ...]
    contacts: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ContractNow:
    """A contract that was not ended early; `until_on` is excluded."""

    id: int
    holder_id: int
    from_on: date
    until_on: date
    visits_a_year: int
    price_minor: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class BroughtNow:
    """What a list said of a system the last time."""

    id: int
    list_name: str
    row_key: str
    site_id: int
    system_id: int | None
    cells: Mapping[str, Any]
    seen_on: date


@dataclass(frozen=True, slots=True, kw_only=True)
class Book:
    """Everything that standing records say, by key. `visit_days`: (system, day) of past visits."""

    sites: Mapping[int, SiteNow]
    systems: Mapping[int, SystemNow]
    customers: Mapping[int, CustomerNow]
    contracts: Mapping[int, tuple[ContractNow, ...]]  # by system, oldest first
    secrets: Mapping[int, tuple[tuple[int, str, str], ...]]  # by site: key, what, value
    brought: tuple[BroughtNow, ...]
    visit_days: frozenset[tuple[int, date]]
    technicians: tuple[tuple[int, str, str], ...]  # key, name, short name
    authorities: Mapping[str, int]


def book(session: Session, day: date) -> Book:
    """The whole book on `day`: about twelve queries whatever its size."""
    owners: dict[int, list[int]] = {}
    for role in session.execute(
        select(SiteRole.site_id, SiteRole.customer_id)
        .where(
            SiteRole.role == "owner",
            SiteRole.until_on.is_(None) | (SiteRole.until_on > day),
        )
        .order_by(SiteRole.id)
    ):
        owners.setdefault(role.site_id, []).append(role.customer_id)
    secrets: dict[int, list[tuple[int, str, str]]] = {}
    for secret in session.scalars(select(SiteSecret).order_by(SiteSecret.id)):
        secrets.setdefault(secret.site_id, []).append((secret.id, secret.what, secret.value))
    authorities = {row.id: row.name for row in session.scalars(select(Authority))}
    return Book(
        sites=_sites(session, owners, day),
        systems=_systems(session, authorities, day),
        customers=_customers(session),
        contracts=_contracts(session),
        secrets={site: tuple(found) for site, found in secrets.items()},
        brought=_brought(session),
        visit_days=_visit_days(session),
        technicians=tuple(
            (row.id, row.name, row.short_name or "")
            for row in session.scalars(select(Technician).order_by(Technician.id))
        ),
        authorities={name: key for key, name in reversed(list(authorities.items()))},
    )


def _sites(session: Session, owners: Mapping[int, list[int]], day: date) -> dict[int, SiteNow]:
    names = [n for n in SiteNow.__dataclass_fields__ if n != "owner_ids"]
    columns = [getattr(Site, name) for name in names]
    standing = Site.ended_on.is_(None) | (Site.ended_on > day)
    return {
        row.id: SiteNow(**row._mapping, owner_ids=tuple(owners.get(row.id, ())))
        for row in session.execute(select(*columns).where(standing).order_by(Site.id))
    }


def _systems(session: Session, authorities: Mapping[int, str], day: date) -> dict[int, SystemNow]:
    names = [n for n in SystemNow.__dataclass_fields__ if n != "authority"]
    columns = [getattr(System, name) for name in names]
    standing = System.ended_on.is_(None) | (System.ended_on > day)
    found = {}
    query = select(System.authority_id, *columns).where(standing).order_by(System.id)
    for row in session.execute(query):
        values = {name: getattr(row, name) for name in names}
        found[row.id] = SystemNow(**values, authority=authorities.get(row.authority_id, ""))
    return found


def _customers(session: Session) -> dict[int, CustomerNow]:
    phones: dict[int, list[tuple[int, str | None, str]]] = {}
    for phone in session.execute(
        select(Phone.id, Phone.customer_id, Phone.e164, Phone.typed)
        .where(Phone.ended_on.is_(None))
        .order_by(Phone.id)
    ):
        phones.setdefault(phone.customer_id, []).append((phone.id, phone.e164, phone.typed))
    contacts: dict[int, list[str]] = {}
    for contact in session.execute(select(Contact.customer_id, Contact.name)):
        contacts.setdefault(contact.customer_id, []).append(contact.name)
    query = select(
        Customer.id, Customer.name, Customer.kind_of, Customer.email, Customer.mail_address
    ).where(Customer.ended_on.is_(None), Customer.erased_at.is_(None))
    return {
        row.id: CustomerNow(
            **row._mapping,
            phones=tuple(phones.get(row.id, ())),
            contacts=tuple(contacts.get(row.id, ())),
        )
        for row in session.execute(query.order_by(Customer.id))
    }


def _contracts(session: Session) -> dict[int, tuple[ContractNow, ...]]:
    names = list(ContractNow.__dataclass_fields__)
    query = (
        select(ContractSystem.system_id, *(getattr(Contract, name) for name in names))
        .join(Contract, Contract.id == ContractSystem.contract_id)
        .where(Contract.ended_on.is_(None))
        .order_by(Contract.from_on, Contract.id)
    )
    found: dict[int, tuple[ContractNow, ...]] = {}
    for row in session.execute(query):
        contract = ContractNow(**{name: getattr(row, name) for name in names})
        found[row.system_id] = (*found.get(row.system_id, ()), contract)
    return found


def _brought(session: Session) -> tuple[BroughtNow, ...]:
    names = list(BroughtNow.__dataclass_fields__)
    query = select(*(getattr(BroughtRow, name) for name in names)).order_by(BroughtRow.id)
    return tuple(BroughtNow(**row._mapping) for row in session.execute(query))


def _visit_days(session: Session) -> frozenset[tuple[int, date]]:
    query = (
        select(Job.system_id, Visit.planned_on)
        .join(Visit, Visit.id == Job.visit_id)
        .where(Visit.state == "done", Job.system_id.is_not(None), Visit.planned_on.is_not(None))
    )
    return frozenset((row.system_id, row.planned_on) for row in session.execute(query))


def column_memory(session: Session) -> dict[str, tuple[int, dict[str, Any], dict[str, Any]]]:
    """How lists were understood, by signature: key, mapping, answers."""
    return {
        row.signature: (row.id, row.mapping, row.answers)
        for row in session.scalars(select(ColumnMemory))
    }


def next_numbers(work: Work, series: str, n: int) -> list[int]:
    """The next `n` numbers of a series in one go; never given twice."""
    if n <= 0:
        return []
    first = work.next_number(series)
    counter = work.session.scalars(select(Counter).where(Counter.series == series)).one()
    counter.next_number = first + n
    work.session.flush()
    return list(range(first, first + n))


def records_by_id(work: Work, model: type[Any], ids: set[int]) -> dict[int, Any]:
    """Records to be changed, by key, read in batches and held for writing."""
    found: dict[int, Any] = {}
    wanted = sorted(ids)
    for start in range(0, len(wanted), 500):
        some = wanted[start : start + 500]
        query = select(model).where(model.id.in_(some)).with_for_update()
        found.update({row.id: row for row in work.session.scalars(query)})
    return found


def end_owner_role(work: Work, site_id: int, customer_id: int, day: date) -> None:
    """From `day` on this customer no longer owns the site."""
    query = select(SiteRole).where(
        SiteRole.site_id == site_id,
        SiteRole.customer_id == customer_id,
        SiteRole.role == "owner",
        SiteRole.until_on.is_(None),
    )
    for role in work.session.scalars(query):
        role.until_on = day


def remember_columns(
    work: Work, signature: str, mapping: dict[str, Any], answers: dict[str, Any]
) -> None:
    """How a list was understood, for the next time; nothing is touched if that is known."""
    query = select(ColumnMemory).where(ColumnMemory.signature == signature)
    known = work.session.scalars(query).first()
    if known is None:
        work.add(ColumnMemory(signature=signature, mapping=mapping, answers=answers))
    elif (known.mapping, known.answers) != (mapping, answers):
        known.mapping, known.answers = mapping, answers
