"""The evidence of an alert: what came back, what was tried, what that rules out, what is left.

Kept with the alert as of the moment it was raised (ids and numbers only: words are made when it is
shown), and computed anew when somebody looks.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from servicedesk.desk.alert_facts import keys_of
from servicedesk.desk.cases import Place, case_at, place_of
from servicedesk.desk.fleet_evidence import fleet_evidence
from servicedesk.desk.knowledge import knowledge_of
from servicedesk.desk.learned import learned
from servicedesk.desk.office import Desk
from servicedesk.desk.thread_facts import facts_of, quiet_model
from servicedesk.trade.check_units import components_of_checks
from servicedesk.trade.faults import Knowledge
from servicedesk.trouble.case import Case
from servicedesk.trouble.evidence import done
from servicedesk.trouble.opinion import Opinion, opinion
from servicedesk.trouble.repeats import Alert
from servicedesk.trouble.table import Table, table
from servicedesk.trouble.threads import Thread, Tried
from servicedesk.words.as_json import plain

N_CAUSES, N_NEXT, N_BRING, N_RULED_OUT = 8, 6, 6, 4
# judgment, no source: how much less a part is suspected of which some other look was made
_LOOKED_AT_ELSEWHERE = 0.5
# below this chance a cause would hardly have shown the result that was found
_HARDLY = 0.2


@dataclass(frozen=True, slots=True, kw_only=True)
class VisitTried:
    """What a visit for one of the calls did. `rules_out`: causes that its looks speak against."""

    visit_id: int
    on: date
    outcome: str
    cause: str
    checks: tuple[str, ...]
    parts: tuple[str, ...]
    rules_out: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Evidence:
    """Everything an alert points to, as ids of the fault knowledge, days and numbers.

    `untested`: components whose own checks for a leading cause are all owed, likeliest first.
    `never_done`: checks owed, first the one that settles most per minute; `first_check` is the one
    of them to begin with at the first untested component. `n_cases`: own confirmed
    cases that speak; `model` names how chances were computed; `fleet` as `fleet_evidence` says it.
    """

    symptoms: tuple[str, ...]
    calls: tuple[tuple[int, date], ...]
    tried: tuple[VisitTried, ...]
    causes: tuple[tuple[str, float], ...]
    unlisted: float
    model: str
    never_done: tuple[str, ...]
    untested: tuple[str, ...]
    first_check: str
    next_checks: tuple[str, ...]
    to_bring: tuple[tuple[str, float], ...]
    n_cases: int = 0
    fleet: tuple[Mapping[str, Any], ...] = field(default=())


def evidence_at(
    desk: Desk,
    place: Place,
    thread: Thread | None,
    symptoms: Iterable[str],
    *,
    as_of: date | None = None,
    with_fleet: bool = False,
) -> Evidence:
    """The evidence for one trouble of a place, as known now or `as_of` a day.

    `with_fleet`: also what the fleet says of the parts in question (slow; see `fleet_evidence`).
    """
    known = knowledge_of(desk)
    case = case_at(desk, place, symptoms=symptoms, as_of=as_of)
    answer = opinion(case, known, learned(desk))
    facts = table(known)
    untested = untested_parts(answer, case, known, facts)
    fleet = fleet_evidence(desk, place.system.id) if with_fleet else ()
    asked = {*untested, *(known.causes[one.cause].component for one in answer.causes[:N_CAUSES])}
    calls = () if thread is None else thread.calls
    return Evidence(
        symptoms=case.symptoms,
        calls=tuple((call.call_id, call.on) for call in calls),
        tried=tuple(_tried(desk, place, one, case, facts) for one in _visits(thread)),
        causes=tuple((one.cause, one.chance) for one in answer.causes[:N_CAUSES]),
        unlisted=answer.unlisted,
        model=answer.model,
        never_done=answer.never_done,
        untested=untested,
        first_check=first_check(answer, untested, known, facts),
        next_checks=tuple(one.check for one in answer.next_checks[:N_NEXT]),
        to_bring=answer.to_bring[:N_BRING],
        n_cases=answer.n_cases,
        fleet=tuple(one for one in fleet if one["component"] in asked),
    )


def untested_parts(answer: Opinion, case: Case, known: Knowledge, facts: Table) -> tuple[str, ...]:
    """Components with a leading cause whose own checks are all still owed, likeliest first.

    A component of which something else was looked at counts for less: it is not new to anybody.
    """
    owed = set(answer.never_done)
    made = done(case, facts)
    chances: dict[str, float] = {}
    for one in answer.causes[:N_CAUSES]:
        component = known.causes[one.cause].component
        direct = {c for c in facts.direct[one.cause] if known.checks[c].where != "phone"}
        if direct and direct <= owed:
            chances[component] = chances.get(component, 0.0) + one.chance
    looked_at = {c for check in made for c in components_of_checks().get(check, ())}
    order = sorted(
        chances,
        key=lambda c: -chances[c] * (_LOOKED_AT_ELSEWHERE if c in looked_at else 1.0),
    )
    leading = answer.causes[0].cause if answer.causes else ""
    proved = leading and not set(facts.direct[leading]) <= owed
    tested = known.causes[leading].component if proved else ""
    return tuple(component for component in order if component != tested)


def first_check(answer: Opinion, untested: tuple[str, ...], known: Knowledge, facts: Table) -> str:
    """The first owed check that speaks directly for a cause of the first untested component."""
    causes = [one.cause for one in answer.causes[:N_CAUSES]]
    for check in answer.never_done if untested else ():
        if any(
            known.causes[cause].component == untested[0] and check in facts.direct[cause]
            for cause in causes
        ):
            return check
    return answer.never_done[0] if answer.never_done else ""


def thread_at(desk: Desk, place: Place, call_id: int | None) -> Thread | None:
    """The trouble that a call of this place belongs to."""
    if call_id is None:
        return None
    facts, model = facts_of(desk, [place.system.site_id]), quiet_model(desk)
    for key in facts.calls:
        for one in facts.threads_at(key, desk.today, model):
            if one.has(call_id):
                return one
    return None


def place_of_key(desk: Desk, key: str) -> Place | None:
    """The place an alert is about; None where a site has several systems and nobody said which."""
    _, system_id = keys_of(key)
    return None if system_id is None else place_of(desk, system_id=system_id)


def stored(alert: Alert, evidence: Evidence | None, *, again: bool = False) -> dict[str, Any]:
    """The evidence as the store keeps it, with why the alert was raised."""
    why = dict(alert.why.values)
    kept: dict[str, Any] = {
        "on": alert.on.isoformat(),
        "code": alert.why.code,
        "why": why,
        "chance": alert.chance,
        "again": again,
    }
    if evidence is not None:
        kept |= plain(evidence)
    return kept


def _visits(thread: Thread | None) -> tuple[Tried, ...]:
    return () if thread is None else thread.tried


def _tried(desk: Desk, place: Place, one: Tried, case: Case, facts: Table) -> VisitTried:
    found = {f.check_id: f.result_id for f in place.findings if f.visit_id == one.visit_id}
    looked = [c for c in dict.fromkeys((*one.checks, *found)) if c in facts.knowledge.checks]
    results = {c: r for c, r in found.items() if r is not None and c in facts.knowledge.checks}
    return VisitTried(
        visit_id=one.visit_id,
        on=one.on,
        outcome=one.outcome,
        cause=one.cause,
        checks=tuple(c for c in looked if c in results or c not in found),
        parts=_parts(desk, place, one),
        rules_out=_ruled_out(results, case, facts),
    )


def _parts(desk: Desk, place: Place, one: Tried) -> tuple[str, ...]:
    known = knowledge_of(desk).part_kinds
    used = [p.part_kind for p in place.parts if p.visit_id == one.visit_id]
    return tuple(part for part in dict.fromkeys((*one.parts, *used)) if part in known)


def _ruled_out(results: Mapping[str, str], case: Case, facts: Table) -> tuple[str, ...]:
    """Causes of these symptoms whose own direct check was made and found otherwise."""
    known = facts.knowledge
    weights: dict[str, float] = {}
    for symptom in case.symptoms:
        for cause, weight in known.causes_of[symptom].weights.items():
            weights[cause] = weights.get(cause, 0.0) + weight
    against = [
        cause
        for cause in weights
        if any(
            check in results and known.row(cause, check).get(results[check], 1.0) < _HARDLY
            for check in facts.direct[cause]
        )
    ]
    return tuple(sorted(against, key=lambda cause: -weights[cause])[:N_RULED_OUT])
