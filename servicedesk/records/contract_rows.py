"""Questions about contracts: which one runs at a site, and what of its inspections is done."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import ColumnElement, or_, select
from sqlalchemy.orm import Session

from servicedesk.records.contracts import Contract, ContractSystem
from servicedesk.records.people import Customer
from servicedesk.records.sites import Site, System
from servicedesk.records.visits import Job, Visit


@dataclass(frozen=True, slots=True, kw_only=True)
class ContractRow:
    """A contract at a site. `until_on` is excluded, `price_minor` is for a year."""

    id: int
    revision: int
    number: int
    own_number: str | None
    site_id: int
    holder_id: int
    holder: str
    from_on: date
    until_on: date
    stage: str
    is_first_policy: bool
    visits_a_year: int
    counting: str
    response_hours: int | None
    approval_limit_minor: int | None
    price_minor: int | None
    billing: str
    copy_sent_on: date | None
    follows_id: int | None
    ended_on: date | None
    ended_why: str
    system_ids: tuple[int, ...] = ()

    def runs_on(self, day: date) -> bool:
        """Does it run on `day`?"""
        ended = self.ended_on is not None and self.ended_on <= day
        return self.stage == "running" and self.from_on <= day < self.until_on and not ended


def runs(day: date) -> ColumnElement[bool]:
    """The condition that a contract runs on `day`."""
    return (
        (Contract.stage == "running")
        & (Contract.from_on <= day)
        & (Contract.until_on > day)
        & or_(Contract.ended_on.is_(None), Contract.ended_on > day)
    )


def contracts_of(
    session: Session, site_ids: Iterable[int], *, running_on: date | None = None
) -> dict[int, tuple[ContractRow, ...]]:
    """Contracts by site, newest first (one query). With `running_on` only those that run then."""
    query = (
        select(Contract, Customer.name, System.site_id, System.id)
        .join(ContractSystem, ContractSystem.contract_id == Contract.id)
        .join(System, System.id == ContractSystem.system_id)
        .join(Customer, Customer.id == Contract.holder_id)
        .where(System.site_id.in_(list(site_ids)))
        .order_by(Contract.from_on.desc(), Contract.id.desc(), System.id)
    )
    if running_on is not None:
        query = query.where(runs(running_on))
    systems: dict[tuple[int, int], tuple[int, ...]] = {}
    firsts: dict[tuple[int, int], tuple[Contract, str]] = {}
    for contract, holder, site_id, system_id in session.execute(query):
        key = (site_id, contract.id)
        firsts.setdefault(key, (contract, holder))
        systems[key] = (*systems.get(key, ()), system_id)
    found: dict[int, tuple[ContractRow, ...]] = {}
    for key, (contract, holder) in firsts.items():
        row = _row(contract, holder, key[0], systems[key])
        found[key[0]] = (*found.get(key[0], ()), row)
    return found


def _row(contract: Contract, holder: str, site_id: int, system_ids: tuple[int, ...]) -> ContractRow:
    names = set(ContractRow.__dataclass_fields__) - {"holder", "site_id", "system_ids"}
    values = {name: getattr(contract, name) for name in names}
    return ContractRow(holder=holder, site_id=site_id, system_ids=system_ids, **values)


def running(session: Session, site_ids: Iterable[int], day: date) -> dict[int, ContractRow]:
    """The contract that runs at each site on `day`, the newest if several do."""
    found = contracts_of(session, site_ids, running_on=day)
    return {site_id: rows[0] for site_id, rows in found.items()}


@dataclass(frozen=True, slots=True)
class InspectionRow:
    """An inspection of a contract, planned or attempted."""

    contract_id: int
    site_id: int
    visit_id: int
    outcome: str | None
    arrived_at: datetime | None
    planned_on: date | None
    visit_state: str
    window_until: date | None


def inspections(session: Session, contract_ids: Iterable[int]) -> list[InspectionRow]:
    """Inspections of these contracts, by the day they were done or are planned."""
    query = (
        select(
            Job.contract_id,
            Visit.site_id,
            Visit.id,
            Job.outcome,
            Visit.arrived_at,
            Visit.planned_on,
            Visit.state,
            Job.window_until,
        )
        .join(Visit, Visit.id == Job.visit_id)
        .where(
            Job.contract_id.in_(list(contract_ids)),
            Job.kind_of == "inspection",
            Visit.state != "dropped",
        )
        .order_by(Visit.planned_on.nulls_last(), Visit.arrived_at.nulls_last(), Visit.id)
    )
    rows = session.execute(query)
    return [InspectionRow(row[0] or 0, *row[1:]) for row in rows]


@dataclass(frozen=True, slots=True)
class ContractFound:
    """A contract as the find box shows it."""

    id: int
    number: int
    holder: str
    site_id: int | None
    address: str
    from_on: date
    until_on: date


def contracts(session: Session, contract_ids: Iterable[int]) -> dict[int, ContractFound]:
    """Contracts by key with their holder and the first site they cover."""
    query = (
        select(Contract, Customer.name, Site.id, Site.address)
        .join(Customer, Customer.id == Contract.holder_id)
        .outerjoin(ContractSystem, ContractSystem.contract_id == Contract.id)
        .outerjoin(System, System.id == ContractSystem.system_id)
        .outerjoin(Site, Site.id == System.site_id)
        .where(Contract.id.in_(list(contract_ids)))
        .order_by(Contract.id, ContractSystem.id)
    )
    found: dict[int, ContractFound] = {}
    for c, holder, site_id, address in session.execute(query):
        row = ContractFound(c.id, c.number, holder, site_id, address or "", c.from_on, c.until_on)
        found.setdefault(c.id, row)
    return found
