"""What the search leaves to be done: breaks that push too far, free room, lonely far stops."""

from collections.abc import Sequence

from servicedesk.routes.period_plan import Orders
from servicedesk.routes.period_problem import PeriodProblem, PeriodStop, Shift
from servicedesk.routes.period_room import Room, best_gap, fits, rooms

FAR_MIN = 45  # road of a day with one stop from which on it is worth saving; common practice
NEAR_DAYS = 3  # how far in days a lonely stop may go

WAY_FROM = 500  # prize from which on another stop makes way, and how much less that one matters
WAY_TRIED = 40

Lists = dict[str, list[PeriodStop]]


def mended(
    problem: PeriodProblem, orders: Orders, *, lonely: bool = True
) -> dict[str, tuple[str, ...]]:
    """Sound orders from nearly sound ones, with whatever still fits put in.

    The search knows no breaks; where one pushes a stop after its hours the stop worth least goes
    elsewhere. Then stops without a day are put in, and with `lonely` lonely far ones are taken
    along.
    """
    lists = {
        shift.id: [problem.stop_of[stop_id] for stop_id in orders.get(shift.id, ())]
        for shift in problem.shifts
    }
    for shift in problem.shifts:
        _thin_out(problem, shift, lists[shift.id])
    fill(problem, lists)
    make_way(problem, lists)
    for shift in problem.shifts if lonely else ():
        _take_along(problem, shift, lists)
    return {shift_id: tuple(stop.id for stop in order) for shift_id, order in lists.items()}


def fill(problem: PeriodProblem, lists: Lists) -> None:
    """Put in every stop that has no day and fits for less than its prize, dearest prize first."""
    made = {stop.id for order in lists.values() for stop in order}
    waiting = [stop for stop in problem.stops if stop.id not in made]
    for stop in sorted(waiting, key=lambda s: (-s.prize_min, last_day(s), s.id)):
        room = _cheapest([r for r in rooms(problem, lists, stop) if r.fits])
        if room is not None and room.price_min <= stop.prize_min:
            lists[room.shift_id].insert(room.position, stop)


def make_way(problem: PeriodProblem, lists: Lists) -> None:
    """Put in stops that have no day where another one makes way, the dearest prize first.

    That one goes elsewhere, or is left out where it matters clearly less. Where far more is left
    out than fits there is nothing to shift about, and nothing is tried.
    """
    made = {stop.id for order in lists.values() for stop in order}
    waiting = [stop for stop in problem.stops if stop.id not in made and stop.prize_min > WAY_FROM]
    if len(waiting) > WAY_TRIED:
        return
    for stop in sorted(waiting, key=lambda s: (-s.prize_min, last_day(s), s.id)):
        _make_way_for(problem, lists, stop)


def _make_way_for(problem: PeriodProblem, lists: Lists, stop: PeriodStop) -> bool:
    for shift in problem.shifts:
        if not shift.may_serve(stop):
            continue
        order = lists[shift.id]
        for other in sorted(order, key=lambda s: (s.prize_min, s.id)):
            if other.held_crew is not None:
                continue
            rest = [one for one in order if one is not other]
            gap = best_gap(problem, shift, rest, stop)
            if not gap.fits:
                continue
            before = lists[shift.id]
            lists[shift.id] = [*rest[: gap.position], stop, *rest[gap.position :]]
            home = _cheapest([r for r in rooms(problem, lists, other) if r.fits])
            if home is not None and home.price_min < stop.prize_min:
                lists[home.shift_id].insert(home.position, other)
                return True
            if other.prize_min + WAY_FROM < stop.prize_min:
                return True
            lists[shift.id] = before
    return False


def last_day(stop: PeriodStop) -> int:
    """The last day on which the stop may be made."""
    return max((one.last_day for one in stop.chances), default=-1)


def _thin_out(problem: PeriodProblem, shift: Shift, order: list[PeriodStop]) -> None:
    while order and not fits(problem, shift, order):
        order.remove(min(order, key=lambda s: (s.held_crew is not None, s.prize_min, s.id)))


def _take_along(problem: PeriodProblem, shift: Shift, lists: Lists) -> None:
    """A day with one far stop is spared if a neighboring day can take the stop for less road."""
    if len(lists[shift.id]) != 1:
        return
    stop = lists[shift.id][0]
    minutes, crew = problem.travel.minutes, shift.crew
    road = minutes[crew.start_place][stop.place] + minutes[stop.place][crew.end_place]
    if road < FAR_MIN or stop.held_crew is not None:
        return
    price = min((one.price_min for one in stop.chances_on(shift.day)), default=0)
    found = []
    for other in problem.shifts:
        near = other.id != shift.id and abs(other.day - shift.day) <= NEAR_DAYS
        if near and lists[other.id] and other.may_serve(stop):
            room = best_gap(problem, other, lists[other.id], stop)
            dearer = min((one.price_min for one in stop.chances_on(other.day)), default=0) - price
            liking = stop.liked_min * (stop.liked_crew not in {None, other.crew.id})
            if room.fits and room.extra_road_min + max(0, dearer) + liking < road:
                found.append(room)
    best = _cheapest(found)
    if best is not None:
        lists[shift.id].clear()
        lists[best.shift_id].insert(best.position, stop)


def _cheapest(found: Sequence[Room]) -> Room | None:
    return min(found, key=lambda r: (r.price_min, r.shift_id, r.position), default=None)
