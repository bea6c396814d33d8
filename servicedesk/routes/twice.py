"""Two searches at once on one day: the better one counts."""

from collections.abc import Callable, Sequence
from dataclasses import replace

from servicedesk.routes.side_by_side import n_at_once, side_by_side
from servicedesk.routes.solver import ONE_DAY, Budget, Found, Model, Tour, Tuning, search
from servicedesk.values.progress import Progress, quiet

_OTHER_SEED = 7_919  # far from the seeds people count through


def search_twice(
    model: Model,
    budget: Budget,
    *,
    seed: int = 1,
    tuning: Tuning = ONE_DAY,
    start: Sequence[Tour] | None = None,
    progress: Progress = quiet,
    keep_best: bool = False,
    better: Callable[[tuple[Tour, ...]], None] | None = None,
) -> Found:
    """The better of two searches begun differently, side by side; else as `search`.

    Each has half the rounds, and all of the seconds where the machine carries both at once. Below
    some hundred stops two short searches are surer than a long one: single runs spread.
    """
    each = budget.half()
    if n_at_once() > 1:
        each = replace(each, seconds=budget.seconds)

    def one(part: int) -> Callable[[Progress], Found]:
        return lambda told: search(
            model,
            each,
            seed=seed + part * _OTHER_SEED,
            tuning=tuning,
            start=start,
            progress=told,
            keep_best=keep_best,
            better=better,
        )

    both, was_stopped = side_by_side([one(0), one(1)], progress, keep_best=keep_best)
    return replace(min(both, key=_cost_of), was_stopped=was_stopped)


def _cost_of(found: Found) -> float:
    return float("inf") if found.cost is None else found.cost
