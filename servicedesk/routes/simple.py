"""The planner without the solver: cheapest insertion in order of urgency, then small moves.

It stands in where the solver library cannot be loaded, and fills what a search left open. Slower
to good rounds than the solver, but never unsound: every step is timed exactly.
"""

from collections.abc import Iterable, Mapping, Sequence

from servicedesk.routes.holds import gaps_for, keeps_held_order
from servicedesk.routes.insertion import (
    Insertion,
    clock_price,
    extra_road_min,
    insertions,
    road_of,
)
from servicedesk.routes.price import prizes_of
from servicedesk.routes.problem import Crew, DayProblem, Stop
from servicedesk.routes.timing import clock_of
from servicedesk.values.progress import Progress, quiet

Rounds = dict[str, list[Stop]]


def plan_simply(
    problem: DayProblem, stops: Sequence[Stop], *, progress: Progress = quiet
) -> dict[str, tuple[str, ...]]:
    """Stop ids in order, by crew id. Stops that find no sound place are simply not there."""
    rounds: Rounds = {crew.id: [] for crew in problem.crews}
    fill_in(problem, rounds, stops, progress=progress)
    improve(problem, rounds, progress=progress)
    missing = [s for s in stops if all(s not in order for order in rounds.values())]
    if missing:
        fill_in(problem, rounds, missing, progress=progress)
    return {crew_id: tuple(s.id for s in order) for crew_id, order in rounds.items()}


def fill_in(
    problem: DayProblem, rounds: Rounds, stops: Iterable[Stop], *, progress: Progress = quiet
) -> None:
    """Put each stop where it costs least, the most urgent first; changes `rounds`.

    A must goes in late rather than not at all; an optional stop only if nobody is late for it
    and it costs less than its prize.
    """
    waiting = sorted(stops, key=lambda stop: _urgency(problem, stop))
    for done, stop in enumerate(waiting):
        progress(done, len(waiting))
        best = best_insertion(problem, rounds, stop, lateness_allowed=stop.is_must)
        if best is not None and (stop.is_must or best.extra_price_min <= (stop.prize_min or 0)):
            rounds[best.crew_id].insert(best.position, stop)


def best_insertion(
    problem: DayProblem,
    rounds: Mapping[str, Sequence[Stop]],
    stop: Stop,
    *,
    lateness_allowed: bool,
) -> Insertion | None:
    """The cheapest sound place for one stop over all crews, or None."""
    found = [
        insertion
        for crew in problem.crews
        if crew.may_serve(stop)
        for insertion in insertions(stop, crew, rounds[crew.id], problem.travel)
        if insertion.is_clean or (lateness_allowed and insertion.is_sound)
    ]
    return min(found, key=lambda i: (i.extra_price_min, i.crew_id, i.position), default=None)


def improve(problem: DayProblem, rounds: Rounds, *, progress: Progress = quiet) -> None:
    """Move single stops and turn stretches round until nothing gets cheaper; changes `rounds`."""
    sweep = 0
    while _relocate(problem, rounds) | _turn_round(problem, rounds):
        sweep += 1
        progress(min(sweep, 99), 100)


def drop_to_sound(problem: DayProblem, rounds: Rounds) -> list[Stop]:
    """Take out the cheapest stops until every round is sound; changes `rounds`, gives the stops.

    Only needed where a plan made under slightly other rules (a hand move, a break on the way) is
    taken over.
    """
    taken: list[Stop] = []
    prizes = prizes_of(problem.stops)
    for crew in problem.crews:
        order = rounds[crew.id]
        while order and _badness(crew, order, problem) > 0:
            without = {
                s.id: _badness(crew, [other for other in order if other is not s], problem)
                for s in order
            }
            worst = min(order, key=lambda s: (without[s.id], prizes[s.id], s.id))
            order.remove(worst)
            taken.append(worst)
    return taken


def _urgency(problem: DayProblem, stop: Stop) -> tuple[float, int, int, str]:
    """Held, told, must, then by prize; within that the narrowest hours first."""
    room = stop.begin_until_min - stop.begin_from_min
    return (-prizes_of(problem.stops)[stop.id], room, stop.begin_until_min, stop.id)


def _badness(crew: Crew, order: Sequence[Stop], problem: DayProblem) -> int:
    """Minutes beyond hours and limits, and 1 if held stops stand the wrong way round."""
    clock = clock_of(crew, order, problem.travel)
    return clock.shut + clock.over_limit + (not keeps_held_order(order, crew.id))


def _cost(crew: Crew, order: Sequence[Stop], problem: DayProblem) -> float:
    """Price of one round; infinite if it is unsound or turns held stops round."""
    clock = clock_of(crew, order, problem.travel)
    if clock.shut or clock.over_limit or not keeps_held_order(order, crew.id):
        return float("inf")
    liking = sum(stop.liking_min(crew.id) for stop in order)
    return road_of(crew, order, problem.travel) + clock_price(clock) + liking


def _relocate(problem: DayProblem, rounds: Rounds) -> bool:
    """Each stop to its cheapest place; True if anything moved."""
    moved = False
    for stop in [stop for order in rounds.values() for stop in order]:
        from_crew = next(crew for crew in problem.crews if stop in rounds[crew.id])
        order = rounds[from_crew.id]
        at = order.index(stop)
        without = [*order[:at], *order[at + 1 :]]
        saved = _cost(from_crew, order, problem) - _cost(from_crew, without, problem)
        best: tuple[float, str, int] | None = None
        for crew in problem.crews:
            if crew.may_serve(stop):
                target = without if crew is from_crew else rounds[crew.id]
                found = _cheapest(problem, crew, target, stop, saved)
                best = min((place for place in (best, found) if place), default=None)
        if best is not None:
            order.pop(at)
            rounds[best[1]].insert(best[2], stop)
            moved = True
    return moved


def _cheapest(
    problem: DayProblem,
    crew: Crew,
    target: Sequence[Stop],
    stop: Stop,
    saved: float,
) -> tuple[float, str, int] | None:
    """Price, crew and gap of the cheapest place in one round that costs less than `saved`."""
    best: tuple[float, str, int] | None = None
    old = _cost(crew, target, problem)
    for position in gaps_for(stop, target):
        if extra_road_min(stop, crew, target, position, problem.travel) >= saved:
            continue  # road alone eats the gain
        new = _cost(crew, [*target[:position], stop, *target[position:]], problem) - old
        if new < saved and (best is None or (new, crew.id, position) < best):
            best = (new, crew.id, position)
    return best


def _turn_round(problem: DayProblem, rounds: Rounds) -> bool:
    """2-opt within each round; True if anything turned."""
    turned = False
    for crew in problem.crews:
        order = rounds[crew.id]
        cost = _cost(crew, order, problem)
        for i in range(len(order) - 1):
            for j in range(i + 2, len(order) + 1):
                other = order[:i] + order[i:j][::-1] + order[j:]
                new = _cost(crew, other, problem)
                if new < cost:
                    order[:], cost, turned = other, new, True
    return turned
