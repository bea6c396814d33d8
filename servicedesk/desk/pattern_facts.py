"""The fleet as patterns count it: who was watched, since when, what failed and who called."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date

from servicedesk.desk.knowledge import knowledge_of
from servicedesk.desk.office import Desk
from servicedesk.records import pattern_rows as rows
from servicedesk.trade.faults import Knowledge
from servicedesk.trouble.exposure import (
    Callbacks,
    CallOn,
    Established,
    UnitWatched,
    callbacks_of,
    failures_of,
    years_between,
)

PRESUMED = "presumed"  # nobody saw it: no failure is counted for it


@dataclass(frozen=True, slots=True, kw_only=True)
class SystemWatched:
    """A system while it was watched: `from_on` to `until_on`, excluded."""

    id: int
    site_id: int
    address: str
    locality: str
    treatment: str
    dispersal: str
    installer: str
    from_on: date
    until_on: date
    is_there: bool
    calls: Callbacks

    @property
    def years(self) -> float:
        """Exposure."""
        return years_between(self.from_on, self.until_on)


@dataclass(frozen=True, slots=True)
class FleetFacts:
    """Everything watched. `component_of_call`: of calls whose cause was established.

    `looked_at`: units of which some check found something. `known`: with the company's own causes.
    """

    begins_on: date
    today: date
    systems: Mapping[int, SystemWatched]
    units: tuple[UnitWatched, ...]
    component_of_call: Mapping[int, str]
    looked_at: frozenset[int]
    renewals: tuple[rows.RenewalSeen, ...]
    causes: tuple[rows.CauseSeen, ...]
    known: Knowledge


@dataclass(slots=True)
class _Found:
    """Established causes and failures being gathered."""

    by_system: dict[tuple[int, str], list[Established]] = field(
        default_factory=lambda: defaultdict(list)
    )
    component_of_call: dict[int, str] = field(default_factory=dict)


def fleet_facts(desk: Desk) -> FleetFacts:
    """What is watched, read in a fixed number of queries.

    Records begin with the first call: before it no failure could have been written. Calls of an
    event are left out everywhere.
    """
    with desk.store.read() as session:
        seen = rows.fleet(session)
    today = desk.today
    days = {call.id: desk.clock.day_of(call.called_at) for call in seen.calls}
    begins_on = min([day for day in days.values() if day <= today], default=today)
    systems = _systems(seen, days, begins_on=begins_on, today=today)
    known = knowledge_of(desk)
    found = _established(desk, seen, known)
    return FleetFacts(
        begins_on=begins_on,
        today=today,
        systems=systems,
        units=tuple(_units(seen.units, systems, found, today)),
        component_of_call=found.component_of_call,
        looked_at=seen.looked_at,
        renewals=seen.renewals,
        causes=seen.causes,
        known=known,
    )


def _systems(
    seen: rows.FleetSeen, days: Mapping[int, date], *, begins_on: date, today: date
) -> dict[int, SystemWatched]:
    at_site: dict[int, list[int]] = defaultdict(list)
    for system in seen.systems:
        at_site[system.site_id].append(system.id)
    calls: dict[int, list[CallOn]] = defaultdict(list)
    for call in seen.calls:
        ids = at_site[call.site_id]
        # a call that names no system belongs to the site's only one
        system_id = call.system_id or (ids[0] if len(ids) == 1 else None)
        if system_id is not None and not call.is_event:
            calls[system_id].append(CallOn(call.id, days[call.id], call.symptoms))
    found = {}
    for system in seen.systems:
        known = [day for day in (system.since_on, system.started_on) if day is not None]
        from_on = max([begins_on, *known])
        until_on = min(today, system.ended_on or today)
        if until_on < from_on:
            continue
        mine = [call for call in calls[system.id] if from_on <= call.on <= until_on]
        found[system.id] = SystemWatched(
            id=system.id,
            site_id=system.site_id,
            address=system.address,
            locality=system.locality,
            treatment=system.treatment,
            dispersal=system.dispersal,
            installer=system.installer,
            from_on=from_on,
            until_on=until_on,
            is_there=system.ended_on is None or system.ended_on > today,
            calls=callbacks_of(mine),
        )
    return found


def _established(desk: Desk, seen: rows.FleetSeen, known: Knowledge) -> _Found:
    """Causes that callbacks established, by system and component; those of events left out."""
    events = {call.id for call in seen.calls if call.is_event}
    found = _Found()
    for job in seen.causes:
        cause = known.causes.get(job.cause)
        if cause is None or job.no_fault_found or job.known_by == PRESUMED:
            continue
        if job.call_id in events:
            continue
        if job.call_id is not None:
            found.component_of_call[job.call_id] = cause.component
        on = job.planned_on
        if on is None and job.arrived_at is not None:
            on = desk.clock.day_of(job.arrived_at)
        if on is not None and job.system_id is not None:
            key = (job.system_id, cause.component)
            found.by_system[key].append(Established(on, patched=job.fix == "patched"))
    return found


def _units(
    units: Sequence[rows.UnitSeen],
    systems: Mapping[int, SystemWatched],
    found: _Found,
    today: date,
) -> list[UnitWatched]:
    given = _shared_out(units, found)
    watched = []
    for unit in units:
        system = systems.get(unit.system_id)
        if system is None:
            continue
        from_on = max(system.from_on, unit.installed_on or system.from_on)
        until_on = min(system.until_on, unit.removed_on or system.until_on)
        still_in = unit.removed_on is None or unit.removed_on > today
        if until_on < from_on:
            continue
        failed = unit.removed_on == until_on and unit.removed_why.startswith("failed")
        established = [e for e in given.get(unit.id, ()) if from_on <= e.on <= until_on]
        made = unit.attributes
        watched.append(
            UnitWatched(
                id=unit.id,
                system_id=unit.system_id,
                component=unit.component,
                model_id=unit.model_id,
                model=unit.model,
                place=str(made.get("splice") or ""),
                sealing=str(made.get("sealing") or ""),
                installed_on=unit.installed_on,
                from_on=from_on,
                until_on=until_on,
                failed=failed,
                is_there=still_in and system.is_there,
                failures=failures_of(established, until_on if failed else None),
                repeats=sum(from_on <= call.on < until_on for call in system.calls.again),
            )
        )
    return watched


def _shared_out(units: Sequence[rows.UnitSeen], found: _Found) -> dict[int, list[Established]]:
    """Each established cause at the unit that was there.

    That is the one that left that day, else the oldest in service.
    """
    at: dict[tuple[int, str], list[rows.UnitSeen]] = defaultdict(list)
    for unit in units:
        at[unit.system_id, unit.component].append(unit)
    given: dict[int, list[Established]] = defaultdict(list)
    for key, established in found.by_system.items():
        for one in established:
            there = [u for u in at.get(key, ()) if _was_there(u, one.on)]
            if there:
                chosen = next((u for u in there if u.removed_on == one.on), there[0])
                given[chosen.id].append(one)
    return given


def _was_there(unit: rows.UnitSeen, on: date) -> bool:
    # the new unit of that day was not there when it was found out
    begun = unit.installed_on is None or unit.installed_on < on
    return begun and (unit.removed_on is None or unit.removed_on >= on)
