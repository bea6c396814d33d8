"""What Set up shows of the company: rows as plain values, each with its revision."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from servicedesk.records.base import Record
from servicedesk.records.company import (
    Company,
    CompanyLicense,
    DayOff,
    Holiday,
    OfficeUser,
    OnCall,
    Technician,
    TechnicianLicense,
    Truck,
)
from servicedesk.records.jsonable import columns_of

Values = Mapping[str, Any]


@dataclass(frozen=True, slots=True, kw_only=True)
class SetUp:
    """Every row as a mapping of its columns, `id` and `revision` among them."""

    company: Values
    technicians: tuple[Values, ...]
    trucks: tuple[Values, ...]
    holidays: tuple[Values, ...]
    days_off: tuple[Values, ...]
    on_call: tuple[Values, ...]
    seats: tuple[Values, ...]
    company_licenses: tuple[Values, ...]
    technician_licenses: tuple[Values, ...]


def set_up(session: Session) -> SetUp:
    """All of it, one query a table."""
    return SetUp(
        company=company_values(session),
        technicians=_all(session, Technician, Technician.name),
        trucks=_all(session, Truck, Truck.name),
        holidays=_all(session, Holiday, Holiday.day),
        days_off=_all(session, DayOff, DayOff.from_on),
        on_call=_all(session, OnCall, OnCall.from_on),
        seats=_all(session, OfficeUser, OfficeUser.id),
        company_licenses=_all(session, CompanyLicense, CompanyLicense.id),
        technician_licenses=_all(session, TechnicianLicense, TechnicianLicense.id),
    )


def _all(session: Session, model: type[Record], order: Any) -> tuple[Values, ...]:
    return tuple(_values(row) for row in session.scalars(select(model).order_by(order, model.id)))


def _values(record: Record) -> dict[str, Any]:
    return {name: getattr(record, name) for name in columns_of(type(record))}


def company_values(session: Session) -> Values:
    """The columns of the company, empty where there is none yet."""
    row = session.scalars(select(Company).order_by(Company.id).limit(1)).first()
    return _values(row) if row is not None else {}


def technician_values(session: Session, technician_id: int | None) -> Values:
    """The columns of a technician, empty where there is none."""
    return {} if technician_id is None else values_of(session, Technician, technician_id)


def values_of(session: Session, model: type[Record], row_id: int) -> Values:
    """The columns of a row, empty where there is none."""
    row = session.get(model, row_id)
    return _values(row) if row is not None else {}


def technician_names(session: Session) -> dict[int, str]:
    """Names of all technicians ever, by key."""
    return {row[0]: row[1] for row in session.execute(select(Technician.id, Technician.name))}
