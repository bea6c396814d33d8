"""A quick beginning for the search on many stops: each at its cheapest gap, by due date.

Only stops without hours of their own are put in here: for them a round fits exactly when work and
road are short enough. All others are left to the search.
"""

from collections.abc import Sequence

from servicedesk.routes.period_mend import last_day
from servicedesk.routes.period_plan import Orders
from servicedesk.routes.period_problem import PeriodProblem, PeriodStop, Shift


def quick_start(problem: PeriodProblem, stops: Sequence[PeriodStop]) -> Orders:
    """Sound orders by shift id. A thousand stops on 130 shifts take about a second."""
    minutes = problem.travel.minutes
    orders: dict[str, list[PeriodStop]] = {shift.id: [] for shift in problem.shifts}
    left = {s.id: s.plan_until_min - s.crew.shift_from_min for s in problem.shifts}
    by_due = sorted(stops, key=lambda s: (-s.prize_min, last_day(s), s.id))
    for stop in by_due:
        best: tuple[int, int, str, int] | None = None
        for number, shift in enumerate(problem.shifts):
            if left[shift.id] < stop.service_min or not _whole(shift, stop):
                continue
            order = orders[shift.id]
            here = shift.crew.start_place
            for at in range(len(order) + 1):
                there = order[at].place if at < len(order) else shift.crew.end_place
                extra = minutes[here][stop.place] + minutes[stop.place][there]
                if order:
                    extra -= minutes[here][there]
                fits = extra + stop.service_min <= left[shift.id]
                if fits and (best is None or extra < best[0]):
                    best = (extra, number, shift.id, at)
                here = there
        if best is not None and best[0] <= stop.prize_min:
            extra, _, shift_id, at = best
            orders[shift_id].insert(at, stop)
            left[shift_id] -= extra + stop.service_min
    return {shift_id: tuple(s.id for s in order) for shift_id, order in orders.items()}


def _whole(shift: Shift, stop: PeriodStop) -> bool:
    """May the shift make it at any hour of its day, for nothing more?"""
    if stop.held_crew is not None or not shift.may_serve(stop):
        return False
    return any(
        one.first_day <= shift.day <= one.last_day
        and one.price_min == 0
        and one.from_min <= shift.crew.shift_from_min
        and one.until_min >= shift.crew.shift_until_min - stop.service_min
        for one in stop.chances
    )
