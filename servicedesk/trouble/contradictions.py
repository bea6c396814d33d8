"""Findings that do not go together: reported, never swallowed."""

from dataclasses import dataclass
from itertools import combinations
from math import exp

from servicedesk.trade.clashes import clashes
from servicedesk.trade.faults import Knowledge
from servicedesk.trouble.case import Case
from servicedesk.trouble.causes import Ranking, ratio_under
from servicedesk.trouble.evidence import Counted
from servicedesk.trouble.history import was_away
from servicedesk.trouble.learning import NOTHING_LEARNED, Learned
from servicedesk.trouble.noisy_or import Faults, Sign
from servicedesk.trouble.table import Table, table
from servicedesk.values.reason import Reason

# a result this unlikely under the leading cause, and so many times rarer than usual, speaks
# against it
_UNLIKELY, _TIMES_RARER = 0.12, 4.0
_VERY_UNLIKELY, _SOMEWHAT_RARER = 0.055, 1.8
# asked about only where somebody might act on the leading cause
_LEADING = 0.25
# a result nobody expects that no candidate explains this many times better than chance
_UNEXPLAINED_RATIO, _RARE = 2.0, 0.15
_CANDIDATES = 12
_SECOND_FAULT = 0.5


@dataclass(frozen=True, slots=True)
class Contradiction:
    """What does not go together: one or two findings, and why."""

    checks: tuple[str, ...]
    why: Reason


def contradictions(
    case: Case, ranking: Ranking, knowledge: Knowledge, learned: Learned = NOTHING_LEARNED
) -> tuple[Contradiction, ...]:
    """All contradictions, gravest first: impossible pairs, twice differently, against the lead."""
    known = table(knowledge)
    return (
        *_clashing(case, ranking),
        *_twice(case),
        *against_leading(case, ranking, known, learned),
        *_unexplained(case, ranking, known, learned),
    )


def against_leading(
    case: Case, ranking: Ranking, known: Table, learned: Learned
) -> tuple[Contradiction, ...]:
    """Findings that speak against the leading cause, with the second fault that would explain."""
    if not ranking.causes or ranking.causes[0].chance < _LEADING:
        return ()
    leading = ranking.causes[0].cause
    found = []
    for one in ranking.counted:
        if was_away(known.knowledge.causes[leading], one):
            continue
        rarer = exp(-ratio_under(case.symptoms, leading, one.check, one.result, known, learned))
        likely = known.usual_share(one.check, one.result) / rarer
        if (likely <= _UNLIKELY and rarer >= _TIMES_RARER) or (
            likely <= _VERY_UNLIKELY and rarer >= _SOMEWHAT_RARER
        ):
            second = _second_fault(case, one, ranking, known, learned)
            code = "speaks_against_leading" if second is None else "two_faults_together"
            values = {"check": one.check, "result": one.result, "cause": leading}
            if second is not None:
                values["second"] = second
            found.append(Contradiction((one.check,), Reason.of(code, **values)))
    return tuple(found)


def _clashing(case: Case, ranking: Ranking) -> list[Contradiction]:
    """Pairs that cannot both be true, among results of one day."""
    by_check = {(f.check, f.days_before): f.result for f in case.found if f.result is not None}
    by_check |= {(one.check, one.days_before): one.result for one in ranking.counted}
    found = []
    for clash in clashes():
        for (check, days), result in by_check.items():
            other = by_check.get((clash.other, days))
            if check == clash.check and result in clash.results and other in clash.other_results:
                why = Reason.of(
                    "cannot_both_be",
                    check=check,
                    result=result,
                    other=clash.other,
                    other_result=other,
                    why=clash.why,
                )
                found.append(Contradiction((check, clash.other), why))
    return found


def _twice(case: Case) -> list[Contradiction]:
    """One check of today with two different results."""
    results: dict[str, set[str]] = {}
    for found in case.found:
        if found.result is not None and found.days_before == 0:
            results.setdefault(found.check, set()).add(found.result)
    return [
        Contradiction((check,), Reason.of("found_both", check=check, results=tuple(sorted(both))))
        for check, both in results.items()
        if len(both) > 1
    ]


def _unexplained(
    case: Case, ranking: Ranking, known: Table, learned: Learned
) -> list[Contradiction]:
    """Pairs of one evidence group, both out of the ordinary, that no single cause explains."""
    found = []
    rare = [
        one
        for one in ranking.counted
        if one.days_before == 0 and known.usual_share(one.check, one.result) <= _RARE
    ]
    for one, other in combinations(rare, 2):
        if not set(known.groups[one.check]) & set(known.groups[other.check]):
            continue
        best = max(
            (
                min(
                    exp(ratio_under(case.symptoms, c.cause, f.check, f.result, known, learned))
                    for f in (one, other)
                )
                for c in ranking.causes
            ),
            default=0.0,
        )
        if best < _UNEXPLAINED_RATIO:
            why = Reason.of(
                "no_one_cause",
                check=one.check,
                result=one.result,
                other=other.check,
                other_result=other.result,
            )
            found.append(Contradiction((one.check, other.check), why))
    return found


def _second_fault(
    case: Case, against: Counted, ranking: Ranking, known: Table, learned: Learned
) -> str | None:
    """The cause that, beside the leading one, would explain a finding out of the ordinary.

    Two faults at once are the case of the noisy-OR: every finding out of the ordinary is a sign
    that any of the causes there may have brought about.
    """
    if against.result == known.usual[against.check]:
        return None  # all is well there: no second fault makes a part better
    leading = ranking.causes[0].cause
    names = [one.cause for one in ranking.causes[:_CANDIDATES]]
    signs = {
        one.check: _sign(case, one, names, known, learned)
        for one in ranking.counted
        if one.result != known.usual[one.check]
    }
    faults = Faults(
        {one.cause: min(0.5, one.chance) for one in ranking.causes[:_CANDIDATES]}, signs
    )
    chances = faults.chances(dict.fromkeys(signs, True))
    others = {
        name: chance
        for name, chance in chances.items()
        if name != leading and signs[against.check].by_cause[name] > _SECOND_FAULT
    }
    if not others:
        return None
    best = max(others, key=lambda name: others[name])
    return best if others[best] >= _SECOND_FAULT else None


def _sign(case: Case, one: Counted, names: list[str], known: Table, learned: Learned) -> Sign:
    """A finding as a sign: without any cause as rare as usual, with each as often as its row."""
    leak = known.usual_share(one.check, one.result)
    rows = {
        name: min(
            0.99,
            leak * exp(ratio_under(case.symptoms, name, one.check, one.result, known, learned)),
        )
        for name in names
    }
    return Sign(leak, {name: max(0.0, (p - leak) / (1 - leak)) for name, p in rows.items()})
