"""Customers and the others we deal with: contacts, phones, roles at a site, authorities, firms."""

from datetime import date, datetime
from typing import Any

from sqlalchemy.orm import Mapped, mapped_column

from servicedesk.records.base import Logged, Uid, personal, ref


class Customer(Logged):
    """A household or an organization."""

    __tablename__ = "customer"
    uid: Mapped[Uid]
    kind_of: Mapped[str] = mapped_column(default="household")  # household, organization
    name: Mapped[str] = mapped_column(index=True, info={"personal": True})
    mail_address: Mapped[str | None] = personal()
    email: Mapped[str | None] = personal()
    preferred_way: Mapped[str] = mapped_column(default="phone")  # phone, text, email, letter
    language: Mapped[str] = mapped_column(default="en")
    note: Mapped[str | None] = personal()
    own_number: Mapped[str | None] = mapped_column(index=True)  # as in the company's old list
    erased_at: Mapped[datetime | None]
    ended_on: Mapped[date | None]


class Contact(Logged):
    """A person to ask for at a customer."""

    __tablename__ = "contact"
    customer_id: Mapped[int] = ref("customer")
    name: Mapped[str] = mapped_column(info={"personal": True})
    what: Mapped[str] = mapped_column(default="")
    email: Mapped[str | None] = personal()


class Phone(Logged):
    """A phone number of a customer or contact."""

    __tablename__ = "phone"
    customer_id: Mapped[int] = ref("customer")
    contact_id: Mapped[int | None] = ref("contact", optional=True)
    e164: Mapped[str | None] = mapped_column(index=True, info={"personal": True})
    typed: Mapped[str] = mapped_column(info={"personal": True})
    label: Mapped[str] = mapped_column(default="")
    ended_on: Mapped[date | None]


class SiteRole(Logged):
    """What a customer is at a site, over time."""

    __tablename__ = "site_role"
    site_id: Mapped[int] = ref("site")
    customer_id: Mapped[int] = ref("customer")
    role: Mapped[str]  # owner, occupant, pays, opens, report
    from_on: Mapped[date | None]
    until_on: Mapped[date | None]


class Authority(Logged):
    """A permitting authority or one of its offices."""

    __tablename__ = "authority"
    name: Mapped[str]
    office: Mapped[str] = mapped_column(default="")
    takes_reports: Mapped[str] = mapped_column(default="paper")  # paper, email, own form
    email: Mapped[str] = mapped_column(default="")
    phone: Mapped[str] = mapped_column(default="")
    address: Mapped[str] = mapped_column(default="")
    inspectors: Mapped[list[Any]] = mapped_column(default=list)  # {name, phone}
    own_rules: Mapped[list[Any]] = mapped_column(default=list)  # rules written by the company


class Firm(Logged):
    """Another firm: hauler, electrician, installer, laboratory, supplier."""

    __tablename__ = "firm"
    name: Mapped[str]
    kinds: Mapped[list[Any]] = mapped_column(default=list)
    phone: Mapped[str] = mapped_column(default="")
    email: Mapped[str] = mapped_column(default="")
    license_number: Mapped[str] = mapped_column(default="")
    license_until: Mapped[date | None]
    note: Mapped[str] = mapped_column(default="")
    ended_on: Mapped[date | None]
