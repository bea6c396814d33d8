"""Room for one more stop: every place on the rounds as they are, with what it does to everyone.

Our own exhaustive insertion: each gap of each round is timed exactly (the break is placed anew)
and priced. For a day under way give the crew as it is now: `start_place` where it is,
`shift_from_min` when it is free, the remaining stops, no break if it was taken.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from servicedesk.routes.insertion import Insertion, extra_road_min, insertions
from servicedesk.routes.plan import CrewDay, DayPlan, stops_in
from servicedesk.routes.problem import Crew, Stop
from servicedesk.routes.timing import Clock, clock_of, time_round
from servicedesk.values.travel_times import TravelTimes

# The price of a place in minutes of road; weights: common practice, no source.
OVERTIME_WEIGHT = 2.0
DELAY_WEIGHT = 0.2
SHIFTED_PRICE = 6.0  # for each stop that begins noticeably later
NOTICED_MIN = 15  # a shift beyond this is noticed at the door
LATE_WEIGHT = 20.0  # a minute after a promise


@dataclass(frozen=True, slots=True)
class Delay:
    """A stop that would begin `by_min` later, and how late for its promise it then is."""

    stop_id: str
    by_min: int
    late_min: int


@dataclass(frozen=True, slots=True, kw_only=True)
class SqueezePlace:
    """One place for the stop: before the stop that stands at `position` of that crew now.

    `delays` lists every later stop that begins later; `promises_broken` those whose promise was
    kept before and would not be, the new stop among them. `over_limit_min`, `shut`: broken hard
    limits (shift with overtime; stops reached after visiting hours). `price_min` is in minutes
    of road, only comparable between places of one question.
    """

    crew_id: str
    position: int
    arrival_min: int
    begin_min: int
    extra_road_min: int
    extra_overtime_min: int
    home_min: int
    late_min: int
    delays: tuple[Delay, ...]
    promises_broken: tuple[str, ...]
    shut: tuple[str, ...]
    over_limit_min: int
    price_min: float

    @property
    def is_sound(self) -> bool:
        """Are all visiting hours and the limit of the shift kept?"""
        return not self.shut and self.over_limit_min == 0

    @property
    def n_shifted(self) -> int:
        """How many stops would begin noticeably later."""
        return sum(delay.by_min > NOTICED_MIN for delay in self.delays)


def places_for(stop: Stop, plan: DayPlan, *, sound_only: bool = True) -> tuple[SqueezePlace, ...]:
    """All places for `stop` on the rounds of `plan`, best first.

    `stop.place` must be in the plan's travel times. Sound places come first, then those that
    keep the stop's own promise, then by price; ties by crew and position. With `sound_only` off
    also those that break hours or limits, each with what it breaks.
    """
    found: list[SqueezePlace] = []
    for day in plan.days:
        crew = plan.problem.crew_of[day.crew_id]
        if crew.may_serve(stop):
            found += places_in_round(stop, crew, stops_in(plan.problem, day), plan.problem.travel)
    kept = [place for place in found if place.is_sound or not sound_only]
    return tuple(sorted(kept, key=_rank))


def places_in_round(
    stop: Stop, crew: Crew, order: Sequence[Stop], travel: TravelTimes
) -> list[SqueezePlace]:
    """A place for every gap of one round, sound or not, in the order of the gaps."""
    before = clock_of(crew, order, travel)
    return [_place(stop, order, before, put_in) for put_in in insertions(stop, crew, order, travel)]


def place_at(
    stop: Stop,
    crew: Crew,
    order: Sequence[Stop],
    position: int,
    *,
    before: Clock,
    travel: TravelTimes,
    less_road_min: int = 0,
) -> SqueezePlace:
    """The place before the stop at `position` of `order`.

    `before` is the clock that delays are counted from (its begins are those of `order`);
    `less_road_min` is road that was saved before the stop was put in.
    """
    clock = clock_of(crew, [*order[:position], stop, *order[position:]], travel)
    road = extra_road_min(stop, crew, order, position, travel) - less_road_min
    return _place(stop, order, before, Insertion(crew.id, position, clock, road, road))


def squeezed_in(stop: Stop, place: SqueezePlace, plan: DayPlan) -> CrewDay:
    """The round of that crew with `stop` put in at `place`, fully timed."""
    order = list(stops_in(plan.problem, plan.day_of[place.crew_id]))
    order.insert(place.position, stop)
    return time_round(plan.problem.crew_of[place.crew_id], order, plan.problem.travel)


def _rank(place: SqueezePlace) -> tuple[object, ...]:
    breaks = (not place.is_sound, place.late_min > 0)
    return (*breaks, place.price_min, place.crew_id, place.position)


def _place(stop: Stop, order: Sequence[Stop], before: Clock, put_in: Insertion) -> SqueezePlace:
    at, after = put_in.position, put_in.clock
    old_begins = [*before.begins[:at], None, *before.begins[at:]]
    delays: list[Delay] = []
    broken: list[str] = []
    shut: list[str] = []
    for one, old, new in zip(
        [*order[:at], stop, *order[at:]], old_begins, after.begins, strict=True
    ):
        late = _late(one, new)
        if old is not None and new > old:
            delays.append(Delay(one.id, new - old, late))
        if late > 0 and (old is None or _late(one, old) == 0):
            broken.append(one.id)
        if new > one.open_until_min and (old is None or old <= one.open_until_min):
            shut.append(one.id)
    overtime = after.overtime - before.overtime
    return SqueezePlace(
        crew_id=put_in.crew_id,
        position=at,
        arrival_min=after.arrivals[at] if at > 0 else after.first_arrival(),
        begin_min=after.begins[at],
        extra_road_min=put_in.extra_road_min,
        extra_overtime_min=overtime,
        home_min=after.home,
        late_min=_late(stop, after.begins[at]),
        delays=tuple(delays),
        promises_broken=tuple(broken),
        shut=tuple(shut),
        over_limit_min=after.over_limit,
        price_min=_price(put_in, overtime, after.late - before.late, delays)
        + stop.liking_min(put_in.crew_id),
    )


def _price(put_in: Insertion, overtime: int, late: int, delays: Sequence[Delay]) -> float:
    return (
        put_in.extra_road_min
        + OVERTIME_WEIGHT * overtime
        + LATE_WEIGHT * late
        + DELAY_WEIGHT * sum(delay.by_min for delay in delays)
        + SHIFTED_PRICE * sum(delay.by_min > NOTICED_MIN for delay in delays)
    )


def _late(stop: Stop, begin: int) -> int:
    agreed = stop.agreed_until_min
    return 0 if agreed is None else max(0, begin - agreed)
