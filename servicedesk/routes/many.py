"""Days of many crews: planned roughly as one, then exactly, a few neighboring crews at a time.

A break may be taken at any stop, so an exact model of all crews has a task for every pair of crew
and stop: with 14 crews and 224 stops a second holds not one round of the search. Without breaks
it holds hundreds. So the whole day is searched first with every shift shorter by its break; what
comes out is mended by the exact clock; then threes of crews whose rounds lie side by side are
searched exactly, with the stops near them that are left out. The threes of one sweep share no crew
and no stop, so two are searched at once and the answer does not depend on which ends first.
"""

import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import count

from servicedesk.routes.few import FewCrews, Orders, days_of, made_whole
from servicedesk.routes.plan import CrewDay
from servicedesk.routes.price import day_price
from servicedesk.routes.problem import Crew, DayProblem, Stop
from servicedesk.routes.side_by_side import side_by_side
from servicedesk.routes.solver import Budget, search
from servicedesk.values.progress import Progress
from servicedesk.values.trouble import Stopped

MOST_AT_ONCE = 4  # crews searched exactly together; more are planned as told above
_GROUP = 3
_SPARE = 10  # stops without a place looked at by each group
_ROUGH_ROUNDS = 30  # of the first search, for each stop
_GROUP_ROUNDS = 400
_MOST_SWEEPS = 6
_ROUGH_SHARE = 0.3  # of the seconds, where those are given


@dataclass(frozen=True, slots=True)
class _Part:
    """A few crews with the stops of their rounds and some that have no place."""

    problem: DayProblem
    orders: Orders


class ManyCrews:
    """The search on a day of many crews. Without `seconds` it counts rounds: equal every time."""

    def __init__(
        self,
        problem: DayProblem,
        stops: Sequence[Stop],
        *,
        seed: int,
        seconds: float | None = None,
        iterations: int | None = None,
    ) -> None:
        self._problem = problem
        self._stops = stops
        self._seed = seed
        self._seconds = seconds
        self._iterations = iterations

    def best_orders(
        self, start: Mapping[str, CrewDay] | None, progress: Progress, *, keep_best: bool
    ) -> Orders:
        """Stop ids in order, by crew id; `start` holds rounds to begin from."""
        ends_at = None if self._seconds is None else time.perf_counter() + self._seconds
        orders, was_stopped = self._rough(start, _from_to(progress, 0, 30), keep_best=keep_best)
        for sweep in count():
            if was_stopped or (ends_at is None and sweep >= _MOST_SWEEPS):
                break
            if ends_at is not None and time.perf_counter() >= ends_at:
                break
            share = min(30 + 70 * sweep // _MOST_SWEEPS, 99)
            told = _from_to(progress, share, min(share + 70 // _MOST_SWEEPS, 99))
            better, was_stopped = self._swept(orders, sweep, ends_at, told, keep_best=keep_best)
            if better == orders and sweep >= 2 and ends_at is None:
                break  # three divisions of the crews in a row seldom leave anything to gain
            orders = better
        return orders

    def _rough(
        self, start: Mapping[str, CrewDay] | None, progress: Progress, *, keep_best: bool
    ) -> tuple[Orders, bool]:
        """The whole day at once, breaks left out, then mended; `start` if that is cheaper."""
        crews = tuple(_without_break(crew) for crew in self._problem.crews)
        short = DayProblem(stops=self._problem.stops, crews=crews, travel=self._problem.travel)
        budget = self._budget(_ROUGH_ROUNDS * len(self._stops), _ROUGH_SHARE)
        few = FewCrews(short, self._stops, budget, self._seed, progress)
        known = self._known(start or {})
        rounds = {day.crew_id: day for day in days_of(short, known)}
        rough = few.best_orders(rounds if known else None, keep_best=keep_best)
        found = (rough, known) if known else (rough,)
        answers = [made_whole(self._problem, self._stops, orders) for orders in found]
        return min(answers, key=lambda o: _price(self._problem, o)), few.was_stopped

    def _known(self, start: Mapping[str, CrewDay]) -> Orders:
        """The orders to begin from, as far as crews and stops are still there."""
        able = {stop.id for stop in self._stops}
        return {
            crew.id: tuple(i for i in start[crew.id].order if i in able)
            for crew in self._problem.crews
            if crew.id in start
        }

    def _budget(self, rounds: int, share: float) -> Budget:
        if self._seconds is None:
            return Budget(iterations=rounds if self._iterations is None else self._iterations)
        return Budget(seconds=self._seconds * share)

    def _swept(
        self,
        orders: Orders,
        sweep: int,
        ends_at: float | None,
        progress: Progress,
        *,
        keep_best: bool,
    ) -> tuple[Orders, bool]:
        """Every crew once, in threes; each three keeps what is cheaper."""
        rounds = _GROUP_ROUNDS
        if self._iterations is not None:
            rounds = min(rounds, self._iterations)

        def work(part: _Part) -> Callable[[Progress], Orders]:
            def searched(told: Progress) -> Orders:
                seconds = None
                if ends_at is not None:
                    seconds = max(ends_at - time.perf_counter(), 0.01)
                budget = Budget(iterations=rounds, seconds=seconds)
                return _cheaper(part, budget, self._seed + sweep, told, keep_best=keep_best)

            return searched

        parts = self._parts(orders, sweep)
        found, was_stopped = side_by_side([work(p) for p in parts], progress, keep_best=keep_best)
        return {**orders, **{i: o for answer in found for i, o in answer.items()}}, was_stopped

    def _parts(self, orders: Orders, sweep: int) -> list[_Part]:
        """The crews in threes of neighbors, begun at another crew each sweep; nobody twice."""
        crews = list(self._problem.crews)
        at = sweep * _GROUP % len(crews) + sweep // len(crews)
        waiting = crews[at:] + crews[:at]
        made = {stop_id for order in orders.values() for stop_id in order}
        spare = [stop for stop in self._stops if stop.id not in made]
        parts = []
        while waiting:
            first = waiting.pop(0)
            near = sorted(waiting, key=lambda c: (self._apart(orders, first, c), c.id))
            group = [first, *near[: _GROUP - 1]]
            waiting = [crew for crew in waiting if crew not in group]
            stops = [self._problem.stop_of[i] for crew in group for i in orders.get(crew.id, ())]
            extra = self._spare_near(spare, stops, group)
            spare = [stop for stop in spare if stop not in extra]
            problem = DayProblem(
                stops=tuple(sorted((*stops, *extra), key=lambda stop: stop.id)),
                crews=tuple(sorted(group, key=lambda crew: crew.id)),
                travel=self._problem.travel,
            )
            own = {crew.id: tuple(orders.get(crew.id, ())) for crew in group}
            parts.append(_Part(problem, own))
        return parts

    def _apart(self, orders: Orders, one: Crew, other: Crew) -> int:
        """Minutes between two rounds where they come nearest to one another on the whole."""
        minutes = self._problem.travel.minutes
        mine, theirs = self._places(orders, one), self._places(orders, other)
        return sum(min(minutes[a][b] for b in theirs) for a in mine) // len(mine)

    def _places(self, orders: Orders, crew: Crew) -> list[int]:
        places = [self._problem.stop_of[i].place for i in orders.get(crew.id, ())]
        return places or [crew.start_place]

    def _spare_near(
        self, spare: Sequence[Stop], stops: Sequence[Stop], group: Sequence[Crew]
    ) -> list[Stop]:
        """What has no place and could be made here: musts, then what is worth more than its way."""
        minutes = self._problem.travel.minutes
        places = [s.place for s in stops] or [c.start_place for c in group]
        able = [s for s in spare if any(crew.may_serve(s) for crew in group)]

        def rank(stop: Stop) -> tuple[bool, int, str]:
            way = min(minutes[place][stop.place] for place in places)
            return (not stop.is_must, 2 * way - (stop.prize_min or 0), stop.id)

        return sorted(able, key=rank)[:_SPARE]


def _cheaper(part: _Part, budget: Budget, seed: int, told: Progress, *, keep_best: bool) -> Orders:
    """The rounds of a few crews searched exactly, from those they have; the cheaper ones."""
    problem = part.problem
    start = {day.crew_id: day for day in days_of(problem, part.orders)}
    try:
        few = FewCrews(problem, problem.stops, budget, seed, told, search)
        found = made_whole(problem, problem.stops, few.best_orders(start, keep_best=keep_best))
    except Stopped:
        if not keep_best:
            raise
        return part.orders
    return found if _price(problem, found) < _price(problem, part.orders) else part.orders


def _price(problem: DayProblem, orders: Orders) -> int:
    return day_price(problem, days_of(problem, orders))


def _without_break(crew: Crew) -> Crew:
    """The crew with its shift shorter by the break, where it takes one."""
    until_min = crew.shift_until_min - crew.break_min
    if not crew.takes_break or until_min <= crew.shift_from_min:
        return crew
    return replace(crew, shift_until_min=until_min, break_min=0)


def _from_to(progress: Progress, first: int, last: int) -> Progress:
    """Progress through a part of a whole, in hundredths."""

    def tell(done: int, total: int, note: str = "") -> None:
        progress(first + (last - first) * done // max(total, 1), 100, note)

    return tell
