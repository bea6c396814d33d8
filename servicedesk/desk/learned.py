"""What the company's own confirmed causes teach, and how to forget it.

Only confirmed causes teach: a direct check spoke, or somebody saw it, or the lasting fix has held
its quiet time. What was only reset teaches nothing (freed, dried, reset: gone), calls of an event
teach nothing, and one trouble counts once however many visits named its cause.
"""

from collections.abc import Iterable, Iterator, Mapping
from datetime import datetime
from typing import Any

from servicedesk.desk.cached import cached
from servicedesk.desk.cases import Place, day_of_job, outcome_of, places_at
from servicedesk.desk.knowledge import knowledge_of
from servicedesk.desk.office import Desk
from servicedesk.records import company_rows
from servicedesk.records import trouble_rows as rows
from servicedesk.records.company import Company
from servicedesk.records.store import Changed
from servicedesk.trade.faults import Knowledge
from servicedesk.trouble.learning import Confirmed, Learned
from servicedesk.trouble.table import Table, table
from servicedesk.trouble.threads import Mark, Thread, ThreadCall, Tried, threads
from servicedesk.values.trouble import Trouble
from servicedesk.words import say

PROVED_BY = ("a direct check", "seen")
LASTING = "fixed"
MOST_SITES_NAMED = 500
TAUGHT_BY_FIX = (LASTING, "patched")


def learned(desk: Desk) -> Learned:
    """Counts of the company's confirmed cases, kept until anything in the store changes."""
    return cached(desk, ("learned", desk.today), lambda: Learned.of(confirmed_cases(desk)))


def confirmed_cases(desk: Desk) -> tuple[Confirmed, ...]:
    """Every trouble whose cause is confirmed, of visits since the company last forgot.

    Kept site by site until something changes there, a person joins or splits calls, or the day
    ends: a change at one site does not make the others be read again.
    """
    known = knowledge_of(desk)
    with desk.store.read() as session:
        company = company_rows.the_company(session)
        since = company.learn_since_at if company else None
        marks = [Mark(*mark) for mark in rows.marks(session)]
        stamps = rows.learning_stamps(session)
        kept = _kept(desk, (since, desk.today, id(known), tuple(marks)))
        stale = [site for site, stamp in stamps.items() if kept.get(site, ((0,), ()))[0] != stamp]
        places = _read(desk, session, stale, of=len(stamps))
    found: dict[int, list[Confirmed]] = {site: [] for site in stale}
    for place in places:
        if place.system.site_id in found:
            found[place.system.site_id] += _confirmed_at(desk, place, known, marks, since)
    for site, cases in found.items():
        kept[site] = (stamps[site], tuple(cases))
    return tuple(case for site in stamps for case in kept[site][1])


def _kept(
    desk: Desk, common: tuple[object, ...]
) -> dict[int, tuple[tuple[object, ...], tuple[Confirmed, ...]]]:
    """What is kept of every site; nothing if what all have in common has changed."""
    key = ("confirmed cases",)
    found = desk.store.conclusions.get(key)
    if found is None or found[1][0] != common:
        found = (-1, (common, {}))
        desk.store.conclusions[key] = found
    by_site: dict[int, tuple[tuple[object, ...], tuple[Confirmed, ...]]] = found[1][1]
    return by_site


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


def threads_of(
    desk: Desk, place: Place, known: Knowledge, marks: Iterable[Mark]
) -> tuple[Thread, ...]:
    """The threads of one place as of today."""
    return threads(thread_calls(desk, place), list(marks), known, on=desk.today)


def thread_calls(desk: Desk, place: Place) -> tuple[ThreadCall, ...]:
    """The calls of a place with what the visits for them did, oldest first."""
    by_call: dict[int, list[rows.DoneJob]] = {}
    for job in place.jobs:
        if job.call_id is not None:
            by_call.setdefault(job.call_id, []).append(job)
    return tuple(
        ThreadCall(
            call_id=call.id,
            on=desk.clock.day_of(call.called_at),
            symptoms=call.symptoms,
            is_event=call.is_event,
            is_waiting=call.state == "open",
            visits=tuple(_tried(desk, job) for job in by_call.get(call.id, ())),
        )
        for call in place.calls
    )


def _tried(desk: Desk, job: rows.DoneJob) -> Tried:
    return Tried(
        on=day_of_job(desk, job),
        outcome=outcome_of([job]),
        cause=job.cause_id or "",
        lasting=job.fix == LASTING,
        checks=job.checks_done,
        parts=job.parts_changed,
        visit_id=job.visit_id,
    )


def _confirmed_at(
    desk: Desk, place: Place, known: Knowledge, marks: list[Mark], since: datetime | None
) -> Iterator[Confirmed]:
    jobs = [job for job in place.jobs if _may_teach(job, place, known, since)]
    if not jobs:
        return
    of_call = {
        call.call_id: thread
        for thread in threads_of(desk, place, known, marks)
        for call in thread.calls
    }
    proofs = table(known)
    for job in jobs:
        call = place.call_by_id[job.call_id or 0]
        thread = of_call.get(call.id)
        found = _found_at(place, job)
        if not (_is_proved(job, found, proofs) or _has_held(job, thread)):
            continue
        symptom = next((s for s in call.symptoms if s in known.symptoms), None)
        if symptom is not None:
            first = thread.calls[0].call_id if thread is not None else call.id
            cause = job.cause_id or ""
            yield Confirmed(f"{first} {cause}", symptom, cause, _known_results(found, known))


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


def _has_held(job: rows.DoneJob, thread: Thread | None) -> bool:
    """Was it the last, lasting fix of a trouble that has been quiet long enough since?"""
    if thread is None or not thread.quiet.is_over or job.fix != LASTING or not thread.tried:
        return False
    return thread.tried[-1].visit_id == job.visit_id
