"""Calls and visits from the store as the calculation of threads takes them."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from servicedesk.desk.cached import cached, remembered
from servicedesk.desk.knowledge import knowledge_of
from servicedesk.desk.office import Desk
from servicedesk.records import thread_rows
from servicedesk.records.thread_rows import CallOfSite, VisitTried
from servicedesk.trade.faults import Knowledge
from servicedesk.trouble.alike import alike_of
from servicedesk.trouble.case import Outcome
from servicedesk.trouble.fixes_seen import fixes_seen
from servicedesk.trouble.quiet import QuietModel, Rate
from servicedesk.trouble.quiet_learned import learned
from servicedesk.trouble.threads import Mark, Thread, ThreadCall, Tried, threads

CONFIRMED_BY = ("a direct check", "seen", "known before")
"""How a cause is known for sure; "replaced and gone" and "presumed" are no proof."""

Place = tuple[int, int | None]
"""A site, and which system there: None where nobody said and there are several."""


@dataclass(frozen=True, slots=True)
class Facts:
    """Calls by place with the rows they came from, and what people said about them."""

    calls: Mapping[Place, tuple[ThreadCall, ...]]
    rows: Mapping[int, CallOfSite]
    visits: Mapping[int, tuple[VisitTried, ...]]
    marks: tuple[Mark, ...]
    knowledge: Knowledge

    def threads_at(self, place: Place, on: date, model: QuietModel) -> tuple[Thread, ...]:
        """Threads of one system as they stand on a day."""
        calls = self.calls.get(place, ())
        return threads(calls, self.marks_of(calls), self.knowledge, on=on, model=model)

    def marks_of(self, calls: Iterable[ThreadCall]) -> Sequence[Mark]:
        """What people said about these calls."""
        ids = {call.call_id for call in calls}
        return [m for m in self.marks if m.call_id in ids or m.other_id in ids]


def facts_of(desk: Desk, site_ids: Iterable[int] | None = None, *, details: bool = True) -> Facts:
    """Calls of some sites or of all, ready for the calculation (a fixed number of queries).

    Without `details` visits lack words, checks and parts: threads are the same.
    """
    ids = None if site_ids is None else list(site_ids)
    with desk.store.read() as session:
        found = thread_rows.calls(session, ids)
        systems = thread_rows.systems(session, ids)
        visits = thread_rows.visits(session, ids, details=details)
        marks = thread_rows.marks(session, ids)
    calls: dict[Place, list[ThreadCall]] = {}
    for row in found:
        calls.setdefault(place_of(row, systems), []).append(
            _call(desk, row, visits.get(row.id, ()))
        )
    return Facts(
        calls={place: tuple(some) for place, some in calls.items()},
        rows={row.id: row for row in found},
        visits=visits,
        marks=tuple(Mark(m.call_id, m.other_call_id, m.joined) for m in marks),
        knowledge=knowledge_of(desk),
    )


def place_of(row: CallOfSite, systems: Mapping[int, tuple[int, ...]]) -> Place:
    """The system a call is about: the only one there where nobody said which."""
    there = systems.get(row.site_id, ())
    sole = there[0] if len(there) == 1 else None
    return row.site_id, row.system_id or sole


def _call(desk: Desk, row: CallOfSite, visits: tuple[VisitTried, ...]) -> ThreadCall:
    cause = ""
    tried = []
    for visit in visits:
        if visit.cause_known_by in CONFIRMED_BY:
            cause = visit.cause_id  # what is patched now is settled later for this cause
        elif not visit.is_owed:
            cause = ""
        on = desk.clock.day_of(visit.arrived_at) if visit.arrived_at else visit.planned_on
        if on is None:
            continue  # a visit of no day cannot be told apart from one that never was
        outcome = outcome_of(visit)
        tried.append(
            Tried(
                on=on,
                outcome=outcome,
                cause=cause,
                lasting=outcome == "fixed",
                checks=visit.checks,
                parts=visit.parts,
                visit_id=visit.visit_id,
            )
        )
    return ThreadCall(
        call_id=row.id,
        on=desk.clock.day_of(row.called_at),
        symptoms=row.symptoms,
        is_event=row.event_id is not None,
        is_waiting=row.state == "open",
        visits=tuple(tried),
    )


def outcome_of(visit: VisitTried) -> Outcome:
    """What a visit came to, as the calculations name it."""
    if visit.outcome == "could not":
        return "could not"
    if visit.no_fault_found:
        return "no fault found"
    if visit.is_owed and visit.outcome == "done" and not visit.fix:
        return "fixed"  # what was patched is mended now
    names: dict[str, Outcome] = {
        "fixed": "fixed",
        "patched": "workaround",
        "reset only": "reset only",
    }
    return names.get(visit.fix, "")


def fleet_facts(desk: Desk) -> Facts:
    """Calls of all sites without details of the visits, kept until something changes."""
    return cached(desk, ("calls for threads",), lambda: facts_of(desk, details=False))


def quiet_model(desk: Desk) -> QuietModel:
    """What the company's own fixes came to, up to today; kept until something changes."""

    def compute() -> QuietModel:
        facts = fleet_facts(desk)
        alike = alike_of(facts.knowledge)
        some = facts.calls.values()
        return learned(fix for calls in some for fix in fixes_seen(calls, alike, desk.today))

    return remembered(desk, ("quiet model", desk.today), compute, (QuietModel, Rate))
