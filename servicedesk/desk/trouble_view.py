"""One trouble as pages show it: causes with chance and state, the next check, what to bring."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta

from servicedesk.desk.alert_evidence import N_BRING, first_check, untested_parts
from servicedesk.desk.alert_lines import CheckLine, PartLine, check_lines, part_lines
from servicedesk.desk.cases import case_of
from servicedesk.desk.causes_cli import names_of
from servicedesk.desk.knowledge import knowledge_of
from servicedesk.desk.learned import learned
from servicedesk.desk.office import Desk
from servicedesk.desk.threads import TroubleThread
from servicedesk.trade.faults import Knowledge
from servicedesk.trouble.case import Case
from servicedesk.trouble.causes import CauseChance
from servicedesk.trouble.looked import Looked, Verdict, looked_at
from servicedesk.trouble.opinion import Opinion, opinion
from servicedesk.trouble.table import table
from servicedesk.values.trouble import Trouble
from servicedesk.words import say, say_n
from servicedesk.words.reasons import reason_text

MOST_CAUSES = 5
LEAST_CHANCE = 0.02


@dataclass(frozen=True, slots=True, kw_only=True)
class CauseSeen:
    """A cause with its chance and how it stands: "never tested", "ruled out twice"."""

    id: str
    name: str
    component: str
    chance: float
    verdict: Verdict
    state: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TroubleView:
    """What is behind a trouble, by all that is known now.

    `causes` lead; `n_others` more have the chance `others` together, and `unlisted` is that of
    something not in the list. `base` says what the numbers rest on. `next_check`: the best by what
    it tells per minute; `first_untested`: the first of those never done here, None where that is
    the same or nothing is left. `owed_checks`: all of those never done, that one first.
    `doubts`: findings that do not go together.
    """

    symptom: str
    causes: tuple[CauseSeen, ...]
    n_others: int
    others: float
    unlisted: float
    base: str
    next_check: CheckLine | None
    next_is_new: bool
    first_untested: CheckLine | None
    owed_checks: tuple[CheckLine, ...]
    untested: tuple[str, ...]
    to_bring: tuple[PartLine, ...]
    sure: bool
    doubts: tuple[str, ...]


def trouble_view(desk: Desk, thread: TroubleThread) -> TroubleView | None:
    """What is behind a thread; None where its symptom is not known or nobody said which system."""
    known = knowledge_of(desk)
    lead = thread.thread.lead
    if lead not in known.causes_of:
        return None
    try:
        case = case_of(
            desk,
            system_id=thread.system_id,
            site_id=None if thread.system_id else thread.site_id,
            symptoms=(lead,),
        )
    except Trouble:
        return None  # several systems, and nobody said which one calls
    answer = opinion(case, known, learned(desk))
    return view_of(desk, case, answer, known, n_visits=len(thread.thread.tried))


def view_of(
    desk: Desk, case: Case, answer: Opinion, known: Knowledge, *, n_visits: int
) -> TroubleView:
    """The same from a case and its opinion. `n_visits`: visits that this trouble had."""
    causes = tuple(_seen(desk, one.cause, one.chance, case, known) for one in _leading(answer))
    rest = answer.causes[len(causes) :]
    ids = [one.check for one in answer.next_checks[:1]]
    next_check = next(iter(check_lines(ids, known)), None)
    untested = untested_parts(answer, case, known, table(known))
    begin_with = first_check(answer, untested, known, table(known))
    owed = sorted(answer.never_done, key=lambda check: check != begin_with)
    owed_checks = check_lines(owed, known)
    first = next(iter(owed_checks), None)
    same = first is not None and next_check is not None and first.id == next_check.id
    names = names_of(known)
    return TroubleView(
        symptom=known.symptoms[case.symptoms[0]].name,
        causes=causes,
        n_others=len(rest),
        others=sum(one.chance for one in rest),
        unlisted=answer.unlisted,
        base=base_text(n_visits, answer.n_cases),
        next_check=next_check,
        next_is_new=next_check is not None and next_check.id in answer.never_done,
        first_untested=None if same else first,
        owed_checks=owed_checks,
        untested=tuple(known.components[one].name for one in untested),
        to_bring=part_lines(answer.to_bring[:N_BRING], known),
        sure=answer.sure,
        doubts=tuple(reason_text(one.why, desk.formats, names) for one in answer.contradictions),
    )


def base_text(n_visits: int, n_cases: int) -> str:
    """What the chances rest on: "chance, from 4 visits + 10 own cases"."""
    visits = say_n("{n} visit", "{n} visits", n_visits)
    if not n_cases:
        return say("chance, from {visits} + fault knowledge", visits=visits)
    cases = say_n("{n} own case", "{n} own cases", n_cases)
    return say("chance, from {visits} + {cases}", visits=visits, cases=cases)


def _leading(answer: Opinion) -> Sequence[CauseChance]:
    return [one for one in answer.causes[:MOST_CAUSES] if one.chance >= LEAST_CHANCE]


def _seen(desk: Desk, cause: str, chance: float, case: Case, known: Knowledge) -> CauseSeen:
    looked = looked_at(cause, case, table(known))
    return CauseSeen(
        id=cause,
        name=known.causes[cause].name,
        component=known.components[known.causes[cause].component].name,
        chance=chance,
        verdict=looked.verdict,
        state=state_words(desk, looked),
    )


def state_words(desk: Desk, looked: Looked) -> str:
    """How a cause stands, as "never tested", "not since Feb 2025", "ruled out twice"."""
    if looked.days_before is None:
        return say("never tested")
    month = desk.formats.month(desk.today - timedelta(days=looked.days_before))
    match looked.verdict:
        case "old":
            return say("not since {month}", month=month)
        case "found":
            return say("found {month}", month=month)
        case "ruled out":
            return _ruled_out(looked.n_times)
    return say("tested {month}", month=month)


def _ruled_out(n: int) -> str:
    if n == 1:
        return say("ruled out once")
    if n == 2:
        return say("ruled out twice")
    return say("ruled out {n} times", n=n)
