"""What some visits may take from a truck, as one distribution over all parts together.

Each need is met in exactly one of its ways: a cause takes its parts, the others then take none.
So parts hang together, and their chances may not simply be multiplied.
"""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

Bundle = tuple[tuple[str, int], ...]

MOST_STATES = 20_000  # of parts that hang together; beyond, a lower limit is given instead


@dataclass(frozen=True, slots=True)
class Need:
    """One thing to do at a visit, and the ways in which it may turn out.

    `ways`: chances with the parts each takes; what is missing to one takes nothing. `unknown`: the
    chance that it takes something nobody can name: no load covers it. Raises ValueError for
    chances that are no chances, or quantities below one.
    """

    visit: str
    ways: tuple[tuple[float, Bundle], ...]
    unknown: float = 0.0

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
    """Parts that hang together, with the needs that take them."""

    parts: tuple[str, ...]
    needs: tuple[Need, ...]
    _seen: dict[tuple[int, ...], float] = field(default_factory=dict, repr=False, compare=False)

    @cached_property
    def _states(self) -> tuple[np.ndarray, np.ndarray] | None:
        """Every demand of these parts with its chance; None where there are too many."""
        worth = _digits(self.parts, self.needs)
        chances = {0: 1.0}
        for need in self.needs:
            after: dict[int, float] = {}
            steps = [(p, sum(worth[k] * n for k, n in b)) for p, b in need.all_ways if p > 0]
            for state, before in chances.items():
                for chance, step in steps:
                    after[state + step] = after.get(state + step, 0.0) + before * chance
            chances = after
            if len(chances) > MOST_STATES:
                return None
        rows = [_decoded(state, self.parts, worth) for state in chances]
        return (
            np.array(rows, dtype=np.int64).reshape(len(rows), len(self.parts)),
            np.array(list(chances.values())),
        )

    @property
    def is_exact(self) -> bool:
        """Is the chance exact, or only a lower limit?"""
        return self._states is not None

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
        if self._states is not None:
            rows, chances = self._states
            return float(chances[(rows <= np.array(stock)).all(axis=1)].sum())
        # some part is missing at most as often as the parts are one by one, together
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
