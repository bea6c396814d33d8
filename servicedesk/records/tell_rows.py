"""Whom to tell about visits, how to reach them, and what they were told last."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from servicedesk.records.people import Customer, SiteRole
from servicedesk.records.people_rows import phones_of, role_holds
from servicedesk.records.planning_rows import VisitRow, batches, with_jobs
from servicedesk.records.told import Told
from servicedesk.records.visits import Visit

# who is asked first about a visit: who opens, who lives there, then who owns (common practice, no
# source)
_FIRST = {"opens": 0, "occupant": 1, "owner": 2, "pays": 3, "report": 4}


@dataclass(frozen=True, slots=True, kw_only=True)
class PersonRow:
    """A person of a site. `typed` and `e164` are of the first number in use, "" if none is."""

    customer_id: int
    name: str
    preferred_way: str
    language: str
    email: str
    typed: str
    e164: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LastTold:
    """The last day told about a visit, when anything was told last, and whether that was after
    the day.
    """

    promised_on: date | None
    told_at: datetime
    is_after_day: bool


def people_to_tell(session: Session, site_ids: Iterable[int], day: date) -> dict[int, PersonRow]:
    """Who is told about a visit at each of these sites on `day`, by site; nobody: no entry."""
    found: dict[int, PersonRow] = {}
    for some in batches(sorted(set(site_ids))):
        query = (
            select(SiteRole, Customer)
            .join(Customer, Customer.id == SiteRole.customer_id)
            .where(SiteRole.site_id.in_(some), role_holds(day), Customer.erased_at.is_(None))
        )
        roles = sorted(
            session.execute(query), key=lambda pair: (_FIRST.get(pair[0].role, 9), pair[0].id)
        )
        phones = phones_of(session, {customer.id for _, customer in roles})
        for role, one in roles:
            first = phones[one.id][0] if phones.get(one.id) else None
            found.setdefault(
                role.site_id,
                PersonRow(
                    customer_id=one.id,
                    name=one.name,
                    preferred_way=one.preferred_way or "phone",
                    language=one.language or "en",
                    email=one.email or "",
                    typed=first.typed if first else "",
                    e164=(first.e164 or "") if first else "",
                ),
            )
    return found


def last_told(session: Session, visit_ids: Iterable[int]) -> dict[int, LastTold]:
    """What was told last about each of these visits; nothing: no entry."""
    found: dict[int, LastTold] = {}
    for some in batches(sorted(set(visit_ids))):
        query = select(Told).where(Told.visit_id.in_(some)).order_by(Told.told_at, Told.id)
        for told in session.scalars(query):
            before = found.get(told.visit_id or 0)
            found[told.visit_id or 0] = LastTold(
                promised_on=told.promised_on or (before.promised_on if before else None),
                told_at=told.told_at,
                is_after_day=told.promised_on is None,
            )
    return found


def visits_told_for(session: Session, first: date, until: date | None) -> list[VisitRow]:
    """Visits, not done, about which somebody was told a day from `first` until `until` (excluded,
    None: without end), by key. One that was called off is one of them.
    """
    told = select(Told.visit_id).where(Told.promised_on >= first, Told.visit_id.is_not(None))
    if until is not None:
        told = told.where(Told.promised_on < until)
    query = select(Visit).where(Visit.id.in_(told), Visit.state != "done").order_by(Visit.id)
    return with_jobs(session, session.scalars(query))
