"""The small lists of fault knowledge: part kinds, root factors, sources, groups, history rules."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from servicedesk.trade.knowledge import Entry, entries_of, shipped_yaml


@dataclass(frozen=True, slots=True)
class PartKind:
    """A kind of part that a repair takes."""

    id: str
    name: str
    usually_on_truck: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Factor:
    """A root behind causes: the pattern it leaves across sites, what to count, what helps."""

    id: str
    name: str
    pattern: str
    counter: str
    fleet_count: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """Where a statement comes from and how much of it was seen."""

    id: str
    title: str
    seen: str
    used_for: str


@dataclass(frozen=True, slots=True)
class EvidenceGroup:
    """Checks that tell partly the same story."""

    id: str
    checks: tuple[str, ...]
    why: str


@dataclass(frozen=True, slots=True)
class HistoryRule:
    """What earlier visits mean for the next one, in words."""

    id: str
    when: str
    then: str


@cache
def part_kinds() -> Mapping[str, PartKind]:
    """Kinds of part by id."""
    return {
        e.text("id"): PartKind(
            e.text("id"), e.text("name"), e.flag("usually_on_truck", default=False)
        )
        for e in _list("part_kinds.yaml", "id", "name", "usually_on_truck")
    }


@cache
def factors() -> Mapping[str, Factor]:
    """Root factors by id."""
    fields = ("id", "name", "pattern", "counter", "fleet_count")
    return {
        e.text("id"): Factor(**{name: e.text(name) for name in fields})
        for e in _list("factors.yaml", *fields)
    }


@cache
def sources() -> Mapping[str, Source]:
    """Sources by id."""
    fields = ("id", "title", "seen", "used_for")
    return {
        e.text("id"): Source(**{name: e.text(name) for name in fields})
        for e in _list("sources.yaml", *fields)
    }


@cache
def evidence_groups() -> tuple[EvidenceGroup, ...]:
    """Groups of checks that share a story."""
    return tuple(
        EvidenceGroup(e.text("id"), e.texts("checks"), e.text("why"))
        for e in _list("evidence_groups.yaml", "id", "checks", "why")
    )


@cache
def history_rules() -> tuple[HistoryRule, ...]:
    """Rules about what earlier visits mean."""
    return tuple(
        HistoryRule(e.text("id"), e.text("when"), e.text("then"))
        for e in _list("history_rules.yaml", "id", "when", "then")
    )


def _list(name: str, *allowed: str) -> list[Entry]:
    file = f"faults/{name}"
    entries = list(entries_of(shipped_yaml("faults", name), file=file))
    seen: set[str] = set()
    for entry in entries:
        entry.known_only(*allowed)
        if entry.text("id") in seen:
            raise entry.fault("id", "twice", value=entry.text("id"))
        seen.add(entry.text("id"))
    return entries
