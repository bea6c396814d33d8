"""Room for a stop on shifts that have rounds already: the best gap of every shift.

The shared step of mending, of the simple planner and of the reasons for leaving out.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from servicedesk.routes.holds import keeps_held_order
from servicedesk.routes.period_plan import best_chances, chance_taken, load_min, unpaused
from servicedesk.routes.period_problem import PeriodProblem, PeriodStop, Shift
from servicedesk.routes.timing import clock_of

Rounds = Mapping[str, Sequence[PeriodStop]]  # stops in order, by shift id
_TRIED = 3  # gaps of a shift timed exactly, the least road first


@dataclass(frozen=True, slots=True)
class Room:
    """A gap for a stop: the shift, before which stop (0 first), and what it costs more.

    `over_min` and `shut_min`: beyond the end of what may be planned that day, and after hours;
    both 0 where the stop fits. `price_min` adds the chance, the liking and the daily target.
    """

    shift_id: str
    position: int
    extra_road_min: int
    price_min: int
    over_min: int
    shut_min: int

    @property
    def fits(self) -> bool:
        """Is every hour and the end of the day kept?"""
        return self.over_min == 0 and self.shut_min == 0


def rooms(problem: PeriodProblem, rounds: Rounds, stop: PeriodStop) -> Iterator[Room]:
    """The best gap of every shift that may serve the stop, fitting or not, in order of shifts."""
    for shift in problem.shifts:
        if shift.may_serve(stop):
            yield best_gap(problem, shift, rounds.get(shift.id, ()), stop)


def best_gap(
    problem: PeriodProblem, shift: Shift, order: Sequence[PeriodStop], stop: PeriodStop
) -> Room:
    """The gap of one round that breaks least, then costs least."""
    gaps = sorted((extra_road(problem, shift, order, at, stop), at) for at in range(len(order) + 1))
    found: list[Room] = []
    for extra, at in gaps:
        room = _room(problem, shift, order, at, extra, stop)
        if room is not None:
            found.append(room)
        # Where no hour is missed the least road is also the earliest home.
        if room is not None and (not room.shut_min or len(found) == _TRIED):
            break
    return min(found, key=lambda r: (r.over_min + r.shut_min, r.price_min, r.position))


def extra_road(
    problem: PeriodProblem, shift: Shift, order: Sequence[PeriodStop], at: int, stop: PeriodStop
) -> int:
    """More minutes of road with the stop at `at`."""
    minutes = problem.travel.minutes
    before = order[at - 1].place if at > 0 else shift.crew.start_place
    after = order[at].place if at < len(order) else shift.crew.end_place
    direct = minutes[before][after] if order else 0
    return minutes[before][stop.place] + minutes[stop.place][after] - direct


def fits(problem: PeriodProblem, shift: Shift, order: Sequence[PeriodStop]) -> bool:
    """Is the round sound: hours, end of what may be planned, held order, and the break too?"""
    if not order:
        return True
    taken = best_chances(shift, order, problem.travel)
    shut, home, _ = unpaused(shift, list(zip(order, taken, strict=True)), problem.travel)
    if shut or home > shift.plan_until_min:
        return False
    stops = [stop.as_stop(chance) for stop, chance in zip(order, taken, strict=True)]
    if not keeps_held_order(stops, shift.crew.id):
        return False
    if not shift.crew.takes_break:
        return True
    clock = clock_of(shift.crew, stops, problem.travel)
    return not clock.shut and not clock.late and not clock.overtime


def _room(
    problem: PeriodProblem,
    shift: Shift,
    order: Sequence[PeriodStop],
    at: int,
    extra: int,
    stop: PeriodStop,
) -> Room | None:
    """None where the gap would turn held stops round."""
    new = [*order[:at], stop, *order[at:]]
    taken = best_chances(shift, new, problem.travel)
    stops = [one.as_stop(chance) for one, chance in zip(new, taken, strict=True)]
    if not keeps_held_order(stops, shift.crew.id):
        return None
    shut, home, load = unpaused(shift, list(zip(new, taken, strict=True)), problem.travel)
    over = max(0, home - shift.plan_until_min)
    if not shut and not over and shift.crew.takes_break:
        clock = clock_of(shift.crew, stops, problem.travel)
        shut, over = clock.shut + clock.late, clock.overtime
    price = extra + chance_taken(shift, stop).price_min
    price += stop.liked_min * (stop.liked_crew not in {None, shift.crew.id})
    if shift.target_min is not None:
        before = load_min(shift, order, problem.travel)
        more = max(0, load - shift.target_min) - max(0, before - shift.target_min)
        price += shift.balance_cost * more
    return Room(shift.id, at, extra, price, over, shut)
