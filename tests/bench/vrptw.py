"""Solve a published instance with time windows through the product's own adapter.

    python -m tests.bench.vrptw FILE.vrp --seconds N [--seed S]

Reads VRPLIB text (node 1 is the depot). Distances are cut, not rounded, to one decimal, as the
collection of the files here does (tests/data/routing/SOURCES.md); costs are printed in the same
unit. With FILE.sol beside it the gap to the best known cost is printed too.
"""

import argparse
import math
import re
from dataclasses import dataclass
from pathlib import Path

from servicedesk.routes.solver import Budget, Found, Model, Task, Vehicle, search

TENTHS = 10


@dataclass(frozen=True)
class Instance:
    model: Model
    best_known: float | None


def read_instance(path: Path) -> Instance:
    """The model in tenths of the file's unit, and the best known cost if FILE.sol lies there."""
    headers, sections = read_vrplib(path.read_text())
    places = [(float(x), float(y)) for _, x, y in sections["NODE_COORD"]]
    demands = [int(row[1]) for row in sections["DEMAND"]]
    windows = [(int(row[1]) * TENTHS, int(row[2]) * TENTHS) for row in sections["TIME_WINDOW"]]
    service = [int(headers["SERVICE_TIME"]) * TENTHS] * len(places)
    service[0] = 0
    if "SERVICE_TIME" in sections:
        service = [int(row[1]) * TENTHS for row in sections["SERVICE_TIME"]]
    distances = [[math.floor(math.dist(a, b) * TENTHS) for b in places] for a in places]
    tasks = tuple(
        Task(
            place=n,
            service_min=service[n],
            from_min=windows[n][0],
            by_min=windows[n][1],
            prize=100_000,  # nobody is to be left out
            delivery=(demands[n],),
            pickup=(0,),
        )
        for n in range(1, len(places))
    )
    vehicle = Vehicle(
        start_place=0,
        end_place=0,
        from_min=windows[0][0],
        until_min=windows[0][1],
        capacity=(int(headers["CAPACITY"]),),
        count=int(headers["VEHICLES"]),
    )
    model = Model(tasks=tasks, vehicles=(vehicle,), cost=distances, minutes=distances)
    return Instance(model, best_known_beside(path))


def read_vrplib(text: str) -> tuple[dict[str, str], dict[str, list[list[str]]]]:
    """``KEY : value`` lines, and the rows of every ``NAME_SECTION``."""
    headers: dict[str, str] = {}
    sections: dict[str, list[list[str]]] = {}
    rows: list[list[str]] | None = None
    for line in text.splitlines():
        if line.strip().endswith("_SECTION"):
            rows = sections.setdefault(line.strip().removesuffix("_SECTION"), [])
        elif ":" in line:
            key, value = line.split(":", 1)
            headers[key.strip()] = value.strip()
            rows = None
        elif rows is not None and line.strip() and line.strip() != "EOF":
            rows.append(line.split())
    return headers, sections


def best_known_beside(path: Path) -> float | None:
    solution = path.with_suffix(".sol")
    if not solution.is_file():
        return None
    cost = re.search(r"Cost\s+([0-9.]+)", solution.read_text())
    return float(cost[1]) if cost else None


def checked_cost(instance: Instance, found: Found) -> float:
    """The cost worked out again from the routes, in the file's unit.

    Raises AssertionError if a customer is not served exactly once or any limit is broken.
    """
    model, total = instance.model, 0
    served = sorted(number for tour in found.tours for number in tour.tasks)
    assert served == list(range(len(model.tasks))), "not every customer exactly once"
    assert len(found.tours) <= model.vehicles[0].count, "too many vehicles"
    for tour in found.tours:
        tasks = [model.tasks[number] for number in tour.tasks]
        assert sum(t.delivery[0] for t in tasks) <= model.vehicles[0].capacity[0], "overloaded"
        here, now = 0, model.vehicles[0].from_min
        for task in tasks:
            total += model.cost[here][task.place]
            now = max(now + model.minutes[here][task.place], task.from_min)
            assert now <= task.by_min, "window missed"
            here, now = task.place, now + task.service_min
        total += model.cost[here][0]
        assert now + model.minutes[here][0] <= model.vehicles[0].until_min, "home too late"
    return total / TENTHS


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("file", type=Path)
    parser.add_argument("--seconds", type=float, default=5.0)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    instance = read_instance(asked.file)
    found = search(instance.model, Budget(seconds=asked.seconds), seed=asked.seed)
    cost = checked_cost(instance, found)
    print(f"cost {cost:.1f}, {len(found.tours)} routes, {found.iterations} rounds of search")
    for number, tour in enumerate(found.tours, start=1):
        print(f"route {number}:", *(task + 1 for task in tour.tasks))
    if instance.best_known is not None:
        gap = cost / instance.best_known - 1
        print(f"best known {instance.best_known:.1f}, gap {gap:.2%}")


if __name__ == "__main__":
    main()
