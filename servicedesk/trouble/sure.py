"""Whether the first cause may be taken as established."""

from servicedesk.trade.faults import Knowledge
from servicedesk.trouble.case import Case
from servicedesk.trouble.causes import Ranking
from servicedesk.trouble.contradictions import Contradiction
from servicedesk.trouble.table import Table, table
from servicedesk.values.reason import Reason

ENOUGH = 0.8
# found dangers that come before any diagnosis: check, results, the cause that is the danger
_DANGERS = (
    ("lid-look", ("loose", "broken"), "lid-unsafe"),
    ("tablet-tube-look", ("wrong-kind",), "tablets-wrong-kind"),
    ("ask-disinfectant", ("pool-tablets",), "tablets-wrong-kind"),
)


def why_not_sure(
    case: Case,
    ranking: Ranking,
    contradictions: tuple[Contradiction, ...],
    knowledge: Knowledge,
) -> tuple[Reason, ...]:
    """Everything that stands against being sure; () if the first cause is sure.

    Sure is: at least 0.8, a check that speaks directly for it found it so since its part was last
    changed, no finding contradicts it, and no danger found waits to be dealt with.
    """
    known = table(knowledge)
    reasons = list(_dangers(case, ranking))
    if not ranking.causes or ranking.unlisted > ranking.causes[0].chance:
        return (*reasons, Reason.of("nothing_listed_fits", chance=round(ranking.unlisted, 3)))
    first = ranking.causes[0]
    if first.chance < ENOUGH:
        reasons.append(
            Reason.of("not_likely_enough", cause=first.cause, chance=round(first.chance, 3))
        )
    if not is_proved(first.cause, ranking, known):
        reasons.append(
            Reason.of("not_proved", cause=first.cause, checks=tuple(known.direct[first.cause]))
        )
    reasons += [one.why for one in contradictions]
    return tuple(reasons)


def is_proved(cause: str, ranking: Ranking, known: Table) -> bool:
    """Whether a direct check that still holds found the cause."""
    direct = known.direct[cause]
    return any(one.result in direct.get(one.check, ()) for one in ranking.held)


def _dangers(case: Case, ranking: Ranking) -> list[Reason]:
    leading = ranking.causes[0].cause if ranking.causes else ""
    said = {(f.check, f.result) for f in case.found if f.days_before == 0}
    reasons = {
        danger: Reason.of("danger_first", check=check, result=result, cause=danger)
        for check, results, danger in _DANGERS
        for result in results
        if (check, result) in said and danger != leading
    }
    return list(reasons.values())
