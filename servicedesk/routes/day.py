"""The rounds of one day, for every crew together.

`plan_day` finds them, `retimed` turns any orders into a plan with its whole clock.
"""

from collections.abc import Iterable, Mapping, Sequence

from servicedesk.routes import solver
from servicedesk.routes.day_model import DayModel, model_of
from servicedesk.routes.feasible import faults_in
from servicedesk.routes.plan import (
    CrewDay,
    DayPlan,
    LeftOut,
    Pause,
    PlannedStop,
    Planner,
    stops_in,
)
from servicedesk.routes.price import day_price
from servicedesk.routes.problem import Crew, DayProblem, Stop
from servicedesk.routes.simple import drop_to_sound, fill_in, plan_simply
from servicedesk.routes.timing import time_round
from servicedesk.routes.twice import search_twice
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
    crews come). If promises cannot all be kept it goes on for half as long again. `start` is a
    plan to begin from. `progress` may raise Stopped: passed on, or with `keep_best` answered with
    the best so far. Without the solver library, or with `use_solver` off, the simple planner
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
        search = _Search(tidy, able, _budget(seconds, iterations, len(able)), seed, progress)
        orders = search.best_orders(start, keep_best=keep_best)
    else:
        orders = plan_simply(tidy, able, progress=progress)
    plan = retimed(problem, _made_whole(tidy, able, orders), planner=planner)
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


class _Search:
    """The solver at work on one day: first with every promise kept, then, if need be, not."""

    def __init__(
        self,
        problem: DayProblem,
        stops: Sequence[Stop],
        budget: solver.Budget,
        seed: int,
        progress: Progress,
    ) -> None:
        self._problem = problem
        self._stops = stops
        self._budget = budget
        self._seed = seed
        self._progress = progress

    def best_orders(self, start: DayPlan | None, *, keep_best: bool) -> Orders:
        """Stop ids in order, by crew id."""
        strict = model_of(self._problem, self._stops)
        orders, was_stopped = self._run(
            strict, self._budget, start.day_of if start else None, keep_best=keep_best
        )
        if was_stopped or not self._misses_a_promise(orders):
            return orders
        late = model_of(self._problem, self._stops, lateness_allowed=True)
        days = {day.crew_id: day for day in _days(self._problem, orders)}
        other, _ = self._run(late, self._budget.half(), days, keep_best=keep_best)
        return min(orders, other, key=lambda o: day_price(self._problem, _days(self._problem, o)))

    def _run(
        self,
        model: DayModel,
        budget: solver.Budget,
        start: Mapping[str, CrewDay] | None,
        *,
        keep_best: bool,
    ) -> tuple[Orders, bool]:
        found = search_twice(
            model.model,
            budget,
            seed=self._seed,
            tuning=solver.ONE_DAY,
            start=None if start is None else model.tours(start),
            progress=self._progress,
            keep_best=keep_best,
        )
        return model.orders(found.tours), found.was_stopped

    def _misses_a_promise(self, orders: Orders) -> bool:
        """Was a stop that must be made left out, though something was agreed on it or others?"""
        made = {stop_id for order in orders.values() for stop_id in order}
        left = any(stop.is_must and stop.id not in made for stop in self._stops)
        return left and any(stop.agreed_until_min is not None for stop in self._stops)


def _days(problem: DayProblem, orders: Orders) -> tuple[CrewDay, ...]:
    return tuple(
        time_round(crew, [problem.stop_of[i] for i in orders.get(crew.id, ())], problem.travel)
        for crew in problem.crews
    )


def _made_whole(problem: DayProblem, able: Iterable[Stop], orders: Orders) -> Orders:
    """The orders as the exact clock sees them: unsound rounds mended, free gaps used."""
    rounds = {c.id: [problem.stop_of[i] for i in orders.get(c.id, ())] for c in problem.crews}
    drop_to_sound(problem, rounds)
    made = {stop.id for order in rounds.values() for stop in order}
    fill_in(problem, rounds, [stop for stop in able if stop.id not in made])
    return {crew_id: tuple(stop.id for stop in order) for crew_id, order in rounds.items()}
