"""What was never tested: the checks owed before anybody may say "no fault found"."""

from servicedesk.trade.faults import Knowledge
from servicedesk.trouble.bayes import settling_order
from servicedesk.trouble.case import Case
from servicedesk.trouble.causes import Ranking, fits_site, rank
from servicedesk.trouble.evidence import done, equipment_of, makes_sense
from servicedesk.trouble.table import Table, table

# causes worth proving: with at least this chance, and not more than so many
_WORTH_PROVING, _AT_MOST = 0.04, 6


def never_done(case: Case, knowledge: Knowledge, ranking: Ranking | None = None) -> tuple[str, ...]:
    """Checks owed and not made, the one first that settles most per minute.

    Owed are those that the symptoms ask for before "no fault found" and those that speak directly
    for a leading cause. Made counts only if not older than a year nor than the last change of
    that part. Settled by a check is the chance of the causes it speaks directly for; for one
    fault and checks that each settle their own causes the order finds it in the least time.
    """
    known = table(knowledge)
    ranking = ranking or rank(case, knowledge)
    made, site_has = done(case, known), equipment_of(case, known)
    restating = {r for s in case.symptoms for r in knowledge.symptoms[s].restates}
    owed = dict.fromkeys(
        [c for s in case.symptoms for c in knowledge.symptoms[s].before_no_fault_found]
        + _proofs(ranking, known)
    )
    open_now = [
        check
        for check in owed
        if check not in made
        and makes_sense(check, case)
        and check not in restating
        and fits_site(knowledge.checks[check].needs, site_has)
    ]
    minutes = [knowledge.checks[check].minutes for check in open_now]
    order = settling_order([settles(check, ranking, known) for check in open_now], minutes)
    return tuple(open_now[at] for at in order)


def settles(check: str, ranking: Ranking, known: Table) -> float:
    """The chance of all causes that the check speaks directly for."""
    return sum(one.chance for one in ranking.causes if check in known.direct[one.cause])


def _proofs(ranking: Ranking, known: Table) -> list[str]:
    leading = [one.cause for one in ranking.causes[:_AT_MOST] if one.chance >= _WORTH_PROVING]
    return [
        check
        for cause in leading
        for check in known.direct[cause]
        if known.knowledge.checks[check].where != "phone"  # an answer on the phone proves nothing
    ]
