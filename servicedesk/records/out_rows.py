"""What a site is called outside the house: its uid and the permits of its systems."""

from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session

from servicedesk.records.sites import Site, System


@dataclass(frozen=True, slots=True)
class SiteMark:
    """The uid never changes; permits in the order of the systems, without empty ones."""

    uid: str
    permits: tuple[str, ...]


def site_marks(session: Session) -> dict[int, SiteMark]:
    """Marks of all sites that have not ended, by key (two queries)."""
    permits: dict[int, list[str]] = {}
    systems = select(System.site_id, System.permit).where(System.ended_on.is_(None))
    for site_id, permit in session.execute(systems.order_by(System.id)):
        if permit:
            permits.setdefault(site_id, []).append(permit)
    sites = select(Site.id, Site.uid).where(Site.ended_on.is_(None))
    return {
        site_id: SiteMark(uid, tuple(permits.get(site_id, ())))
        for site_id, uid in session.execute(sites)
    }
