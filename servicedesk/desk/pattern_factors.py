"""Which groups of the fleet are compared: by model, age, installation practice, installer ..."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from servicedesk.desk.pattern_facts import FleetFacts, SystemWatched
from servicedesk.trouble.exposure import AGE_EDGES, UnitWatched, by_age
from servicedesk.trouble.patterns import FEWEST_EVENTS, Factor, Group
from servicedesk.trouble.rates import Dispersion, within_groups
from servicedesk.words.pattern_words import (
    band_text,
    capital,
    component_text,
    place_text,
    practice_text,
    system_word,
)

JOINTS = "splices-box"
DISINFECTION = ("tablet-chlorinator", "liquid-chlorinator", "uv-unit")
# common practice, no source: only filled or shrunk connectors keep water out
SEALED = {
    "gel": "sealed",
    "adhesive sleeve": "sealed",
    "plain tape": "not sealed",
    "dry twist-on": "not sealed",
}
LEAST_YEARS_FOR_SPREAD = 1.0  # a system seen for weeks says nothing of how calls crowd


@dataclass(frozen=True, slots=True, kw_only=True)
class Members:
    """A group: its label, its units or systems, and what was counted over how many years."""

    id: str
    label: str
    events: int
    years: float
    n_now: int
    units: tuple[UnitWatched, ...] = ()
    systems: tuple[SystemWatched, ...] = ()
    age_from: float | None = None
    age_until: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Compared:
    """A factor: what its groups differ in, of which component ("": whole systems), what counts."""

    id: str
    kind: str
    component: str
    measure: str
    groups: tuple[Members, ...]
    spread: Dispersion

    @property
    def factor(self) -> Factor:
        """As the screen judges it."""
        groups = tuple(Group(g.id, g.events, g.years) for g in self.groups)
        return Factor(id=self.id, groups=groups, spread=self.spread)


Counted = Callable[[UnitWatched], int]


def factors_of(facts: FleetFacts) -> tuple[Compared, ...]:
    """All factors with at least two groups and enough events in all to name one of them.

    What is left out is decided by the sum over all groups alone, so comparisons stay fair.
    """
    of_component: dict[str, list[UnitWatched]] = defaultdict(list)
    for unit in facts.units:
        of_component[unit.component].append(unit)
    found: list[Compared] = []
    joints = of_component.get(JOINTS, [])
    found.append(_by("place", joints, "repeat calls", _repeats, _place))
    found.append(_by("place", joints, "failures", _failures, _place))
    found.append(_by("practice", joints, "failures", _failures, _practice))
    for component, units in of_component.items():
        found.append(_by("model", units, "failures", _failures, _model, component))
    feeds = [unit for name in DISINFECTION for unit in of_component.get(name, ())]
    found.append(_by("feed", feeds, "failures", _failures, _feed))
    for component, units in of_component.items():
        found.append(_ages(component, units))
    systems = list(facts.systems.values())
    for kind, word in (
        ("installer", lambda s: (s.installer, s.installer)),
        ("treatment", lambda s: (s.treatment, capital(system_word(s.treatment)))),
        ("dispersal", lambda s: (s.dispersal, capital(system_word(s.dispersal)))),
    ):
        found.append(_systems(kind, systems, word))
    return tuple(one for one in found if _is_worth_it(one))


def _is_worth_it(compared: Compared) -> bool:
    with_years = [group for group in compared.groups if group.years > 0]
    return len(with_years) > 1 and sum(g.events for g in compared.groups) >= FEWEST_EVENTS


def _failures(unit: UnitWatched) -> int:
    return len(unit.failures)


def _repeats(unit: UnitWatched) -> int:
    return unit.repeats


def _place(unit: UnitWatched) -> tuple[str, str]:
    return unit.place, capital(place_text(unit.place))


def _practice(unit: UnitWatched) -> tuple[str, str]:
    """Place, and whether the sealing keeps water out: what the trade tells apart."""
    if not unit.place:
        return "", ""
    sealed = SEALED.get(unit.sealing, unit.sealing)
    return f"{unit.place}/{sealed}", capital(practice_text(unit.place, sealed))


def _model(unit: UnitWatched) -> tuple[str, str]:
    return ("", "") if unit.model_id is None else (str(unit.model_id), unit.model)


def _feed(unit: UnitWatched) -> tuple[str, str]:
    return unit.component, capital(component_text(unit.component))


def _by(
    kind: str,
    units: Sequence[UnitWatched],
    measure: str,
    count: Counted,
    group_of: Callable[[UnitWatched], tuple[str, str]],
    component: str = "",
) -> Compared:
    """Units by a property; those of which it is not known are left out."""
    members: dict[str, list[UnitWatched]] = defaultdict(list)
    labels: dict[str, str] = {}
    for unit in units:
        key, label = group_of(unit)
        if key:
            members[key].append(unit)
            labels[key] = label
    component = component or (units[0].component if units and kind != "feed" else "")
    groups = tuple(
        Members(
            id=key,
            label=labels[key],
            events=sum(count(unit) for unit in members[key]),
            years=sum(unit.years for unit in members[key]),
            n_now=sum(unit.is_there for unit in members[key]),
            units=tuple(members[key]),
        )
        for key in sorted(members, key=lambda key: (-len(members[key]), key))
    )
    spread = _spread([(unit, group_of(unit)[0], count(unit), unit.years) for unit in units])
    name = f"{kind}:{component}:{measure}"
    return Compared(
        id=name, kind=kind, component=component, measure=measure, groups=groups, spread=spread
    )


def _spread(parts: Iterable[tuple[UnitWatched, str, int, float]]) -> Dispersion:
    """How events of a component crowd at some systems, within the group of its first unit there.

    Over the whole time of a system: a unit that failed early is gone early, and its short time
    alone would look like a crowd. Each part: unit, group, events, years.
    """
    group: dict[int, str] = {}
    events: dict[int, float] = defaultdict(float)
    years: dict[int, float] = defaultdict(float)
    for unit, key, n, t in parts:
        group.setdefault(unit.system_id, key)
        events[unit.system_id] += n
        years[unit.system_id] += t
    found: dict[str, tuple[list[float], list[float]]] = defaultdict(lambda: ([], []))
    for system_id, t in years.items():
        if t >= LEAST_YEARS_FOR_SPREAD:
            found[group[system_id]][0].append(events[system_id])
            found[group[system_id]][1].append(t)
    return within_groups(list(found.values()))


def _ages(component: str, units: Sequence[UnitWatched]) -> Compared:
    """Failures of a component by the age at which they happened."""
    bands = [by_age(unit) for unit in units]
    ends = [*AGE_EDGES[1:], None]
    groups = []
    for i, (low, high) in enumerate(zip(AGE_EDGES, ends, strict=True)):
        mine = [band[i] for band in bands if band is not None]
        now = [u for u in units if u.is_there and u.age is not None and _in(u.age, low, high)]
        groups.append(
            Members(
                id=str(i),
                label=capital(band_text(low, high)),
                events=sum(band.events for band in mine),
                years=sum(band.years for band in mine),
                n_now=len(now),
                units=tuple(now),
                age_from=low,
                age_until=high,
            )
        )
    spread = _spread([(unit, "", len(unit.failures), unit.years) for unit in units])
    return Compared(
        id=f"age:{component}:failures",
        kind="age",
        component=component,
        measure="failures",
        groups=tuple(groups),
        spread=spread,
    )


def _in(age: float, low: float, high: float | None) -> bool:
    return low <= age and (high is None or age < high)


def _systems(
    kind: str,
    systems: Sequence[SystemWatched],
    group_of: Callable[[SystemWatched], tuple[str, str]],
) -> Compared:
    """Systems by a property, their callbacks counted; those of which it is not known left out."""
    members: dict[str, list[SystemWatched]] = defaultdict(list)
    labels: dict[str, str] = {}
    for system in systems:
        key, label = group_of(system)
        if key:
            members[key].append(system)
            labels[key] = label
    groups = tuple(
        Members(
            id=key,
            label=labels[key],
            events=sum(len(system.calls.counted) for system in members[key]),
            years=sum(system.years for system in members[key]),
            n_now=sum(system.is_there for system in members[key]),
            systems=tuple(members[key]),
        )
        for key in sorted(members, key=lambda key: (-len(members[key]), key))
    )
    long_enough = [
        [system for system in group if system.years >= LEAST_YEARS_FOR_SPREAD]
        for group in members.values()
    ]
    spread = within_groups(
        [([len(s.calls.counted) for s in group], [s.years for s in group]) for group in long_enough]
    )
    return Compared(
        id=f"{kind}::callbacks",
        kind=kind,
        component="",
        measure="callbacks",
        groups=groups,
        spread=spread,
    )
