"""What some weeks came out as: every shift with its clock, and the stops left out and why."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from servicedesk.routes.period_problem import Chance, PeriodProblem, PeriodStop, Shift
from servicedesk.routes.plan import CrewDay, Planner
from servicedesk.routes.problem import Crew, Stop
from servicedesk.routes.timing import time_round
from servicedesk.values.reason import Reason
from servicedesk.values.travel_times import TravelTimes

Orders = Mapping[str, Sequence[str]]  # stop ids in order, by shift id


@dataclass(frozen=True, slots=True)
class PeriodLeftOut:
    """A stop without a day: why, and what would free one. Codes as in `routes.period_why`."""

    stop_id: str
    reasons: tuple[Reason, ...]
    frees: tuple[Reason, ...] = ()


@dataclass(frozen=True, slots=True)
class Cost:
    """What a plan costs, in minutes of road; `total` is what the search makes small.

    `balance`: minutes beyond the daily targets at their price. `skipped`: prizes of what is left
    out. `chances`: later days, days changed. `liking`: another crew than the one liked.
    """

    road: int
    balance: int
    skipped: int
    chances: int
    liking: int

    @property
    def total(self) -> int:
        """All of it."""
        return self.road + self.balance + self.skipped + self.chances + self.liking


@dataclass(frozen=True, kw_only=True)
class PeriodPlan:
    """A plan of the weeks. `days` holds a round for every shift, by shift id.

    `planner` is "solver", "simple" or "hand" as for a day; `was_stopped`: somebody took it as it
    was before the time was up.
    """

    problem: PeriodProblem
    days: Mapping[str, CrewDay]
    left_out: tuple[PeriodLeftOut, ...]
    planner: Planner
    was_stopped: bool = False

    @cached_property
    def shift_id_of(self) -> dict[str, str]:
        """For every planned stop the shift that makes it."""
        return {stop: shift for shift, day in self.days.items() for stop in day.order}

    @property
    def orders(self) -> dict[str, tuple[str, ...]]:
        """Stop ids in order, by shift id."""
        return {shift: day.order for shift, day in self.days.items()}

    @property
    def road_min(self) -> int:
        """Minutes on the road, all shifts together."""
        return sum(day.road_min for day in self.days.values())

    @property
    def road_m(self) -> int | None:
        """Metres on the road, None where distances are not known."""
        metres = [day.road_m for day in self.days.values()]
        return None if None in metres else sum(m or 0 for m in metres)

    @property
    def moved(self) -> tuple[str, ...]:
        """Stops that had a shift and have another one now, or none."""
        at = self.shift_id_of
        return tuple(
            s.id for s in self.problem.stops if s.now_at is not None and at.get(s.id) != s.now_at
        )

    @cached_property
    def cost(self) -> Cost:
        """What the plan costs, part by part."""
        return cost_of(self.problem, self.orders)


def load_min(shift: Shift, order: Sequence[PeriodStop], travel: TravelTimes) -> int:
    """Minutes from leaving to coming home without the break, leaving as late as costs nothing."""
    return unpaused(shift, [(stop, chance_taken(shift, stop)) for stop in order], travel)[2]


def chance_taken(shift: Shift, stop: PeriodStop) -> Chance:
    """The chance a shift takes: the cheapest of its day. ValueError if there is none that day."""
    for one in stop.chances_on(shift.day):
        return one
    raise ValueError(f"stop {stop.id} has no chance on day {shift.day}")


def cost_of(problem: PeriodProblem, orders: Orders) -> Cost:
    """What these orders cost, worked out from the problem alone."""
    road = balance = chances = liking = 0
    made: set[str] = set()
    for shift_id, order in orders.items():
        shift = problem.shift_of[shift_id]
        stops = [problem.stop_of[stop_id] for stop_id in order]
        made.update(order)
        if not stops:
            continue
        taken = best_chances(shift, stops, problem.travel)
        road += _road(shift.crew, stops, problem.travel)
        if shift.target_min is not None:
            load = unpaused(shift, list(zip(stops, taken, strict=True)), problem.travel)[2]
            balance += shift.balance_cost * max(0, load - shift.target_min)
        chances += sum(one.price_min for one in taken)
        liking += sum(s.liked_min for s in stops if s.liked_crew not in {None, shift.crew.id})
    skipped = sum(stop.prize_min for stop in problem.stops if stop.id not in made)
    return Cost(road=road, balance=balance, skipped=skipped, chances=chances, liking=liking)


def best_chances(
    shift: Shift, stops: Sequence[PeriodStop], travel: TravelTimes
) -> tuple[Chance, ...]:
    """For each stop of a round the cheapest chance of that day that its clock can keep.

    The clock takes the earliest hour of each; where two chances of one day differ in hours the
    cheapest one that is reached in time counts, else the cheapest.
    """
    taken: list[Chance] = []
    now, here = shift.crew.shift_from_min, shift.crew.start_place
    for stop in stops:
        now += travel.minutes[here][stop.place]
        on_day = stop.chances_on(shift.day) or (chance_taken(shift, stop),)
        chance = next((c for c in on_day if now <= c.until_min), on_day[0])
        taken.append(chance)
        now, here = max(now, chance.from_min) + stop.service_min, stop.place
    return tuple(taken)


def unpaused(
    shift: Shift, stops: Sequence[tuple[PeriodStop, Chance]], travel: TravelTimes
) -> tuple[int, int, int]:
    """Without the break: minutes begun after hours in all, home at, and minutes away from home."""
    if not stops:
        return 0, shift.crew.shift_from_min, 0
    now, here, shut = shift.crew.shift_from_min, shift.crew.start_place, 0
    waits, slack = 0, 10**9
    for stop, chance in stops:
        now += travel.minutes[here][stop.place]
        begin = max(now, chance.from_min, stop.held_at_min or 0)
        until = chance.until_min if stop.held_at_min is None else stop.held_at_min
        shut += max(0, begin - until)
        waits += begin - now
        # How much later the round may leave and still begin here in time.
        slack = min(slack, max(0, until - begin) + waits)
        now, here = begin + stop.service_min, stop.place
    home = now + travel.minutes[here][shift.crew.end_place]
    # What is waited on the way is spent at home instead, as far as every stop allows.
    return shut, home, home - shift.crew.shift_from_min - min(waits, slack)


def stops_of(problem: PeriodProblem, shift_id: str, order: Sequence[str]) -> list[Stop]:
    """A round's stops as the calculations of a single day see them."""
    shift = problem.shift_of[shift_id]
    stops = [problem.stop_of[stop_id] for stop_id in order]
    taken = best_chances(shift, stops, problem.travel)
    return [s.as_stop(c) for s, c in zip(stops, taken, strict=True)]


def timed(problem: PeriodProblem, orders: Orders) -> dict[str, CrewDay]:
    """Every shift's round with its whole clock, break and all."""
    return {
        shift.id: time_round(
            shift.crew, stops_of(problem, shift.id, orders.get(shift.id, ())), problem.travel
        )
        for shift in problem.shifts
    }


def _road(crew: Crew, stops: Sequence[PeriodStop], travel: TravelTimes) -> int:
    return sum(_drives(crew, stops, travel))


def _drives(crew: Crew, stops: Sequence[PeriodStop], travel: TravelTimes) -> Iterator[int]:
    here = crew.start_place
    for stop in stops:
        yield travel.minutes[here][stop.place]
        here = stop.place
    yield travel.minutes[here][crew.end_place]
