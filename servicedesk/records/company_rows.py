"""Questions about the company, its people, its calendar."""

from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from servicedesk.records.company import (
    Company,
    CompanyLicense,
    DayOff,
    Holiday,
    OfficeUser,
    Technician,
    TechnicianLicense,
    Truck,
)


def the_company(session: Session) -> Company | None:
    """The one row about the company, None in an empty store."""
    return session.scalars(select(Company).order_by(Company.id).limit(1)).first()


def holidays(session: Session) -> dict[date, str]:
    """Days on which nobody works, with their names."""
    return {row.day: row.name for row in session.scalars(select(Holiday))}


def seats(session: Session) -> list[tuple[int, str, str]]:
    """Who may sit here: key, name, role; the first is the default."""
    query = select(OfficeUser).where(OfficeUser.ended_on.is_(None)).order_by(OfficeUser.id)
    return [(user.id, user.name, user.role) for user in session.scalars(query)]


def technicians(session: Session, day: date) -> list[Technician]:
    """Technicians employed on `day`, by name."""
    rows = session.scalars(select(Technician).order_by(Technician.name, Technician.id))
    return [
        t
        for t in rows
        if (t.from_on is None or t.from_on <= day) and (t.until_on is None or day < t.until_on)
    ]


def days_off(session: Session, day: date) -> dict[int, str]:
    """Technicians who do not work on `day`, each with the reason written down."""
    query = select(DayOff).where(DayOff.from_on <= day, DayOff.until_on > day)
    return {row.technician_id: row.why for row in session.scalars(query)}


def trucks(session: Session) -> dict[int, str]:
    """Names of the trucks by key."""
    return {row.id: row.name for row in session.scalars(select(Truck))}


@dataclass(frozen=True, slots=True)
class LicenseRow:
    """A license with its last day; `technician` is empty for the company's own."""

    id: int
    technician_id: int | None
    technician: str
    license_class: str
    number: str
    valid_until: date | None


def licenses(session: Session) -> list[LicenseRow]:
    """All licenses, of the company and of technicians who are still with it."""
    own = session.scalars(select(CompanyLicense))
    rows = [LicenseRow(r.id, None, "", r.license_class, r.number, r.valid_until) for r in own]
    query = select(TechnicianLicense, Technician).join(
        Technician, Technician.id == TechnicianLicense.technician_id
    )
    for held, who in session.execute(query.order_by(TechnicianLicense.id)):
        rows.append(
            LicenseRow(held.id, who.id, who.name, held.license_class, held.number, held.valid_until)
        )
    return rows


def last_looked_at(session: Session, who: str) -> datetime | None:
    """When this person last looked at what others changed."""
    return session.scalar(
        select(OfficeUser.last_looked_at).where(OfficeUser.name == who).order_by(OfficeUser.id)
    )
