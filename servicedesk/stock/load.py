"""What to put on a truck so that every visit is finished at the first one, at least cost."""

import heapq
import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from servicedesk.stock.needs import Bundle, Group, Need, groups_of

MOST_LOOKED_AT = 4_000  # loads of parts that hang together; beyond, a good load instead of the best
WORTH_SAYING = 0.0005  # what a further part must add to be named
_NEAR = 1e-12


@dataclass(frozen=True, slots=True, kw_only=True)
class Stock:
    """What is on the truck, how many more can be had at hand or bought, and what one costs.

    Parts that are not named: none. Costs are in any one unit, above zero (missing: 1); one that
    must be bought first costs `buying` more.
    """

    on_truck: Mapping[str, int]
    to_be_had: Mapping[str, int]
    cost: Mapping[str, float]
    to_buy: Mapping[str, int] = field(default_factory=dict)
    buying: float = 0.0


@dataclass(frozen=True, slots=True)
class Pick:
    """A part to put on the truck, `buy` of them bought first. `adds`: the chance lost without."""

    part: str
    quantity: int
    buy: int
    adds: float


@dataclass(frozen=True, slots=True)
class Further:
    """One more of a part: what it would add to the chance, and whether one is at hand."""

    part: str
    adds: float
    is_at_hand: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """The load chosen.

    `before`, `after`: the chance that no visit lacks a part, with what is on the truck and with
    the picks. `unbought`: with the picks that are at hand. `most`: with all that can be had or
    bought. `wanted`: what was aimed at, the service of `most`.
    `is_best`: no cheaper load reaches it; else a good one. `is_exact`: else the chances are lower
    limits. `further` is sorted by what one more adds.
    """

    picks: tuple[Pick, ...]
    before: float
    unbought: float
    after: float
    most: float
    wanted: float
    cost: float
    is_best: bool
    is_exact: bool
    further: tuple[Further, ...]


def best_load(needs: Iterable[Need], stock: Stock, *, service: float = 0.95) -> Load:
    """The cheapest picks with which the chance of finishing all reaches `service`.

    No load covers what nobody can name or have: the service is of the most that can be reached.
    Raises ValueError for a service outside 0 to 1.
    """
    if not 0 <= service <= 1:
        raise ValueError(f"{service} is no service level")
    parts = [_Choice(group, stock) for group in groups_of(needs)]
    most = math.prod(one.most for one in parts)
    wanted = service * most
    for one in parts:
        one.raise_floor(wanted, most)
    greedy = _greedy(parts, wanted)
    best = _cheapest(parts, wanted, greedy)
    chosen = greedy if best is None else best
    return _load(parts, chosen, most=most, wanted=wanted, is_best=best is not None)


class _Choice:
    """How many more of each part of one group: from `floor` up to `room`."""

    def __init__(self, group: Group, stock: Stock) -> None:
        self.group = group
        self.parts = group.parts
        self.have = [max(0, stock.on_truck.get(part, 0)) for part in self.parts]
        self.at_hand = [max(0, stock.to_be_had.get(part, 0)) for part in self.parts]
        bought = [max(0, stock.to_buy.get(part, 0)) for part in self.parts]
        self.room = [n + more for n, more in zip(self.at_hand, bought, strict=True)]
        self.buying = max(0.0, stock.buying)
        self.cost = [max(_NEAR, stock.cost.get(part, 1.0)) for part in self.parts]
        asked = [sum(_most_of(part, need) for need in group.needs) for part in self.parts]
        # more than can ever be asked for is of no use
        limits = zip(self.room, asked, self.have, strict=True)
        self.room = [max(0, min(room, most - have)) for room, most, have in limits]
        self.floor = [0] * len(self.parts)
        self.least = 0.0  # chance below which no load of this group will do
        self.most = self.chance(self.room)

    def chance(self, more: Sequence[int]) -> float:
        """The chance that this group is covered with so many more."""
        return self.group.covered([h + m for h, m in zip(self.have, more, strict=True)])

    def price(self, more: Sequence[int]) -> float:
        """What so many more cost, with what must be bought of them."""
        own = math.fsum(c * m for c, m in zip(self.cost, more, strict=True))
        return own + self.buying * sum(self.bought(more))

    def bought(self, more: Sequence[int]) -> list[int]:
        """How many of each must be bought first."""
        return [max(0, m - n) for m, n in zip(more, self.at_hand, strict=True)]

    def raise_floor(self, wanted: float, most: float) -> None:
        """Each part's least number: with fewer even all of everything else would not do."""
        others = most / self.most if self.most > 0 else 0.0
        self.least = wanted / others if others > 0 else 0.0
        for i, room in enumerate(self.room):
            for n in range(room + 1):
                if self.chance([*self.room[:i], n, *self.room[i + 1 :]]) >= self.least - _NEAR:
                    self.floor[i] = n
                    break

    def loads(self, dearest: float) -> Iterator[tuple[float, tuple[int, ...]]]:
        """Loads from the floor up, cheapest first, none dearer than `dearest`; each once."""
        start = tuple(self.floor)
        heap = [(self.price(start), 0, start)]
        while heap:
            price, first, more = heapq.heappop(heap)
            if price > dearest + _NEAR:
                return
            yield price, more
            for i in range(first, len(more)):
                if more[i] < self.room[i]:
                    next_ = (*more[:i], more[i] + 1, *more[i + 1 :])
                    heapq.heappush(heap, (self.price(next_), i, next_))

    def moves(self, more: Sequence[int]) -> Iterator[tuple[int, ...]]:
        """One more of a part, or all that one way of a need takes and the truck lacks."""
        for i, n in enumerate(more):
            if n < self.room[i]:
                yield (*more[:i], n + 1, *more[i + 1 :])
        bundles: set[Bundle] = {b for need in self.group.needs for _, b in need.ways if len(b) > 1}
        for bundle in sorted(bundles):
            added = [
                n + dict(bundle).get(part, 0) for part, n in zip(self.parts, more, strict=True)
            ]
            if all(n <= room for n, room in zip(added, self.room, strict=True)):
                yield tuple(added)


Chosen = list[tuple[int, ...]]


def _most_of(part: str, need: Need) -> int:
    return max((dict(bundle).get(part, 0) for _, bundle in need.ways), default=0)


def _total(parts: Sequence[_Choice], chosen: Chosen) -> float:
    return math.prod(one.chance(more) for one, more in zip(parts, chosen, strict=True))


def _greedy(parts: Sequence[_Choice], wanted: float) -> Chosen:
    """From the floors, what adds most for its price, until it is reached; then what is too much."""
    chosen: Chosen = [tuple(one.floor) for one in parts]
    while _total(parts, chosen) < wanted - _NEAR:
        best: tuple[float, int, tuple[int, ...]] | None = None
        for k, one in enumerate(parts):
            now, paid = one.chance(chosen[k]), one.price(chosen[k])
            for more in one.moves(chosen[k]):
                gain = math.log(max(one.chance(more), _NEAR) / max(now, _NEAR))
                worth = gain / (one.price(more) - paid)
                if best is None or worth > best[0]:
                    best = (worth, k, more)
        if best is None:
            break
        chosen[best[1]] = best[2]
    _trim(parts, chosen, wanted)
    return chosen


def _trim(parts: Sequence[_Choice], chosen: Chosen, wanted: float) -> None:
    """Take back what is not needed, the dearest first."""
    pieces = [(-c, k, i) for k, one in enumerate(parts) for i, c in enumerate(one.cost)]
    for _, k, i in sorted(pieces):
        while chosen[k][i] > parts[k].floor[i]:
            before = chosen[k]
            chosen[k] = (*before[:i], before[i] - 1, *before[i + 1 :])
            if _total(parts, chosen) < wanted - _NEAR:
                chosen[k] = before
                break


def _cheapest(parts: Sequence[_Choice], wanted: float, known: Chosen) -> Chosen | None:
    """The cheapest load; None where there are too many to look at. `known`: one that will do.

    Of each group only loads matter that are better than all cheaper ones; groups are then joined,
    keeping of the joined loads only those again.
    """
    dearest = math.fsum(one.price(more) for one, more in zip(parts, known, strict=True))
    floors = math.fsum(one.price(one.floor) for one in parts)
    joined: list[tuple[float, float, Chosen]] = [(0.0, 1.0, [])]
    for one in parts:
        spare = dearest - floors + one.price(one.floor)
        own = _better_than_cheaper(one, spare)
        if own is None:
            return None
        every = sorted(
            ((p + q, c * d, [*head, more]) for p, c, head in joined for q, d, more in own),
            key=lambda load: (load[0], -load[1]),
        )
        joined = []
        for load in every:
            if load[0] <= dearest + _NEAR and (not joined or load[1] > joined[-1][1] + _NEAR):
                joined.append(load)
        if len(joined) > MOST_LOOKED_AT:
            return None
    return next((load for _, chance, load in joined if chance >= wanted - _NEAR), known)


def _better_than_cheaper(
    one: _Choice, dearest: float
) -> list[tuple[float, float, tuple[int, ...]]] | None:
    found: list[tuple[float, float, tuple[int, ...]]] = []
    for looked_at, (price, more) in enumerate(one.loads(dearest)):
        if looked_at >= MOST_LOOKED_AT:
            return None
        chance = one.chance(more)
        is_better = not found or chance > found[-1][1] + _NEAR
        if chance >= one.least - _NEAR and is_better:
            found.append((price, chance, more))
            if chance >= one.most - _NEAR:
                break
    return found


def _unbought(one: _Choice, more: Sequence[int]) -> tuple[int, ...]:
    return tuple(m - n for m, n in zip(more, one.bought(more), strict=True))


def _load(
    parts: Sequence[_Choice],
    chosen: Chosen,
    *,
    most: float,
    wanted: float,
    is_best: bool,
) -> Load:
    after = _total(parts, chosen)
    at_hand = [_unbought(one, more) for one, more in zip(parts, chosen, strict=True)]
    picks, further = [], []
    for one, more in zip(parts, chosen, strict=True):
        now = one.chance(more)
        rest = after / now if now > 0 else 0.0
        for i, part in enumerate(one.parts):
            less = one.chance([*more[:i], 0, *more[i + 1 :]])
            if more[i]:
                picks.append(Pick(part, more[i], one.bought(more)[i], rest * (now - less)))
            adds = rest * (one.chance([*more[:i], more[i] + 1, *more[i + 1 :]]) - now)
            if adds >= WORTH_SAYING:
                further.append(Further(part, adds, one.at_hand[i] > more[i]))
    return Load(
        picks=tuple(sorted(picks, key=lambda pick: (-pick.adds, pick.part))),
        before=_total(parts, [(0,) * len(one.parts) for one in parts]),
        unbought=_total(parts, at_hand),
        after=after,
        most=most,
        wanted=wanted,
        cost=math.fsum(one.price(more) for one, more in zip(parts, chosen, strict=True)),
        is_best=is_best,
        is_exact=all(one.group.is_exact for one in parts),
        further=tuple(sorted(further, key=lambda one: (-one.adds, one.part))),
    )
