"""Published periodic instances through the product's own search, patterns of days chosen too.

    python -m tests.bench.periodic FILE.txt [--seconds 10] [--seed 1]

Customers with one visit are one task that any allowed day may have. Those with several are tied
to a pattern of days: patterns are chosen around the search (change some to what looks cheaper by
insertion, search on from there, keep what is better or hardly worse). Format and source:
tests/data/routing/SOURCES.md; distances are Euclidean and not rounded.
"""

import argparse
import math
import random
import time
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

from servicedesk.routes.solver import Budget, Model, Task, Tour, Vehicle, search

SCALE = 100  # whole numbers for the search; costs are worked out again unrounded
DAY = 10_000_000
PRIZE = 60_000
MISSING = 200.0  # length that a visit without a place counts for between steps
STEP = 400  # rounds of the search between two changes of patterns
WORSE = 1.01  # how much worse a step may be and still be gone on from

Routes = list[tuple[int, tuple[int, ...]]]  # day (0 first), customers in order


@dataclass(frozen=True)
class Customer:
    place: int
    demand: int
    patterns: tuple[tuple[int, ...], ...]


@dataclass(frozen=True)
class Periodic:
    n_vehicles: int
    n_days: int
    capacity: int
    points: tuple[tuple[float, float], ...]  # depot first
    customers: tuple[Customer, ...]

    def distance(self, a: int, b: int) -> float:
        return math.dist(self.points[a], self.points[b])


def read_periodic(path: Path) -> Periodic:
    rows = [line.split() for line in path.read_text().splitlines() if line.strip()]
    _, n_vehicles, n_customers, n_days = map(int, rows[0])
    loads = {int(row[1]) for row in rows[1 : 1 + n_days]}
    assert len(loads) == 1, "equal vehicles only"
    assert all(int(row[0]) == 0 for row in rows[1 : 1 + n_days]), "no longest duration only"
    places = rows[1 + n_days :]
    assert len(places) == n_customers + 1, "not every customer is there"
    customers = []
    for row in places[1:]:
        number, demand, frequency, n_allowed = (int(row[k]) for k in (0, 4, 5, 6))
        bits = [int(one) for one in row[7 : 7 + n_allowed]]
        patterns = tuple(tuple(d for d in range(n_days) if one >> d & 1) for one in bits)
        assert all(len(one) == frequency for one in patterns), "a pattern of another length"
        customers.append(Customer(number, demand, patterns))
    points = tuple((float(row[1]), float(row[2])) for row in places)
    return Periodic(n_vehicles, n_days, loads.pop(), points, tuple(customers))


def published_routes(path: Path) -> Routes:
    lines = [line.split() for line in path.read_text().splitlines()[1:] if line.strip()]
    return [(int(row[0]) - 1, tuple(int(one) for one in row[4:] if one != "0")) for row in lines]


def checked_cost(instance: Periodic, routes: Routes) -> float:
    """The unrounded length. AssertionError where a load, a fleet or a pattern is not kept."""
    days: dict[int, set[int]] = {}
    by_number = {one.place: one for one in instance.customers}
    total = 0.0
    for day, stops in routes:
        assert sum(by_number[s].demand for s in stops) <= instance.capacity, "overloaded"
        total += sum(instance.distance(a, b) for a, b in pairwise((0, *stops, 0)))
        for stop in stops:
            assert day not in days.setdefault(stop, set()), "twice on a day"
            days[stop].add(day)
    per_day = Counter(day for day, stops in routes if stops)
    assert max(per_day.values()) <= instance.n_vehicles, "too many vehicles"
    for one in instance.customers:
        # the bits of the files give the same sets read from either end
        assert tuple(sorted(days.get(one.place, ()))) in one.patterns, f"customer {one.place}"
    return total


def plan_periodic(
    instance: Periodic,
    *,
    seconds: float | None = None,
    iterations: int | None = None,
    seed: int = 1,
) -> Routes:
    """The best routes found within the seconds or the rounds of the search."""
    return _Search(instance, seed).run(seconds, iterations)


class _Search:
    def __init__(self, instance: Periodic, seed: int) -> None:
        self._instance = instance
        self._chance = random.Random(seed)
        self._seed = seed
        n = len(instance.points)
        self._table = [[round(instance.distance(a, b) * SCALE) for b in range(n)] for a in range(n)]
        self._linked = [
            c for c in instance.customers if len(c.patterns) > 1 and len(c.patterns[0]) > 1
        ]

    def run(self, seconds: float | None, iterations: int | None) -> Routes:
        ends_at = None if seconds is None else time.perf_counter() + seconds
        patterns = self._balanced()
        # without linked visits the search does it all
        first = 10**9 if not self._linked else 4 * STEP
        best, cost = self._searched(patterns, None, first, ends_at, iterations)
        done = first
        best_patterns = patterns
        here, here_cost, here_patterns = best, cost, patterns
        while self._linked and (
            time.perf_counter() < ends_at if ends_at is not None else done < (iterations or 0)
        ):
            tried = self._changed(here_patterns, here)
            start = self._moved(here, here_patterns, tried)
            routes, new = self._searched(tried, start, STEP, ends_at, iterations)
            done += STEP
            if new < here_cost * WORSE:
                here, here_cost, here_patterns = routes, new, tried
            if new < cost:
                best, cost, best_patterns = routes, new, tried
            if here_cost > cost * 1.05:  # lost: back to the best
                here, here_cost, here_patterns = best, cost, best_patterns
        return best

    def _balanced(self) -> dict[int, tuple[int, ...]]:
        """Patterns to begin with: the largest demands first, days as equal in load as can be."""
        loads = [0.0] * self._instance.n_days
        found = {}
        for one in sorted(self._instance.customers, key=lambda c: (-len(c.patterns[0]), -c.demand)):
            if len(one.patterns[0]) == 1:
                found[one.place] = one.patterns[0]
                continue
            found[one.place] = min(
                one.patterns,
                key=lambda p, c=one: (sum(loads[d] for d in p), self._chance.random()),
            )
            for day in found[one.place]:
                loads[day] += one.demand
        return found

    def _changed(self, patterns, routes: Routes) -> dict[int, tuple[int, ...]]:
        """A few customers on the pattern that looks cheapest now (or any, now and then)."""
        found = dict(patterns)
        for one in self._chance.sample(
            self._linked, min(len(self._linked), self._chance.choice((1, 1, 2, 3)))
        ):
            others = [p for p in one.patterns if p != patterns[one.place]]
            if self._chance.random() < 0.3:
                found[one.place] = self._chance.choice(others)
            else:
                found[one.place] = min(
                    others,
                    key=lambda p, c=one: self._extra(c, p, routes) * self._chance.uniform(0.7, 1.3),
                )
        return found

    def _extra(self, customer: Customer, pattern: Sequence[int], routes: Routes) -> int:
        """Length that the visits of a pattern would add, each at its cheapest gap of the day."""
        total = 0
        for day in pattern:
            gaps = [
                self._table[a][customer.place] + self._table[customer.place][b] - self._table[a][b]
                for on, stops in routes
                if on == day
                for a, b in pairwise((0, *(s for s in stops if s != customer.place), 0))
            ]
            total += min(gaps, default=2 * self._table[0][customer.place])
        return total

    def _moved(self, routes: Routes, old, new) -> Routes:
        """The routes without visits on days that the new patterns do not have."""
        return [
            (day, tuple(s for s in stops if len(new[s]) == 1 or day in new[s]))
            for day, stops in routes
        ]

    def _searched(self, patterns, start, rounds: int, ends_at, iterations) -> tuple[Routes, float]:
        instance = self._instance
        tasks: list[Task] = []
        meaning: list[tuple[int, int | None]] = []
        groups = 0
        for one in instance.customers:
            single = len(one.patterns[0]) == 1
            days = sorted(d for p in one.patterns for d in p) if single else patterns[one.place]
            whole = single and days == list(range(days[0], days[-1] + 1))
            spans = [(days[0], days[-1])] if whole else [(d, d) for d in days]
            group = None
            if single and len(spans) > 1:
                group, groups = groups, groups + 1
            for first, last in spans:
                tasks.append(
                    Task(
                        place=one.place,
                        service_min=0,
                        from_min=first * DAY,
                        by_min=last * DAY + DAY - 1,
                        prize=PRIZE,
                        delivery=(one.demand,),
                        pickup=(0,),
                        group=group,
                    )
                )
                meaning.append((one.place, None if first != last else first))
        vehicles = tuple(
            Vehicle(
                start_place=0,
                end_place=0,
                from_min=day * DAY,
                until_min=day * DAY + DAY - 1,
                capacity=(instance.capacity,),
                count=instance.n_vehicles,
            )
            for day in range(instance.n_days)
        )
        model = Model(
            tasks=tuple(tasks),
            vehicles=vehicles,
            cost=self._table,
            minutes=self._table,
            n_groups=groups,
        )
        left = None if ends_at is None else max(0.01, ends_at - time.perf_counter())
        budget = Budget(seconds=left, iterations=min(rounds, iterations or rounds))
        tours = None
        if start is not None:
            number = {m: k for k, m in enumerate(meaning)}
            tours = [
                Tour(
                    day,
                    tuple(
                        k
                        for s in stops
                        if (k := number.get((s, day), number.get((s, None)))) is not None
                    ),
                )
                for day, stops in start
            ]
        self._seed += 1
        found = search(model, budget, seed=self._seed, start=tours)
        routes = [(t.vehicle, tuple(meaning[k][0] for k in t.tasks)) for t in found.tours]
        made = sum(len(stops) for _, stops in routes)
        wanted = sum(len(one.patterns[0]) for one in instance.customers)
        length = sum(
            instance.distance(a, b) for _, stops in routes for a, b in pairwise((0, *stops, 0))
        )
        if found.cost is None:
            return routes, float("inf")
        # a visit without a place is gone on from: the next change of patterns may give it one
        return routes, length + MISSING * (wanted - made)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("file", type=Path)
    parser.add_argument("--seconds", type=float, default=10.0)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    instance = read_periodic(asked.file)
    cost = checked_cost(instance, plan_periodic(instance, seconds=asked.seconds, seed=asked.seed))
    print(f"{asked.file.stem}: {cost:.2f} after {asked.seconds:g} s")
    best = asked.file.with_suffix(".res")
    if best.is_file():
        known = float(best.read_text().split()[0])
        print(f"best known in the file {known:.2f}, ratio {cost / known:.4f}")


if __name__ == "__main__":
    main()
