"""The patterns as a page shows them: with what is owed already, and what was tried in vain."""

from collections.abc import Mapping
from dataclasses import dataclass

from servicedesk.desk.office import Desk
from servicedesk.desk.pattern_page import PatternPage
from servicedesk.desk.pattern_tried import Key, Tried
from servicedesk.desk.patterns import Pattern, patterns, worked_out
from servicedesk.records import pattern_rows
from servicedesk.trouble.replacement import LEAST_SAVING
from servicedesk.values.progress import Progress, quiet


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


def key_of(pattern: Pattern) -> Key:
    """Of which factor and group."""
    return pattern.key


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


def tried_in_vain(desk: Desk) -> Mapping[Key, Tried]:
    """What else was changed at the systems of each pattern; known with the page."""
    return worked_out(desk).tried
