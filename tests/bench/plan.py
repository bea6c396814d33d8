"""Plan weeks given as a file, and print the plan and what it costs.

    python -m tests.bench.plan FILE.json [--seconds N] [--seed S] [--iterations N]

The format is that of tests/data/routing/plan_example.json (its "format" tells it). The cost is
worked out again from the file alone: travel + minutes beyond 360 a technician-day + 3000 for each
visit skipped though its window closes inside + 60 for each other one skipped.
"""

import argparse
import json
import resource
import time
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from servicedesk.routes.period import Tried, plan_weeks
from servicedesk.routes.period_problem import Chance, PeriodProblem, PeriodStop, Shift
from servicedesk.routes.problem import Crew
from servicedesk.values.travel_times import TravelTimes

OPENS, CLOSES, TARGET = 480, 915, 360
INSIDE, LATER = 3000, 60


def weeks_of(given: Mapping[str, Any]) -> PeriodProblem:
    """The file's weeks; stops "0", "1", ..., shifts "technician,day"."""
    techs, days = given["techs"], given["days"]
    stops = tuple(
        PeriodStop(
            id=str(n),
            place=techs + n,
            service_min=service,
            chances=(Chance(first_day=first, last_day=last),),
            prize_min=INSIDE if inside else LATER,
            closes_on_day=last if inside else days,
        )
        for n, (service, first, last, inside) in enumerate(
            zip(
                given["service_min"],
                given["first_day"],
                given["last_day"],
                given["closes_inside"],
                strict=True,
            )
        )
    )
    shifts = tuple(
        Shift(
            id=f"{tech},{day}",
            day=day,
            crew=Crew(
                id=str(tech),
                start_place=tech,
                end_place=tech,
                shift_from_min=OPENS,
                shift_until_min=CLOSES,
            ),
            target_min=TARGET,
        )
        for day in range(days)
        for tech in range(techs)
    )
    return PeriodProblem(stops=stops, shifts=shifts, travel=TravelTimes.of(given["travel_min"]))


def checked_cost(given: Mapping[str, Any], orders: Mapping[str, Sequence[str]]) -> dict[str, int]:
    """The parts of the cost from the file alone. AssertionError where a rule of it is broken."""
    travel, techs = given["travel_min"], given["techs"]
    seen: list[int] = []
    road = over = 0
    for shift_id, order in orders.items():
        tech, day = map(int, shift_id.split(","))
        visits = [int(one) for one in order]
        if not visits:
            continue
        now, here = OPENS, tech
        for visit in visits:
            assert given["first_day"][visit] <= day <= given["last_day"][visit], "wrong day"
            road += travel[here][techs + visit]
            now += travel[here][techs + visit] + given["service_min"][visit]
            here = techs + visit
        road += travel[here][tech]
        now += travel[here][tech]
        assert now <= CLOSES, "home too late"
        over += max(0, now - OPENS - TARGET)
        seen += visits
    assert len(seen) == len(set(seen)), "a visit twice"
    skipped = set(range(given["visits"])) - set(seen)
    inside = sum(given["closes_inside"][one] for one in skipped)
    later = len(skipped) - inside
    total = road + over + INSIDE * inside + LATER * later
    return {"cost": total, "travel": road, "over": over, "inside": inside, "later": later}


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("file", type=Path)
    parser.add_argument("--seconds", type=float, default=5.0)
    parser.add_argument("--iterations", type=int)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--orders", action="store_true", help="print every round as JSON")
    asked = parser.parse_args()
    given = json.loads(asked.file.read_text())
    seconds = None if asked.iterations else asked.seconds
    began = time.perf_counter()
    plan = plan_weeks(
        weeks_of(given), Tried(seconds=seconds, iterations=asked.iterations, seed=asked.seed)
    )
    took_s = time.perf_counter() - began
    parts = checked_cost(given, plan.orders)
    assert parts["cost"] == plan.cost.total, "our own figure differs"
    print(", ".join(f"{name} {value}" for name, value in parts.items()), f"({took_s:.1f} s)")
    if "best_cost" in given:
        print(
            f"{parts['cost'] / given['best_cost']:.4f} of the best known,"
            f" {parts['cost'] / given['insertion_cost']:.4f} of cheapest insertion"
        )
    print(f"memory {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024} MB at most")
    if asked.orders:
        print(json.dumps(plan.orders))


if __name__ == "__main__":
    main()
