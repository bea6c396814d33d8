"""Small searches after the hand: one round put in order, or the rounds around a moved stop.

Never the whole day: every other round stays as it is, and whoever was told or held stays where
they are. Encoding and the price of a change: routing findings, "stability after a manual drag".
"""

from collections.abc import Iterable
from dataclasses import replace

from servicedesk.routes.day import plan_day, retimed
from servicedesk.routes.insertion import extra_road_min
from servicedesk.routes.plan import DayPlan, stops_in
from servicedesk.routes.price import day_price
from servicedesk.routes.problem import DayProblem, Stop
from servicedesk.values.progress import Progress, quiet

CHANGE_MIN = 15  # another visit moved to another round must save at least so much road
NEAR_ROUNDS = 4  # beside the two that the hand touched
ROUNDS_OF_SEARCH = 400  # about a second at six rounds; the plan at hand is a good start


def tidied(plan: DayPlan, crew_id: str, *, seed: int = 1, progress: Progress = quiet) -> DayPlan:
    """The plan with one round in its best order: the same stops, and all other rounds untouched.

    Held stops keep their order. The plan itself if nothing is gained. KeyError for a crew the day
    does not know.
    """
    crew = plan.problem.crew_of[crew_id]
    stops = tuple(replace(s, prize_min=None) for s in _stops_of(plan, [crew_id]))
    part = DayProblem(stops=stops, crews=(crew,), travel=plan.problem.travel)
    return _better(plan, part, seed=seed, progress=progress)


def settled(
    plan: DayPlan,
    stop_id: str,
    *,
    from_crew: str | None = None,
    change_min: int = CHANGE_MIN,
    seed: int = 1,
    progress: Progress = quiet,
) -> DayPlan:
    """The plan around a stop that the hand just put where it is, mended with few changes.

    `stop_id` stays on its round, `from_crew` is the round that lost it. Searched are these two and
    the four rounds nearest to the stop; another stop changes its round only if that saves
    `change_min` minutes of road, one that was told or promised never does. The plan itself if
    nothing is gained. KeyError for a stop that has no place.
    """
    to_crew = plan.crew_id_of[stop_id]
    scope = _scope(plan, stop_id, [to_crew, *([from_crew] if from_crew is not None else [])])
    stops = []
    for stop in _stops_of(plan, scope):
        here = plan.crew_id_of[stop.id]
        must = replace(stop, prize_min=None)
        if stop.id == stop_id or _is_agreed(stop):
            stops.append(replace(must, only_crew=must.only_crew or here))
        else:
            liked = change_min + (stop.liked_min if stop.liked_crew == here else 0)
            stops.append(replace(must, liked_crew=here, liked_min=liked))
    crews = tuple(c for c in plan.problem.crews if c.id in scope)
    part = DayProblem(stops=tuple(stops), crews=crews, travel=plan.problem.travel)
    return _better(plan, part, seed=seed, progress=progress)


def _is_agreed(stop: Stop) -> bool:
    return stop.told or stop.held_crew is not None or stop.promise_until_min is not None


def _stops_of(plan: DayPlan, crews: Iterable[str]) -> list[Stop]:
    return [s for c in crews for s in stops_in(plan.problem, plan.day_of[c])]


def _scope(plan: DayPlan, stop_id: str, touched: list[str]) -> list[str]:
    """The rounds that the hand touched and those that pass nearest to the stop."""
    stop = plan.problem.stop_of[stop_id]

    def detour(crew_id: str) -> tuple[int, str]:
        crew = plan.problem.crew_of[crew_id]
        order = stops_in(plan.problem, plan.day_of[crew_id])
        travel = plan.problem.travel
        gaps = range(len(order) + 1)
        return (min(extra_road_min(stop, crew, order, at, travel) for at in gaps), crew_id)

    scope = list(dict.fromkeys(touched))
    others = sorted((d.crew_id for d in plan.days if d.crew_id not in scope), key=detour)
    return scope + others[:NEAR_ROUNDS]


def _better(plan: DayPlan, part: DayProblem, *, seed: int, progress: Progress) -> DayPlan:
    """The plan with the best rounds of `part` in it, if they serve all of its stops for less, or
    keep hours and shifts that the hand had broken.
    """
    orders = {crew.id: plan.orders[crew.id] for crew in part.crews}
    start = retimed(part, orders, planner="hand")
    found = plan_day(part, seed=seed, start=start, iterations=ROUNDS_OF_SEARCH, progress=progress)
    is_cheaper = day_price(part, found.days) < day_price(part, start.days)
    breaks_now = not all(day.is_sound for day in start.days)
    if found.left_out or not (is_cheaper or breaks_now):
        return plan
    return retimed(plan.problem, {**plan.orders, **found.orders}, planner="hand")
