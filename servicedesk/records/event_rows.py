"""Questions about events and the calls that belong to them."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from servicedesk.records.calls import Call, Event
from servicedesk.records.sites import Site
from servicedesk.records.told import Told
from servicedesk.records.visits import Finding


@dataclass(frozen=True, slots=True, kw_only=True)
class EventRow:
    """An event. No `localities`: everywhere. `until_at` None: it runs."""

    id: int
    revision: int
    what: str
    name: str
    localities: tuple[str, ...]
    from_at: datetime
    until_at: datetime | None

    def covers(self, locality: str) -> bool:
        """Does its area hold this village?"""
        return not self.localities or locality.casefold() in {
            one.casefold() for one in self.localities
        }


def _row(event: Event) -> EventRow:
    return EventRow(
        id=event.id,
        revision=event.revision,
        what=event.what,
        name=event.name,
        localities=tuple(event.localities or ()),
        from_at=event.from_at,
        until_at=event.until_at,
    )


def running(session: Session) -> list[EventRow]:
    """Events that run, the latest begun first."""
    query = select(Event).where(Event.until_at.is_(None))
    return [_row(one) for one in session.scalars(query.order_by(Event.from_at.desc(), Event.id))]


def event(session: Session, event_id: int) -> EventRow | None:
    """One event, None if it is not there."""
    found = session.get(Event, event_id)
    return None if found is None else _row(found)


@dataclass(frozen=True, slots=True)
class SiteCall:
    """A call of a site, as the rule of a day later sees it."""

    call_id: int
    site_id: int
    called_at: datetime
    event_id: int | None
    address: str
    state: str


def calls_of_sites_in(session: Session, event_id: int) -> list[SiteCall]:
    """All calls, dropped ones left out, of the sites that called in this event; by time."""
    in_it = select(Call.site_id).where(Call.event_id == event_id, Call.site_id.is_not(None))
    query = (
        select(Call.id, Call.site_id, Call.called_at, Call.event_id, Site.address, Call.state)
        .join(Site, Site.id == Call.site_id)
        .where(Call.site_id.in_(in_it), Call.state != "dropped")
        .order_by(Call.called_at, Call.id)
    )
    return [
        SiteCall(call_id, site_id or 0, called_at, in_event, address, state)  # never 0: joined
        for call_id, site_id, called_at, in_event, address, state in session.execute(query)
    ]


def first_call_in(session: Session, event_id: int, site_id: int) -> datetime | None:
    """When a site first called in an event, None if it did not."""
    query = select(func.min(Call.called_at)).where(
        Call.event_id == event_id, Call.site_id == site_id, Call.state != "dropped"
    )
    return session.scalar(query)


def calls_without_event(session: Session, since: datetime) -> list[tuple[int, str | None]]:
    """Open calls since an instant that belong to no event: key and village (None: no site)."""
    query = (
        select(Call.id, Site.locality)
        .outerjoin(Site, Site.id == Call.site_id)
        .where(Call.event_id.is_(None), Call.called_at >= since, Call.state == "open")
        .order_by(Call.id)
    )
    return [(row[0], row[1]) for row in session.execute(query)]


def count_of_calls(session: Session, event_id: int) -> int:
    """How many calls belong to an event."""
    query = select(func.count(Call.id)).where(Call.event_id == event_id)
    return session.scalar(query) or 0


def told_at(session: Session, call_ids: Iterable[int]) -> dict[int, datetime]:
    """When the caller was last told something about a call, by call."""
    query = (
        select(Told.call_id, func.max(Told.told_at))
        .where(Told.call_id.in_(list(call_ids)))
        .group_by(Told.call_id)
    )
    return {row[0]: row[1] for row in session.execute(query) if row[0] is not None}


def locality_of(session: Session, site_id: int) -> str:
    """The village of a site."""
    return session.scalar(select(Site.locality).where(Site.id == site_id)) or ""


def localities(session: Session) -> list[str]:
    """The villages of all sites, by name."""
    query = select(Site.locality).where(Site.locality != "").distinct()
    return sorted(session.scalars(query), key=str.casefold)


def findings_of_call(session: Session, call_id: int) -> list[Finding]:
    """What was asked in a call, in the order in which it was written."""
    query = select(Finding).where(Finding.call_id == call_id, Finding.visit_id.is_(None))
    return list(session.scalars(query.order_by(Finding.id)))
