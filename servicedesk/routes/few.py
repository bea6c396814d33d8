"""A day in one search: exact in every rule, quick while the crews are few."""

from collections.abc import Callable, Iterable, Mapping, Sequence

from servicedesk.routes import solver
from servicedesk.routes.day_model import DayModel, model_of
from servicedesk.routes.plan import CrewDay
from servicedesk.routes.price import day_price
from servicedesk.routes.problem import DayProblem, Stop
from servicedesk.routes.simple import drop_to_sound, fill_in
from servicedesk.routes.timing import time_round
from servicedesk.routes.twice import search_twice
from servicedesk.values.progress import Progress

Orders = Mapping[str, Sequence[str]]


class FewCrews:
    """The solver at work on one day: first with every promise kept, then, if need be, not."""

    def __init__(
        self,
        problem: DayProblem,
        stops: Sequence[Stop],
        budget: solver.Budget,
        seed: int,
        progress: Progress,
        search: Callable[..., solver.Found] = search_twice,
    ) -> None:
        self._problem = problem
        self._stops = stops
        self._budget = budget
        self._seed = seed
        self._progress = progress
        self._search = search
        self.was_stopped = False  # did `progress` end it early (with `keep_best`)?

    def best_orders(self, start: Mapping[str, CrewDay] | None, *, keep_best: bool) -> Orders:
        """Stop ids in order, by crew id; `start` holds rounds to begin from."""
        strict = model_of(self._problem, self._stops)
        orders = self._run(strict, self._budget, start, keep_best=keep_best)
        if self.was_stopped or not self._misses_a_promise(orders):
            return orders
        late = model_of(self._problem, self._stops, lateness_allowed=True)
        days = {day.crew_id: day for day in days_of(self._problem, orders)}
        other = self._run(late, self._budget.half(), days, keep_best=keep_best)
        return min(orders, other, key=lambda o: day_price(self._problem, days_of(self._problem, o)))

    def _run(
        self,
        model: DayModel,
        budget: solver.Budget,
        start: Mapping[str, CrewDay] | None,
        *,
        keep_best: bool,
    ) -> Orders:
        found = self._search(
            model.model,
            budget,
            seed=self._seed,
            tuning=solver.ONE_DAY,
            start=None if start is None else model.tours(start),
            progress=self._progress,
            keep_best=keep_best,
        )
        self.was_stopped = self.was_stopped or found.was_stopped
        return model.orders(found.tours)

    def _misses_a_promise(self, orders: Orders) -> bool:
        """Was a stop that must be made left out, though something was agreed on it or others?"""
        made = {stop_id for order in orders.values() for stop_id in order}
        left = any(stop.is_must and stop.id not in made for stop in self._stops)
        return left and any(stop.agreed_until_min is not None for stop in self._stops)


def days_of(problem: DayProblem, orders: Orders) -> tuple[CrewDay, ...]:
    """The rounds of these orders with their clock, in the order of the crews."""
    return tuple(
        time_round(crew, [problem.stop_of[i] for i in orders.get(crew.id, ())], problem.travel)
        for crew in problem.crews
    )


def made_whole(problem: DayProblem, able: Iterable[Stop], orders: Orders) -> Orders:
    """The orders as the exact clock sees them: unsound rounds mended, free gaps used."""
    rounds = {c.id: [problem.stop_of[i] for i in orders.get(c.id, ())] for c in problem.crews}
    drop_to_sound(problem, rounds)
    made = {stop.id for order in rounds.values() for stop in order}
    fill_in(problem, rounds, [stop for stop in able if stop.id not in made])
    return {crew_id: tuple(stop.id for stop in order) for crew_id, order in rounds.items()}
