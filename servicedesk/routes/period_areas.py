"""Weeks with very many stops: planned area by area, then across the borders of areas.

A search over thousands of stops at once holds too few rounds in a minute. So the stops are parted
by place into as many areas as there are groups of crews, equal in work; every group plans its
area with all its days; then groups of neighboring areas exchange at their border, by planning two
halves of them anew together, each time from what stands. Two searches run at once.
"""

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import count

from servicedesk.routes.period_model import model_of
from servicedesk.routes.period_plan import Orders, cost_of
from servicedesk.routes.period_problem import PeriodProblem, PeriodStop, Shift
from servicedesk.routes.side_by_side import side_by_side
from servicedesk.routes.solver import Budget, search
from servicedesk.values.progress import Progress
from servicedesk.values.trouble import Stopped

MOST_AT_ONCE = 1_500  # stops searched at once; more are parted
_AREA_STOPS = 700
_AREA_SHARE = 0.5  # of the time, for the areas themselves
_SWEEPS = 3  # at the borders, where rounds of the search are counted instead of time


@dataclass(frozen=True, slots=True)
class _Area:
    stops: tuple[PeriodStop, ...]
    shifts: tuple[Shift, ...]


def planned_by_area(
    problem: PeriodProblem,
    able: Sequence[PeriodStop],
    budget: Budget,
    *,
    seed: int,
    start: Orders | None,
    progress: Progress,
    keep_best: bool,
) -> tuple[Orders, bool]:
    """Orders by shift id, and whether somebody stopped it. With one crew there is one area."""
    began = time.perf_counter()
    areas = _areas(problem, able, start)
    rounds = -(-len(areas) // 2)  # two at once
    first = _part(budget, _AREA_SHARE / rounds, len(areas))
    told = _from_to(progress, 0, 50)
    parts, was_stopped = _all(problem, areas, first, seed, start, told, keep_best)
    orders = {shift_id: order for part in parts for shift_id, order in part.items()}
    for sweep in count():
        left = None if budget.seconds is None else budget.seconds - (time.perf_counter() - began)
        over = sweep >= _SWEEPS if left is None else left < 1
        if over or was_stopped or len(areas) < 2:
            break
        mixed = _across(problem, able, orders, sweep)
        n_waves = -(-len(mixed) // 2)
        seconds = None if left is None else max(1.0, left / (2 if sweep == 0 else 1) / n_waves)
        each = replace(_part(budget, 0.2, len(mixed)), seconds=seconds)
        told = _from_to(progress, min(95, 50 + 15 * sweep), min(99, 65 + 15 * sweep))
        parts, was_stopped = _all(problem, mixed, each, seed + sweep + 1, orders, told, keep_best)
        for part in parts:
            orders |= part
    return orders, was_stopped


def _part(budget: Budget, share: float, n_areas: int) -> Budget:
    return Budget(
        seconds=None if budget.seconds is None else budget.seconds * share,
        iterations=None if budget.iterations is None else max(1, budget.iterations // n_areas),
    )


def _areas(problem: PeriodProblem, able: Sequence[PeriodStop], start: Orders | None) -> list[_Area]:
    """Crews in groups, and for each group the stops it has now or that lie in its part."""
    crews = sorted({shift.crew.id for shift in problem.shifts})
    n = max(1, min(len(crews), round(len(able) / _AREA_STOPS)))
    groups = _crew_groups(problem, crews, n)
    parted = _parted(problem, able, groups, start)
    return [
        _Area(tuple(stops), tuple(s for s in problem.shifts if s.crew.id in group))
        for group, stops in zip(groups, parted, strict=True)
    ]


def _crew_groups(problem: PeriodProblem, crews: Sequence[str], n: int) -> list[set[str]]:
    """Crews whose days begin near one another together, as even in number as can be."""
    start_of = {shift.crew.id: shift.crew.start_place for shift in problem.shifts}
    minutes = problem.travel.minutes
    far = max(crews, key=lambda c: (sum(minutes[start_of[c]][start_of[d]] for d in crews), c))
    row = sorted(crews, key=lambda c: (minutes[start_of[far]][start_of[c]], c))
    return [set(row[k * len(row) // n : (k + 1) * len(row) // n]) for k in range(n)]


def _parted(
    problem: PeriodProblem,
    able: Sequence[PeriodStop],
    groups: Sequence[set[str]],
    start: Orders | None,
) -> list[list[PeriodStop]]:
    """Stops for each group: where they stand or are bound, else near its middle, evenly."""
    home = {stop_id: shift_id for shift_id, order in (start or {}).items() for stop_id in order}
    room = [
        sum(s.plan_until_min - s.crew.shift_from_min for s in problem.shifts if s.crew.id in g)
        for g in groups
    ]
    share = sum(stop.service_min for stop in able) / max(1, sum(room))
    left = [share * one for one in room]
    found: list[list[PeriodStop]] = [[] for _ in groups]
    middles = _middles(problem, able, groups)
    waiting = []
    for stop in able:
        at = home.get(stop.id)
        crew = problem.shift_of[at].crew.id if at else stop.held_crew or stop.only_crew
        fixed = [k for k, group in enumerate(groups) if crew in group]
        if fixed:
            found[fixed[0]].append(stop)
            left[fixed[0]] -= stop.service_min
        else:
            waiting.append(stop)
    minutes = problem.travel.minutes

    def choices(stop: PeriodStop) -> list[tuple[int, int]]:
        able_groups = [
            k for k, g in enumerate(groups)
            if any(s.crew.id in g and s.may_serve(stop) for s in problem.shifts)
        ]  # fmt: skip
        return sorted((minutes[middles[k]][stop.place], k) for k in able_groups)

    ranked = [(choices(stop), stop) for stop in waiting]
    # Who would lose most by the second choice chooses first.
    ranked.sort(key=lambda p: (-(p[0][1][0] - p[0][0][0]) if len(p[0]) > 1 else -(10**6), p[1].id))
    for choice, stop in ranked:
        k = next((k for _, k in choice if left[k] > 0), choice[0][1])
        found[k].append(stop)
        left[k] -= stop.service_min
    return found


def _middles(
    problem: PeriodProblem, able: Sequence[PeriodStop], groups: Sequence[set[str]]
) -> list[int]:
    """A place for each group: where its crews start if these differ, else spread over stops."""
    starts = []
    for group in groups:
        places = [s.crew.start_place for s in problem.shifts if s.crew.id in group]
        starts.append(max(set(places), key=lambda p: (places.count(p), -p)))
    if len(set(starts)) == len(starts):
        return starts
    return _spread([stop.place for stop in able], len(groups), problem.travel.minutes)


def _spread(places: Sequence[int], n: int, minutes: Sequence[Sequence[int]]) -> list[int]:
    """Middles far from one another, then moved to the middle of what is nearest (k medoids)."""
    sample = sorted(set(places))[:: max(1, len(set(places)) // 300)]
    middles = [min(sample, key=lambda a: sum(minutes[a][b] for b in sample))]
    while len(middles) < n:
        middles.append(max(sample, key=lambda p: (min(minutes[m][p] for m in middles), p)))
    for _ in range(8):
        near: list[list[int]] = [[] for _ in middles]
        for place in sample:
            near[min(range(n), key=lambda k: (minutes[middles[k]][place], k))].append(place)
        moved = [
            min(own, key=lambda a: (sum(minutes[a][b] for b in own), a)) if own else middle
            for own, middle in zip(near, middles, strict=True)
        ]
        if moved == middles:
            break
        middles = moved
    return middles


def _across(
    problem: PeriodProblem, able: Sequence[PeriodStop], orders: Orders, sweep: int
) -> list[_Area]:
    """Other groups: shifts in the order of the day or of the crew, cut elsewhere every time.

    Days in the first, third ... sweep: stops go to other crews of the same weeks. Stops without a
    day go with the part where they have most days.
    """
    n = max(2, round(len(able) / _AREA_STOPS))
    by_day = sweep % 2 == 0
    shifts = sorted(
        problem.shifts, key=lambda s: (s.day, s.crew.id) if by_day else (s.crew.id, s.day)
    )
    offset = (sweep // 2) * len(shifts) // (2 * n)
    turned = shifts[offset:] + shifts[:offset]
    cuts = [turned[k * len(turned) // n : (k + 1) * len(turned) // n] for k in range(n)]
    made = {stop_id for order in orders.values() for stop_id in order}
    stops = [
        [problem.stop_of[i] for shift in cut for i in orders.get(shift.id, ())] for cut in cuts
    ]
    for stop in able:
        if stop.id not in made:
            most = [sum(shift.may_serve(stop) for shift in cut) for cut in cuts]
            stops[most.index(max(most))].append(stop)
    return [_Area(tuple(s), tuple(c)) for s, c in zip(stops, cuts, strict=True)]


def _all(
    problem: PeriodProblem,
    areas: Sequence[_Area],
    budget: Budget,
    seed: int,
    start: Orders | None,
    progress: Progress,
    keep_best: bool,  # noqa: FBT001
) -> tuple[list[Orders], bool]:
    def one(area: _Area) -> Callable[[Progress], Orders]:
        return lambda told: _planned(problem, area, budget, seed, start, told)

    return side_by_side([one(area) for area in areas], progress, keep_best=keep_best)


def _planned(
    problem: PeriodProblem,
    area: _Area,
    budget: Budget,
    seed: int,
    start: Orders | None,
    told: Progress,
) -> Orders:
    """One area; what stands there already stays if nothing cheaper was found."""
    stands = {s.id: tuple((start or {}).get(s.id, ())) for s in area.shifts}
    if not area.stops:
        return stands
    model = model_of(problem, area.stops, area.shifts)
    try:
        found = search(
            model.model, budget, seed=seed,
            start=None if start is None else model.tours(stands),
            progress=told, keep_best=True,
        )  # fmt: skip
    except Stopped:  # before the search began
        return stands
    orders = model.orders(found.tours)
    if start is None:
        return orders
    part = replace(problem, stops=area.stops, shifts=area.shifts)
    return min((stands, orders), key=lambda o: cost_of(part, o).total)


def _from_to(progress: Progress, first: int, last: int) -> Progress:
    def tell(done: int, total: int, note: str = "") -> None:
        progress(first + (last - first) * done // max(total, 1), 100, note)

    return tell
