"""Rows for tests, each with telling defaults. Every builder writes one change and returns its row.

The rows are read once and detached: their columns (`id`, `revision`, ...) can be looked at.
"""

from datetime import date, datetime, timedelta
from typing import Any

from servicedesk.desk.office import Desk
from servicedesk.records.calls import Call
from servicedesk.records.company import Company, OfficeUser, Technician
from servicedesk.records.contracts import Contract, ContractSystem
from servicedesk.records.equipment import Unit
from servicedesk.records.owed import Owed
from servicedesk.records.people import Customer, Phone, SiteRole
from servicedesk.records.rounds import Round
from servicedesk.records.sites import Site, System
from servicedesk.records.store import Store
from servicedesk.records.visits import Job, Visit

# Wednesday, October 14, 2026, 10:46 by the office clock
TODAY = date(2026, 10, 14)
TIME_ZONE = "America/New_York"


def a_company(store: Store, **values: Any) -> Company:
    """The company of the tests, with Ines at its one seat."""
    wanted: dict[str, Any] = {
        "uid": "c" * 32,
        "name": "Sallow Fork Onsite Care",
        "address": "1 Office Road, Sallow Fork",
        "phone": "409-555-0100",
        "region": "Tarrow County",
        "time_zone": TIME_ZONE,
        "lat_deg": 30.0,
        "lon_deg": -94.0,
        **values,
    }
    with store.change("Ines", "Set up the company") as work:
        company = work.add(Company(**wanted))
        work.add(OfficeUser(name="Ines"))
    return company


def a_customer(desk: Desk, name: str = "Quillan, Ruth", *, phone: str | None = None) -> Customer:
    """A household, with a phone number if one is given (as typed; E.164 for the US)."""
    with desk.store.change(desk.who, f"Wrote {name}") as work:
        customer = work.add(Customer(name=name))
        if phone:
            e164 = "+1" + "".join(c for c in phone if c.isdigit())
            work.add(Phone(customer_id=customer.id, typed=phone, e164=e164))
    return customer


def a_site(
    desk: Desk,
    address: str = "118 Dry Hollow Lane",
    *,
    owner: str | Customer | None = "Quillan, Ruth",
    phone: str | None = None,
    system: bool = True,
    **values: Any,
) -> Site:
    """A site in Old Tessing with one aerobic spray system, and its owner if there is one.

    Columns of the site go in `values` (``locality="Pinder"``, ``lat_deg=...``).
    """
    customer = a_customer(desk, owner, phone=phone) if isinstance(owner, str) else owner
    columns = {"locality": "Old Tessing", **values}
    with desk.store.change(desk.who, f"Wrote {address}") as work:
        site = work.add(Site(number=work.next_number("site"), address=address, **columns))
        if system:
            work.add(
                System(
                    site_id=site.id,
                    permit=f"TC-{site.number:05}",
                    dispersal="spray",
                    started_on=date(2019, 5, 6),
                )
            )
        if customer is not None:
            work.add(SiteRole(site_id=site.id, customer_id=customer.id, role="owner"))
    return site


def system_of(desk: Desk, site: Site) -> System:
    """The first system of a site."""
    with desk.store.read() as session:
        return session.query(System).where(System.site_id == site.id).order_by(System.id).first()


def a_system(desk: Desk, site: Site, **values: Any) -> System:
    """One more system at a site."""
    columns = {"dispersal": "drip", "permit": f"TC-{site.number:05}-B", **values}
    with desk.store.change(desk.who, f"Wrote a system at {site.address}") as work:
        return work.add(System(site_id=site.id, **columns))


def a_contract(
    desk: Desk,
    site: Site,
    *,
    from_on: date = date(2026, 4, 1),
    until_on: date = date(2027, 4, 1),
    **values: Any,
) -> Contract:
    """A running contract of three visits a year over all systems of the site, held by its owner."""
    with desk.store.change(desk.who, f"Wrote a contract for {site.address}") as work:
        holder = values.pop("holder_id", None) or _owner_id(work.session, site)
        contract = work.add(
            Contract(
                number=work.next_number("contract"),
                holder_id=holder,
                from_on=from_on,
                until_on=until_on,
                **values,
            )
        )
        systems = work.session.query(System).where(System.site_id == site.id).order_by(System.id)
        for system in systems:
            work.add(ContractSystem(contract_id=contract.id, system_id=system.id))
    return contract


def _owner_id(session: Any, site: Site) -> int:
    roles = session.query(SiteRole).where(SiteRole.site_id == site.id, SiteRole.role == "owner")
    return int(roles.order_by(SiteRole.id).first().customer_id)


def a_call(
    desk: Desk,
    site: Site | None = None,
    *,
    called_at: datetime | None = None,
    days_ago: float = 0,
    **values: Any,
) -> Call:
    """A call of now (or `days_ago`), about a high-water alarm, open, promised in four hours."""
    at = called_at or desk.clock.now() - timedelta(days=days_ago)
    columns: dict[str, Any] = {
        "symptoms": ["high-water-alarm"],
        "caller": "Ruth Quillan",
        "promised_by_at": at + timedelta(hours=4),
        "taken_by": desk.who,
        **values,
    }
    with desk.store.change(desk.who, "Wrote a call") as work:
        return work.add(Call(called_at=at, site_id=site.id if site else None, **columns))


def a_technician(desk: Desk, name: str = "Lena Hobb", **values: Any) -> Technician:
    """A technician who starts at the office and works 8 to 5, Monday to Friday."""
    columns = {"short_name": name.split(maxsplit=1)[0], **values}
    with desk.store.change(desk.who, f"Wrote {name}") as work:
        return work.add(Technician(name=name, **columns))


def a_round(desk: Desk, technician: Technician, day: date = TODAY, **values: Any) -> Round:
    """A draft round of one technician."""
    with desk.store.change(desk.who, f"Planned {technician.name}") as work:
        return work.add(Round(day=day, lead_id=technician.id, **values))


def a_visit(
    desk: Desk,
    site: Site,
    *,
    planned_on: date | None = TODAY,
    kind_of: str | None = "inspection",
    job: dict[str, Any] | None = None,
    **values: Any,
) -> Visit:
    """A planned visit with one job of `kind_of` (None: no job) at the site's first system.

    Columns of the job go in `job`, of the visit in `values`.
    """
    system = system_of(desk, site)
    with desk.store.change(desk.who, f"Planned {site.address}") as work:
        visit = work.add(Visit(site_id=site.id, planned_on=planned_on, **values))
        if kind_of is not None:
            columns = {"system_id": system.id if system else None, **(job or {})}
            work.add(Job(visit_id=visit.id, kind_of=kind_of, **columns))
    return visit


def a_done_visit(
    desk: Desk,
    site: Site,
    on: date,
    *,
    technician: Technician | None = None,
    minutes: int = 40,
    kind_of: str = "inspection",
    job: dict[str, Any] | None = None,
    **values: Any,
) -> Visit:
    """A visit that took place on `on` from 9 am, its job done."""
    arrived = desk.clock.instant(on, 9 * 60)
    return a_visit(
        desk,
        site,
        planned_on=on,
        kind_of=kind_of,
        job={"outcome": "done", "minutes": minutes, **(job or {})},
        **{
            "state": "done",
            "arrived_at": arrived,
            "left_at": arrived + timedelta(minutes=minutes),
            "technician_id": technician.id if technician else None,
            **values,
        },
    )


def a_unit(desk: Desk, site: Site, component: str = "effluent-pump", **values: Any) -> Unit:
    """A unit in service at the site's first system."""
    columns = {"installed_on": date(2019, 5, 6), **values}
    with desk.store.change(desk.who, f"Fitted a unit at {site.address}") as work:
        return work.add(Unit(system_id=system_of(desk, site).id, component=component, **columns))


def something_owed(
    desk: Desk, site: Site, what: str = "West spray head tied up", **values: Any
) -> Owed:
    """Work still owed at a site since July."""
    columns = {"since_on": date(2026, 7, 11), **values}
    with desk.store.change(desk.who, f"Owed at {site.address}: {what}") as work:
        return work.add(Owed(site_id=site.id, what=what, **columns))
