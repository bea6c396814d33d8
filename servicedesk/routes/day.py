"""The rounds of one day, for every crew together.

`plan_day` finds them, `retimed` turns any orders into a plan with its whole clock.
"""

from collections.abc import Mapping, Sequence

from servicedesk.routes import solver
from servicedesk.routes.feasible import faults_in
from servicedesk.routes.few import FewCrews, made_whole
from servicedesk.routes.many import MOST_AT_ONCE, ManyCrews
from servicedesk.routes.plan import (
    CrewDay,
    DayPlan,
    LeftOut,
    Pause,
    PlannedStop,
    Planner,
    stops_in,
)
from servicedesk.routes.problem import Crew, DayProblem, Stop
from servicedesk.routes.simple import plan_simply
from servicedesk.routes.timing import time_round
from servicedesk.routes.why import why_left_out, why_never
from servicedesk.values.progress import Progress, quiet

__all__ = [
    "Crew",
    "CrewDay",
    "DayPlan",
    "DayProblem",
    "LeftOut",
    "Pause",
    "PlannedStop",
    "Stop",
    "UnsoundPlanError",
    "plan_day",
    "retimed",
    "stops_in",
]

Orders = Mapping[str, Sequence[str]]


class UnsoundPlanError(AssertionError):
    """A plan of ours failed the second look: a mistake of ours, never of the person."""


def plan_day(
    problem: DayProblem,
    *,
    seed: int = 1,
    seconds: float | None = None,
    iterations: int | None = None,
    start: DayPlan | None = None,
    progress: Progress = quiet,
    keep_best: bool = False,
    use_solver: bool = True,
) -> DayPlan:
    """The rounds that serve most of what matters with the least road.

    Hours, shifts, skills, breaks and holds are kept, promises too where they can be; otherwise
    the plan says who is late by how much. What finds no place is left out with its reasons: the
    least worth first, what must be made last.

    The search ends after `seconds` or `iterations`, by default when it has gained nothing for
    long (then, as with `iterations`, equal seed gives the equal plan, in whatever order stops and
    crews come). If promises cannot all be kept it goes on for half as long again. Days of many
    crews are searched a few neighboring crews at a time, see `routes.many`. `start` is a plan to
    begin from. `progress` may raise Stopped: passed on, or with `keep_best` answered with the best
    so far. Without the solver library, or with `use_solver` off, the simple planner
    works. Raises UnsoundPlanError if the result fails `routes.feasible`: our mistake.
    """
    # One order of things, so that the order in which they come changes nothing.
    tidy = DayProblem(
        stops=tuple(sorted(problem.stops, key=lambda stop: stop.id)),
        crews=tuple(sorted(problem.crews, key=lambda crew: crew.id)),
        travel=problem.travel,
    )
    able = [stop for stop in tidy.stops if not why_never(tidy, stop)]
    planner: Planner = "simple"
    if use_solver and solver.is_here():
        planner = "solver"
        rounds = start.day_of if start else None
        if len(tidy.crews) > MOST_AT_ONCE:
            many = ManyCrews(tidy, able, seed=seed, seconds=seconds, iterations=iterations)
            orders = many.best_orders(rounds, progress, keep_best=keep_best)
        else:
            few = FewCrews(tidy, able, _budget(seconds, iterations, len(able)), seed, progress)
            orders = few.best_orders(rounds, keep_best=keep_best)
    else:
        orders = plan_simply(tidy, able, progress=progress)
    plan = retimed(problem, made_whole(tidy, able, orders), planner=planner)
    faults = faults_in(plan)
    if faults:
        raise UnsoundPlanError(f"the {planner} planner made an unsound plan: {faults}")
    return plan


def retimed(problem: DayProblem, orders: Orders, *, planner: Planner) -> DayPlan:
    """The plan with these stop ids in order, by crew id; all other stops are left out, and why.

    Takes any order, sound or not. Raises KeyError for ids that the problem does not know.
    """
    rounds = {
        crew.id: tuple(problem.stop_of[stop_id] for stop_id in orders.get(crew.id, ()))
        for crew in problem.crews
    }
    made = {stop.id for order in rounds.values() for stop in order}
    left_out = tuple(
        LeftOut(stop.id, why_left_out(problem, stop, rounds))
        for stop in problem.stops
        if stop.id not in made
    )
    days = tuple(time_round(crew, rounds[crew.id], problem.travel) for crew in problem.crews)
    return DayPlan(problem=problem, days=days, left_out=left_out, planner=planner)


def _budget(seconds: float | None, iterations: int | None, n_stops: int) -> solver.Budget:
    if seconds is None and iterations is None:
        return solver.Budget(no_gain=500 + 50 * n_stops)
    return solver.Budget(seconds=seconds, iterations=iterations)
