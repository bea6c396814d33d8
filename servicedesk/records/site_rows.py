"""Questions about sites: which ones, in which order, and what stands there."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import ColumnElement, Select, Subquery, exists, func, select
from sqlalchemy.orm import Session

from servicedesk.records.calls import Call
from servicedesk.records.contract_rows import runs
from servicedesk.records.contracts import Contract, ContractSystem
from servicedesk.records.equipment import Unit, UnitModel, WireNote
from servicedesk.records.owed import Owed
from servicedesk.records.people import Authority, Customer, Firm, SiteRole
from servicedesk.records.people_rows import role_holds
from servicedesk.records.search import folded
from servicedesk.records.sites import Site, System, Tank
from servicedesk.records.visits import Visit

GUESSED = "guessed"


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteHead:
    """The columns of a site, and the kind of its first system."""

    id: int
    revision: int
    uid: str
    number: int
    own_number: str | None
    address: str
    locality: str
    postcode: str
    lat_deg: float | None
    lon_deg: float | None
    position_source: str | None
    access_note: str
    gate_note: str
    dogs_note: str
    lids_note: str
    call_before: bool
    visiting_from_min: int | None
    visiting_until_min: int | None
    visiting_days: tuple[int, ...] | None
    wanted_technician_id: int | None
    note: str
    on_hold: bool
    since_on: date | None
    ended_on: date | None
    ended_why: str
    treatment: str = ""
    dispersal: str = ""
    n_systems: int = 0


def heads(session: Session, site_ids: Iterable[int]) -> dict[int, SiteHead]:
    """Sites by key (two queries)."""
    wanted = list(site_ids)
    systems: dict[int, list[tuple[str, str]]] = {}
    query = (
        select(System.site_id, System.treatment, System.dispersal)
        .where(System.site_id.in_(wanted), System.ended_on.is_(None))
        .order_by(System.id)
    )
    for site_id, treatment, dispersal in session.execute(query):
        systems.setdefault(site_id, []).append((treatment, dispersal))
    sites = session.scalars(select(Site).where(Site.id.in_(wanted)))
    return {site.id: _head(site, systems.get(site.id, [])) for site in sites}


def _head(site: Site, systems: list[tuple[str, str]]) -> SiteHead:
    computed = {"treatment", "dispersal", "n_systems", "visiting_days"}
    values = {n: getattr(site, n) for n in set(SiteHead.__dataclass_fields__) - computed}
    treatment, dispersal = systems[0] if systems else ("", "")
    return SiteHead(
        treatment=treatment,
        dispersal=dispersal,
        n_systems=len(systems),
        visiting_days=None if site.visiting_days is None else tuple(site.visiting_days),
        **values,
    )


# --- which sites


def condition(name: str, *, day: date, since: datetime) -> ColumnElement[bool] | None:
    """The condition of a named filter of the Sites place; None lets all through.

    `since`: calls before it do not count. Raises KeyError for a name that is none.
    """
    n_calls = _n_calls(since)
    owed = exists().where(Owed.site_id == Site.id, Owed.state == "open")
    # as lists and not row by row: SQLite would pick an index that tells little
    no_day = Site.id.in_(
        select(Visit.site_id).where(Visit.state == "planned", Visit.planned_on.is_(None))
    )
    contract = (
        select(Contract.id)
        .join(ContractSystem, ContractSystem.contract_id == Contract.id)
        .join(System, System.id == ContractSystem.system_id)
        .where(System.site_id == Site.id, runs(day))
        .exists()
    )
    conditions: dict[str, ColumnElement[bool] | None] = {
        "all": None,
        "called": n_calls >= 2,
        "owed": owed,
        "no day": no_day,
        "quiet": n_calls == 0,
        "where": Site.lat_deg.is_(None) | (Site.position_source == GUESSED),
        "no contract": ~contract,
    }
    return conditions[name]


def _n_calls(since: datetime) -> Any:
    return (
        select(func.count(Call.id))
        .where(Call.site_id == Site.id, Call.called_at >= since, Call.state != "dropped")
        .scalar_subquery()
    )


def _lead_name(day: date) -> Any:
    return (
        select(func.min(Customer.name))
        .join(SiteRole, SiteRole.customer_id == Customer.id)
        .where(SiteRole.site_id == Site.id, SiteRole.role == "owner", role_holds(day))
        .scalar_subquery()
    )


def _sort_value(sort: str, *, day: date, since: datetime) -> Any:
    """What a column is sorted by. Raises KeyError for a name that is no column."""
    dispersal = (
        select(func.min(System.dispersal))
        .where(System.site_id == Site.id, System.ended_on.is_(None))
        .scalar_subquery()
    )
    owed = (
        select(func.count(Owed.id))
        .where(Owed.site_id == Site.id, Owed.state == "open")
        .scalar_subquery()
    )
    return {
        "number": Site.number,
        "address": Site.address,
        "owner": _lead_name(day),
        "locality": Site.locality,
        "kind": dispersal,
        "calls": _n_calls(since),
        "owed": owed,
    }[sort]


def _last_visits() -> Subquery:
    """When somebody last was at each site, in one go: row by row it takes twice as long."""
    return (
        select(Visit.site_id, func.max(Visit.arrived_at).label("at"))
        .where(Visit.state == "done")
        .group_by(Visit.site_id)
        .subquery()
    )


def _standing(query: Select[Any], day: date) -> Select[Any]:
    return query.where(Site.ended_on.is_(None) | (Site.ended_on > day))


def sorted_ids(
    session: Session, *, filter_name: str, sort: str, descending: bool, day: date, since: datetime
) -> list[int]:
    """Keys of the sites that stand on `day` and pass the filter, in order (one query).

    Text is put in order by folded words with house numbers as numbers, alike on both databases;
    what is empty comes last either way; ties go by key.
    """
    if sort == "last visit":
        last = _last_visits()
        query = select(Site.id, last.c.at).outerjoin(last, last.c.site_id == Site.id)
    else:
        query = select(Site.id, _sort_value(sort, day=day, since=since).label("value"))
    query = _standing(query, day).order_by(Site.id)
    wanted = condition(filter_name, day=day, since=since)
    if wanted is not None:
        query = query.where(wanted)
    rows = [(row[0], row[1]) for row in session.execute(query)]
    full = [row for row in rows if row[1] not in (None, "")]
    empty = [row[0] for row in rows if row[1] in (None, "")]
    # sorted() keeps the order of equal ones also with `reverse`
    full.sort(key=lambda row: _order(row[1]), reverse=descending)
    return [row[0] for row in full] + empty


def _order(value: Any) -> Any:
    return address_order(value) if isinstance(value, str) else value


def address_order(text: str) -> tuple[str, int, str]:
    """A key that puts addresses in order of street, then house number: 9 before 118."""
    words = folded(text).strip()
    head, _, rest = words.partition(" ")
    digits = "".join(c for c in head if c.isdigit())
    if rest and head[:1].isdigit():
        return (rest, int(digits), head)
    return (words, 0, "")


def filter_counts(
    session: Session, names: Iterable[str], *, day: date, since: datetime
) -> dict[str, int]:
    """How many standing sites pass each filter (one query)."""
    wanted = list(names)
    columns = []
    for name in wanted:
        passes = condition(name, day=day, since=since)
        counted = select(func.count(Site.id)).select_from(Site)
        counted = _standing(counted, day)
        if passes is not None:
            counted = counted.where(passes)
        columns.append(counted.scalar_subquery())
    row = session.execute(select(*columns)).one() if columns else ()
    return dict(zip(wanted, row, strict=True))


def same_address(session: Session, address: str, locality: str) -> int | None:
    """A standing site with this address, however it is written, None if there is none."""
    query = select(Site.id, Site.address, Site.locality).where(Site.ended_on.is_(None))
    wanted = folded(f"{address}\n{locality}").split()
    for row in session.execute(query.order_by(Site.id)):
        if folded(f"{row.address}\n{row.locality}").split() == wanted:
            return int(row.id)
    return None


# --- what stands there


@dataclass(frozen=True, slots=True, kw_only=True)
class SystemRow:
    """A system with its permit, authority, installer and tanks."""

    id: int
    revision: int
    uid: str
    site_id: int
    label: str
    permit: str | None
    authority_id: int | None
    authority: str
    rule_id: str | None
    treatment: str
    dispersal: str
    equipment: tuple[str, ...]
    design_flow_gpd: int | None
    bedrooms: int | None
    started_on: date | None
    installer: str
    ended_on: date | None
    tanks: tuple[tuple[str, int | None, str], ...] = ()


def systems(session: Session, site_ids: Iterable[int]) -> list[SystemRow]:
    """Systems of these sites with their tanks, as (what, gallons, material) (two queries)."""
    query = (
        select(System, Authority.name, Firm.name)
        .outerjoin(Authority, Authority.id == System.authority_id)
        .outerjoin(Firm, Firm.id == System.installer_id)
        .where(System.site_id.in_(list(site_ids)))
        .order_by(System.site_id, System.id)
    )
    found = session.execute(query).all()
    tanks: dict[int, list[tuple[str, int | None, str]]] = {}
    of_them = select(Tank).where(Tank.system_id.in_([system.id for system, _, _ in found]))
    for tank in session.scalars(of_them.order_by(Tank.id)):
        tanks.setdefault(tank.system_id, []).append((tank.what, tank.volume_gal, tank.material))
    computed = {"authority", "installer", "tanks", "equipment"}
    names = set(SystemRow.__dataclass_fields__) - computed
    return [
        SystemRow(
            authority=authority or "",
            installer=installer or "",
            tanks=tuple(tanks.get(system.id, ())),
            equipment=tuple(system.equipment or ()),
            **{name: getattr(system, name) for name in names},
        )
        for system, authority, installer in found
    ]


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitRow:
    """One installed thing, with its model's name."""

    id: int
    revision: int
    system_id: int
    component: str
    model: str
    maker: str
    serial: str
    state: str
    installed_on: date | None
    installed_by: str
    removed_on: date | None
    removed_why: str
    warranty_until: date | None
    predecessor_id: int | None
    attributes: dict[str, Any]


def units(session: Session, system_ids: Iterable[int]) -> list[UnitRow]:
    """All units ever installed in these systems, oldest first."""
    query = (
        select(Unit, UnitModel.name, UnitModel.maker)
        .outerjoin(UnitModel, UnitModel.id == Unit.model_id)
        .where(Unit.system_id.in_(list(system_ids)))
        .order_by(Unit.installed_on.nulls_first(), Unit.id)
    )
    names = set(UnitRow.__dataclass_fields__) - {"model", "maker"}
    return [
        UnitRow(model=model or "", maker=maker or "", **{n: getattr(unit, n) for n in names})
        for unit, model, maker in session.execute(query)
    ]


@dataclass(frozen=True, slots=True, kw_only=True)
class WireRow:
    """A wire as somebody found it. Notes are no proof."""

    id: int
    revision: int
    system_id: int
    circuit: str
    conductor: str
    does: str
    spliced_at: str
    verified_on: date | None
    note: str


def wires(session: Session, system_ids: Iterable[int]) -> list[WireRow]:
    """Wire notes of these systems, in the order written."""
    query = select(WireNote).where(WireNote.system_id.in_(list(system_ids))).order_by(WireNote.id)
    return [
        WireRow(**{name: getattr(wire, name) for name in WireRow.__dataclass_fields__})
        for wire in session.scalars(query)
    ]
