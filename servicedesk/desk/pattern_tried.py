"""What else was changed at the systems of a pattern, and in vain."""

from collections import Counter, defaultdict
from dataclasses import dataclass
from datetime import timedelta

from servicedesk.desk.pattern_facts import FleetFacts
from servicedesk.desk.pattern_page import Pattern

Key = tuple[str, str]  # of a factor and a group
VAIN_DAYS = (
    182  # a call within half a year says the swap did not end it (common practice, no source)
)


@dataclass(frozen=True, slots=True)
class Tried:
    """Other components changed at systems that called twice or more: how often each, best known.

    `n_vain`: changes after which a call came again within half a year.
    """

    by_component: tuple[tuple[str, int], ...]
    n_vain: int

    @property
    def n(self) -> int:
        """All changes."""
        return sum(n for _, n in self.by_component)


def tried_at(facts: FleetFacts, pattern: Pattern) -> Tried:
    """Swaps of other components since the unit of the group is there."""
    since = {unit.id: unit.from_on for unit in facts.units}
    begun = {}
    for one in pattern.exposed:
        if one.n_calls >= 2 and one.unit_id is not None and one.unit_id in since:
            begun[one.system_id] = since[one.unit_id]
    fitted = defaultdict(set)
    for unit in facts.units:
        fitted[unit.system_id, unit.component].add(unit.installed_on)
    n: Counter[str] = Counter()
    vain = 0
    for unit in facts.units:
        on, first = unit.until_on, begun.get(unit.system_id)
        is_other = first is not None and on >= first and unit.component != pattern.component
        if not is_other or unit.is_there or on not in fitted[unit.system_id, unit.component]:
            continue
        n[unit.component] += 1
        until = on + timedelta(days=VAIN_DAYS)
        vain += any(on < c.on <= until for c in facts.systems[unit.system_id].calls.counted)
    return Tried(tuple(n.most_common()), vain)
