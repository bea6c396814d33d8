"""A site as a form writes it: new, edited, ended."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from servicedesk.desk import checking
from servicedesk.desk.checking import Wrong
from servicedesk.desk.office import Desk
from servicedesk.desk.sites import address_of
from servicedesk.desk.where_is import house_at
from servicedesk.records import company_rows
from servicedesk.records import site_rows as rows
from servicedesk.records.people import Customer, Phone, SiteRole
from servicedesk.records.sites import Site, System
from servicedesk.records.store import Changed, Work
from servicedesk.values.position import Position, PositionSource
from servicedesk.words import say


@dataclass(frozen=True, slots=True, kw_only=True)
class NewSite:
    """What is written when a site is new. Only the address is needed.

    `customer_id` names an owner in the book; otherwise `owner` makes a new one.
    """

    address: str
    locality: str = ""
    postcode: str = ""
    owner: str = ""
    phones: tuple[str, ...] = ()
    customer_id: int | None = None
    role: str = "owner"
    permit: str = ""
    dispersal: str = ""
    rule_id: str | None = None
    permit_visits: int | None = None
    position: Position | None = None
    position_source: PositionSource | None = None
    note: str = ""


def new_site(desk: Desk, entry: NewSite) -> Changed:
    """Write a new site with its first system and, if named, its owner.

    Without a place the roads are asked for the house. Raises WrongEntry without an address, or if
    a standing site has it already.
    """
    refuse_wrong_site(desk, entry)
    entry = with_place(desk, entry)
    with desk.store.change(desk.who, say("Wrote {address}", address=entry.address)) as work:
        add_site(desk, work, entry)
    return work.changed


def refuse_wrong_site(desk: Desk, entry: NewSite) -> None:
    """Raise WrongEntry if the entry cannot become a site."""
    _refuse_wrong_visits(entry.permit_visits)
    if not entry.address.strip():
        checking.refuse([Wrong("address", say("A site needs an address."))])
    with desk.store.read() as session:
        twin = rows.same_address(session, entry.address, entry.locality)
    if twin is not None:
        sentence = say("{address} is in the book already.", address=entry.address)
        checking.refuse([Wrong("address", sentence, meant=twin)])


def with_place(desk: Desk, entry: NewSite) -> NewSite:
    """The entry with the place of its house, where it names none and the roads know the house.

    Never a guess: what is only near stays for "Where is this?".
    """
    if entry.position is not None:
        return entry
    house = house_at(desk, entry.address, entry.locality)
    if house is None:
        return entry
    return replace(entry, position=house.position, position_source=house.source)


def add_site(desk: Desk, work: Work, entry: NewSite) -> tuple[Site, int | None]:
    """Inside a change: the new site, and the key of whoever was named as its owner."""
    place = entry.position
    source = entry.position_source or PositionSource.GUESSED
    site = work.add(
        Site(
            number=work.next_number("site"),
            address=entry.address.strip(),
            locality=entry.locality.strip(),
            postcode=entry.postcode.strip(),
            lat_deg=place.lat_deg if place else None,
            lon_deg=place.lon_deg if place else None,
            position_source=source.value if place else None,
            note=entry.note.strip(),
            since_on=desk.today,
        )
    )
    work.add(
        System(
            site_id=site.id,
            permit=entry.permit.strip() or None,
            dispersal=entry.dispersal,
            rule_id=entry.rule_id,
            permit_visits=entry.permit_visits,
        )
    )
    customer_id = entry.customer_id
    if customer_id is None and entry.owner.strip():
        customer_id = add_customer(desk, work, entry.owner, entry.phones)
    if customer_id is not None:
        work.add(
            SiteRole(site_id=site.id, customer_id=customer_id, role=entry.role, from_on=desk.today)
        )
    return site, customer_id


def add_customer(desk: Desk, work: Work, name: str, phones: Iterable[str]) -> int:
    """Inside a change: a new customer with phone numbers as typed; returns the key."""
    customer = work.add(Customer(name=name.strip()))
    for typed in phones:
        if typed.strip():
            e164 = checking.e164_of(typed, desk.company.country)
            work.add(Phone(customer_id=customer.id, typed=typed.strip(), e164=e164))
    return customer.id


TEXTS = (
    "address",
    "locality",
    "postcode",
    "access_note",
    "gate_note",
    "dogs_note",
    "lids_note",
    "note",
)
EDITABLE = (
    *TEXTS,
    "own_number",
    "call_before",
    "visiting_from_min",
    "visiting_until_min",
    "visiting_days",
    "wanted_technician_id",
    "on_hold",
)


def edit_site(desk: Desk, site_id: int, values: Mapping[str, Any], *, seen: int) -> Changed:
    """Write the fields of a site that a form brought back (any of EDITABLE).

    Raises WrongEntry for entries that cannot be written, StaleEdit if somebody changed the site
    since `seen`; ValueError for a field nobody may edit here.
    """
    checking.only_known(values, EDITABLE)
    with desk.store.read() as session:
        head = rows.heads(session, [site_id]).get(site_id)
        people = {t.id for t in company_rows.technicians(session, desk.today)}
    address = address_of({} if head is None else {site_id: head}, site_id)
    checking.refuse(_wrong_fields(head, values, people))
    with desk.store.change(desk.who, say("Edited {address}", address=address)) as work:
        site = work.fresh(Site, site_id, seen=seen)
        for name, value in values.items():
            cleaned = value.strip() if name in TEXTS else value
            setattr(site, name, list(cleaned) if isinstance(cleaned, tuple) else cleaned)
    return work.changed


def _wrong_fields(
    head: rows.SiteHead | None, values: Mapping[str, Any], people: set[int]
) -> list[Wrong]:
    wrong = []
    if "address" in values and not values["address"].strip():
        wrong.append(Wrong("address", say("A site needs an address."), head and head.address))
    opens = values.get("visiting_from_min", head and head.visiting_from_min)
    closes = values.get("visiting_until_min", head and head.visiting_until_min)
    if opens is not None and closes is not None and closes <= opens:
        says = say("The visiting hours end before they begin.")
        meant = closes + 720 if opens < closes + 720 <= 1440 else None
        wrong.append(Wrong("visiting_until_min", says, meant))
    wrong.extend(
        Wrong(name, say("A day has the hours from 0 to 24."))
        for name in ("visiting_from_min", "visiting_until_min")
        if values.get(name) is not None and not 0 <= values[name] <= 1440
    )
    days = values.get("visiting_days")
    if days is not None and (not days or not set(days) <= set(range(7))):
        wrong.append(Wrong("visiting_days", say("Choose at least one weekday, or any day.")))
    wanted = values.get("wanted_technician_id")
    if wanted is not None and wanted not in people:
        says = say("That technician is not with the company today.")
        wrong.append(Wrong("wanted_technician_id", says))
    return wrong


def end_site(desk: Desk, site_id: int, *, on: date, why: str, seen: int) -> Changed:
    """End a site from the day `on`, with the reason. Its history stays.

    Raises WrongEntry without a reason.
    """
    if not why.strip():
        checking.refuse([Wrong("why", say("Say why this site ends."))])
    with desk.store.read() as session:
        address = address_of(rows.heads(session, [site_id]), site_id)
    with desk.store.change(desk.who, say("Ended {address}", address=address)) as work:
        site = work.fresh(Site, site_id, seen=seen)
        site.ended_on = on
        site.ended_why = why.strip()
    return work.changed


def set_permit_visits(desk: Desk, system_id: int, visits: int | None) -> Changed:
    """Write how many visits a year the permit asks for, for rules that say "as the permit says".

    None: the permit was not read; the contract's visits count. Raises WrongEntry for other
    numbers than 1 to 52.
    """
    _refuse_wrong_visits(visits)
    with desk.store.change(desk.who, say("Wrote the visits of a permit")) as work:
        work.get(System, system_id).permit_visits = visits
    return work.changed


def _refuse_wrong_visits(visits: int | None) -> None:
    if visits is not None and not 1 <= visits <= 52:
        says = say("A permit asks for 1 to 52 visits a year.")
        checking.refuse([Wrong("permit_visits", says, min(max(visits, 1), 52))])
