"""The people at a site: edited, reached by another number, sold and bought."""

from collections.abc import Mapping
from datetime import date
from typing import Any

from servicedesk.desk import checking
from servicedesk.desk.checking import Wrong
from servicedesk.desk.office import Desk
from servicedesk.desk.site_entry import add_customer
from servicedesk.desk.sites import address_of
from servicedesk.records import people_rows, site_rows
from servicedesk.records.people import Customer, Phone, SiteRole
from servicedesk.records.store import Changed
from servicedesk.words import say
from servicedesk.words.calls import role as role_text

ROLES = ("owner", "occupant", "pays", "opens", "report")
WAYS = ("phone", "text", "email", "letter")
EDITABLE = ("name", "kind_of", "mail_address", "email", "preferred_way", "language", "note")


def edit_customer(desk: Desk, customer_id: int, values: Mapping[str, Any], *, seen: int) -> Changed:
    """Write fields of a customer (any of EDITABLE). Raises WrongEntry, StaleEdit."""
    checking.only_known(values, EDITABLE)
    if "name" in values and not values["name"].strip():
        checking.refuse([Wrong("name", say("A customer needs a name."))])
    if values.get("preferred_way", "phone") not in WAYS:
        raise ValueError(f"{values['preferred_way']!r} is none of {WAYS}")
    with desk.store.change(desk.who, say("Edited a customer")) as work:
        customer = work.fresh(Customer, customer_id, seen=seen)
        for name, value in values.items():
            setattr(customer, name, value.strip() if isinstance(value, str) else value)
    return work.changed


def add_phone(desk: Desk, customer_id: int, typed: str, *, label: str = "") -> Changed:
    """Write one more number of a customer, as typed and in E.164 where it has that form."""
    if sum(ch.isdigit() for ch in typed) < 4:
        checking.refuse([Wrong("typed", say("Write a telephone number."))])
    e164 = checking.e164_of(typed, desk.company.country)
    with desk.store.change(desk.who, say("Wrote a number of a customer")) as work:
        work.get(Customer, customer_id)
        work.add(Phone(customer_id=customer_id, typed=typed.strip(), e164=e164, label=label))
    return work.changed


def end_phone(desk: Desk, phone_id: int) -> Changed:
    """A number that reaches nobody any more."""
    with desk.store.change(desk.who, say("Ended a number of a customer")) as work:
        work.get(Phone, phone_id).ended_on = desk.today
    return work.changed


def add_role(desk: Desk, site_id: int, customer_id: int, role: str) -> Changed:
    """From today on a customer has a role at a site, beside those that stand."""
    if role not in ROLES:
        raise ValueError(f"{role!r} is none of {ROLES}")
    with desk.store.read() as session:
        address = address_of(site_rows.heads(session, [site_id]), site_id)
    what = say("Wrote a role at {address}: {role}", role=role_text(role), address=address)
    with desk.store.change(desk.who, what) as work:
        work.get(Customer, customer_id)
        work.add(SiteRole(site_id=site_id, customer_id=customer_id, role=role, from_on=desk.today))
    return work.changed


def sell_site(
    desk: Desk,
    site_id: int,
    *,
    buyer: str = "",
    phones: tuple[str, ...] = (),
    customer_id: int | None = None,
    on: date | None = None,
) -> Changed:
    """From the day `on` (None: today) the site has another owner; all roles of the sellers end.

    `customer_id` names a buyer in the book, otherwise `buyer` makes one. Roles of others, such as
    a neighbor who opens, stay. Raises WrongEntry without a buyer.
    """
    day = on or desk.today
    if customer_id is None and not buyer.strip():
        checking.refuse([Wrong("buyer", say("Write who bought it."))])
    with desk.store.read() as session:
        address = address_of(site_rows.heads(session, [site_id]), site_id)
        roles = people_rows.roles_of(session, [site_id], day)
    sellers = {r.customer_id for r in roles if r.role == "owner" and r.customer_id != customer_id}
    what = say("Sold {address}", address=address)
    with desk.store.change(desk.who, what) as work:
        for row in roles:
            if row.customer_id in sellers:
                work.get(SiteRole, row.id).until_on = day
        new = customer_id or add_customer(desk, work, buyer, phones)
        work.get(Customer, new)
        work.add(SiteRole(site_id=site_id, customer_id=new, role="owner", from_on=day))
    return work.changed
