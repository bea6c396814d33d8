"""Contracts of a site through their whole life: who holds them, what they cover, what follows."""

from dataclasses import dataclass
from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Session

from servicedesk.records.contracts import Contract, ContractSystem
from servicedesk.records.people import Customer, Firm, SiteRole
from servicedesk.records.sites import Site, System


@dataclass(frozen=True, slots=True, kw_only=True)
class ContractLifeRow:
    """A contract that covers a system of a site; `until_on` is excluded, the price for a year.

    `system_ids` are those of this site; `elsewhere` says whether it covers others too.
    """

    id: int
    revision: int
    number: int
    own_number: str | None
    holder_id: int
    holder: str
    from_on: date
    until_on: date
    stage: str
    is_first_policy: bool
    visits_a_year: int
    counting: str
    tolerance_days: int
    longest_gap_months: int | None
    response_hours: int | None
    approval_limit_minor: int | None
    price_minor: int | None
    billing: str
    copy_sent_on: date | None
    follows_id: int | None
    ended_on: date | None
    ended_why: str
    note: str
    taken_from: str
    handed_to: str
    system_ids: tuple[int, ...] = ()
    elsewhere: bool = False

    @property
    def effective_until_on(self) -> date:
        """The first day that it no longer covers."""
        return self.until_on if self.ended_on is None else min(self.until_on, self.ended_on)


_JOINED = {"holder", "taken_from", "handed_to", "system_ids", "elsewhere"}


def contracts_at(session: Session, site_id: int) -> list[ContractLifeRow]:
    """Contracts over systems of a site, drafts too, by their first day."""
    here = select(System.id).where(System.site_id == site_id)
    ids = select(ContractSystem.contract_id).where(ContractSystem.system_id.in_(here))
    covered: dict[int, list[tuple[int, int]]] = {}
    systems = (
        select(ContractSystem.contract_id, System.id, System.site_id)
        .join(System, System.id == ContractSystem.system_id)
        .where(ContractSystem.contract_id.in_(ids))
        .order_by(System.id)
    )
    for contract_id, system_id, where in session.execute(systems):
        covered.setdefault(contract_id, []).append((system_id, where))
    firms = {firm.id: firm.name for firm in session.scalars(select(Firm))}
    query = (
        select(Contract, Customer.name)
        .join(Customer, Customer.id == Contract.holder_id)
        .where(Contract.id.in_(ids))
        .order_by(Contract.from_on, Contract.id)
    )
    names = [name for name in ContractLifeRow.__dataclass_fields__ if name not in _JOINED]
    return [
        ContractLifeRow(
            **{name: getattr(contract, name) for name in names},
            holder=holder,
            taken_from=firms.get(contract.taken_from_id or 0, ""),
            handed_to=firms.get(contract.handed_to_id or 0, ""),
            system_ids=tuple(key for key, where in covered[contract.id] if where == site_id),
            elsewhere=any(where != site_id for _, where in covered[contract.id]),
        )
        for contract, holder in session.execute(query)
    ]


@dataclass(frozen=True, slots=True)
class StandingSystem:
    """A system at a site as a contract names it."""

    id: int
    label: str
    permit: str
    rule_id: str | None
    started_on: date | None
    ended_on: date | None


def systems_at(session: Session, site_id: int) -> list[StandingSystem]:
    """The systems of a site, those out of service too, by key."""
    query = select(System).where(System.site_id == site_id).order_by(System.id)
    return [
        StandingSystem(
            one.id, one.label or "", one.permit or "", one.rule_id, one.started_on, one.ended_on
        )
        for one in session.scalars(query)
    ]


def owners_on(session: Session, site_id: int, day: date) -> list[SiteRole]:
    """Owner roles at a site that hold on a day, the oldest first: rows of this session."""
    return [one for one in roles_on(session, site_id, day) if one.role == "owner"]


def roles_on(session: Session, site_id: int, day: date) -> list[SiteRole]:
    """Roles at a site that hold on a day, by key: rows of this session."""
    query = select(SiteRole).where(SiteRole.site_id == site_id).order_by(SiteRole.id)
    return [
        one
        for one in session.scalars(query)
        if (one.from_on is None or one.from_on <= day)
        and (one.until_on is None or day < one.until_on)
    ]


def firm_ids_named(session: Session, name: str) -> list[int]:
    """Firms we work with whose name is this, case aside."""
    wanted = name.strip().casefold()
    query = select(Firm.id, Firm.name).where(Firm.ended_on.is_(None)).order_by(Firm.id)
    return [key for key, known in session.execute(query) if known.strip().casefold() == wanted]


def address_at(session: Session, site_id: int) -> str | None:
    """The address of a site, None where there is no such site."""
    return session.scalar(select(Site.address).where(Site.id == site_id))


def site_ids_of_contract(session: Session, contract_id: int) -> list[int]:
    """The sites whose systems a contract covers, by key."""
    query = (
        select(System.site_id)
        .join(ContractSystem, ContractSystem.system_id == System.id)
        .where(ContractSystem.contract_id == contract_id)
        .distinct()
        .order_by(System.site_id)
    )
    return list(session.scalars(query))
