"""Putting one stop into a round: every gap, exactly timed and priced.

The shared step of the simple planner, of squeeze-in and of the reasons for leaving out.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from servicedesk.routes.holds import gaps_for
from servicedesk.routes.price import LATE_COST, OVERTIME_COST
from servicedesk.routes.problem import Crew, Stop
from servicedesk.routes.timing import Clock, clock_of
from servicedesk.values.travel_times import TravelTimes


@dataclass(frozen=True, slots=True)
class Insertion:
    """A stop put in at `position` of a crew's order: the new clock and what it costs more.

    `extra_road_min` is more road; `extra_price_min` adds overtime and lateness at their price,
    and what it costs that another crew was liked.
    """

    crew_id: str
    position: int
    clock: Clock
    extra_road_min: int
    extra_price_min: int

    @property
    def is_sound(self) -> bool:
        """Are visiting hours and the limit of the shift kept?"""
        return self.clock.shut == 0 and self.clock.over_limit == 0

    @property
    def is_clean(self) -> bool:
        """Sound, and nobody is late?"""
        return self.is_sound and self.clock.n_late == 0


def insertions(
    stop: Stop, crew: Crew, order: Sequence[Stop], travel: TravelTimes
) -> Iterator[Insertion]:
    """One for every gap of `order` that the held stops leave open, sound or not, in order.

    Skills and bindings are the caller's to ask (`Crew.may_serve`).
    """
    before = clock_of(crew, order, travel)
    for position in gaps_for(stop, order):
        new_order = [*order[:position], stop, *order[position:]]
        clock = clock_of(crew, new_order, travel)
        road = extra_road_min(stop, crew, order, position, travel)
        worse = clock_price(clock) - clock_price(before)
        price = road + worse + stop.liking_min(crew.id)
        yield Insertion(crew.id, position, clock, road, price)


def clock_price(clock: Clock) -> int:
    """Overtime and lateness in minutes of road."""
    return OVERTIME_COST * clock.overtime + LATE_COST * clock.late


def extra_road_min(
    stop: Stop, crew: Crew, order: Sequence[Stop], position: int, travel: TravelTimes
) -> int:
    """More minutes of road with `stop` put in at `position`; may be below 0 on odd matrices."""
    minutes = travel.minutes
    before = order[position - 1].place if position > 0 else crew.start_place
    after = order[position].place if position < len(order) else crew.end_place
    direct = minutes[before][after] if order else 0
    return minutes[before][stop.place] + minutes[stop.place][after] - direct


def road_of(crew: Crew, order: Sequence[Stop], travel: TravelTimes) -> int:
    """Minutes of road of a whole round; 0 if nobody leaves."""
    if not order:
        return 0
    places = [crew.start_place, *(stop.place for stop in order), crew.end_place]
    return sum(travel.minutes[a][b] for a, b in pairwise(places))
