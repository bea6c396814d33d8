"""What can be billed, and what became of it: contracts, jobs, parts, trips, stored lines."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import ColumnElement, exists, func, or_, select
from sqlalchemy.orm import Session

from servicedesk.records.alike import BY_AND_BY, alike
from servicedesk.records.changes import Change
from servicedesk.records.company import Company
from servicedesk.records.contracts import Contract, ContractSystem
from servicedesk.records.papers_sent import BillLine
from servicedesk.records.parts import PartPrice
from servicedesk.records.people import Customer, SiteRole
from servicedesk.records.planning_rows import batches
from servicedesk.records.sites import Site, System
from servicedesk.records.visits import Job, PartLine, Visit

DONE = ("done", "partly")


@dataclass(frozen=True, slots=True, kw_only=True)
class BillRow:
    """A stored line with the names around it; amounts in minor units."""

    id: int
    revision: int
    site_id: int
    address: str
    customer_id: int | None
    customer: str
    contract_id: int | None
    job_id: int | None
    visit_id: int | None
    part_line_id: int | None
    kind_of: str
    text: str
    amount_minor: int
    since_on: date
    state: str
    bill_number: str
    billed_on: date | None
    paid_on: date | None
    waived_why: str


_NAMED = {"address", "customer"}


def stored(session: Session, *, site_id: int | None = None) -> list[BillRow]:
    """All stored lines, of one site if one is named, by day and key."""
    names = [name for name in BillRow.__dataclass_fields__ if name not in _NAMED]
    query = (
        select(
            *(getattr(BillLine, name) for name in names),
            Site.address,
            func.coalesce(Customer.name, "").label("customer"),
        )
        .join(Site, Site.id == BillLine.site_id)
        .outerjoin(Customer, Customer.id == BillLine.customer_id)
        .order_by(BillLine.since_on, BillLine.id)
    )
    if site_id is not None:
        query = query.where(BillLine.site_id == site_id)
    same = alike()
    return [
        BillRow(**{name: same(value) for name, value in row._mapping.items()})
        for row in session.execute(query, execution_options=BY_AND_BY)
    ]


@dataclass(frozen=True, slots=True, kw_only=True)
class BillableJob:
    """A job that the customer pays for; `price_minor` None: nobody said how much."""

    job_id: int
    visit_id: int
    site_id: int
    address: str
    kind: str
    ordinal: int | None
    arrived_at: datetime
    price_minor: int | None


def billable_jobs(session: Session, since_at: datetime) -> list[BillableJob]:
    """Billable jobs done since an instant, by day."""
    query = (
        select(
            Job.id.label("job_id"),
            Job.visit_id,
            Visit.site_id,
            Site.address,
            Job.kind_of.label("kind"),
            Job.ordinal,
            Visit.arrived_at,
            Job.price_minor,
        )
        .join(Visit, Visit.id == Job.visit_id)
        .join(Site, Site.id == Visit.site_id)
        .where(
            Job.billing == "billable",
            Job.outcome.in_(DONE),
            Visit.state == "done",
            Visit.arrived_at >= since_at,
        )
        .order_by(Visit.arrived_at, Job.id)
    )
    return [BillableJob(**row._mapping) for row in session.execute(query)]


@dataclass(frozen=True, slots=True, kw_only=True)
class BillablePart:
    """A part used that the customer pays for. `price_minor` is of one, set by hand."""

    part_line_id: int
    visit_id: int
    site_id: int
    address: str
    text: str
    quantity: int
    part_id: int | None
    price_minor: int | None
    arrived_at: datetime


def billable_parts(session: Session, since_at: datetime) -> list[BillablePart]:
    """Billable parts of visits done since an instant, by day."""
    query = (
        select(
            PartLine.id.label("part_line_id"),
            PartLine.visit_id,
            Visit.site_id,
            Site.address,
            PartLine.text,
            PartLine.quantity,
            PartLine.part_id,
            PartLine.price_minor,
            Visit.arrived_at,
        )
        .join(Visit, Visit.id == PartLine.visit_id)
        .join(Site, Site.id == Visit.site_id)
        .where(
            PartLine.billing == "billable",
            PartLine.quantity > 0,
            Visit.state == "done",
            Visit.arrived_at >= since_at,
        )
        .order_by(Visit.arrived_at, PartLine.id)
    )
    return [BillablePart(**row._mapping) for row in session.execute(query)]


def part_prices(session: Session, part_ids: Iterable[int]) -> dict[int, list[tuple[date, int]]]:
    """Prices of parts by the day from which they hold, oldest first."""
    found: dict[int, list[tuple[date, int]]] = {}
    for some in batches(sorted(set(part_ids))):
        query = (
            select(PartPrice.part_id, PartPrice.from_on, PartPrice.price_minor)
            .where(PartPrice.part_id.in_(some), PartPrice.price_minor.is_not(None))
            .order_by(PartPrice.from_on, PartPrice.id)
        )
        for part_id, from_on, price in session.execute(query):
            if price is not None:
                found.setdefault(part_id, []).append((from_on, price))
    return found


@dataclass(frozen=True, slots=True, kw_only=True)
class TriedJob:
    """A job of a visit that took place, and how it ended."""

    visit_id: int
    site_id: int
    address: str
    outcome: str | None
    could_not: str
    arrived_at: datetime


def jobs_of_vain_visits(session: Session, since_at: datetime) -> list[TriedJob]:
    """All jobs of visits at which something could not be done, since an instant, by visit."""
    vain = select(Job.visit_id).where(Job.outcome == "could not")
    query = (
        select(
            Job.visit_id,
            Visit.site_id,
            Site.address,
            Job.outcome,
            Job.could_not,
            Visit.arrived_at,
        )
        .join(Visit, Visit.id == Job.visit_id)
        .join(Site, Site.id == Visit.site_id)
        .where(
            Visit.id.in_(vain),
            Visit.state == "done",
            Visit.arrived_at >= since_at,
        )
        .order_by(Visit.arrived_at, Visit.id, Job.id)
    )
    return [TriedJob(**row._mapping) for row in session.execute(query)]


@dataclass(frozen=True, slots=True, kw_only=True)
class PricedContract:
    """A signed contract with a price a year; `until_on` and `ended_on` are excluded."""

    contract_id: int
    number: int
    site_id: int
    address: str
    holder_id: int
    holder: str
    from_on: date
    until_on: date
    ended_on: date | None
    price_minor: int


def priced_contracts(session: Session, since_on: date) -> list[PricedContract]:
    """Signed contracts that run after a day, each once, at the first site they cover."""
    query = (
        select(Contract, Customer.name, Site.id, Site.address)
        .join(Customer, Customer.id == Contract.holder_id)
        .join(ContractSystem, ContractSystem.contract_id == Contract.id)
        .join(System, System.id == ContractSystem.system_id)
        .join(Site, Site.id == System.site_id)
        .where(
            Contract.stage == "running",
            Contract.price_minor > 0,
            Contract.until_on > since_on,
            or_(Contract.ended_on.is_(None), Contract.ended_on > Contract.from_on),
        )
        .order_by(Contract.from_on, Contract.id, ContractSystem.id)
    )
    found: dict[int, PricedContract] = {}
    for one, holder, site_id, address in session.execute(query):
        found.setdefault(
            one.id,
            PricedContract(
                contract_id=one.id, number=one.number, site_id=site_id, address=address,
                holder_id=one.holder_id, holder=holder, from_on=one.from_on,
                until_on=one.until_on, ended_on=one.ended_on, price_minor=one.price_minor or 0,
            ),
        )  # fmt: skip
    return list(found.values())


@dataclass(frozen=True, slots=True)
class Payer:
    """Somebody with a role at a site, from/until (excluded); None is open."""

    site_id: int
    customer_id: int
    name: str
    role: str
    from_on: date | None
    until_on: date | None

    def holds(self, day: date) -> bool:
        """Does the role hold on `day`?"""
        begun = self.from_on is None or self.from_on <= day
        return begun and (self.until_on is None or day < self.until_on)


def payers(session: Session, site_ids: Iterable[int]) -> dict[int, list[Payer]]:
    """Whoever pays or owns at these sites, over time; who pays comes first."""
    found: dict[int, list[Payer]] = {}
    for some in batches(sorted(set(site_ids))):
        query = (
            select(SiteRole, Customer.name)
            .join(Customer, Customer.id == SiteRole.customer_id)
            .where(SiteRole.site_id.in_(some), SiteRole.role.in_(("pays", "owner")))
            .order_by(SiteRole.role.desc(), SiteRole.id)
        )
        for role, name in session.execute(query):
            one = Payer(
                role.site_id, role.customer_id, name, role.role, role.from_on, role.until_on
            )
            found.setdefault(role.site_id, []).append(one)
    return found


def first_change_at(session: Session) -> datetime | None:
    """When the first change was written into this store."""
    return session.scalar(select(func.min(Change.at)))


def unpaid_limit(session: Session) -> int | None:
    """Unpaid beyond this, a site is on hold; None: no limit."""
    return session.scalar(select(Company.unpaid_limit_minor).order_by(Company.id).limit(1))


def sites_with_bills(session: Session) -> list[int]:
    """Sites of which a bill is out and not paid."""
    query = select(BillLine.site_id).where(BillLine.state == "billed").distinct()
    return sorted(session.scalars(query))


def unpaid_by_site(session: Session, site_ids: Iterable[int], today: date) -> dict[int, int]:
    """What is billed and not paid by site, in minor units.

    Bills of somebody who has no role there and holds no contract there any more (the seller of a
    house) do not count.
    """
    found: dict[int, int] = {}
    here = or_(BillLine.customer_id.is_(None), _has_role(today), _holds_contract(today))
    for some in batches(sorted(set(site_ids))):
        query = (
            select(BillLine.site_id, func.sum(BillLine.amount_minor))
            .where(
                BillLine.site_id.in_(some),
                BillLine.state == "billed",
                here,
            )
            .group_by(BillLine.site_id)
        )
        found |= {site_id: int(total) for site_id, total in session.execute(query)}
    return found


def _has_role(today: date) -> ColumnElement[bool]:
    """Is the customer of a line somebody at its site today?"""
    return exists().where(
        SiteRole.site_id == BillLine.site_id,
        SiteRole.customer_id == BillLine.customer_id,
        or_(SiteRole.from_on.is_(None), SiteRole.from_on <= today),
        or_(SiteRole.until_on.is_(None), SiteRole.until_on > today),
    )


def _holds_contract(today: date) -> ColumnElement[bool]:
    """Does the customer of a line hold a contract over its site that was not broken off?"""
    return exists().where(
        ContractSystem.contract_id == Contract.id,
        ContractSystem.system_id == System.id,
        System.site_id == BillLine.site_id,
        Contract.holder_id == BillLine.customer_id,
        Contract.stage == "running",
        or_(Contract.ended_on.is_(None), Contract.ended_on > today),
    )
