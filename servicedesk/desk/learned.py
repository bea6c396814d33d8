"""What the company's own confirmed causes teach, and how to forget it.

Only confirmed causes teach: a direct check spoke, or somebody saw it, or the lasting fix has held
its quiet time. What was only reset teaches nothing (freed, dried, reset: gone), calls of an event
teach nothing, and one trouble counts once however many visits named its cause. Nothing teaches
before its day: who looks back sees what was known then.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from servicedesk.desk.apart import apart
from servicedesk.desk.cached import remembered
from servicedesk.desk.cases import Place, places_at
from servicedesk.desk.conclusion_files import NOTHING, files_of, seal_of
from servicedesk.desk.knowledge import knowledge_of, own
from servicedesk.desk.office import Desk
from servicedesk.desk.thread_facts import Place as PlaceOfCalls
from servicedesk.desk.thread_facts import fleet_facts, quiet_model
from servicedesk.records import company_rows
from servicedesk.records import trouble_rows as rows
from servicedesk.records.change_marks import has_mark, latest_mark
from servicedesk.records.company import Company
from servicedesk.records.store import Changed
from servicedesk.trade.faults import Knowledge
from servicedesk.trouble.learning import Confirmed, Learned
from servicedesk.trouble.table import Table, table
from servicedesk.trouble.threads import Thread
from servicedesk.values.progress import Progress, quiet
from servicedesk.values.trouble import Trouble
from servicedesk.words import say

PROVED_BY = ("a direct check", "seen")
LASTING = "fixed"
MOST_SITES_NAMED = 500
TAUGHT_BY_FIX = (LASTING, "patched")


_FILE = "confirmed cases"


@dataclass(frozen=True, slots=True, kw_only=True)
class _Named:
    """A cause that a visit for a call named: whether it was proved there, and with what fix."""

    call_id: int
    visit_id: int
    on: date
    symptom: str
    cause: str
    found: Mapping[str, str]
    is_proved: bool
    is_lasting: bool


_BySite = dict[int, tuple[tuple[object, ...], tuple[_Named, ...]]]


def learned(desk: Desk) -> Learned:
    """Counts of the company's confirmed cases, kept until anything in the store changes."""
    return remembered(
        desk, ("learned", desk.today), lambda: Learned.of(confirmed_cases(desk)), (Learned,)
    )


def confirmed_cases(desk: Desk) -> tuple[Confirmed, ...]:
    """Every trouble whose cause is confirmed up to today, since the company last forgot.

    What visits named is kept site by site until something changes there: a change at one site does
    not make the others be read again. Which calls are one trouble, and whether its fix has held,
    is asked of `desk.thread_facts` each time.
    """
    known = knowledge_of(desk)
    with desk.store.read() as session:
        company = company_rows.the_company(session)
        since = company.learn_since_at if company else None
        stamps = rows.learning_stamps(session)
        kept = _kept(desk, session, since, known)
        stale = [site for site, stamp in stamps.items() if kept.get(site, ((0,), ()))[0] != stamp]
    asked = (stale, len(stamps), since)
    many = len(stale) > MOST_SITES_NAMED
    named = apart(desk, _named_of, *asked) if many else _named_of(desk, *asked)
    for site, causes in named.items():
        kept[site] = (stamps[site], causes)
    if stale:
        _keep(desk, since, kept)
    return tuple(_confirmed(desk, {site: kept[site][1] for site in stamps}))


def _named_of(
    desk: Desk, stale: list[int], of: int, since: datetime | None, *, progress: Progress = quiet
) -> dict[int, tuple[_Named, ...]]:
    """What visits at these sites named; `of` so many there are. Of all of them: much is read."""
    known = knowledge_of(desk)
    progress(0, 1)
    with desk.store.read() as session:
        places = _read(desk, session, stale, of=of)
    progress(0, 1)
    named: dict[int, list[_Named]] = {site: [] for site in stale}
    for place in places:
        if place.system.site_id in named:
            named[place.system.site_id] += _named_at(place, known, since)
    return {site: tuple(causes) for site, causes in named.items()}


def _confirmed(desk: Desk, named: Mapping[int, tuple[_Named, ...]]) -> Iterator[Confirmed]:
    """The causes that are proved, or whose lasting fix has held; each trouble once a cause."""
    facts, model = fleet_facts(desk), quiet_model(desk)
    places: dict[int, list[PlaceOfCalls]] = {}
    for place in facts.calls:
        if named.get(place[0]):
            places.setdefault(place[0], []).append(place)
    for site, causes in named.items():
        thread_of = {
            call.call_id: thread
            for place in places.get(site, ())
            for thread in facts.threads_at(place, desk.today, model)
            for call in thread.calls
        }
        for one in causes:
            if one.on > desk.today:
                continue
            thread = thread_of.get(one.call_id)
            if one.is_proved or (one.is_lasting and _has_held(one, thread)):
                first = thread.calls[0].call_id if thread is not None else one.call_id
                yield Confirmed(f"{first} {one.cause}", one.symptom, one.cause, one.found)


def _kept(desk: Desk, session: Any, since: datetime | None, known: Knowledge) -> _BySite:
    """What is kept of every site; nothing if what all have in common has changed."""
    key, common = ("confirmed cases",), (since, id(known))
    kept = desk.store.conclusions.get(key)
    if kept is None or kept[1][0] != common:
        kept = (-1, (common, _from_file(desk, session, since)))
        desk.store.conclusions[key] = kept
    by_site: _BySite = kept[1][1]
    return by_site


def _from_file(desk: Desk, session: Any, since: datetime | None) -> _BySite:
    """What was kept by the last session, if this store has gone on from there."""
    files = files_of(desk.store)
    if files is None:
        return {}
    found = files.read(_FILE, _seal(desk, since), (_Named,))
    if found is NOTHING or not has_mark(session, found[0]):
        return {}
    by_site: _BySite = found[1]
    return by_site


def _keep(desk: Desk, since: datetime | None, kept: _BySite) -> None:
    files = files_of(desk.store)
    if files is not None:
        with desk.store.read() as session:
            mark = latest_mark(session)
        files.write(_FILE, _seal(desk, since), (mark, kept))


def _seal(desk: Desk, since: datetime | None) -> str:
    """Own knowledge decides which results a case may name."""
    return seal_of(desk.store, _FILE, since, own(desk))


def _read(desk: Desk, session: Any, stale: list[int], *, of: int) -> list[Place]:
    """The places of these sites. A database takes only so many keys in one question."""
    if len(stale) > MOST_SITES_NAMED and 2 * len(stale) > of:
        return list(places_at(desk, session, None, calls_alone=True))
    return [
        place
        for at in range(0, len(stale), MOST_SITES_NAMED)
        for place in places_at(desk, session, stale[at : at + MOST_SITES_NAMED], calls_alone=True)
    ]


def forget_learned(desk: Desk) -> Changed:
    """Forget what was learned: visits up to now teach nothing from here on. Can be taken back."""
    with desk.store.read() as session:
        company = company_rows.the_company(session)
    if company is None:
        raise Trouble(
            say("There is no company yet."), do=say("Write the company's details in Set up first.")
        )
    with desk.store.change(desk.who, say("Forgot what was learned from own cases")) as work:
        work.get(Company, company.id).learn_since_at = desk.clock.now()
    return work.changed


def _named_at(place: Place, known: Knowledge, since: datetime | None) -> Iterator[_Named]:
    """Causes that visits for calls of this place named and that may teach."""
    proofs = table(known)
    for job in place.jobs:
        if not _may_teach(job, place, known, since):
            continue
        call = place.call_by_id[job.call_id or 0]
        symptom = next((s for s in call.symptoms if s in known.symptoms), None)
        if symptom is not None:
            found = _found_at(place, job)
            yield _Named(
                call_id=call.id,
                visit_id=job.visit_id,
                on=place.day_of[job.visit_id],
                symptom=symptom,
                cause=job.cause_id or "",
                found=_known_results(found, known),
                is_proved=_is_proved(job, found, proofs),
                is_lasting=job.fix == LASTING,
            )


def _may_teach(job: rows.DoneJob, place: Place, known: Knowledge, since: datetime | None) -> bool:
    call = place.call_by_id.get(job.call_id or 0)
    if call is None or call.is_event or job.cause_id not in known.causes:
        return False
    if job.fix not in TAUGHT_BY_FIX or job.no_fault_found:
        return False
    return since is None or (job.arrived_at is not None and job.arrived_at >= since)


def _found_at(place: Place, job: rows.DoneJob) -> dict[str, str]:
    return {
        one.check_id: one.result_id
        for one in place.findings
        if one.visit_id == job.visit_id and one.result_id is not None
    }


def _known_results(found: Mapping[str, str], known: Knowledge) -> dict[str, str]:
    return {
        check: result
        for check, result in found.items()
        if check in known.checks and result in {r.id for r in known.checks[check].results}
    }


def _is_proved(job: rows.DoneJob, found: Mapping[str, str], proofs: Table) -> bool:
    """Did a check that speaks directly for the cause find it so, or somebody see it?"""
    direct = proofs.direct[job.cause_id or ""]
    if any(found.get(check) in results for check, results in direct.items()):
        return True
    return job.cause_known_by in PROVED_BY


def _has_held(one: _Named, thread: Thread | None) -> bool:
    """Was it the last fix of a trouble that has been quiet long enough since?"""
    if thread is None or not thread.quiet.is_over or not thread.tried:
        return False
    return thread.tried[-1].visit_id == one.visit_id
