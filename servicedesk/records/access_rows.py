"""Questions about getting in: keys we hold, days that are closed, codes."""

from dataclasses import dataclass
from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Session

from servicedesk.records.company import Technician
from servicedesk.records.sites import ClosedSpan, SiteKey, SiteSecret


@dataclass(frozen=True, slots=True)
class KeyHeld:
    """A key of the site that we hold, and who has it (empty: the office)."""

    id: int
    label: str
    holder: str


def keys_held(session: Session, site_id: int) -> tuple[KeyHeld, ...]:
    """Keys of a site that we hold."""
    query = (
        select(SiteKey.id, SiteKey.label, Technician.name)
        .outerjoin(Technician, Technician.id == SiteKey.technician_id)
        .where(SiteKey.site_id == site_id, SiteKey.returned_on.is_(None))
        .order_by(SiteKey.id)
    )
    return tuple(KeyHeld(row[0], row[1], row[2] or "") for row in session.execute(query))


@dataclass(frozen=True, slots=True)
class Closed:
    """Days on which a site cannot be visited; `until_on` is excluded."""

    id: int
    from_on: date
    until_on: date
    every_year: bool
    why: str


def closed_spans(session: Session, site_id: int) -> tuple[Closed, ...]:
    """Closed spans of a site."""
    query = select(ClosedSpan).where(ClosedSpan.site_id == site_id).order_by(ClosedSpan.from_on)
    return tuple(
        Closed(c.id, c.from_on, c.until_on, c.every_year, c.why) for c in session.scalars(query)
    )


def secret_kinds(session: Session, site_id: int) -> tuple[str, ...]:
    """Which secrets a site has: gate, alarm, key. Not their values."""
    query = select(SiteSecret.what).where(SiteSecret.site_id == site_id).order_by(SiteSecret.id)
    return tuple(session.scalars(query))


def secrets_of(session: Session, site_id: int) -> tuple[tuple[int, str, str], ...]:
    """The codes of a site: key, what, value. Only for eyes that asked for them."""
    query = select(SiteSecret).where(SiteSecret.site_id == site_id).order_by(SiteSecret.id)
    return tuple((s.id, s.what, s.value) for s in session.scalars(query))
