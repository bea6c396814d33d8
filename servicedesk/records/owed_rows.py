"""Questions about what is owed."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from servicedesk.records.owed import Owed
from servicedesk.records.sites import Site


@dataclass(frozen=True, slots=True, kw_only=True)
class OwedRow:
    """Work owed at a site, with the site's address."""

    id: int
    revision: int
    site_id: int
    address: str
    locality: str
    unit_id: int | None
    visit_id: int | None
    since_on: date
    what: str
    workaround: str
    needs: str
    by_on: date | None
    debtor: str
    waits_for: str
    estimate_minor: int | None
    estimate_sent_on: date | None
    answer: str
    answered_by: str
    answered_how: str
    state: str
    settled_on: date | None
    minutes: int | None


def owed(
    session: Session,
    *,
    site_ids: Iterable[int] | None = None,
    states: Iterable[str] = ("open",),
    limit: int | None = None,
) -> list[OwedRow]:
    """What is owed, the soonest last day first, then the oldest. All sites if none are given."""
    query = (
        select(Owed, Site.address, Site.locality)
        .join(Site, Site.id == Owed.site_id)
        .where(Owed.state.in_(list(states)))
        .order_by(Owed.by_on.nulls_last(), Owed.since_on, Owed.id)
    )
    if site_ids is not None:
        query = query.where(Owed.site_id.in_(list(site_ids)))
    if limit is not None:
        query = query.limit(limit)
    return [_row(o, address, locality) for o, address, locality in session.execute(query)]


def _row(record: Owed, address: str, locality: str) -> OwedRow:
    names = set(OwedRow.__dataclass_fields__) - {"address", "locality"}
    values = {name: getattr(record, name) for name in names}
    return OwedRow(address=address, locality=locality, **values)


def open_counts(session: Session, site_ids: Iterable[int]) -> dict[int, int]:
    """How much is open at each site; sites with nothing open are left out."""
    query = (
        select(Owed.site_id, func.count(Owed.id))
        .where(Owed.site_id.in_(list(site_ids)), Owed.state == "open")
        .group_by(Owed.site_id)
    )
    return {row[0]: row[1] for row in session.execute(query)}


def last_settled(session: Session) -> OwedRow | None:
    """What was settled last."""
    query = (
        select(Owed, Site.address, Site.locality)
        .join(Site, Site.id == Owed.site_id)
        .where(Owed.state == "settled", Owed.settled_on.is_not(None))
        .order_by(Owed.settled_on.desc(), Owed.id.desc())
        .limit(1)
    )
    row = session.execute(query).first()
    return _row(*row) if row else None


def owed_of(session: Session, owed_id: int) -> OwedRow | None:
    """One thing owed, None if it is not there."""
    query = select(Owed, Site.address, Site.locality).join(Site, Site.id == Owed.site_id)
    row = session.execute(query.where(Owed.id == owed_id)).first()
    return _row(*row) if row else None
