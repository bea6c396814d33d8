"""One answer to "what is it, and what next?"."""

from dataclasses import dataclass

from servicedesk.trade.faults import Knowledge
from servicedesk.trouble.bring import to_bring
from servicedesk.trouble.case import Case
from servicedesk.trouble.causes import CauseChance, rank
from servicedesk.trouble.contradictions import Contradiction, contradictions
from servicedesk.trouble.learning import NOTHING_LEARNED, Learned
from servicedesk.trouble.next_check import Proposed, confirming, next_checks
from servicedesk.trouble.sure import why_not_sure
from servicedesk.trouble.untested import never_done
from servicedesk.values.reason import Reason


@dataclass(frozen=True, slots=True, kw_only=True)
class Opinion:
    """Causes best first with chances (the unlisted one apart), and what follows from them.

    `next_checks`: once sure only those that confirm it. `never_done`: checks owed, first the one
    that settles most per minute. `n_cases`: own confirmed cases that speak; `is_default`: too few
    of them yet.
    """

    causes: tuple[CauseChance, ...]
    unlisted: float
    model: str
    next_checks: tuple[Proposed, ...]
    never_done: tuple[str, ...]
    contradictions: tuple[Contradiction, ...]
    to_bring: tuple[tuple[str, float], ...]
    sure: bool
    why_not_sure: tuple[Reason, ...]
    n_cases: int
    is_default: bool


def opinion(case: Case, knowledge: Knowledge, learned: Learned = NOTHING_LEARNED) -> Opinion:
    """Everything the findings and the history of one trouble say, in a few milliseconds.

    Raises ValueError for a case without symptom, KeyError for ids that are not known.
    """
    ranking = rank(case, knowledge, learned)
    against = contradictions(case, ranking, knowledge, learned)
    reasons = why_not_sure(case, ranking, against, knowledge)
    proposed = next_checks(case, ranking, knowledge, learned)
    return Opinion(
        causes=ranking.causes,
        unlisted=ranking.unlisted,
        model=ranking.model,
        next_checks=proposed if reasons else confirming(proposed, case, ranking, knowledge),
        never_done=never_done(case, knowledge, ranking),
        contradictions=against,
        to_bring=to_bring(ranking, knowledge),
        sure=not reasons,
        why_not_sure=reasons,
        n_cases=ranking.n_cases,
        is_default=ranking.is_default,
    )
