"""What an estimate is made from: the owed work, its place, and whoever is to agree."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Session

from servicedesk.records.owed import Owed
from servicedesk.records.people import Customer, SiteRole
from servicedesk.records.sites import Site, System


@dataclass(frozen=True, slots=True, kw_only=True)
class OwedFacts:
    """Owed work as a paper tells it; `system_id` is the site's only one where none is named."""

    owed_id: int
    site_id: int
    address: str
    locality: str
    postcode: str
    system_id: int | None
    permit: str
    visit_id: int | None
    since_on: date
    what: str
    needs: str
    workaround: str
    state: str
    estimate_minor: int | None


def owed_facts(session: Session, owed_id: int) -> OwedFacts | None:
    """The facts of owed work, None where it is not there."""
    found = session.execute(
        select(Owed, Site).join(Site, Site.id == Owed.site_id).where(Owed.id == owed_id)
    ).first()
    if found is None:
        return None
    owed, site = found
    systems = list(
        session.scalars(
            select(System)
            .where(System.site_id == site.id, System.ended_on.is_(None))
            .order_by(System.id)
        )
    )
    named = next((one for one in systems if one.id == owed.system_id), None)
    system = named or (systems[0] if systems else None)
    return OwedFacts(
        owed_id=owed.id, site_id=site.id, address=site.address, locality=site.locality or "",
        postcode=site.postcode or "", system_id=system.id if system else None,
        permit=(system.permit or "") if system else "", visit_id=owed.visit_id,
        since_on=owed.since_on, what=owed.what, needs=owed.needs, workaround=owed.workaround,
        state=owed.state, estimate_minor=owed.estimate_minor,
    )  # fmt: skip


def who_agrees(
    session: Session, site_id: int, day: date, roles: Iterable[str]
) -> tuple[str, str] | None:
    """Name and mail address of the first there on a day in the order of these roles."""
    query = (
        select(SiteRole, Customer)
        .join(Customer, Customer.id == SiteRole.customer_id)
        .where(SiteRole.site_id == site_id)
        .order_by(SiteRole.id)
    )
    there = [
        (role.role, person)
        for role, person in session.execute(query)
        if (role.from_on is None or role.from_on <= day)
        and (role.until_on is None or day < role.until_on)
    ]
    for wanted in roles:
        for role, person in there:
            if role == wanted:
                return person.name, person.mail_address or ""
    return None
