"""Which findings count for a case, and how much: age, renewed parts, one result per check."""

from collections.abc import Mapping
from dataclasses import dataclass

from servicedesk.trouble.case import Case, Earlier, Found
from servicedesk.trouble.table import Table

# a check more than about a year old counts as not done (fault knowledge, old-results-fade)
OLDEST_DAYS = 365
# a result of an earlier visit told of the same trouble, but of another day: common practice,
# no source
_EARLIER, _LEAST = 0.8, 0.25
# an earlier visit that ended as "fixed" will have mended what it found wrong
_MENDED = 0.4
# "looked at, no fault": the usual result is meant, though nobody wrote it
_NOT_WRITTEN = 0.5
# The symptom says that something tripped, or when it alarms: the look says what and when. These
# alone are scored though they restate the symptom, given that the usual result is out.
_SAYS_MORE = frozenset(
    {
        ("breaker-trips", "breaker-state"),
        ("alarm-comes-and-goes", "ask-alarm-pattern"),
        ("slow-drains", "ask-house-drains"),
    }
)
# The alarm is off, the water is not high. An alarm that comes and goes is mostly away when somebody
# looks: this restates that symptom, whatever the cause.
_PASSING = "alarm-comes-and-goes"
AWAY = frozenset(
    {
        ("lamp-against-water", "agrees"),
        ("alarm-state-on-arrival", "off-now"),
        ("pump-tank-level", "pumped-down"),
        ("pump-tank-level", "between"),
    }
)
# of these a site has one as a rule: common practice, no source
_ONE_OF = (frozenset({"tablet", "bleach", "uv"}), frozenset({"spray", "drip"}))
_RESET = "breaker-reset-once"
_TRIP_SYMPTOMS = frozenset({"breaker-trips", "dead-panel"})
# what is seen of the air once a reset holds: it says nothing against what had tripped (faults.md,
# section 7: "breaker holds today" proves neither insulation, joint nor ground-fault device)
_RUNS_AGAIN = frozenset(
    {
        ("air-circuit-live", "live"),
        ("compressor-sense", "normal"),
        ("compressor-open-flow", "strong"),
        ("line-pressure", "normal"),
        ("bubbles-look", "even"),
        ("bubbles-look", "weak"),
    }
)
_TRIPPED = frozenset({"pump-tripped", "air-tripped", "ground-fault-tripped"})
# What the household, the sky and the line did before an earlier call says nothing of today's call,
# unless it was the same each time (common practice, no source).
_OF_THAT_DAY = frozenset({"ask-recent-rain", "ask-water-use", "ask-power-event"})


@dataclass(frozen=True, slots=True)
class Counted:
    """A finding that counts: `weight` 1 for one of today, less for an older one."""

    check: str
    result: str
    weight: float
    days_before: int


def counted(case: Case, table: Table) -> tuple[Counted, ...]:
    """Findings that count, one per check (the newest), in the order of the check ids.

    Unknown results, results older than a year or than the last change of that part drop out.
    """
    newest: dict[str, Counted] = {}
    for one in _all_of(case, table):
        known = newest.get(one.check)
        if known is None or _before(one, known, table):
            newest[one.check] = one
    return tuple(newest[check] for check in sorted(newest))


def done(case: Case, table: Table) -> frozenset[str]:
    """Checks with a look that still counts, whether or not its result was written down."""
    changed = changed_days(case, table)
    looks = [(f, f.days_before, False) for f in case.found if f.result is not None]
    looks += [(f, v.days_before, True) for v in case.earlier for f in v.found]
    return frozenset(
        found.check
        for found, days, is_earlier in looks
        if _still_holds(found, days, changed, table, is_earlier=is_earlier)
    )


def equipment_of(case: Case, table: Table) -> frozenset[str] | None:
    """What the site has: what its list says, and whatever somebody found a result at.

    None where nothing is listed: then nothing is known to be missing, but that a site has one way
    to disinfect and one to disperse: where somebody looked at the one, the others are not there.
    """
    looked_at = [f for f in (*case.found, *(f for v in case.earlier for f in v.found)) if f.result]
    seen = {flag for one in looked_at for flag in table.knowledge.checks[one.check].needs}
    if case.site_has is not None:
        return case.site_has | seen
    missing = {flag for one_of in _ONE_OF if one_of & seen for flag in one_of - seen}
    return _any_equipment(table) - missing if missing else None


def _any_equipment(table: Table) -> frozenset[str]:
    causes, checks = table.knowledge.causes.values(), table.knowledge.checks.values()
    needs = [*(cause.needs for cause in causes), *(check.needs for check in checks)]
    return frozenset(flag for flags in needs for flag in flags)


def runs_again(held: tuple[Counted, ...]) -> frozenset[str]:
    """Checks that were right only because a reset held: air as seen with the power back on."""
    seen = {one.check: one.result for one in held}
    if seen.get("breaker-state") not in _TRIPPED or seen.get(_RESET) != "holds":
        return frozenset()
    return frozenset(one.check for one in held if (one.check, one.result) in _RUNS_AGAIN)


def makes_sense(check: str, case: Case) -> bool:
    """Whether the check can be made as the case stands: nothing is reset that did not trip."""
    return check != _RESET or something_tripped(case)


def something_tripped(case: Case) -> bool:
    """Whether a breaker or ground-fault device tripped, by the symptom or as found."""
    return bool(_TRIP_SYMPTOMS & set(case.symptoms)) or any(
        f.check == "breaker-state" and f.result in _TRIPPED for f in case.found
    )


def telling(
    symptoms: tuple[str, ...], held: tuple[Counted, ...], table: Table
) -> tuple[Counted, ...]:
    """The findings that tell more than the symptom itself does."""
    told = tuple(one for one in held if scored(symptoms, one.check, one.result, table))
    if _PASSING not in symptoms or not _is_away(held):
        return told
    return tuple(one for one in told if (one.check, one.result) not in AWAY)


def _is_away(held: tuple[Counted, ...]) -> bool:
    """Whether the alarm was off, over water that was not high, when somebody looked.

    A lamp that agrees says so only together with the level or the alarm as found: it agrees also
    where it is lit over high water.
    """
    seen = {one.check: one.result for one in held}
    low = ("pump-tank-level", seen.get("pump-tank-level")) in AWAY
    off = seen.get("alarm-state-on-arrival") == "off-now"
    agrees = seen.get("lamp-against-water") == "agrees"
    return (agrees and (low or off)) or (off and low)


def scored(symptoms: tuple[str, ...], check: str, result: str, table: Table) -> bool:
    """Whether a result tells more than the symptom itself does."""
    for symptom in symptoms:
        if check in table.knowledge.symptoms[symptom].restates:
            return (symptom, check) in _SAYS_MORE and result != table.usual[check]
    return True


def changed_days(case: Case, table: Table) -> Mapping[str, int]:
    """For each check made old by a renewed part: days since the last such renewal."""
    days: dict[str, int] = {}
    for visit in case.earlier:
        for part in visit.changed:
            for check in table.made_old_by(part):
                days[check] = min(visit.days_before, days.get(check, visit.days_before))
    return days


def _all_of(case: Case, table: Table) -> list[Counted]:
    changed = changed_days(case, table)
    all_found: list[Counted] = []
    for found in case.found:
        if found.result is None:
            continue
        if _still_holds(found, found.days_before, changed, table, is_earlier=False):
            weight = 1.0 if found.days_before == 0 else _faded(found.days_before)
            all_found.append(Counted(found.check, found.result, weight, found.days_before))
    return all_found + _earlier(case, changed, table)


def _earlier(case: Case, changed: Mapping[str, int], table: Table) -> list[Counted]:
    """What earlier visits found and still tells something of today."""
    looks = [
        _of_visit(visit, found, table)
        for visit in case.earlier
        for found in visit.found
        if _still_holds(found, visit.days_before, changed, table, is_earlier=True)
    ]
    found = [one for one in looks if one is not None]
    return [one for one in found if one.check not in _OF_THAT_DAY or _each_time(one.check, found)]


def _each_time(check: str, found: list[Counted]) -> bool:
    """Whether at least two earlier visits asked it and heard the same."""
    heard = [one.result for one in found if one.check == check]
    return len(heard) > 1 and len(set(heard)) == 1


def _of_visit(visit: Earlier, found: Found, table: Table) -> Counted | None:
    weight = _faded(visit.days_before)
    result = found.result
    if result is None:
        if visit.outcome not in ("no fault found", "reset only"):
            return None
        result, weight = table.usual[found.check], weight * _NOT_WRITTEN
    elif visit.outcome == "fixed" and result != table.usual[found.check]:
        weight *= _MENDED
    return Counted(found.check, result, weight, visit.days_before)


def _faded(days: int) -> float:
    return max(_LEAST, _EARLIER * (1 - days / OLDEST_DAYS))


def _still_holds(
    found: Found, days: int, changed: Mapping[str, int], table: Table, *, is_earlier: bool
) -> bool:
    if days > OLDEST_DAYS:
        return False
    last_change = changed.get(found.check)
    if last_change is None or days < last_change:
        return True
    if days > last_change:
        return False
    # On the day of the change itself: a wrong reading led to it, a right one proved it. What was
    # asked for as a finding of today comes after any work.
    return not is_earlier or found.result == table.usual[found.check]


def _before(one: Counted, other: Counted, table: Table) -> bool:
    """Whether `one` goes before `other` of the same check: newer, then written, then rarer."""

    def order(c: Counted) -> tuple[float, ...]:
        return (c.days_before, -c.weight, table.usual_share(c.check, c.result))

    return order(one) < order(other)
