"""What renewals are reckoned from: contracts that end, and the visits of some years, kept short.

Everything over the fleet is asked in a fixed number of queries, whatever the number of sites.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import ColumnElement, func, or_, select
from sqlalchemy.orm import Session

from servicedesk.records.calls import Call
from servicedesk.records.company import Company, Technician
from servicedesk.records.contracts import Contract, ContractSystem
from servicedesk.records.part_cost_rows import ledger_costs
from servicedesk.records.parts import PartPrice
from servicedesk.records.people import Customer
from servicedesk.records.rounds import Round
from servicedesk.records.sites import Site, System
from servicedesk.records.visits import Job, PartLine, Visit


@dataclass(frozen=True, slots=True, kw_only=True)
class EndingRow:
    """A running contract that ends. `until_on` is excluded, `price_minor` is for a year."""

    id: int
    revision: int
    number: int
    own_number: str | None
    holder_id: int
    holder: str
    holder_address: str | None
    from_on: date
    until_on: date
    visits_a_year: int
    counting: str
    billing: str
    price_minor: int | None
    ended_on: date | None
    ended_why: str


def ending(session: Session, from_on: date, until_on: date) -> list[EndingRow]:
    """Running contracts whose day after the last lies within the span, soonest first."""
    return _standing(session, Contract.until_on >= from_on, Contract.until_on < until_on)


def running_on(session: Session, day: date) -> list[EndingRow]:
    """Contracts that run on a day, the one that ends first first."""
    return _standing(session, Contract.from_on <= day, Contract.until_on > day)


def _standing(session: Session, *which: ColumnElement[bool]) -> list[EndingRow]:
    names = [n for n in EndingRow.__dataclass_fields__ if n not in {"holder", "holder_address"}]
    query = (
        select(Contract, Customer.name, Customer.mail_address)
        .join(Customer, Customer.id == Contract.holder_id)
        .where(
            Contract.stage == "running",
            # what was broken off before its end is over, not ending
            or_(Contract.ended_on.is_(None), Contract.ended_on >= Contract.until_on),
            *which,
        )
        .order_by(Contract.until_on, Contract.number)
    )
    return [
        EndingRow(
            holder=holder, holder_address=mail, **{name: getattr(row, name) for name in names}
        )
        for row, holder, mail in session.execute(query)
    ]


@dataclass(frozen=True, slots=True)
class FollowerRow:
    """The contract that follows another one: drafted with a price, or running."""

    id: int
    revision: int
    follows_id: int
    number: int
    stage: str
    price_minor: int | None
    from_on: date
    until_on: date
    note: str


def followers(session: Session) -> dict[int, FollowerRow]:
    """The latest follower by the contract it follows; those broken off at once are none."""
    columns = (
        Contract.id, Contract.revision, Contract.follows_id, Contract.number, Contract.stage,
        Contract.price_minor, Contract.from_on, Contract.until_on, Contract.note,
    )  # fmt: skip
    query = (
        select(*columns)
        .where(
            Contract.follows_id.is_not(None),
            or_(Contract.ended_on.is_(None), Contract.ended_on > Contract.from_on),
        )
        .order_by(Contract.id)
    )
    found = (FollowerRow(**row) for row in session.execute(query).mappings())
    return {one.follows_id: one for one in found}


@dataclass(frozen=True, slots=True)
class CoverRow:
    """A system under a contract over a span of days (`until_on` excluded)."""

    system_id: int
    site_id: int
    contract_id: int
    from_on: date
    until_on: date
    follows_id: int | None
    is_over: bool  # broken off, or ended and followed by none is for the caller to see


def covers(session: Session, since: date) -> list[CoverRow]:
    """All running contracts that reach beyond `since`, by system and date."""
    query = (
        select(
            ContractSystem.system_id, System.site_id, Contract.id, Contract.from_on,
            Contract.until_on, Contract.ended_on, Contract.follows_id,
        )
        .join(Contract, Contract.id == ContractSystem.contract_id)
        .join(System, System.id == ContractSystem.system_id)
        .where(Contract.stage == "running", Contract.until_on > since)
        .order_by(ContractSystem.system_id, Contract.from_on, Contract.id)
    )  # fmt: skip
    return [
        CoverRow(
            row.system_id,
            row.site_id,
            row.id,
            row.from_on,
            row.until_on if row.ended_on is None else min(row.until_on, row.ended_on),
            row.follows_id,
            row.ended_on is not None,
        )
        for row in session.execute(query)
    ]


@dataclass(frozen=True, slots=True)
class PlaceRow:
    """A site: where it is and how it stands."""

    id: int
    address: str
    locality: str
    lat_deg: float | None
    lon_deg: float | None
    on_hold: bool
    ended_on: date | None


def places(session: Session) -> dict[int, PlaceRow]:
    """All sites by key."""
    query = select(
        Site.id, Site.address, Site.locality, Site.lat_deg, Site.lon_deg, Site.on_hold,
        Site.ended_on,
    )  # fmt: skip
    return {row.id: PlaceRow(*row) for row in session.execute(query)}


@dataclass(frozen=True, slots=True)
class DoneVisitRow:
    """A visit that took place, in the order of its day."""

    id: int
    site_id: int
    round_id: int | None
    technician_id: int | None
    on: date
    travel_min: int | None


def done_visits(session: Session, since: datetime) -> list[DoneVisitRow]:
    """Visits made since an instant, as they came."""
    columns = (
        Visit.id, Visit.site_id, Visit.round_id, Visit.technician_id, Visit.planned_on,
        Visit.arrived_at, Visit.travel_min,
    )  # fmt: skip
    query = (
        select(*columns)
        .where(Visit.state == "done", Visit.arrived_at.is_not(None), Visit.arrived_at >= since)
        .order_by(Visit.arrived_at, Visit.id)
    )
    return [
        DoneVisitRow(
            row.id,
            row.site_id,
            row.round_id,
            row.technician_id,
            row.planned_on or row.arrived_at.date(),
            row.travel_min,
        )
        for row in session.execute(query)
    ]


@dataclass(frozen=True, slots=True)
class JobRow:
    """A job of a visit that took place."""

    id: int
    visit_id: int
    kind_of: str
    system_id: int | None
    contract_id: int | None
    outcome: str | None
    minutes: int | None
    is_billed: bool
    is_event: bool


def jobs(session: Session, since: datetime) -> list[JobRow]:
    """Jobs of the visits made since an instant; firms' work left out, it has its own bill."""
    query = (
        select(
            Job.id, Job.visit_id, Job.kind_of, Job.system_id, Job.contract_id, Job.outcome,
            Job.minutes, Job.billing, Call.event_id,
        )
        .join(Visit, Visit.id == Job.visit_id)
        .outerjoin(Call, Call.id == Job.call_id)
        .where(
            Visit.state == "done",
            Visit.arrived_at.is_not(None),
            Visit.arrived_at >= since,
            Job.firm_id.is_(None),
        )
        .order_by(Job.id)
    )  # fmt: skip
    return [
        JobRow(*row[:7], row.billing == "billable", row.event_id is not None)
        for row in session.execute(query)
    ]


@dataclass(frozen=True, slots=True)
class PartUsedRow:
    """A part used at a visit and not billed. `cost_minor` each then; None: not known."""

    visit_id: int
    job_id: int | None
    quantity: int
    cost_minor: int | None


def parts_used(session: Session, since: datetime) -> list[PartUsedRow]:
    """Parts that the company bore itself at the visits made since an instant.

    At the ledger's cost where the use was written there, else the catalogue's of that day: as the
    figures of Shelf count them.
    """
    moves = ledger_costs(session)
    query = (
        select(
            PartLine.visit_id, PartLine.job_id, PartLine.quantity, PartLine.part_id,
            Visit.planned_on, Visit.arrived_at, moves.c.c,
        )
        .join(Visit, Visit.id == PartLine.visit_id)
        .outerjoin(moves, (moves.c.visit_id == Visit.id) & (moves.c.part_id == PartLine.part_id))
        .where(
            Visit.state == "done",
            Visit.arrived_at.is_not(None),
            Visit.arrived_at >= since,
            PartLine.billing.not_in(["billable", "warranty"]),
        )
        .order_by(PartLine.id)
    )  # fmt: skip
    prices = _prices(session)
    return [
        PartUsedRow(
            row.visit_id,
            row.job_id,
            row.quantity,
            _cost(prices.get(row.part_id, []), row.planned_on or row.arrived_at.date())
            if row.c is None
            else row.c,
        )
        for row in session.execute(query)
    ]


def _prices(session: Session) -> Mapping[int | None, list[tuple[date, int]]]:
    found: dict[int | None, list[tuple[date, int]]] = {}
    query = (
        select(PartPrice.part_id, PartPrice.from_on, PartPrice.cost_minor)
        .where(PartPrice.cost_minor.is_not(None))
        .order_by(PartPrice.from_on, PartPrice.id)
    )
    for part_id, from_on, cost in session.execute(query):
        found.setdefault(part_id, []).append((from_on, cost or 0))
    return found


def _cost(prices: Iterable[tuple[date, int]], on: date) -> int | None:
    known = [cost for from_on, cost in prices if from_on <= on]
    return known[-1] if known else None


@dataclass(frozen=True, slots=True)
class BaseRow:
    """Where a technician's day begins, None: at the office."""

    id: int
    lat_deg: float | None
    lon_deg: float | None


def bases(session: Session) -> dict[int, BaseRow]:
    """Technicians who begin at home, by key."""
    query = select(Technician.id, Technician.home_lat_deg, Technician.home_lon_deg).where(
        Technician.base == "home"
    )
    return {row.id: BaseRow(*row) for row in session.execute(query)}


def rounds(session: Session, since: date) -> dict[int, tuple[int, int | None]]:
    """Who led each round since a day, and its whole road in minutes where it is written."""
    query = select(Round.id, Round.lead_id, Round.road_min).where(Round.day >= since)
    return {row.id: (row.lead_id, row.road_min) for row in session.execute(query)}


def open_calls(session: Session) -> dict[int, int]:
    """Calls that wait, counted by site."""
    query = (
        select(Call.site_id, func.count())
        .where(Call.state == "open", Call.site_id.is_not(None))
        .group_by(Call.site_id)
    )
    return {site_id: n for site_id, n in session.execute(query) if site_id is not None}


def price_policy(session: Session) -> dict[str, Any]:
    """The company's own figures for pricing, as written."""
    company = session.scalars(select(Company).order_by(Company.id).limit(1)).first()
    return dict(company.price_policy or {}) if company else {}


@dataclass(frozen=True, slots=True)
class TextsRow:
    """Letters in the company's own wording, by the id of the letter."""

    company_id: int
    revision: int
    texts: Mapping[str, Any]


def company_texts(session: Session) -> TextsRow | None:
    """The company's own wording; None where there is no company yet."""
    company = session.scalars(select(Company).order_by(Company.id).limit(1)).first()
    if company is None:
        return None
    return TextsRow(company.id, company.revision, dict(company.texts or {}))
