"""What was looked at for one cause: never, too long ago, tested, ruled out, or found."""

from dataclasses import dataclass
from typing import Literal

from servicedesk.trouble.case import Case, Found
from servicedesk.trouble.evidence import OLDEST_DAYS, changed_days
from servicedesk.trouble.table import Table

Verdict = Literal["never", "old", "tested", "ruled out", "found"]
# below this chance the cause would hardly have shown the result: it speaks against the cause;
# judgment, no source
HARDLY = 0.2


@dataclass(frozen=True, slots=True)
class Looked:
    """How a cause stands. `days_before`: the last look that `verdict` rests on, None for "never".

    `n_times`: visits (and the call at hand) that ruled it out. "old": every look is older than a
    year or than the last change of that part.
    """

    verdict: Verdict
    days_before: int | None = None
    n_times: int = 0


@dataclass(frozen=True, slots=True)
class _Look:
    check: str
    result: str | None
    days: int
    holds: bool


def looked_at(cause: str, case: Case, known: Table) -> Looked:
    """How a cause stands by the checks that speak directly for it.

    Answers on the phone count only where nothing else can speak for the cause. Raises KeyError
    for an id that is not known.
    """
    looks = _looks(cause, case, known)
    holding = [look for look in looks if look.holds]
    if not looks:
        return Looked("never")
    if not holding:
        return Looked("old", min(look.days for look in looks))
    direct = known.direct[cause]
    for_it = [look.days for look in holding if look.result in direct[look.check]]
    if for_it:
        return Looked("found", min(for_it))
    against = {look.days for look in holding if _speaks_against(cause, look, known)}
    if against:
        return Looked("ruled out", min(against), len(against))
    return Looked("tested", min(look.days for look in holding))


def _looks(cause: str, case: Case, known: Table) -> list[_Look]:
    checks = known.knowledge.checks
    direct = known.direct[cause]
    wanted = {c for c in direct if checks[c].where != "phone"} or set(direct)
    changed = changed_days(case, known)
    told: list[tuple[Found, int]] = [(f, f.days_before) for f in case.found]
    told = [one for one in told if one[0].result is not None]
    told += [(f, visit.days_before) for visit in case.earlier for f in visit.found]
    return [
        _Look(f.check, f.result, days, _holds(f, days, changed.get(f.check), known))
        for f, days in told
        if f.check in wanted
    ]


def _holds(found: Found, days: int, last_change: int | None, known: Table) -> bool:
    """Does the look still speak: not older than a year, made on the part that is there now?"""
    if days > OLDEST_DAYS:
        return False
    if last_change is None or days < last_change:
        return True
    return days == last_change and found.result == known.usual[found.check]


def _speaks_against(cause: str, look: _Look, known: Table) -> bool:
    if look.result is None:
        return False
    return known.knowledge.row(cause, look.check).get(look.result, 1.0) < HARDLY
