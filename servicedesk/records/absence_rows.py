"""What hangs on one technician: keys, sites that want them, days on call."""

from dataclasses import dataclass
from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Session

from servicedesk.records.company import OnCall, Technician
from servicedesk.records.rounds import Round
from servicedesk.records.sites import Site, SiteKey


@dataclass(frozen=True, slots=True)
class KeyHeld:
    """A key of a site that a technician carries."""

    address: str
    label: str


def technician(session: Session, technician_id: int) -> Technician | None:
    """One technician by key."""
    return session.get(Technician, technician_id)


def days_of_rounds(
    session: Session, technician_id: int, first: date, until: date | None
) -> list[date]:
    """The days from `first` until `until` (excluded, None: all) with a round they lead."""
    query = select(Round.day).where(Round.lead_id == technician_id, Round.day >= first)
    if until is not None:
        query = query.where(Round.day < until)
    return sorted(set(session.scalars(query.where(Round.state != "done"))))


def keys_held(session: Session, technician_id: int) -> list[KeyHeld]:
    """Keys they carry, by address."""
    query = (
        select(Site.address, SiteKey.label)
        .join(SiteKey, SiteKey.site_id == Site.id)
        .where(SiteKey.technician_id == technician_id, SiteKey.returned_on.is_(None))
        .order_by(Site.address, SiteKey.id)
    )
    return [KeyHeld(row.address, row.label) for row in session.execute(query)]


def wanted_at(session: Session, technician_id: int) -> list[str]:
    """Addresses of the sites that want them, in order."""
    query = select(Site.address).where(
        Site.wanted_technician_id == technician_id, Site.ended_on.is_(None)
    )
    return list(session.scalars(query.order_by(Site.address)))


def on_call_from(session: Session, technician_id: int, first: date) -> list[tuple[date, date]]:
    """Spans on call that end after `first` (until excluded)."""
    query = select(OnCall.from_on, OnCall.until_on).where(
        OnCall.technician_id == technician_id, OnCall.until_on > first
    )
    return [(row.from_on, row.until_on) for row in session.execute(query.order_by(OnCall.from_on))]
