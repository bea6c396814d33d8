"""Weeks of an invented country: many visits, and the same on too few days.

    python -m tests.bench.weeks [--visits 1000] [--seconds 5 60] [--seed 1] [--overfull]
    python -m tests.bench.weeks --visits 3000 --crews 16 --days 23 --seconds 60 --undecomposed

Prints for every budget: the cost, road and road a visit made, closing visits left out, others left
out, spread of the day loads, memory; beside plain rules (append by due date; cheapest insertion by
due date) in the same run. With --overfull three crews have twenty days for all of it, and it is
told how what is left out closes and matters. The country: 140 by 95 km, towns and scattered sites,
25 to 50 minutes of work, windows 8 to 20 working days wide. Seeded: equal every time.
"""

import argparse
import math
import random
import resource
import statistics
import time
from itertools import pairwise

from servicedesk.routes import period
from servicedesk.routes.period import Tried, plan_weeks
from servicedesk.routes.period_mend import fill
from servicedesk.routes.period_plan import PeriodPlan, cost_of, load_min
from servicedesk.routes.period_problem import Chance, PeriodProblem, PeriodStop, Shift
from servicedesk.routes.period_room import fits
from servicedesk.routes.problem import Crew
from servicedesk.values.travel_times import TravelTimes

INSIDE, LATER = 3000, 60


def country(n_visits: int, n_crews: int, n_days: int, *, seed: int = 1) -> PeriodProblem:
    """Places 0.. are the crews' homes, then the visits; the same for the same figures."""
    chance = random.Random(f"weeks {n_visits} {seed}")
    towns = [(chance.uniform(10, 130), chance.uniform(10, 85)) for _ in range(9)]
    # homes first and always as many: the same country whoever drives
    homes = [_near(chance, towns[k % 9], 4) for k in range(20)]
    sites = [
        _near(chance, chance.choice(towns), 5)
        if chance.random() < 0.6
        else (chance.uniform(0, 140), chance.uniform(0, 95))
        for _ in range(n_visits)
    ]
    stops = tuple(_stop(chance, k, n_crews, n_days) for k in range(n_visits))
    places = [*homes[:n_crews], *sites]
    minutes = [[math.ceil(math.dist(a, b) * 1.3) for b in places] for a in places]
    shifts = tuple(_shift(crew, day) for day in range(n_days) for crew in range(n_crews))
    return PeriodProblem(stops=stops, shifts=shifts, travel=TravelTimes.of(minutes))


def _near(chance: random.Random, middle: tuple[float, float], spread: float) -> tuple[float, float]:
    return chance.gauss(middle[0], spread), chance.gauss(middle[1], spread)


def _stop(chance: random.Random, number: int, n_crews: int, n_days: int) -> PeriodStop:
    width = chance.randint(8, 20)
    opens = chance.randint(-width + 1, n_days - 1)
    closes = opens + width - 1
    inside = closes < n_days
    first, last = max(0, opens), min(closes, n_days - 1)
    prize = LATER + 60 // (1 + (closes - n_days) // 5) if not inside else 0
    if inside:  # as the desk prices them: the sooner the more
        prize = INSIDE + INSIDE * (n_days - 1 - closes) // (n_days - 1)
    return PeriodStop(
        id=f"v{number:04}",
        place=n_crews + number,
        service_min=chance.choice((25, 30, 30, 35, 35, 40, 50)),
        chances=(Chance(first_day=first, last_day=last),),
        prize_min=prize,
        closes_on_day=closes,
    )


def _shift(crew: int, day: int) -> Shift:
    return Shift(
        id=f"{crew:02},{day:02}",
        day=day,
        crew=Crew(
            id=f"{crew:02}", start_place=crew, end_place=crew, shift_from_min=480,
            shift_until_min=960, break_min=0,
        ),
        kept_min=45,
        target_min=360,
    )  # fmt: skip


def appended(problem: PeriodProblem) -> dict[str, list[str]]:
    """By due date, each at the end of the first day that still holds it."""
    lists: dict[str, list[PeriodStop]] = {shift.id: [] for shift in problem.shifts}
    for stop in by_due(problem):
        for shift in problem.shifts:
            if shift.may_serve(stop) and fits(problem, shift, [*lists[shift.id], stop]):
                lists[shift.id].append(stop)
                break
    return {i: [s.id for s in order] for i, order in lists.items()}


def inserted(problem: PeriodProblem) -> dict[str, list[str]]:
    """By due date, each at its cheapest place over all days of its window."""
    lists: dict[str, list[PeriodStop]] = {shift.id: [] for shift in problem.shifts}
    fill(problem, lists)  # the simple planner: prizes grow with the due date
    return {i: [s.id for s in order] for i, order in lists.items()}


def by_due(problem: PeriodProblem) -> list[PeriodStop]:
    return sorted(problem.stops, key=lambda s: (s.closes_on_day or 0, s.chances[0].first_day, s.id))


def told(name: str, problem: PeriodProblem, orders) -> str:
    cost = cost_of(problem, orders)
    made = {stop_id for order in orders.values() for stop_id in order}
    last = max(shift.day for shift in problem.shifts)
    out = [s for s in problem.stops if s.id not in made]
    inside = sum((s.closes_on_day or 0) <= last for s in out)
    loads = [
        load_min(problem.shift_of[i], [problem.stop_of[k] for k in order], problem.travel)
        for i, order in orders.items()
    ]
    return (
        f"{name}: cost {cost.total}, road {cost.road} ({cost.road / max(1, len(made)):.1f} a visit),"
        f" left out {inside} closing and {len(out) - inside} later,"
        f" spread of loads {statistics.pstdev(loads):.0f}"
    )


def tell_left_out(plan: PeriodPlan) -> None:
    """Does what is left out close last and matter least?"""
    made = set(plan.shift_id_of)
    stops = plan.problem.stops
    closes_in = [s.closes_on_day or 0 for s in stops if s.id in made]
    closes_out = [s.closes_on_day or 0 for s in stops if s.id not in made]
    prize_in = [s.prize_min for s in stops if s.id in made]
    prize_out = [s.prize_min for s in stops if s.id not in made]
    if not closes_out:
        print("nothing is left out")
        return
    print(
        f"made {len(closes_in)}: closes on day {statistics.mean(closes_in):.1f} on average,"
        f" prize {statistics.mean(prize_in):.0f}; left out {len(closes_out)}: closes on day"
        f" {statistics.mean(closes_out):.1f}, prize {statistics.mean(prize_out):.0f}"
    )
    wrong = sum(a.prize_min > b.prize_min for a, b in _pairs(plan, made))
    n = sum(1 for _ in _pairs(plan, made))
    print(f"of {n} pairs (left out, made on a day the former could have had) {wrong / n:.1%} are")
    print("  such that the one left out matters more")
    with_reason = sum(bool(one.reasons) for one in plan.left_out)
    with_way = sum(bool(one.frees) for one in plan.left_out)
    print(f"  {with_reason} of {len(plan.left_out)} with a reason, {with_way} with what would free")


def _pairs(plan: PeriodPlan, made: set[str]):
    problem = plan.problem
    for left in plan.left_out:
        stop = problem.stop_of[left.stop_id]
        for i, order in plan.orders.items():
            if problem.shift_of[i].may_serve(stop):
                for other in order:
                    yield stop, problem.stop_of[other]


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--visits", type=int, default=1000)
    parser.add_argument("--crews", type=int, default=6)
    parser.add_argument("--days", type=int, default=22)
    parser.add_argument("--seconds", type=float, nargs="+", default=[5.0])
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--overfull", action="store_true", help="three crews, twenty days")
    parser.add_argument("--undecomposed", action="store_true", help="beside it all at once")
    parser.add_argument("--no-rules", action="store_true", help="leave the plain rules away")
    asked = parser.parse_args()
    problem = country(asked.visits, asked.crews, asked.days, seed=asked.seed)
    if asked.overfull:
        kept = [s for s in problem.shifts if int(s.crew.id) < 3 and s.day < 20]
        problem = PeriodProblem(stops=problem.stops, shifts=tuple(kept), travel=problem.travel)
    print(f"{len(problem.stops)} visits on {len(problem.shifts)} technician-days", flush=True)
    if not asked.no_rules:
        print(told("append by due date", problem, appended(problem)), flush=True)
        print(told("cheapest insertion", problem, inserted(problem)), flush=True)
    for seconds in asked.seconds:
        _run(problem, seconds, asked.overfull, "planned")
        if asked.undecomposed:
            period.MOST_AT_ONCE = 10**9
            _run(problem, seconds, asked.overfull, "planned all at once")
    assert all(a <= b for a, b in pairwise(asked.seconds)), "budgets ascending"


def _run(problem: PeriodProblem, seconds: float, overfull: bool, name: str) -> None:
    began = time.perf_counter()
    plan = plan_weeks(problem, Tried(seconds=seconds))
    took = time.perf_counter() - began
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024
    print(told(f"{name}, {seconds:g} s (took {took:.1f})", problem, plan.orders), flush=True)
    print(f"  memory {memory} MB at most")
    if overfull:
        tell_left_out(plan)


if __name__ == "__main__":
    main()
