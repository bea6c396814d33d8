"""What the repeat rules are told of a store: calls, systems under contract, repairs of root causes.

A place is a system, or, where nobody said which of several systems called, the site.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date

from servicedesk.desk.knowledge import knowledge_of
from servicedesk.desk.learned import PROVED_BY
from servicedesk.desk.office import Desk
from servicedesk.records import company_rows
from servicedesk.records import repeat_rows as rows
from servicedesk.trade.faults import Knowledge
from servicedesk.trouble.alike import alike_of
from servicedesk.trouble.repaired import settles
from servicedesk.trouble.repeats import Alert, CallFact, RepairFact, Settings, SiteFact, alerts
from servicedesk.trouble.table import Table, table

# a cause proved at an earlier visit, its lasting fix done now
_ALSO_PROVED = ("known before", "replaced and gone")
_DIALS: Mapping[int, Settings] = {-1: Settings("fewer"), 0: Settings("usual"), 1: Settings("more")}


@dataclass(frozen=True, slots=True)
class Facts:
    """Everything that `trouble.repeats.alerts` asks. `calls_at`: the calls behind, by place."""

    calls: tuple[CallFact, ...]
    sites: tuple[SiteFact, ...]
    repairs: tuple[RepairFact, ...]
    settings: Settings
    calls_at: Mapping[str, list[rows.CallMark]]


def place_key(site_id: int, system_id: int | None) -> str:
    """The place of a call, as a key."""
    return f"site {site_id}" if system_id is None else f"system {system_id}"


def keys_of(place: str) -> tuple[int | None, int | None]:
    """Site and system of a place's key; one of them is None."""
    kind, number = place.split()
    return (int(number), None) if kind == "site" else (None, int(number))


def facts(desk: Desk, site_ids: Iterable[int] | None = None) -> Facts:
    """The facts of the store as they stand, oldest first.

    With `site_ids` repairs elsewhere are left out: alerts of those sites are the same, and what is
    usual is counted over all of them in any case.
    """
    known = knowledge_of(desk)
    proved_by = (*PROVED_BY, *_ALSO_PROVED)
    with desk.store.read() as session:
        called = rows.call_marks(session)
        site_of = rows.sites_of_systems(session)
        spans = rows.contract_spans(session)
        repaired = rows.repairs(session, site_ids, proved_by=proved_by)
        company = company_rows.the_company(session)
    at_site: dict[int, list[int]] = {}
    for system_id, site_id in site_of.items():
        at_site.setdefault(site_id, []).append(system_id)
    calls_at: dict[str, list[rows.CallMark]] = {}
    calls: list[CallFact] = []
    for call in called:
        place = _place(call.site_id, call.system_id, at_site)
        calls_at.setdefault(place, []).append(call)
        if call.symptom:
            on = desk.clock.day_of(call.called_at)
            calls.append(CallFact(place, on, call.symptom, in_event=call.is_event))
    symptoms_at = {place: {call.symptom for call in there} for place, there in calls_at.items()}
    return Facts(
        calls=tuple(calls),
        sites=tuple(_site_facts(site_of, spans, desk.today, set(calls_at))),
        repairs=tuple(_repairs(desk, repaired, known, at_site, symptoms_at)),
        settings=_DIALS[company.alert_dial if company else 0],
        calls_at=calls_at,
    )


def repairs_behind(desk: Desk, symptoms_at: Mapping[str, set[str]]) -> tuple[RepairFact, ...]:
    """Repairs of root causes at these places that may be behind these symptoms, oldest first."""
    with desk.store.read() as session:
        site_of = rows.sites_of_systems(session)
        at_site: dict[int, list[int]] = {}
        for system_id, site_id in site_of.items():
            at_site.setdefault(site_id, []).append(system_id)
        keys = [keys_of(place) for place in symptoms_at]
        maybe = {site_of.get(system or 0, site) for site, system in keys}
        sites = sorted(site_id for site_id in maybe if site_id is not None)
        proved_by = (*PROVED_BY, *_ALSO_PROVED)
        repaired = rows.repairs(session, sites, proved_by=proved_by)
    return tuple(_repairs(desk, repaired, knowledge_of(desk), at_site, symptoms_at))


def raised(desk: Desk, given: Facts | None = None) -> tuple[Alert, ...]:
    """Every alert that the store's facts give, up to today, oldest first."""
    told = given or facts(desk)
    return alerts(told.calls, told.sites, told.repairs, told.settings, until=desk.today)


def _place(site_id: int, system_id: int | None, at_site: Mapping[int, list[int]]) -> str:
    there = at_site.get(site_id, [])
    if system_id is None and len(there) == 1:
        system_id = there[0]
    return place_key(site_id, system_id)


def _site_facts(
    site_of: Mapping[int, int],
    spans: Iterable[tuple[int, date, date]],
    today: date,
    called: set[str],
) -> Iterator[SiteFact]:
    """Places that ever were under contract, from the first one to the end of the last.

    Every such system, and the sites of several that `called` without naming one.
    """
    first: dict[int, date] = {}
    last: dict[int, date] = {}
    for system_id, from_on, until_on in spans:
        first[system_id] = min(from_on, first.get(system_id, from_on))
        last[system_id] = max(until_on, last.get(system_id, until_on))
    by_place: dict[str, list[int]] = {}
    for system_id, site_id in site_of.items():
        if system_id in first:
            by_place.setdefault(place_key(site_id, system_id), []).append(system_id)
            at_site = place_key(site_id, None)
            if at_site in called:
                by_place.setdefault(at_site, []).append(system_id)
    for place, ids in by_place.items():
        start, until = min(first[i] for i in ids), max(last[i] for i in ids)
        if start <= today:
            yield SiteFact(place, start, max(until, start) if until <= today else None)


def _repairs(
    desk: Desk,
    repaired: Iterable[rows.RepairRow],
    known: Knowledge,
    at_site: Mapping[int, list[int]],
    symptoms_at: Mapping[str, set[str]],
) -> Iterator[RepairFact]:
    """Lasting fixes of proved causes, for every symptom told there that the cause may have.

    Each with the chance that it settles what called before (`trouble.repaired`).
    """
    direct, alike = table(known), alike_of(known)
    for one in repaired:
        if one.cause_id in known.causes and _is_proved(one, direct):
            place = _place(one.site_id, one.system_id, at_site)
            on = one.on
            if on is None and one.arrived_at is not None:
                on = desk.clock.day_of(one.arrived_at)
            for symptom in sorted(symptoms_at.get(place, ())):
                share = settles(one.cause_id, symptom, one.answered, alike)
                if on is not None and share > 0:
                    yield RepairFact(place, on, symptom, share)


def _is_proved(one: rows.RepairRow, direct: Table) -> bool:
    if one.cause_known_by in (*PROVED_BY, *_ALSO_PROVED):
        return True
    speaks = direct.direct[one.cause_id]
    return any(one.found.get(check) in results for check, results in speaks.items())
