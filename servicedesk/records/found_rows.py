"""What the find box shows of records that words led to."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from servicedesk.records.calls import Call
from servicedesk.records.company import Technician
from servicedesk.records.equipment import Unit, UnitModel
from servicedesk.records.owed import Owed
from servicedesk.records.parts import Part, StockMove, StockPlace
from servicedesk.records.people import Contact, Phone
from servicedesk.records.sites import Site, System
from servicedesk.records.visits import Job, Visit


@dataclass(frozen=True, slots=True)
class NoteFound:
    """A text at a site, with the record it stands in. `table_name`: visit, job, call, owed."""

    table_name: str
    row_id: int
    site_id: int | None
    visit_id: int | None
    address: str
    texts: tuple[str, ...]
    at: datetime | None
    on: date | None
    who: str


def visit_notes(session: Session, visit_ids: Iterable[int]) -> list[NoteFound]:
    """Notes of visits."""
    query = (
        select(Visit, Site.address, Technician.name)
        .join(Site, Site.id == Visit.site_id)
        .outerjoin(Technician, Technician.id == Visit.technician_id)
        .where(Visit.id.in_(list(visit_ids)))
    )
    return [
        NoteFound(
            "visit",
            v.id,
            v.site_id,
            v.id,
            address,
            (v.note, v.as_left),
            v.arrived_at,
            v.planned_on,
            who or "",
        )
        for v, address, who in session.execute(query)
    ]


def job_notes(session: Session, job_ids: Iterable[int]) -> list[NoteFound]:
    """What was found and done in jobs."""
    query = (
        select(Job, Visit, Site.address, Technician.name)
        .join(Visit, Visit.id == Job.visit_id)
        .join(Site, Site.id == Visit.site_id)
        .outerjoin(Technician, Technician.id == Visit.technician_id)
        .where(Job.id.in_(list(job_ids)))
    )
    return [
        NoteFound(
            "job",
            job.id,
            v.site_id,
            v.id,
            address,
            (job.found, job.did),
            v.arrived_at,
            v.planned_on,
            who or "",
        )
        for job, v, address, who in session.execute(query)
    ]


def call_notes(session: Session, call_ids: Iterable[int]) -> list[NoteFound]:
    """What callers said."""
    query = (
        select(Call, Site.address)
        .outerjoin(Site, Site.id == Call.site_id)
        .where(Call.id.in_(list(call_ids)))
    )
    return [
        NoteFound(
            "call",
            c.id,
            c.site_id,
            None,
            address or "",
            (c.own_words or "", c.where_said or "", c.caller or "", c.caller_phone or ""),
            c.called_at,
            None,
            c.caller or "",
        )
        for c, address in session.execute(query)
    ]


def owed_notes(session: Session, owed_ids: Iterable[int]) -> list[NoteFound]:
    """What is or was owed."""
    query = (
        select(Owed, Site.address)
        .join(Site, Site.id == Owed.site_id)
        .where(Owed.id.in_(list(owed_ids)))
    )
    return [
        NoteFound("owed", o.id, o.site_id, o.visit_id, address, (o.what,), None, o.since_on, "")
        for o, address in session.execute(query)
    ]


@dataclass(frozen=True, slots=True)
class PartFound:
    """A part and how many lie where, by the name of the place."""

    id: int
    number: str
    name: str
    stock: tuple[tuple[str, int], ...]


def parts(session: Session, part_ids: Iterable[int]) -> dict[int, PartFound]:
    """Parts by key with their balances above zero (three queries)."""
    wanted = list(part_ids)
    places = {p.id: p.name for p in session.scalars(select(StockPlace))}
    balance: dict[tuple[int, int], int] = {}
    for column, sign in ((StockMove.to_place_id, 1), (StockMove.from_place_id, -1)):
        query = (
            select(StockMove.part_id, column, func.sum(StockMove.quantity))
            .where(StockMove.part_id.in_(wanted), column.is_not(None))
            .group_by(StockMove.part_id, column)
        )
        for part_id, place_id, quantity in session.execute(query):
            key = (part_id, place_id or 0)
            balance[key] = balance.get(key, 0) + sign * quantity
    found = {}
    for part in session.scalars(select(Part).where(Part.id.in_(wanted))):
        lying = [
            (places[place_id], n)
            for (part_id, place_id), n in sorted(balance.items())
            if part_id == part.id and n > 0
        ]
        found[part.id] = PartFound(part.id, part.number, part.name, tuple(lying))
    return found


@dataclass(frozen=True, slots=True)
class UnitFound:
    """A unit with its site."""

    id: int
    component: str
    model: str
    serial: str
    site_id: int
    address: str


def units(session: Session, unit_ids: Iterable[int]) -> dict[int, UnitFound]:
    """Units by key."""
    query = (
        select(Unit, UnitModel.name, Site.id, Site.address)
        .join(System, System.id == Unit.system_id)
        .join(Site, Site.id == System.site_id)
        .outerjoin(UnitModel, UnitModel.id == Unit.model_id)
        .where(Unit.id.in_(list(unit_ids)))
    )
    return {
        u.id: UnitFound(u.id, u.component, model or "", u.serial, site_id, address)
        for u, model, site_id, address in session.execute(query)
    }


def technicians(session: Session, technician_ids: Iterable[int]) -> dict[int, str]:
    """Names of technicians by key."""
    query = select(Technician.id, Technician.name).where(Technician.id.in_(list(technician_ids)))
    return {row[0]: row[1] for row in session.execute(query)}


def customers_of(
    session: Session, phone_ids: Iterable[int], contact_ids: Iterable[int]
) -> set[int]:
    """The customers to whom these numbers and contacts belong."""
    found = set(session.scalars(select(Phone.customer_id).where(Phone.id.in_(list(phone_ids)))))
    contacts = select(Contact.customer_id).where(Contact.id.in_(list(contact_ids)))
    return found | set(session.scalars(contacts))
