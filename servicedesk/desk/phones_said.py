"""The number of somebody at a site, as people read it out."""

from servicedesk.records.people_rows import PhoneRow, RoleRow
from servicedesk.words.calls import phone_text


def said(phone: PhoneRow) -> str:
    """One number: as it is read out where its form is known, otherwise as it was typed."""
    return phone_text(phone.typed, phone.e164)


def phone_of(role: RoleRow | None) -> str:
    """The first number of somebody, empty if there is none."""
    return said(role.phones[0]) if role is not None and role.phones else ""
