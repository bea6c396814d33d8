"""Questions about the people at a site: who owns it, who opens, how to reach them."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from sqlalchemy import ColumnElement, or_, select
from sqlalchemy.orm import Session

from servicedesk.records.people import Customer, Phone, SiteRole

# whose name stands for a site, if it has no owner in the book
_LEAD = {"owner": 0, "pays": 1, "occupant": 2, "opens": 3, "report": 4}


@dataclass(frozen=True, slots=True)
class PhoneRow:
    """A telephone number as typed, and its E.164 form where there is one."""

    id: int
    typed: str
    e164: str | None
    label: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RoleRow:
    """What somebody is at a site, with how to reach them. `until_on` is excluded."""

    id: int
    site_id: int
    customer_id: int
    customer_revision: int
    role: str
    name: str
    kind_of: str
    preferred_way: str
    email: str
    mail_address: str
    note: str
    from_on: date | None
    until_on: date | None
    phones: tuple[PhoneRow, ...] = ()

    @property
    def phone(self) -> str:
        """The first number as typed, empty if there is none."""
        return self.phones[0].typed if self.phones else ""


def role_holds(day: date) -> ColumnElement[bool]:
    """The condition that a role holds on `day`."""
    return or_(SiteRole.from_on.is_(None), SiteRole.from_on <= day) & or_(
        SiteRole.until_on.is_(None), SiteRole.until_on > day
    )


def roles_of(session: Session, site_ids: Iterable[int], day: date | None = None) -> list[RoleRow]:
    """Roles at these sites, owners first (two queries). With `day` only those that hold then."""
    query = (
        select(SiteRole, Customer)
        .join(Customer, Customer.id == SiteRole.customer_id)
        .where(SiteRole.site_id.in_(list(site_ids)))
        .order_by(SiteRole.id)
    )
    if day is not None:
        query = query.where(role_holds(day))
    found = session.execute(query).all()
    phones = phones_of(session, {customer.id for _, customer in found})
    rows = [_role_row(role, customer, phones) for role, customer in found]
    return sorted(rows, key=lambda r: (r.site_id, _LEAD.get(r.role, 9), r.id))


def _role_row(
    role: SiteRole, customer: Customer, phones: dict[int, tuple[PhoneRow, ...]]
) -> RoleRow:
    return RoleRow(
        id=role.id,
        site_id=role.site_id,
        customer_id=customer.id,
        customer_revision=customer.revision,
        role=role.role,
        name=customer.name,
        kind_of=customer.kind_of,
        preferred_way=customer.preferred_way,
        email=customer.email or "",
        mail_address=customer.mail_address or "",
        note=customer.note or "",
        from_on=role.from_on,
        until_on=role.until_on,
        phones=phones.get(customer.id, ()),
    )


def phones_of(session: Session, customer_ids: Iterable[int]) -> dict[int, tuple[PhoneRow, ...]]:
    """Numbers in use by customer, in the order written."""
    query = (
        select(Phone)
        .where(Phone.customer_id.in_(list(customer_ids)), Phone.ended_on.is_(None))
        .order_by(Phone.customer_id, Phone.id)
    )
    found: dict[int, tuple[PhoneRow, ...]] = {}
    for phone in session.scalars(query):
        row = PhoneRow(phone.id, phone.typed, phone.e164, phone.label)
        found[phone.customer_id] = (*found.get(phone.customer_id, ()), row)
    return found


def owners(session: Session, site_ids: Iterable[int], day: date) -> dict[int, RoleRow]:
    """Who stands for each site on `day`: its owner, else who pays or lives there."""
    found: dict[int, RoleRow] = {}
    for role in roles_of(session, site_ids, day):
        found.setdefault(role.site_id, role)
    return found


@dataclass(frozen=True, slots=True)
class CustomerRow:
    """A customer found by name, with one of the sites they have to do with."""

    id: int
    name: str
    phone: str
    site_ids: tuple[int, ...]


def customers(session: Session, customer_ids: Iterable[int], day: date) -> dict[int, CustomerRow]:
    """Customers by key with their numbers and the sites at which they have a role on `day`."""
    wanted = list(customer_ids)
    phones = phones_of(session, wanted)
    sites: dict[int, tuple[int, ...]] = {}
    roles = (
        select(SiteRole.customer_id, SiteRole.site_id)
        .where(SiteRole.customer_id.in_(wanted), role_holds(day))
        .order_by(SiteRole.id)
    )
    for row in session.execute(roles):
        known = sites.get(row.customer_id, ())
        if row.site_id not in known:
            sites[row.customer_id] = (*known, row.site_id)
    return {
        c.id: CustomerRow(
            c.id, c.name, phones[c.id][0].typed if c.id in phones else "", sites.get(c.id, ())
        )
        for c in session.scalars(select(Customer).where(Customer.id.in_(wanted)))
    }


def customer_of_phone(session: Session, e164: str) -> int | None:
    """The customer who has this number, None if nobody does or several do."""
    query = select(Phone.customer_id).where(Phone.e164 == e164, Phone.ended_on.is_(None))
    found = set(session.scalars(query))
    return found.pop() if len(found) == 1 else None
