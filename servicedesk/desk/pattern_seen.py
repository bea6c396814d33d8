"""The patterns as a page shows them: with what is owed already, and what was tried in vain."""

from collections import Counter, defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import timedelta

from servicedesk.desk.cached import cached
from servicedesk.desk.office import Desk
from servicedesk.desk.pattern_facts import FleetFacts, fleet_facts
from servicedesk.desk.pattern_page import PatternPage
from servicedesk.desk.patterns import Pattern, patterns
from servicedesk.records import pattern_rows
from servicedesk.trouble.replacement import LEAST_SAVING
from servicedesk.values.progress import Progress, quiet

Key = tuple[str, str]  # of a factor and a group
VAIN_DAYS = (
    182  # a call within half a year says the swap did not end it (common practice, no source)
)


@dataclass(frozen=True, slots=True)
class PatternsSeen:
    """The page, and the systems that owe the work of each pattern already."""

    page: PatternPage
    owing: Mapping[Key, frozenset[int]]

    @property
    def n_waiting(self) -> int:
        """Patterns clearly above of which nothing is owed yet."""
        return sum(
            one.row.flag == "clearly above" and not self.owing.get(key_of(one))
            for one in self.page.patterns
        )

    def pattern(self, key: Key) -> Pattern | None:
        """The pattern of a group, None where it does not stand out."""
        return next((one for one in self.page.patterns if key_of(one) == key), None)


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


def key_of(pattern: Pattern) -> Key:
    """Of which factor and group."""
    return pattern.factor_id, pattern.group_id


def patterns_seen(desk: Desk, progress: Progress = quiet) -> PatternsSeen:
    """Work the page out, and look what is owed. Raises Stopped where `progress` does."""
    page = patterns(desk, progress)
    return PatternsSeen(page, owing_of(desk, page))


def owing_of(desk: Desk, page: PatternPage) -> dict[Key, frozenset[int]]:
    """Systems that owe the work of each pattern now; quick."""
    found: dict[Key, frozenset[int]] = {}
    known: dict[str, frozenset[int]] = {}
    with desk.store.read() as session:
        for one in page.patterns:
            if one.what not in known:
                known[one.what] = pattern_rows.systems_owing(session, one.what)
            exposed = {system.system_id for system in one.exposed}
            found[key_of(one)] = known[one.what] & exposed
    return found


def chosen_at_first(pattern: Pattern, owing: frozenset[int]) -> frozenset[int]:
    """Systems worth the work: where it saves more than 5 % of its cost, else those called twice.

    Those that owe it already are left out.
    """
    if pattern.saving_minor is not None:
        least = LEAST_SAVING * (pattern.do_minor or 0)
        worth = {e.system_id for e in pattern.exposed if (e.saving_minor or 0) > least}
    else:
        worth = {e.system_id for e in pattern.exposed if e.n_calls >= 2}
    return frozenset(worth) - owing


def tried_in_vain(desk: Desk, page: PatternPage) -> dict[Key, Tried]:
    """What else was changed at the systems of each pattern; kept until something changes."""

    def compute() -> dict[Key, Tried]:
        facts = fleet_facts(desk)
        return {key_of(one): _tried(facts, one) for one in page.patterns}

    return cached(desk, ("patterns tried", desk.today), compute)


def _tried(facts: FleetFacts, pattern: Pattern) -> Tried:
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
