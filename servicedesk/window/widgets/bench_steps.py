"""Where a stop in hand or on the keys would go on the ribbons. Plans in, positions out."""

from collections.abc import Container

from servicedesk.desk.at_once import without
from servicedesk.routes.plan import DayPlan


def first_free(plan: DayPlan, crew_id: str, made: Container[str]) -> int:
    """The first position of a ribbon that is free: nothing goes before a stop made already."""
    order = plan.day_of[crew_id].order
    return max((n + 1 for n, one in enumerate(order) if one in made), default=0)


def position_at(bare: DayPlan, crew_id: str, begin_min: float, made: Container[str]) -> int:
    """How many stops of the ribbon come before one that would begin then.

    `bare` is the plan without that stop. A stop comes before if half its work is done by then.
    """
    day = bare.day_of[crew_id]
    half = {s.stop_id: bare.problem.stop_of[s.stop_id].service_min / 2 for s in day.stops}
    n = sum(s.begin_min + half[s.stop_id] <= begin_min + 0.5 for s in day.stops)
    return max(n, first_free(bare, crew_id, made))


def step_to(
    plan: DayPlan, stop_id: str, made: Container[str], *, by: int = 0, ribbons: int = 0
) -> tuple[str, int] | None:
    """Crew and position for a stop moved `by` slots, or `ribbons` further down.

    On another ribbon it takes the slot nearest in time. None if it cannot go there.
    """
    crew = plan.crew_id_of.get(stop_id)
    if crew is None or stop_id in made:
        return None
    bare = without(plan, stop_id)
    if ribbons:
        crews = [day.crew_id for day in plan.days]
        at = crews.index(crew) + ribbons
        if not 0 <= at < len(crews):
            return None
        begin = next(s for s in plan.day_of[crew].stops if s.stop_id == stop_id).begin_min
        return crews[at], position_at(bare, crews[at], begin, made)
    position = plan.day_of[crew].order.index(stop_id) + by
    if not first_free(bare, crew, made) <= position <= len(bare.day_of[crew].order):
        return None
    return crew, position
