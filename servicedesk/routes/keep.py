"""Changes by hand: nothing is searched, only the clock runs anew. Every function gives a new plan.

A person may break hours, limits and skills; the plan that comes back says what is broken
(`late_min`, `shut_min`, `over_limit_min`, and `unsuited` here).
"""

from servicedesk.routes.day import retimed
from servicedesk.routes.plan import DayPlan
from servicedesk.values.reason import Reason


def moved(plan: DayPlan, stop_id: str, *, to_crew: str, position: int) -> DayPlan:
    """The plan with a stop at `position` (0 = first) of a crew, taken from where it was.

    `position` counts without the stop itself and is cut to the length of the round. A stop that
    was left out is put in. Raises KeyError for a stop or crew the day does not know.
    """
    stop = plan.problem.stop_of[stop_id]
    crew = plan.problem.crew_of[to_crew]
    orders = {crew_id: [i for i in order if i != stop.id] for crew_id, order in plan.orders.items()}
    order = orders[crew.id]
    order.insert(max(0, min(position, len(order))), stop.id)
    return retimed(plan.problem, orders, planner="hand")


def taken_out(plan: DayPlan, stop_id: str) -> DayPlan:
    """The plan without that stop; all others stay in their order. KeyError if it is unknown."""
    stop = plan.problem.stop_of[stop_id]
    orders = {crew_id: [i for i in order if i != stop.id] for crew_id, order in plan.orders.items()}
    return retimed(plan.problem, orders, planner="hand")


def unsuited(plan: DayPlan) -> tuple[Reason, ...]:
    """Stops that stand with a crew that may not serve them; empty if all suit.

    Codes: ``stop_lacks_skill(stop, crew, skills)`` and ``wrong_crew(stop, crew, bound_to)``.
    """
    reasons: list[Reason] = []
    for stop_id, crew_id in plan.crew_id_of.items():
        stop, crew = plan.problem.stop_of[stop_id], plan.problem.crew_of[crew_id]
        lacks = tuple(sorted(stop.needs - crew.skills))
        if lacks:
            reasons.append(Reason.of("stop_lacks_skill", stop=stop_id, crew=crew_id, skills=lacks))
        if stop.bound_crew not in {None, crew_id}:
            reasons.append(
                Reason.of("wrong_crew", stop=stop_id, crew=crew_id, bound_to=stop.bound_crew)
            )
    return tuple(reasons)
