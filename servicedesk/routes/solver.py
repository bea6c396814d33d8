"""The search behind every plan: the only file that knows the solver library.

The library is imported when the first search starts, not before. Its iterated local search is
driven directly, with parameters tuned on rural service days: penalties start low (the library
derives them from their bounds, 50,000 a unit) and twenty neighbours are looked at. The largest
penalty stays above the largest prize; below it the search would buy broken hours and skills.
"""

import time
import warnings
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache
from threading import Lock
from types import SimpleNamespace
from typing import Any

from servicedesk.values.progress import Progress, quiet
from servicedesk.values.trouble import Stopped

MAX_PENALTY = 100_000
NEIGHBOURS = 20
HISTORY = 50
RESTART_AFTER = 3_000
_LOOK_EVERY_S = 0.05  # how often the watcher is told, and may stop the search
_TELL_EVERY_S = 0.4  # how often a new best is told


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """Something to do at a place; left out at the cost of its prize.

    Work begins within `from_min`..`by_min` (both allowed). Of the tasks of one `group` at most
    one is done. `delivery` is carried from the start, `pickup` to the end; one figure each
    dimension of load.
    """

    place: int
    service_min: int
    from_min: int
    by_min: int
    prize: int
    delivery: tuple[int, ...] = ()
    pickup: tuple[int, ...] = ()
    group: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Vehicle:
    """`count` equal vehicles: on the road within `from_min`..`until_min`, home at `end_place`.

    After `paid_min` from its start a minute costs `overtime_cost`. With `starts_at_once` the
    clock of a used vehicle starts at `from_min`, else as late as costs nothing. `taste` is the
    row of `Model.tastes` that it pays.
    """

    start_place: int
    end_place: int
    from_min: int
    until_min: int
    capacity: tuple[int, ...] = ()
    count: int = 1
    paid_min: int | None = None
    overtime_cost: int = 0
    starts_at_once: bool = False
    taste: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Model:
    """What is searched: tasks, vehicles, ``cost[i][j]`` and ``minutes[i][j]`` between places.

    `main`: how many of the first tasks are real stops (the others, such as breaks, must not fill
    up the neighbourhoods of the stops). None: all. `tastes`: rows of one figure a place, the cost
    added to every drive into it for vehicles of that taste; the clock does not see it. Empty: none.
    Each row costs two tables of n x n eight-byte figures.
    """

    tasks: tuple[Task, ...]
    vehicles: tuple[Vehicle, ...]
    cost: Sequence[Sequence[int]]
    minutes: Sequence[Sequence[int]]
    n_groups: int = 0
    main: int | None = None
    tastes: tuple[tuple[int, ...], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Budget:
    """When the search ends: at the first of the limits given. At least one must be.

    Equal seed and `iterations` (or `no_gain` rounds) give the equal answer; `seconds` do not
    promise that.
    """

    seconds: float | None = None
    iterations: int | None = None
    no_gain: int | None = None

    def __post_init__(self) -> None:
        if self.seconds is self.iterations is self.no_gain is None:
            raise ValueError("a search without an end")

    def half(self) -> "Budget":
        """Half of each limit, at least one round."""
        return Budget(
            seconds=None if self.seconds is None else self.seconds / 2,
            iterations=None if self.iterations is None else max(1, self.iterations // 2),
            no_gain=None if self.no_gain is None else max(1, self.no_gain // 2),
        )


@dataclass(frozen=True, slots=True)
class Tuning:
    """What a unit of broken hours or load costs at first, and after how many rounds that is
    looked at anew. The defaults suit hundreds of stops over many days.
    """

    start_penalty: int = 20
    rounds_between: int = 100


# On days full of stops that must be made, low penalties let the search dwell on rounds that cannot
# be. Of seven settings tried on four kept days (tests/bench/days.py, three seeds, 1.5 s each) this
# one came nearest to the best known: 0.6 % over it on average, the defaults 2.9 %.
ONE_DAY = Tuning(start_penalty=50, rounds_between=50)


@dataclass(frozen=True, slots=True)
class Tour:
    """One used vehicle (its number in the model) and its tasks in order."""

    vehicle: int
    tasks: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """The best that was found. `cost` is None if nothing kept every limit."""

    tours: tuple[Tour, ...]
    cost: int | None
    iterations: int
    was_stopped: bool = False


def is_here() -> bool:
    """Can the solver library be used on this machine?"""
    try:
        _library()
    except ImportError:
        return False
    return True


def search(
    model: Model,
    budget: Budget,
    *,
    seed: int = 1,
    tuning: Tuning = Tuning(),
    start: Sequence[Tour] | None = None,
    progress: Progress = quiet,
    keep_best: bool = False,
    better: Callable[[tuple[Tour, ...]], None] | None = None,
) -> Found:
    """The best tours found within `budget`, from `start` or from a random beginning.

    `progress` hears hundredths of the budget and may raise Stopped: that ends the search within
    one round (milliseconds) and is passed on, or, with `keep_best`, answered with the best so
    far. `better` hears sound tours that are the best so far, a few times a second at most, in the
    thread of the search. Raises ImportError if the library is not there.
    """
    if not model.tasks or not model.vehicles:
        return Found(tours=(), cost=0, iterations=0)
    lib = _library()
    data = _data(lib, model)
    rng = lib.RandomNumberGenerator(seed=seed)
    descent = _descent(lib, data, rng, model)
    penalties = lib.PenaltyManager(
        ([tuning.start_penalty] * data.num_load_dimensions, *[tuning.start_penalty] * 2),
        lib.PenaltyParams(max_penalty=MAX_PENALTY, solutions_between_updates=tuning.rounds_between),
    )
    if start is None:
        random = lib.Solution.make_random(data, rng)
        first = descent(random, penalties.max_cost_evaluator(), exhaustive=True)
    else:
        first = lib.Solution(data, [_route(lib, data, tour) for tour in start if tour.tasks])
    ending = _Ending(budget, progress, keep_best=keep_best)
    params = lib.IteratedLocalSearchParams(
        history_length=HISTORY,
        num_iters_no_improvement=RESTART_AFTER,
        **({"callbacks": _telling(lib, better)} if better else {}),
    )
    with _without_hints(lib):
        result = lib.IteratedLocalSearch(data, penalties, descent, first, params).run(
            ending, collect_stats=False, display=False
        )
    return Found(
        tours=tuple(_tour(route) for route in result.best.routes()),
        cost=int(result.cost()) if result.is_feasible() else None,
        iterations=result.num_iterations,
        was_stopped=ending.was_stopped,
    )


def _telling(lib: Any, better: Callable[[tuple[Tour, ...]], None]) -> Any:
    """The library's way of being told of a new best."""

    class Telling(lib.IteratedLocalSearchCallbacks):  # type: ignore[misc]  # known at run time only
        told_at = float("-inf")

        def on_best(self, best: Any) -> None:
            now = time.perf_counter()
            if best.is_feasible() and now - self.told_at >= _TELL_EVERY_S:
                self.told_at = now
                better(tuple(_tour(route) for route in best.routes()))

    return Telling()


_hints_lock = Lock()
_hints_off: list[Any] = []
_searching = [0]


@contextmanager
def _without_hints(lib: Any) -> Iterator[None]:
    """No hint that the day may be overfull: the plan itself says what was left out.

    What is warned of belongs to the whole process; searches side by side switch it off once.
    """
    with _hints_lock:
        if not _searching[0]:
            off = warnings.catch_warnings()
            off.__enter__()
            _hints_off.append(off)
            warnings.simplefilter("ignore", lib.PenaltyBoundWarning)
        _searching[0] += 1
    try:
        yield
    finally:
        with _hints_lock:
            _searching[0] -= 1
            if not _searching[0]:
                _hints_off.pop().__exit__(None, None, None)


class _Ending:
    """Called once a round with the best cost: is it enough? Tells the watcher now and then."""

    def __init__(self, budget: Budget, progress: Progress, *, keep_best: bool) -> None:
        self._budget = budget
        self._progress = progress
        self._keep_best = keep_best
        self._began = self._looked = time.perf_counter()
        self._rounds = 0
        self._best = float("inf")
        self._best_at = 0
        self.was_stopped = False

    def __call__(self, best_cost: float) -> bool:
        if best_cost < self._best:
            self._best, self._best_at = best_cost, self._rounds
        now = time.perf_counter()
        done = self._share(now - self._began)
        self._rounds += 1
        if done >= 1:
            return True
        if now - self._looked < _LOOK_EVERY_S:
            return False
        self._looked = now
        try:
            self._progress(int(done * 100), 100)
        except Stopped:
            if not self._keep_best:
                raise
            self.was_stopped = True
        return self.was_stopped

    def _share(self, elapsed_s: float) -> float:
        """Share of the tightest limit that is used up, 1 or more when it is reached."""
        limits = (
            (elapsed_s, self._budget.seconds),
            (self._rounds, self._budget.iterations),
            (self._rounds - self._best_at, self._budget.no_gain),
        )
        return max(used / max(limit, 1e-9) for used, limit in limits if limit is not None)


@cache
def _library() -> Any:
    """The names of the solver library that are used here. Raises ImportError."""
    import numpy as np
    import pyvrp
    from pyvrp import search as moves
    from pyvrp.exceptions import PenaltyBoundWarning

    names = {name: getattr(pyvrp, name) for name in _NAMES}
    names |= {name: getattr(moves, name) for name in _SEARCH_NAMES}
    return SimpleNamespace(np=np, PenaltyBoundWarning=PenaltyBoundWarning, **names)


# fmt: off
_NAMES = (
    "Activity", "ActivityType", "Client", "ClientGroup", "Depot", "IteratedLocalSearch",
    "IteratedLocalSearchCallbacks", "IteratedLocalSearchParams", "Location", "PenaltyManager",
    "PenaltyParams", "ProblemData", "RandomNumberGenerator", "Route", "Solution", "VehicleType",
)
_SEARCH_NAMES = (
    "LocalSearch", "NeighbourhoodParams", "OPERATORS", "PerturbationManager",
    "PerturbationParams", "compute_neighbours",
)
# fmt: on


def _data(lib: Any, model: Model) -> Any:
    """The model in the library's terms; client numbers are task numbers."""
    ends = sorted({p for v in model.vehicles for p in (v.start_place, v.end_place)})
    depot_of = {place: number for number, place in enumerate(ends)}
    groups = [lib.ClientGroup(required=False) for _ in range(model.n_groups)]
    for number, task in enumerate(model.tasks):
        if task.group is not None:
            groups[task.group].add_client(number)
    return lib.ProblemData(
        # Nothing reads the coordinates: the tables below say all.
        locations=[lib.Location(0, 0) for _ in model.cost],
        clients=[_client(lib, task) for task in model.tasks],
        depots=[lib.Depot(place) for place in ends],
        vehicle_types=[_vehicle_type(lib, vehicle, depot_of) for vehicle in model.vehicles],
        distance_matrices=_costs(lib, model),
        duration_matrices=[lib.np.asarray(model.minutes, dtype=lib.np.int64)]
        * max(1, len(model.tastes)),
        groups=groups,
    )


def _costs(lib: Any, model: Model) -> list[Any]:
    """One table a taste: what the drive costs, and more for places that taste avoids."""
    plain = lib.np.asarray(model.cost, dtype=lib.np.int64)
    if not model.tastes:
        return [plain]
    return [_added(lib, plain, taste) for taste in model.tastes]


def _added(lib: Any, plain: Any, taste: tuple[int, ...]) -> Any:
    table = plain + lib.np.asarray(taste, dtype=lib.np.int64)[None, :]
    lib.np.fill_diagonal(table, 0)  # the library wants nothing there
    return table


def _client(lib: Any, task: Task) -> Any:
    return lib.Client(
        task.place,
        delivery=list(task.delivery),
        pickup=list(task.pickup),
        service_duration=task.service_min,
        tw_early=task.from_min,
        tw_late=task.by_min,
        prize=task.prize,
        required=False,
        group=task.group,
    )


def _vehicle_type(lib: Any, vehicle: Vehicle, depot_of: dict[int, int]) -> Any:
    """Overtime is soft from `paid_min` on; the hard limit is the end of the vehicle's hours."""
    soft: dict[str, int] = {}
    span = vehicle.until_min - vehicle.from_min
    if vehicle.paid_min is not None and vehicle.paid_min < span:
        soft = {
            "shift_duration": vehicle.paid_min,
            "max_overtime": span - vehicle.paid_min,
            "unit_overtime_cost": vehicle.overtime_cost,
        }
    return lib.VehicleType(
        num_available=vehicle.count,
        capacity=list(vehicle.capacity),
        start_depot=depot_of[vehicle.start_place],
        end_depot=depot_of[vehicle.end_place],
        tw_early=vehicle.from_min,
        tw_late=vehicle.until_min,
        start_late=vehicle.from_min if vehicle.starts_at_once else None,
        profile=vehicle.taste,
        unit_distance_cost=1,
        **soft,
    )


def _descent(lib: Any, data: Any, rng: Any, model: Model) -> Callable[..., Any]:
    """The local search with every move that the data call for."""
    chance = lib.PerturbationManager(lib.PerturbationParams(1, 25))
    descent: Any = lib.LocalSearch(data, rng, _neighbours(lib, data, model), chance)
    for move in lib.OPERATORS:
        if move.supports(data):
            descent.add_operator(move(data))
    return descent  # type: ignore[no-any-return]


def _neighbours(lib: Any, data: Any, model: Model) -> Any:
    """For each task the nearest ones; with breaks in the model, the nearest stops and breaks."""
    n_stops = len(model.tasks) if model.main is None else model.main
    if n_stops == len(model.tasks):
        return lib.compute_neighbours(data, lib.NeighbourhoodParams(num_neighbours=NEIGHBOURS))
    every = lib.compute_neighbours(data, lib.NeighbourhoodParams(num_neighbours=len(model.tasks)))
    return {
        task: [n for n in near if n.idx < n_stops][:NEIGHBOURS]
        + [n for n in near if n.idx >= n_stops][:NEIGHBOURS]
        for task, near in every.items()
    }


def _route(lib: Any, data: Any, tour: Tour) -> Any:
    stops = [lib.Activity(lib.ActivityType.CLIENT, number) for number in tour.tasks]
    return lib.Route(data, stops, tour.vehicle)


def _tour(route: Any) -> Tour:
    return Tour(
        vehicle=route.vehicle_type(),
        tasks=tuple(activity.idx for activity in route if activity.is_client()),
    )
