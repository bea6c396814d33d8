"""What earlier visits say about the causes, besides their findings.

Factors are judgment (common practice, no source): the fault knowledge names the direction in its
history rules, not the size. Nothing falls to zero: a new part can be faulty or badly fitted.
"""

from collections.abc import Iterable, Mapping
from math import log

from servicedesk.trade.faults import Cause
from servicedesk.trouble.case import Case, Earlier, Outcome
from servicedesk.trouble.evidence import AWAY, Counted
from servicedesk.trouble.table import Table

# roots that a new part does not take away: the fault may come again at the new one
_OUTLASTS_A_PART = frozenset(
    {"wipes-grease", "water-overload", "rain-groundwater", "wildlife-ants", "owner-action"}
    | {"neglected-upkeep", "organic-overload", "toxic-load", "root-intrusion"}
)
# roots that come and go by themselves: a visit on a fine day finds nothing
_COMES_AND_GOES = frozenset(
    {"moisture-ingress", "rain-groundwater", "water-overload", "splice-practice", "freezing"}
)
# answers given when nobody looked: accepted once, never for a repeat (faults.md, section 3)
_ONCE_ONLY = frozenset({"heavy-use-day", "storm-inflow-passed", "breaker-tripped-surge"})

_RENEWED, _RENEWED_ROOT_STAYS, _RENEWED_FOR_ANOTHER = log(0.2), log(0.5), log(0.7)
_RIVAL_OF_RENEWED = log(1.5)
_NOTHING_FOUND_FIRM, _NOTHING_FOUND_PASSING = log(0.65), log(1.2)
_ONCE_ONLY_REPEATED = log(0.5)
_NAMED_AND_FIXED, _NAMED_AND_PATCHED = log(0.4), log(2.0)
_MOST_VISITS = 3
# what outlasts a repair: "smell and black liquor outlast it by days to weeks" (cause
# air-stopped-septic); by cause the components whose repair it may follow
_OUTLASTS_REPAIR = {"air-stopped-septic": frozenset({"air-compressor", "air-line", "diffuser"})}
_AFTER_REPAIR, _AFTER_REPAIR_DAYS = log(3.0), 45
_NO_FAULT: frozenset[Outcome] = frozenset({"no fault found", "reset only"})
# two symptoms belong to one trouble if they share this much of their causes
_RELATED = 0.15
# a renewal of long ago says less: its part has aged since
_FORGOTTEN_DAYS = 1095


def log_factors(case: Case, table: Table, causes: Iterable[str]) -> dict[str, float]:
    """For each cause, the log of how much the earlier visits raise or lower its chance."""
    names = tuple(causes)
    factors = dict.fromkeys(names, 0.0)
    of_this = [v for v in case.earlier if related(case.symptoms, v.symptom, table)]
    _renewed(case, of_this, table, factors)
    for name in names:
        factors[name] += _nothing_found(of_this, table, name)
        if name in _ONCE_ONLY and len(of_this) >= 2:
            factors[name] += _ONCE_ONLY_REPEATED
        factors[name] += _named(of_this, name)
        factors[name] += _outlasting(case, table, name)
        factors[name] += _of_age(case, table.knowledge.causes[name])
    return factors


def related(symptoms: tuple[str, ...], other: str, table: Table) -> bool:
    """Whether an earlier symptom may tell of the same trouble: the same, or causes in common."""
    if other in symptoms:
        return True
    known = table.knowledge.causes_of
    if other not in known:
        return False
    return any(_overlap(known[one].weights, known[other].weights) > _RELATED for one in symptoms)


def comes_and_goes(cause: Cause) -> bool:
    """Whether the fault may be away when somebody looks."""
    pattern = cause.evidence.get("ask-alarm-pattern")
    passing = 0.0 if pattern is None else 1 - pattern.p["steady"]
    return bool(_COMES_AND_GOES & set(cause.factors)) or passing > 0.7


def was_away(cause: Cause, one: Counted) -> bool:
    """Whether a finding is of an earlier day on which a passing fault was simply away.

    Water that was low on a dry day says nothing against what leaks in when it rains.
    """
    return one.days_before > 0 and (one.check, one.result) in AWAY and comes_and_goes(cause)


def _renewed(case: Case, of_this: list[Earlier], table: Table, factors: dict[str, float]) -> None:
    """A part was changed and the trouble came back: its causes fall, their rivals rise."""
    lowered: dict[str, float] = {}
    for visit in case.earlier:
        fade = max(0.0, 1 - visit.days_before / _FORGOTTEN_DAYS)
        for part in visit.changed:
            for name in table.of_part.get(part, frozenset()) & factors.keys():
                size = _RENEWED_FOR_ANOTHER
                if visit in of_this:
                    outlasts = _OUTLASTS_A_PART & set(table.knowledge.causes[name].factors)
                    size = _RENEWED_ROOT_STAYS if outlasts else _RENEWED
                lowered[name] = min(lowered.get(name, 0.0), size * fade)
    raised = {
        rival.cause
        for name, size in lowered.items()
        if size <= log(0.6)
        for rival in table.knowledge.causes[name].rivals
    }
    for name, size in lowered.items():
        factors[name] += size
    for name in raised - lowered.keys():
        if name in factors:
            factors[name] += _RIVAL_OF_RENEWED


def _nothing_found(of_this: list[Earlier], table: Table, name: str) -> float:
    """Visits that found nothing speak for what comes and goes: a firm fault would have shown."""
    n = min(_MOST_VISITS, sum(visit.outcome in _NO_FAULT for visit in of_this))
    passing = comes_and_goes(table.knowledge.causes[name])
    return n * (_NOTHING_FOUND_PASSING if passing else _NOTHING_FOUND_FIRM)


def _named(of_this: list[Earlier], name: str) -> float:
    """A cause was named then: "fixed" and back again speaks against it, a patch for it."""
    size = 0.0
    for visit in of_this:
        if visit.cause == name and visit.outcome == "fixed":
            size += _NAMED_AND_FIXED
        elif visit.cause == name and visit.outcome == "workaround":
            size += _NAMED_AND_PATCHED
    return size


def _outlasting(case: Case, table: Table, name: str) -> float:
    """A part was repaired days ago and what its failure did to the rest is still there."""
    components = _OUTLASTS_REPAIR.get(name, frozenset())
    repaired = {
        table.knowledge.causes[cause].component
        for visit in case.earlier
        if visit.days_before <= _AFTER_REPAIR_DAYS
        for part in visit.changed
        for cause in table.of_part.get(part, frozenset())
    }
    return _AFTER_REPAIR if components & repaired else 0.0


def _of_age(case: Case, cause: Cause) -> float:
    """Wear takes years: old units fail of it more, new ones less. Ages unknown say nothing."""
    if "age-wear" not in cause.factors:
        return 0.0
    ages = [u.age_years for u in case.installed if u.component == cause.component]
    known = [age for age in ages if age is not None]
    if not known:
        return 0.0
    return log(0.7) if max(known) < 1 else log(1.4) if max(known) > 8 else 0.0


def _overlap(one: Mapping[str, float], other: Mapping[str, float]) -> float:
    """Share of the causes that both lists have in common, 0..1."""
    total_one, total_other = sum(one.values()), sum(other.values())
    return sum(min(one[c] / total_one, other[c] / total_other) for c in one.keys() & other.keys())
