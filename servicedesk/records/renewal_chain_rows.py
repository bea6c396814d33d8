"""What a next contract must know: which systems, what follows already, who else covers them."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Session

from servicedesk.records.contracts import Contract, ContractSystem
from servicedesk.records.planning_rows import batches
from servicedesk.records.sites import Site, System


@dataclass(frozen=True, slots=True)
class CoveredSystemRow:
    """A system under a contract, and where it stands."""

    system_id: int
    address: str
    ended_on: date | None


def systems_under(session: Session, contract_id: int) -> list[CoveredSystemRow]:
    """The systems that a contract covers."""
    query = (
        select(System.id, Site.address, System.ended_on)
        .join(ContractSystem, ContractSystem.system_id == System.id)
        .join(Site, Site.id == System.site_id)
        .where(ContractSystem.contract_id == contract_id)
        .order_by(ContractSystem.id)
    )
    return [CoveredSystemRow(*row) for row in session.execute(query)]


def follower_ids(session: Session, contract_id: int) -> list[int]:
    """Contracts that follow this one and were not broken off, the latest last."""
    query = (
        select(Contract.id)
        .where(Contract.follows_id == contract_id, Contract.ended_on.is_(None))
        .order_by(Contract.id)
    )
    return list(session.scalars(query))


@dataclass(frozen=True, slots=True)
class SpanRow:
    """A running contract over some of the same systems; `until_on` is excluded."""

    id: int
    number: int
    from_on: date
    until_on: date


def running_over(session: Session, system_ids: Iterable[int]) -> list[SpanRow]:
    """Running contracts that cover any of these systems, by date."""
    found: dict[int, SpanRow] = {}
    for some in batches(sorted(system_ids)):
        query = (
            select(Contract)
            .join(ContractSystem, ContractSystem.contract_id == Contract.id)
            .where(ContractSystem.system_id.in_(some), Contract.stage == "running")
        )
        for row in session.scalars(query):
            until = row.until_on if row.ended_on is None else min(row.until_on, row.ended_on)
            found[row.id] = SpanRow(row.id, row.number, row.from_on, until)
    return sorted(found.values(), key=lambda one: (one.from_on, one.id))
