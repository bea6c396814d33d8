"""A stop moved while the hand still holds it: only the rounds it touches run anew.

The same rounds as `routes.keep` gives, without asking anew why every other stop was left out.
That question costs more than a frame of the screen; it is asked once the stop is let go.
"""

from dataclasses import replace

from servicedesk.routes.plan import DayPlan, LeftOut, stops_in
from servicedesk.routes.timing import time_round


def moved_at_once(plan: DayPlan, stop_id: str, *, to_crew: str, position: int) -> DayPlan:
    """The plan with the stop at `position` of a crew, counted without the stop itself.

    `position` is cut to the round. Raises KeyError for a stop or crew the day does not know.
    """
    stop = plan.problem.stop_of[stop_id]
    crew = plan.problem.crew_of[to_crew]
    base = without(plan, stop_id)
    days = []
    for day in base.days:
        if day.crew_id != crew.id:
            days.append(day)
            continue
        order = list(stops_in(plan.problem, day))
        order.insert(max(0, min(position, len(order))), stop)
        days.append(time_round(crew, order, plan.problem.travel))
    left = tuple(one for one in base.left_out if one.stop_id != stop_id)
    return replace(base, days=tuple(days), left_out=left, planner="hand")


def without(plan: DayPlan, stop_id: str) -> DayPlan:
    """The plan without that stop; it is left out with no reason. Unchanged if it has no place."""
    at = plan.crew_id_of.get(stop_id)
    if at is None:
        return plan
    days = tuple(
        time_round(
            plan.problem.crew_of[day.crew_id],
            [s for s in stops_in(plan.problem, day) if s.id != stop_id],
            plan.problem.travel,
        )
        if day.crew_id == at
        else day
        for day in plan.days
    )
    left = (*plan.left_out, LeftOut(stop_id, ()))
    return replace(plan, days=days, left_out=left, planner="hand")
