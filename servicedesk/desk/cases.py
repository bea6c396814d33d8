"""One trouble as the store knows it: what was reported, found, tried, and what hangs there now."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property
from typing import Any

from servicedesk.desk.case_findings import FindingsOf
from servicedesk.desk.knowledge import knowledge_of
from servicedesk.desk.office import Desk
from servicedesk.records import trouble_rows as rows
from servicedesk.trade.faults import Knowledge
from servicedesk.trouble.case import Case, Earlier, Found, Installed, Outcome
from servicedesk.values.trouble import Trouble
from servicedesk.words import say

YEAR_DAYS = 365.25
# jobs that are about a trouble; of an inspection only the findings count
TROUBLE_KINDS = ("callback", "repair", "owed")
# equipment that a unit which hangs there shows
_FLAG_OF_UNIT = {
    "timer": "timer", "check-valve": "check-valve", "uv-unit": "uv", "zone-valve": "zone-valve",
    "tablet-chlorinator": "tablet", "liquid-chlorinator": "bleach", "spray-heads": "spray",
    "effluent-screen": "screen",
}  # fmt: skip


class SeveralSystems(Trouble):
    """Nobody said which of the systems of a site is meant."""


@dataclass(frozen=True)
class Place:
    """Everything the store knows of one system that cases are made of."""

    system: rows.SystemFact
    units: tuple[rows.UnitFact, ...]
    calls: tuple[rows.CallFacts, ...]
    jobs: tuple[rows.DoneJob, ...]
    findings: tuple[rows.FoundFact, ...]
    items: tuple[rows.ItemFact, ...]
    readings: tuple[rows.ReadingFact, ...]
    parts: tuple[rows.PartFact, ...]
    day_of: Mapping[int, date]  # by visit

    @cached_property
    def call_by_id(self) -> Mapping[int, rows.CallFacts]:
        """Calls by key."""
        return {call.id: call for call in self.calls}


def case_of(
    desk: Desk,
    *,
    system_id: int | None = None,
    site_id: int | None = None,
    symptoms: Iterable[str] = (),
    as_of: date | None = None,
    findings: Iterable[Found] = (),
) -> Case:
    """The trouble at a system (of a site with one: the site will do) as it was known on `as_of`.

    As of a day: with that day's calls and the visits before it; without: all that is known now.
    `symptoms` default to those of the latest call. `findings` go before those of the store. Raises
    Trouble where the site has several systems, or nobody ever called and no symptom is given.
    """
    place = place_of(desk, system_id=system_id, site_id=site_id)
    return case_at(desk, place, symptoms=symptoms, as_of=as_of, findings=findings)


def case_at(
    desk: Desk,
    place: Place,
    *,
    symptoms: Iterable[str] = (),
    as_of: date | None = None,
    findings: Iterable[Found] = (),
) -> Case:
    """The same for a place that was read already."""
    known = knowledge_of(desk)
    day = as_of or desk.today
    visits_until = day if as_of is not None else day + timedelta(days=1)
    there = units_there(place, visits_until)
    calls = [call for call in place.calls if desk.clock.day_of(call.called_at) <= day]
    at_hand = _call_at_hand(place, calls, visits_until)
    told = (_symptoms_of(call, known) for call in reversed(calls))
    named = tuple(symptoms) or next((some for some in told if some), ())
    if not named:
        raise Trouble(
            say("Nobody has said what the trouble is there."),
            do=say("Say which symptom, in the shell as --symptom high-water-alarm."),
        )
    reader = FindingsOf(known, place, frozenset(unit.id for unit in there))
    return Case(
        symptoms=named,
        found=(*findings, *reader.of_call(at_hand)),
        site_has=_equipment(place, there),
        earlier=_earlier(place, known, reader, day=day, until=visits_until),
        installed=tuple(_installed(unit, day) for unit in there),
    )


def place_of(desk: Desk, *, system_id: int | None = None, site_id: int | None = None) -> Place:
    """All that is known of a system. Raises Trouble where it is not there or which one is open."""
    with desk.store.read() as session:
        if site_id is None:
            site_id = rows.site_of_system(session, system_id or 0)
        places = places_at(desk, session, None if site_id is None else [site_id])
    wanted = [
        place
        for place in places
        if place.system.id == system_id
        or (system_id is None and place.system.site_id == site_id and place.system.ended_on is None)
    ]
    if site_id is None or not wanted:
        raise Trouble(say("That system is not in the store."), do=say("Choose another site."))
    if len(wanted) > 1:
        labels = ", ".join(place.system.label or str(place.system.id) for place in wanted)
        raise SeveralSystems(
            say("Several systems stand there: {labels}.", labels=labels),
            do=say("Say which one it is."),
        )
    return wanted[0]


def places_at(
    desk: Desk, session: Any, site_ids: Iterable[int] | None, *, calls_alone: bool = False
) -> tuple[Place, ...]:
    """The systems of these sites (None: of all), each with all that is known (eight queries).

    With `calls_alone` only calls, jobs and findings: enough for threads.
    """
    ids = None if site_ids is None else list(site_ids)
    found = rows.systems(session, ids)
    jobs = rows.done_jobs(session, ids)
    days = {job.visit_id: day_of_job(desk, job) for job in jobs}
    parts = _Sorted(found, jobs)
    for call in rows.calls(session, ids):
        for system_id in parts.systems_for(call.site_id, call.system_id):
            parts.calls.setdefault(system_id, []).append(call)
    parts.take_findings(rows.findings(session, ids))
    if not calls_alone:
        _take_details(parts, session, ids)
    return tuple(parts.place(system, days) for system in found)


def _take_details(parts: "_Sorted", session: Any, ids: list[int] | None) -> None:
    for unit in rows.units(session, ids):
        parts.units.setdefault(unit.system_id, []).append(unit)
    for item in rows.items(session, ids):
        parts.of_job(item.job_id, parts.items, item)
    for reading in rows.readings(session, ids):
        parts.of_job(reading.job_id, parts.readings, reading)
    for part in rows.parts_left(session, ids):
        for system_id in parts.systems_of_part(part):
            parts.parts.setdefault(system_id, []).append(part)


def day_of_job(desk: Desk, job: rows.DoneJob) -> date:
    """The day a job was done: as planned, else when they arrived."""
    if job.on is not None:
        return job.on
    return desk.clock.day_of(job.arrived_at) if job.arrived_at is not None else date.min


class _Sorted:
    """Rows of sites, sorted to the systems they are about."""

    def __init__(self, systems: Iterable[rows.SystemFact], jobs: Iterable[rows.DoneJob]) -> None:
        self.at_site: dict[int, list[int]] = {}
        for system in systems:
            self.at_site.setdefault(system.site_id, []).append(system.id)
        self.units: dict[int, list[rows.UnitFact]] = {}
        self.calls: dict[int, list[rows.CallFacts]] = {}
        self.findings: dict[int, list[rows.FoundFact]] = {}
        self.items: dict[int, list[rows.ItemFact]] = {}
        self.readings: dict[int, list[rows.ReadingFact]] = {}
        self.parts: dict[int, list[rows.PartFact]] = {}
        self.jobs: dict[int, list[rows.DoneJob]] = {}
        self.systems_of_visit: dict[int, set[int]] = {}
        self.in_trouble_at_visit: dict[int, set[int]] = {}
        self.systems_of_job: dict[int, tuple[int, ...]] = {}
        for job in jobs:
            about = self.systems_for(job.site_id, job.system_id)
            self.systems_of_job[job.id] = about
            self.systems_of_visit.setdefault(job.visit_id, set()).update(about)
            if job.kind_of in TROUBLE_KINDS:
                self.in_trouble_at_visit.setdefault(job.visit_id, set()).update(about)
            for system_id in about:
                self.jobs.setdefault(system_id, []).append(job)

    def systems_for(self, site_id: int, system_id: int | None) -> tuple[int, ...]:
        """The system named, or, where nobody named one, every system of the site."""
        return tuple(self.at_site.get(site_id, ())) if system_id is None else (system_id,)

    def of_job(self, job_id: int, into: dict[int, list[Any]], row: object) -> None:
        for system_id in self.systems_of_job.get(job_id, ()):
            into.setdefault(system_id, []).append(row)

    def systems_of_part(self, part: rows.PartFact) -> Iterable[int]:
        """The systems a part may have gone into: of its job, else those in trouble at that visit.

        A visit may look at one system and mend the other: what was not mended got no part.
        """
        if part.job_id is not None:
            return self.systems_of_job.get(part.job_id, ())
        there = self.systems_of_visit.get(part.visit_id, set())
        return self.in_trouble_at_visit.get(part.visit_id) or there

    def take_findings(self, found: Iterable[rows.FoundFact]) -> None:
        of_call = {call.id: s for s, calls in self.calls.items() for call in calls}
        for one in found:
            about: Iterable[int] = ()
            if one.system_id is not None:
                about = (one.system_id,)
            elif one.visit_id is not None:
                about = self.systems_of_visit.get(one.visit_id, ())
            elif one.call_id in of_call:
                about = (of_call[one.call_id],)
            for system_id in about:
                self.findings.setdefault(system_id, []).append(one)

    def place(self, system: rows.SystemFact, days: Mapping[int, date]) -> Place:
        i = system.id
        return Place(
            system=system,
            units=tuple(self.units.get(i, ())),
            calls=tuple(self.calls.get(i, ())),
            jobs=tuple(self.jobs.get(i, ())),
            findings=tuple(self.findings.get(i, ())),
            items=tuple(self.items.get(i, ())),
            readings=tuple(self.readings.get(i, ())),
            parts=tuple(self.parts.get(i, ())),
            day_of={job.visit_id: days[job.visit_id] for job in self.jobs.get(i, ())},
        )


def units_there(place: Place, until: date) -> tuple[rows.UnitFact, ...]:
    """The units that hung there before the day `until`: fitted by then and not yet taken out."""
    return tuple(
        unit
        for unit in place.units
        if (unit.installed_on is None or unit.installed_on < until)
        and (unit.removed_on is None or unit.removed_on >= until)
        and not (unit.state == "removed" and unit.removed_on is None)
    )


def _equipment(place: Place, there: Iterable[rows.UnitFact]) -> frozenset[str] | None:
    """What the site has; None where nobody ever wrote it down, so that nothing is left out."""
    if not place.system.equipment:
        return None
    has = {*place.system.equipment, place.system.dispersal} - {""}
    for unit in there:
        has |= {_FLAG_OF_UNIT[unit.component]} if unit.component in _FLAG_OF_UNIT else set()
        if unit.attributes.get("splice") == "in tank":
            has.add("splice-in-riser")
    return frozenset(has)


def _installed(unit: rows.UnitFact, day: date) -> Installed:
    age = None
    if unit.installed_on is not None:
        age = max(0.0, (day - unit.installed_on).days / YEAR_DAYS)
    return Installed(
        component=unit.component,
        age_years=age,
        model=unit.model,
        attributes={str(k): str(v) for k, v in unit.attributes.items()},
        unit_id=unit.id,
    )


def _call_at_hand(
    place: Place, calls: list[rows.CallFacts], visits_until: date
) -> rows.CallFacts | None:
    """The latest of `calls`, if it still stands to be answered as of then."""
    if not calls:
        return None
    latest = calls[-1]
    seen = any(
        job.call_id == latest.id and place.day_of[job.visit_id] < visits_until for job in place.jobs
    )
    return None if seen and latest.state != "open" else latest


def _symptoms_of(call: rows.CallFacts | None, known: Knowledge) -> tuple[str, ...]:
    return () if call is None else tuple(s for s in call.symptoms if s in known.symptoms)


def _earlier(
    place: Place,
    known: Knowledge,
    reader: FindingsOf,
    *,
    day: date,
    until: date,
) -> tuple[Earlier, ...]:
    """The visits before, the newest first; one each, however many jobs it had."""
    by_visit: dict[int, list[rows.DoneJob]] = {}
    for job in place.jobs:
        if place.day_of[job.visit_id] < until:
            by_visit.setdefault(job.visit_id, []).append(job)
    visits = sorted(by_visit.items(), key=lambda one: (place.day_of[one[0]], one[0]), reverse=True)
    return tuple(
        _visit(place, known, reader, jobs, days_before=max(0, (day - place.day_of[visit_id]).days))
        for visit_id, jobs in visits
    )


def _visit(
    place: Place, known: Knowledge, reader: FindingsOf, jobs: list[rows.DoneJob], days_before: int
) -> Earlier:
    about = [job for job in jobs if job.kind_of in TROUBLE_KINDS] or jobs
    calls = (place.call_by_id.get(job.call_id or 0) for job in about)
    call = next((call for call in calls if call is not None), None)
    symptoms = _symptoms_of(call, known)
    cause = next((job.cause_id for job in about if job.cause_id in known.causes), None)
    return Earlier(
        days_before=days_before,
        symptom=symptoms[0] if symptoms else "",
        outcome=outcome_of(about),
        found=reader.of_visit(jobs, call),
        changed=_changed(place, known, jobs),
        cause=cause or "",
    )


def outcome_of(jobs: Iterable[rows.DoneJob]) -> Outcome:
    """What the jobs of a visit came to; the weakest word counts where they differ."""
    said = [_outcome(job) for job in jobs]
    order: tuple[Outcome, ...] = (
        "no fault found",
        "reset only",
        "workaround",
        "fixed",
        "could not",
    )
    return next((one for one in order if one in said), "")


def _outcome(job: rows.DoneJob) -> Outcome:
    if job.outcome == "could not":
        return "could not"
    if job.no_fault_found:
        return "no fault found"
    fixes: dict[str, Outcome] = {
        "reset only": "reset only", "patched": "workaround", "fixed": "fixed",
    }  # fmt: skip
    return fixes.get(job.fix, "")


def _changed(place: Place, known: Knowledge, jobs: list[rows.DoneJob]) -> tuple[str, ...]:
    """Part kinds and components renewed at a visit, each once."""
    visit_id = jobs[0].visit_id
    day = place.day_of[visit_id]
    said = [part for job in jobs for part in job.parts_changed]
    said += [part.part_kind for part in place.parts if part.visit_id == visit_id]
    said += [
        unit.component
        for unit in place.units
        if unit.predecessor_id is not None and unit.installed_on == day
    ]
    valid = {*known.part_kinds, *known.components}
    return tuple(dict.fromkeys(part for part in said if part in valid))
