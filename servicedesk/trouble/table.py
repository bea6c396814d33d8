"""Fault knowledge laid out for counting: built once per knowledge, read by every question.

A row is kept as log ratios against the usual row of its check: a cause that says nothing about a
check then adds 0, and so does "something not in this list".
"""

from collections.abc import Mapping
from dataclasses import dataclass
from math import log

from servicedesk.trade.faults import Knowledge

# Rows were judged on a five-word scale with floors down to .005, which nobody can judge: one
# result never speaks stronger than these (about 50 to 1 for, 40 to 1 against).
_MOST_FOR, _MOST_AGAINST = log(50), -log(40)

# a result speaks directly for a cause if it is likely under it, several times as likely as usual,
# and few other causes explain it half as well
_DIRECT_CHANCE, _DIRECT_RATIO, _DIRECT_RIVALS = 0.4, 3.5, 2

# states seen at the time, not properties of a part: renewing a part does not make them old
OF_THE_MOMENT = frozenset({"pump-tank-level", "lamp-against-water", "alarm-state-on-arrival"})


@dataclass(frozen=True, slots=True)
class Table:
    """One knowledge, ready for counting.

    `ratios`: by cause, check, result: log of chance over usual chance. `direct`: by cause the
    checks that speak directly for it, with the results that do. `usual`: by check, the result
    found when nothing is wrong. `groups`: evidence groups of a check. `of_part`: causes that a
    renewed part kind or component would mend.
    """

    knowledge: Knowledge
    ratios: Mapping[str, Mapping[str, Mapping[str, float]]]
    direct: Mapping[str, Mapping[str, frozenset[str]]]
    usual: Mapping[str, str]
    groups: Mapping[str, tuple[str, ...]]
    of_part: Mapping[str, frozenset[str]]

    def usual_share(self, check: str, result: str) -> float:
        """How often the result is found when nothing points at it."""
        return next(r.usual for r in self.knowledge.checks[check].results if r.id == result)

    def made_old_by(self, part: str) -> frozenset[str]:
        """Checks whose results say nothing any more once this part was renewed."""
        touched = self.of_part.get(part, frozenset())
        return frozenset(
            check
            for cause in touched
            for check in self.direct[cause]
            if check not in OF_THE_MOMENT and self.knowledge.checks[check].where != "phone"
        )


_TABLES: dict[int, Table] = {}
_MOST_TABLES = 4  # shipped, and the company's own as it is edited


def table(knowledge: Knowledge) -> Table:
    """The table of this knowledge, built the first time it is asked for (some 10 ms)."""
    known = _TABLES.get(id(knowledge))
    if known is None or known.knowledge is not knowledge:
        while len(_TABLES) >= _MOST_TABLES:
            del _TABLES[next(iter(_TABLES))]
        known = _TABLES[id(knowledge)] = _built(knowledge)
    return known


def bounded(ratio: float) -> float:
    """A log ratio within what a judged row may claim."""
    return min(_MOST_FOR, max(_MOST_AGAINST, ratio))


def _built(knowledge: Knowledge) -> Table:
    usual = {c.id: {r.id: r.usual for r in c.results} for c in knowledge.checks.values()}
    groups: dict[str, tuple[str, ...]] = dict.fromkeys(knowledge.checks, ())
    for group in knowledge.groups:
        for check in group.checks:
            groups[check] = (*groups[check], group.id)
    return Table(
        knowledge=knowledge,
        ratios={
            cause.id: {
                check: {r: bounded(log(p / usual[check][r])) for r, p in row.p.items()}
                for check, row in cause.evidence.items()
            }
            for cause in knowledge.causes.values()
        },
        direct={cause: _direct(knowledge, usual, cause) for cause in knowledge.causes},
        usual={check: max(row, key=lambda r: row[r]) for check, row in usual.items()},
        groups=groups,
        of_part=_of_part(knowledge),
    )


def _direct(
    knowledge: Knowledge, usual: Mapping[str, Mapping[str, float]], cause: str
) -> dict[str, frozenset[str]]:
    found: dict[str, frozenset[str]] = {}
    best: tuple[float, str, str] | None = None
    for check, row in knowledge.causes[cause].evidence.items():
        ratio = {r: p / usual[check][r] for r, p in row.p.items()}
        results = frozenset(
            r
            for r, p in row.p.items()
            if p >= _DIRECT_CHANCE
            and ratio[r] >= _DIRECT_RATIO
            and _explained_by_few(knowledge, cause, check, r, p)
        )
        if results:
            found[check] = results
        top = max(ratio, key=lambda r: ratio[r])
        if best is None or ratio[top] > best[0]:
            best = (ratio[top], check, top)
    if not found and best is not None:
        found[best[1]] = frozenset({best[2]})  # nothing better is known for this cause
    return found


def _explained_by_few(knowledge: Knowledge, cause: str, check: str, result: str, p: float) -> bool:
    rivals = 0
    for other in knowledge.causes.values():
        row = other.evidence.get(check)
        if other.id != cause and row is not None and row.p[result] > p / 2:
            rivals += 1
    return rivals <= _DIRECT_RIVALS


def _of_part(knowledge: Knowledge) -> dict[str, frozenset[str]]:
    """Causes mended by renewing a part kind or a whole component.

    A part kind mends the causes that name it first. Where these are half of the causes of a
    component, renewing the part is renewing the component (a new float is clamped and set anew).
    """
    whole: dict[str, set[str]] = {}
    first: dict[str, set[str]] = {}
    any_part: dict[str, set[str]] = {}
    for cause in knowledge.causes.values():
        whole.setdefault(cause.component, set()).add(cause.id)
        for at, part in enumerate(cause.parts):
            any_part.setdefault(part, set()).add(cause.id)
            if at == 0:
                first.setdefault(part, set()).add(cause.id)
    found: dict[str, set[str]] = {}
    for part, named in any_part.items():
        causes = set(first.get(part, named))
        for of_component in whole.values():
            if 2 * len(causes & of_component) >= len(of_component):
                causes |= of_component
        found[part] = causes
    for component, causes in whole.items():
        found[component] = found.get(component, set()) | causes
    return {part: frozenset(causes) for part, causes in found.items()}
