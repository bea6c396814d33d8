"""What the repeat rules are told of a store: calls, systems under contract, repairs of root causes.

A place is a system, or, where nobody said which of several systems called, the site.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date

from servicedesk.desk.cases import day_of_job
from servicedesk.desk.knowledge import knowledge_of
from servicedesk.desk.learned import LASTING, PROVED_BY
from servicedesk.desk.office import Desk
from servicedesk.records import company_rows
from servicedesk.records import trouble_rows as rows
from servicedesk.trade.faults import Knowledge
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
    calls_at: Mapping[str, tuple[rows.CallFacts, ...]]


def place_key(site_id: int, system_id: int | None) -> str:
    """The place of a call, as a key."""
    return f"site {site_id}" if system_id is None else f"system {system_id}"


def keys_of(place: str) -> tuple[int | None, int | None]:
    """Site and system of a place's key; one of them is None."""
    kind, number = place.split()
    return (int(number), None) if kind == "site" else (None, int(number))


def facts(desk: Desk) -> Facts:
    """The facts of the store as they stand, oldest first."""
    known = knowledge_of(desk)
    with desk.store.read() as session:
        called = rows.calls(session)
        systems = rows.systems(session)
        spans = rows.contract_spans(session)
        repaired = rows.done_jobs(session, fixes=(LASTING,))
        proofs = rows.findings_at(session, {job.visit_id for job in repaired if job.cause_id})
        company = company_rows.the_company(session)
    at_site: dict[int, list[int]] = {}
    for system in systems:
        at_site.setdefault(system.site_id, []).append(system.id)
    places = {call.id: _place(call.site_id, call.system_id, at_site) for call in called}
    calls_at: dict[str, tuple[rows.CallFacts, ...]] = {}
    for call in called:
        calls_at[places[call.id]] = (*calls_at.get(places[call.id], ()), call)
    return Facts(
        calls=tuple(
            CallFact(places[call.id], desk.clock.day_of(call.called_at), call.symptoms[0],
                     in_event=call.is_event)
            for call in called
            if call.symptoms
        ),
        sites=tuple(_site_facts(systems, spans, desk.today, set(calls_at))),
        repairs=tuple(_repairs(desk, repaired, proofs, known, at_site)),
        settings=_DIALS[company.alert_dial if company else 0],
        calls_at=calls_at,
    )  # fmt: skip


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
    systems: Iterable[rows.SystemFact],
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
    for system in systems:
        if system.id in first:
            by_place.setdefault(place_key(system.site_id, system.id), []).append(system.id)
            at_site = place_key(system.site_id, None)
            if at_site in called:
                by_place.setdefault(at_site, []).append(system.id)
    for place, ids in by_place.items():
        start, until = min(first[i] for i in ids), max(last[i] for i in ids)
        if start <= today:
            yield SiteFact(place, start, max(until, start) if until <= today else None)


def _repairs(
    desk: Desk,
    jobs: Iterable[rows.DoneJob],
    proofs: Mapping[int, Mapping[str, str]],
    known: Knowledge,
    at_site: Mapping[int, list[int]],
) -> Iterator[RepairFact]:
    """Lasting fixes of proved causes, each for every symptom that the cause may have."""
    symptoms: dict[str, list[str]] = {}
    for symptom, one in known.causes_of.items():
        for cause in one.weights:
            symptoms.setdefault(cause, []).append(symptom)
    direct = table(known)
    for job in jobs:
        if job.cause_id in known.causes and _is_proved(job, proofs, direct):
            place = _place(job.site_id, job.system_id, at_site)
            for symptom in symptoms.get(job.cause_id or "", ()):
                yield RepairFact(place, day_of_job(desk, job), symptom)


def _is_proved(job: rows.DoneJob, proofs: Mapping[int, Mapping[str, str]], direct: Table) -> bool:
    if job.cause_known_by in (*PROVED_BY, *_ALSO_PROVED):
        return True
    found = proofs.get(job.visit_id, {})
    speaks = direct.direct[job.cause_id or ""]
    return any(found.get(check) in results for check, results in speaks.items())
