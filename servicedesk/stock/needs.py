"""What some visits may take from a truck, as one distribution over all parts together.

Each need is met in exactly one of its ways: a cause takes its parts, the others then take none.
So parts hang together, and their chances may not simply be multiplied.
"""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

Bundle = tuple[tuple[str, int], ...]

MOST_STATES = 4_000  # of needs that take several parts; beyond, a lower limit is given instead


@dataclass(frozen=True, slots=True)
class Need:
    """One thing to do at a visit, and the ways in which it may turn out.

    `ways`: chances with the parts each takes; what is missing to one takes nothing. `unknown`: the
    chance that it takes something nobody can name: no load covers it. What the chances rest on:
    `cases` that those of a callback are worth; `is_usual`: the share with which all such visits
    take the part; neither: they are sure. Raises ValueError for chances that are no chances, or
    quantities below one.
    """

    visit: str
    ways: tuple[tuple[float, Bundle], ...]
    unknown: float = 0.0
    cases: float = 0.0
    is_usual: bool = False

    def __post_init__(self) -> None:
        chances = [self.unknown, *(chance for chance, _ in self.ways)]
        taken = [quantity for _, bundle in self.ways for _, quantity in bundle]
        if min(chances) < 0 or math.fsum(chances) > 1 + 1e-9 or min(taken, default=1) < 1:
            raise ValueError(f"{self} cannot be")

    @property
    def parts(self) -> frozenset[str]:
        """The parts that any way takes."""
        return frozenset(part for _, bundle in self.ways for part, _ in bundle)

    @property
    def all_ways(self) -> tuple[tuple[float, Bundle], ...]:
        """The ways with the one that takes nothing; without the unknown."""
        rest = 1 - self.unknown - math.fsum(chance for chance, _ in self.ways)
        return (*self.ways, (max(0.0, rest), ()))


@dataclass(frozen=True)
class Group:
    """Parts that hang together, with the needs that take them.

    Needs of several parts are laid out together, way by way; given those, what takes one part alone
    is independent, so that its counts need no laying out.
    """

    parts: tuple[str, ...]
    needs: tuple[Need, ...]
    _seen: dict[tuple[int, ...], float] = field(default_factory=dict, repr=False, compare=False)

    @cached_property
    def _tying(self) -> tuple[Need, ...]:
        return tuple(need for need in self.needs if len(need.parts) != 1)

    @cached_property
    def _states(self) -> tuple[np.ndarray, np.ndarray, bool]:
        """Every demand of the tying needs with its chance, and whether these are all.

        Where there are too many, the likeliest alone: what they say is a lower limit.
        """
        worth = _digits(self.parts, self._tying)
        chances, is_all = {0: 1.0}, True
        for need in self._tying:
            after: dict[int, float] = {}
            steps = [(p, sum(worth[k] * n for k, n in b)) for p, b in need.all_ways if p > 0]
            for state, before in chances.items():
                for chance, step in steps:
                    after[state + step] = after.get(state + step, 0.0) + before * chance
            if len(after) > MOST_STATES:
                likely = sorted(after.items(), key=lambda one: (-one[1], one[0]))
                after, is_all = dict(likely[: max(1, MOST_STATES)]), False
            chances = after
        rows = [_decoded(state, self.parts, worth) for state in chances]
        return (
            np.array(rows, dtype=np.int64).reshape(len(rows), len(self.parts)),
            np.array(list(chances.values())),
            is_all,
        )

    @cached_property
    def _single(self) -> tuple[np.ndarray, ...]:
        """Of each part the chance that needs of it alone take at most 0, 1, 2, ...; -1 before."""
        return tuple(
            np.concatenate(([0.0], np.cumsum(_asked_alone(part, self._of_one[part]))))
            for part in self.parts
        )

    @cached_property
    def _of_one(self) -> Mapping[str, list[Need]]:
        """The needs that take one part alone, by part."""
        return {part: [need for need in self.needs if need.parts == {part}] for part in self.parts}

    @property
    def is_exact(self) -> bool:
        """Is the chance exact, or only a lower limit?"""
        return self._states[2]

    @property
    def mass(self) -> float:
        """The chance that nothing unknown is asked for."""
        return math.prod(1 - need.unknown for need in self.needs)

    def covered(self, stock: Sequence[int]) -> float:
        """The chance that `stock`, in the order of `parts`, covers all these needs."""
        key = tuple(stock)
        if key not in self._seen:
            self._seen[key] = self._covered(key)
        return self._seen[key]

    def _covered(self, stock: tuple[int, ...]) -> float:
        found = self._by_states(stock, self._single)
        return found if self.is_exact else max(found, self._at_least(stock))

    def _by_states(self, stock: Sequence[int], singles: Sequence[np.ndarray]) -> float:
        rows, chances, _ = self._states
        together = chances.copy()
        for column, (have, single) in enumerate(zip(stock, singles, strict=True)):
            left = np.clip(have - rows[:, column] + 1, 0, len(single) - 1)
            together *= single[left]
        return float(together.sum())

    def covered_if(self, stock: Sequence[int], part: str, times: float) -> float:
        """The same if visits took `part` usually `times` as often; by the states alone."""
        column = self.parts.index(part)
        needs = [_more_often(need, times) for need in self._of_one[part]]
        changed = np.concatenate(([0.0], np.cumsum(_asked_alone(part, needs))))
        singles = [*self._single[:column], changed, *self._single[column + 1 :]]
        return self._by_states(stock, singles)

    def _at_least(self, stock: tuple[int, ...]) -> float:
        """A part is missing at most as often as the parts are one by one, together."""
        missing = (
            self.mass - math.fsum(self._alone[part][: max(0, n + 1)])
            for part, n in zip(self.parts, stock, strict=True)
        )
        return max(0.0, self.mass - math.fsum(missing))

    @cached_property
    def _alone(self) -> Mapping[str, list[float]]:
        """How many of each part alone are asked for: chances of 0, 1, 2, ..."""
        return {part: _asked_alone(part, self.needs) for part in self.parts}


def groups_of(needs: Iterable[Need]) -> tuple[Group, ...]:
    """The needs by parts that hang together; needs that take nothing share one without parts."""
    found: list[tuple[set[str], list[Need]]] = []
    for need in needs:
        touched = [one for one in found if one[0] & need.parts or not (one[0] or need.parts)]
        parts, members = set(need.parts), [need]
        for one in touched:
            parts |= one[0]
            members = one[1] + members
            found.remove(one)
        found.append((parts, members))
    return tuple(
        Group(tuple(sorted(parts)), tuple(members))
        for parts, members in sorted(found, key=lambda one: sorted(one[0]))
    )


def _digits(parts: Sequence[str], needs: Iterable[Need]) -> dict[str, int]:
    """What one of each part adds to a state: states are numbers, a digit for each part."""
    most = dict.fromkeys(parts, 0)
    for need in needs:
        for part in need.parts:
            most[part] += max(dict(bundle).get(part, 0) for _, bundle in need.ways)
    worth, place = {}, 1
    for part in parts:
        worth[part] = place
        place *= most[part] + 1
    worth[""] = place
    return worth


def _decoded(state: int, parts: Sequence[str], worth: Mapping[str, int]) -> list[int]:
    above = [*parts[1:], ""][: len(parts)]
    return [state % worth[up] // worth[part] for part, up in zip(parts, above, strict=True)]


def _more_often(need: Need, times: float) -> Need:
    if not need.is_usual:
        return need
    return replace(need, ways=tuple((min(1.0, p * times), bundle) for p, bundle in need.ways))


def _asked_alone(part: str, needs: Iterable[Need]) -> list[float]:
    chances = [1.0]
    for need in needs:
        takes: dict[int, float] = {}
        for chance, bundle in need.all_ways:
            n = dict(bundle).get(part, 0)
            takes[n] = takes.get(n, 0.0) + chance
        after = [0.0] * (len(chances) + max(takes))
        for have, before in enumerate(chances):
            for n, chance in takes.items():
                after[have + n] += before * chance
        chances = after
    return chances
