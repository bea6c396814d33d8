"""The plan of some weeks, for every crew and day together: `plan_weeks` finds it."""

from collections.abc import Callable
from dataclasses import dataclass, replace

from servicedesk.routes import solver
from servicedesk.routes.period_areas import MOST_AT_ONCE, planned_by_area
from servicedesk.routes.period_feasible import faults_in
from servicedesk.routes.period_mend import fill, mended
from servicedesk.routes.period_model import PeriodModel, model_of
from servicedesk.routes.period_plan import Cost, Orders, PeriodPlan, cost_of, timed
from servicedesk.routes.period_problem import PeriodProblem, PeriodStop
from servicedesk.routes.period_room import fits
from servicedesk.routes.period_start import quick_start
from servicedesk.routes.period_why import left_out, why_never
from servicedesk.routes.plan import Planner
from servicedesk.routes.twice import search_twice
from servicedesk.values.progress import Progress, quiet

__all__ = ["Glimpse", "Tried", "UnsoundWeeksError", "plan_weeks", "weeks_as_ordered"]


MANY = 200  # stops from which on a quick beginning is better than a random one


class UnsoundWeeksError(AssertionError):
    """A plan of ours failed the second look: a mistake of ours, never of the person."""


@dataclass(frozen=True, slots=True)
class Glimpse:
    """The best so far while the search runs, before the last touch: orders and what they cost."""

    orders: Orders
    cost: Cost
    n_left_out: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Tried:
    """How long to look. Without `seconds` it counts `iterations`: equal seed, equal plan."""

    seconds: float | None = 10.0
    iterations: int | None = None
    seed: int = 1
    use_solver: bool = True


def plan_weeks(
    problem: PeriodProblem,
    tried: Tried = Tried(),
    *,
    start: Orders | None = None,
    progress: Progress = quiet,
    keep_best: bool = True,
    better: Callable[[Glimpse], None] | None = None,
) -> PeriodPlan:
    """Who goes where on which day, so that most of what matters is made with the least road.

    Hours, days, shifts, skills, holds, and what is kept for callbacks are never broken; what
    finds no place is left out with its reasons. `start`: orders to begin from, by shift id; what
    is unsound in them is thinned out first. `progress` may raise Stopped: answered with the best
    so far (*take it as it is*), or passed on without `keep_best`. `better` hears the best so far
    a few times a second, in the thread of the search. Many stops are planned area by area.
    Without the solver library, or with `use_solver` off, stops are put in one by one, the most
    pressing first (planner "simple"). Raises UnsoundWeeksError if the result fails
    `routes.period_feasible`.
    """
    tidy = replace(
        problem,
        stops=tuple(sorted(problem.stops, key=lambda stop: stop.id)),
        shifts=tuple(sorted(problem.shifts, key=lambda s: (s.day, s.crew.id))),
    )
    able = [stop for stop in tidy.stops if not why_never(tidy, stop)]
    from_ = None if start is None else _sound(tidy, start, able)
    planner: Planner = "simple"
    was_stopped = False
    if tried.use_solver and solver.is_here() and able:
        planner = "solver"
        orders, was_stopped = _searched(tidy, able, tried, from_, progress, keep_best, better)
    else:
        orders = _one_by_one(tidy, from_)
    orders = mended(tidy, orders)
    if from_ is not None:
        stays = mended(tidy, from_)
        if cost_of(tidy, stays).total <= cost_of(tidy, orders).total:
            orders = stays  # nothing cheaper was found: nothing moves
    plan = replace(weeks_as_ordered(problem, orders, planner=planner), was_stopped=was_stopped)
    faults = faults_in(plan)
    if faults:
        raise UnsoundWeeksError(f"the {planner} planner made unsound weeks: {faults}")
    return plan


def weeks_as_ordered(problem: PeriodProblem, orders: Orders, *, planner: Planner) -> PeriodPlan:
    """The plan with these stop ids in order, by shift id; the others are left out, and why.

    Takes any orders whose stops have a chance on their day, sound or not. Raises KeyError for ids
    that the problem does not know, ValueError for a stop that has no chance that day.
    """
    return PeriodPlan(
        problem=problem,
        days=timed(problem, orders),
        left_out=left_out(problem, {s.id: orders.get(s.id, ()) for s in problem.shifts}),
        planner=planner,
    )


def _searched(
    problem: PeriodProblem,
    able: list[PeriodStop],
    tried: Tried,
    start: Orders | None,
    progress: Progress,
    keep_best: bool,  # noqa: FBT001
    better: Callable[[Glimpse], None] | None,
) -> tuple[Orders, bool]:
    """The search at once, or area by area; and whether it was stopped."""
    budget = solver.Budget(seconds=tried.seconds, iterations=tried.iterations)
    if len(able) > MOST_AT_ONCE:
        start = quick_start(problem, able) if start is None else start
        return planned_by_area(
            problem, able, budget, seed=tried.seed, start=start, progress=progress,
            keep_best=keep_best,
        )  # fmt: skip
    model = model_of(problem, able, problem.shifts)
    told = _glimpses(problem, model, better)
    many = len(able) > MANY
    orders = quick_start(problem, able) if start is None and many else start
    for part in (0, 1):
        found = search_twice(
            model.model, _share(budget, part, many=many), seed=tried.seed + part,
            tuning=solver.Tuning(),
            start=None if orders is None else model.tours(orders),
            progress=_half(progress, part), keep_best=keep_best, better=told,
        )  # fmt: skip
        orders = mended(problem, model.orders(found.tours), lonely=False)
        if found.was_stopped:
            break
    return orders or {}, found.was_stopped


def _share(budget: solver.Budget, part: int, *, many: bool) -> solver.Budget:
    """Of two parts of a search; between them stops are put in that it had no way to."""
    share = ((0.85, 0.15) if many else (0.6, 0.4))[part]
    return solver.Budget(
        seconds=None if budget.seconds is None else budget.seconds * share,
        iterations=None if budget.iterations is None else max(2, round(budget.iterations * share)),
    )


def _half(progress: Progress, part: int) -> Progress:
    first, last = ((0, 60), (60, 100))[part]

    def tell(done: int, total: int, note: str = "") -> None:
        progress(first + (last - first) * done // max(total, 1), 100, note)

    return tell


def _glimpses(
    problem: PeriodProblem, model: PeriodModel, better: Callable[[Glimpse], None] | None
) -> Callable[[tuple[solver.Tour, ...]], None] | None:
    if better is None:
        return None
    best = [float("inf")]

    def tell(tours: tuple[solver.Tour, ...]) -> None:
        orders = model.orders(tours)
        cost = cost_of(problem, orders)
        if cost.total < best[0]:  # two searches run side by side
            best[0] = cost.total
            n_made = sum(len(order) for order in orders.values())
            better(Glimpse(orders, cost, len(problem.stops) - n_made))

    return tell


def _sound(problem: PeriodProblem, start: Orders, able: list[PeriodStop]) -> Orders:
    """A start thinned out to what is possible: stops that may be there, rounds that fit."""
    ids = {stop.id for stop in able}
    kept: dict[str, tuple[str, ...]] = {}
    for shift in problem.shifts:
        order = [problem.stop_of[i] for i in start.get(shift.id, ()) if i in ids]
        order = [stop for stop in order if shift.may_serve(stop)]
        while order and not fits(problem, shift, order):
            order.remove(min(order, key=lambda s: (s.held_crew is not None, s.prize_min, s.id)))
        kept[shift.id] = tuple(stop.id for stop in order)
    return kept


def _one_by_one(problem: PeriodProblem, start: Orders | None) -> Orders:
    lists = {
        shift.id: [problem.stop_of[i] for i in (start or {}).get(shift.id, ())]
        for shift in problem.shifts
    }
    fill(problem, lists)
    return {shift_id: tuple(stop.id for stop in order) for shift_id, order in lists.items()}
