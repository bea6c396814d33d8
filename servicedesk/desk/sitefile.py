"""One site with all that is known of it: who, what stands there, what happened, what is to come."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from servicedesk.desk.chips import Chip, chips_of
from servicedesk.desk.coming import Coming, coming
from servicedesk.desk.office import Desk
from servicedesk.desk.phones_said import phone_of
from servicedesk.desk.sitehistory import HistoryEntry, history_of
from servicedesk.desk.sites import address_of, place_text, position_of, position_state
from servicedesk.desk.windows import SiteWindow, current_windows
from servicedesk.records import (
    access_rows,
    call_rows,
    contract_rows,
    owed_rows,
    people_rows,
    told_rows,
    visit_rows,
)
from servicedesk.records import site_rows as rows
from servicedesk.values.position import Position
from servicedesk.words import say, say_n
from servicedesk.words.calls import plain


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitLife:
    """One installed thing and how it came and went. `place` counts from 1 in its chain."""

    unit: rows.UnitRow
    place: int
    last_looked_on: date | None
    last_result: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ComponentLife:
    """All units of one component in one system, in chains of replacement, oldest first.

    Two chains: two of the kind stand side by side (two spray pumps). `in_service` names those
    that are there now.
    """

    system_id: int
    component: str
    name: str
    chains: tuple[tuple[UnitLife, ...], ...]

    @property
    def in_service(self) -> tuple[rows.UnitRow, ...]:
        """The units that are there now."""
        lives = [life.unit for chain in self.chains for life in chain]
        return tuple(unit for unit in lives if unit.removed_on is None and unit.state != "removed")


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteFile:
    """Everything a site file shows. `people` holds past roles too, those of today first.

    `windows`: of the contract that runs now. `secrets`: which codes are kept, not what they are.
    """

    head: rows.SiteHead
    line: str
    chips: tuple[Chip, ...]
    position: Position | None
    position_state: str
    place_text: str
    coming: Coming
    people: tuple[people_rows.RoleRow, ...]
    people_now: tuple[people_rows.RoleRow, ...]
    systems: tuple[rows.SystemRow, ...]
    components: tuple[ComponentLife, ...]
    wires: tuple[rows.WireRow, ...]
    contracts: tuple[contract_rows.ContractRow, ...]
    contract: contract_rows.ContractRow | None
    windows: tuple[SiteWindow, ...]
    planned: tuple[visit_rows.VisitRow, ...]
    open_calls: tuple[call_rows.CallRow, ...]
    owed: tuple[owed_rows.OwedRow, ...]
    owed_settled: tuple[owed_rows.OwedRow, ...]
    history: tuple[HistoryEntry, ...]
    keys: tuple[access_rows.KeyHeld, ...]
    closed: tuple[access_rows.Closed, ...]
    secrets: tuple[str, ...]


def site_file(desk: Desk, site_id: int) -> SiteFile:
    """The file of a site (a fixed number of queries). Raises Trouble if it is not there."""
    windows = current_windows(desk, site_id=site_id)
    with desk.store.read() as session:
        heads = rows.heads(session, [site_id])
        address_of(heads, site_id)
        people = people_rows.roles_of(session, [site_id])
        systems = rows.systems(session, [site_id])
        system_ids = [s.id for s in systems]
        units = rows.units(session, system_ids)
        looks = visit_rows.looks_at(session, system_ids)
        wires = rows.wires(session, system_ids)
        contracts = contract_rows.contracts_of(session, [site_id]).get(site_id, ())
        visits = visit_rows.visits_of(session, [site_id])
        parts = visit_rows.parts_used(session, [v.id for v in visits])
        readings = visit_rows.readings_of(session, [v.id for v in visits])
        calls = call_rows.calls(session, site_ids=[site_id])
        owed = owed_rows.owed(session, site_ids=[site_id], states=("open", "settled", "declined"))
        told = told_rows.told_at_site(session, site_id)
        papers = told_rows.papers_of_site(session, site_id)
        keys = access_rows.keys_held(session, site_id)
        closed = access_rows.closed_spans(session, site_id)
        secrets = access_rows.secret_kinds(session, site_id)
    head = heads[site_id]
    contract = next((c for c in contracts if c.runs_on(desk.today)), None)
    people_now = tuple(p for p in people if _holds(p, desk.today))
    still_owed = tuple(one for one in owed if one.state == "open")
    return SiteFile(
        head=head,
        line=_line(head, people_now, systems),
        chips=chips_of(desk, head, contract, secrets),
        position=position_of(head),
        position_state=position_state(head),
        place_text=place_text(head),
        coming=coming(desk, visits, still_owed, windows),
        people=(*people_now, *(p for p in people if p not in people_now)),
        people_now=people_now,
        systems=tuple(systems),
        components=components_of(desk, units, looks),
        wires=tuple(wires),
        contracts=contracts,
        contract=contract,
        windows=windows,
        planned=tuple(v for v in visits if v.state == "planned"),
        open_calls=tuple(c for c in calls if c.state == "open"),
        owed=still_owed,
        owed_settled=tuple(one for one in owed if one.state != "open"),
        history=history_of(desk, visits, calls, told, papers, parts=parts, readings=readings),
        keys=keys,
        closed=closed,
        secrets=secrets,
    )


def _holds(role: people_rows.RoleRow, day: date) -> bool:
    begun = role.from_on is None or role.from_on <= day
    return begun and (role.until_on is None or role.until_on > day)


def _line(
    head: rows.SiteHead, people: Iterable[people_rows.RoleRow], systems: list[rows.SystemRow]
) -> str:
    """As "Quillan, Ruth · 3 bedrooms · near Old Tessing · 409-555-0142"."""
    owner = next(iter(people), None)
    bedrooms = next((s.bedrooms for s in systems if s.bedrooms), None)
    parts = [
        owner.name if owner else "",
        say_n("{n} bedroom", "{n} bedrooms", bedrooms) if bedrooms else "",
        say("near {village}", village=head.locality) if head.locality else "",
        phone_of(owner),
    ]
    return " · ".join(part for part in parts if part)


def components_of(
    desk: Desk, units: Iterable[rows.UnitRow], looks: Iterable[visit_rows.LookRow]
) -> tuple[ComponentLife, ...]:
    """Units by system and component, each chain of predecessors oldest first."""
    seen = {look.unit_id: look for look in looks if look.unit_id and look.result_id}
    by_kind: dict[tuple[int, str], list[rows.UnitRow]] = {}
    for unit in units:
        by_kind.setdefault((unit.system_id, unit.component), []).append(unit)
    return tuple(
        ComponentLife(
            system_id=system_id,
            component=component,
            name=plain(component),
            chains=tuple(
                tuple(_life(desk, unit, place, seen) for place, unit in enumerate(chain, 1))
                for chain in _chains(some)
            ),
        )
        for (system_id, component), some in by_kind.items()
    )


def _life(
    desk: Desk, unit: rows.UnitRow, place: int, seen: dict[int, visit_rows.LookRow]
) -> UnitLife:
    look = seen.get(unit.id)
    return UnitLife(
        unit=unit,
        place=place,
        last_looked_on=desk.clock.day_of(look.found_at) if look else None,
        last_result=plain(look.result_id) if look and look.result_id else "",
    )


def _chains(units: list[rows.UnitRow]) -> list[list[rows.UnitRow]]:
    """Units linked by predecessor, each chain oldest first; a unit that names none begins one."""
    followed = {unit.predecessor_id: unit for unit in units if unit.predecessor_id is not None}
    known = {unit.id for unit in units}
    chains = []
    for unit in units:
        if unit.predecessor_id in known:
            continue
        chain, later = [unit], followed.get(unit.id)
        while later is not None and later not in chain:
            chain.append(later)
            later = followed.get(later.id)
        chains.append(chain)
    return chains


def secrets_of(desk: Desk, site_id: int) -> tuple[tuple[int, str, str], ...]:
    """The codes of a site: key, what (gate, alarm, key), value. Asked for by hand, never listed.

    Looking is not logged; changing is.
    """
    with desk.store.read() as session:
        return access_rows.secrets_of(session, site_id)
