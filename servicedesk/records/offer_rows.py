"""Offers of a next contract that left the house, and what became of them."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session, aliased

from servicedesk.records.contracts import Contract, ContractSystem
from servicedesk.records.papers_sent import PaperSent
from servicedesk.records.people import Customer
from servicedesk.records.planning_rows import batches
from servicedesk.records.sites import Site, System


@dataclass(frozen=True, slots=True)
class OfferRow:
    """One letter about a contract that ends: an offer, or a reminder of one."""

    paper_id: int
    contract_id: int
    number: int | None
    kind_of: str
    how: str
    to_whom: str | None
    sent_at: datetime


def offers(session: Session, kinds: Iterable[str]) -> list[OfferRow]:
    """Letters of these kinds about contracts, in the order in which they left."""
    query = (
        select(
            PaperSent.id.label("paper_id"), PaperSent.contract_id, PaperSent.number,
            PaperSent.kind_of, PaperSent.how, PaperSent.to_whom, PaperSent.sent_at,
        )
        .where(PaperSent.kind_of.in_(list(kinds)), PaperSent.contract_id.is_not(None))
        .order_by(PaperSent.sent_at, PaperSent.id)
    )  # fmt: skip
    return [OfferRow(**row) for row in session.execute(query).mappings()]


def first_systems(session: Session, contract_ids: Iterable[int]) -> dict[int, int]:
    """One system of each contract: that of the least key."""
    found: dict[int, int] = {}
    for some in batches(sorted(contract_ids)):
        query = (
            select(ContractSystem.contract_id, ContractSystem.system_id)
            .where(ContractSystem.contract_id.in_(some))
            .order_by(ContractSystem.system_id)
        )
        for contract_id, system_id in session.execute(query):
            found.setdefault(contract_id, system_id)
    return found


def holders_mail(session: Session, contract_ids: Iterable[int]) -> dict[int, str]:
    """E-mail address of who holds each contract; left out where none is known."""
    found: dict[int, str] = {}
    for some in batches(sorted(contract_ids)):
        query = (
            select(Contract.id, Customer.email)
            .join(Customer, Customer.id == Contract.holder_id)
            .where(Contract.id.in_(some))
        )
        found |= {key: email for key, email in session.execute(query) if email}
    return found


@dataclass(frozen=True, slots=True)
class OpenOffer:
    """A contract that was offered to go on, that runs out and is followed by none yet."""

    contract_id: int
    number: int
    site_id: int
    address: str
    locality: str
    holder: str


def unanswered(session: Session, contract_ids: Iterable[int]) -> dict[int, OpenOffer]:
    """Those of the contracts that are neither followed by a running one nor written as ending."""
    after = aliased(Contract)
    found: dict[int, OpenOffer] = {}
    for some in batches(sorted(contract_ids)):
        query = (
            select(
                Contract.id, Contract.number, Site.id, Site.address, Site.locality, Customer.name
            )
            .join(Customer, Customer.id == Contract.holder_id)
            .join(ContractSystem, ContractSystem.contract_id == Contract.id)
            .join(System, System.id == ContractSystem.system_id)
            .join(Site, Site.id == System.site_id)
            .outerjoin(after, (after.follows_id == Contract.id) & (after.stage == "running"))
            .where(Contract.id.in_(some), Contract.ended_on.is_(None), after.id.is_(None))
            .order_by(ContractSystem.system_id)
        )
        for row in session.execute(query):
            found.setdefault(row[0], OpenOffer(*row))  # type: ignore[arg-type]
    return found
