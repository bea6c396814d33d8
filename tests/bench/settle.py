"""How much moves, and how long it takes, when the rounds around a moved stop are mended.

    python -m tests.bench.settle [--days 4] [--drags 6] [--price 15]

Kept days of three crews and thirty stops (tests.bench.days), planned, then one stop after another
put on another round at its cheapest place. Targets: at most one other stop changes its round on
average, under a second each.
"""

import argparse
import random
import statistics
import time

from servicedesk.routes.day import plan_day
from servicedesk.routes.keep import moved, taken_out
from servicedesk.routes.settle import CHANGE_MIN, settled
from servicedesk.routes.squeeze import places_for
from tests.bench.days import kept_day


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--days", type=int, default=4)
    parser.add_argument("--drags", type=int, default=6)
    parser.add_argument("--price", type=int, default=CHANGE_MIN)
    asked = parser.parse_args()
    n_moved, took = [], []
    chance = random.Random("bench drags")
    for number in range(asked.days):
        problem = kept_day(number)
        plan = plan_day(problem)
        for stop_id in chance.sample(sorted(plan.crew_id_of), asked.drags):
            was = plan.crew_id_of[stop_id]
            found = places_for(problem.stop_of[stop_id], taken_out(plan, stop_id), sound_only=False)
            place = next((p for p in found if p.crew_id != was), None)
            if place is None:
                continue
            dragged = moved(plan, stop_id, to_crew=place.crew_id, position=place.position)
            began = time.process_time()
            after = settled(dragged, stop_id, from_crew=was, change_min=asked.price)
            took.append(time.process_time() - began)
            now = after.crew_id_of
            n_moved.append(
                sum(now.get(i) != c for i, c in dragged.crew_id_of.items() if i != stop_id)
            )
        print(f"day {number}: moved {n_moved[-asked.drags :]}", flush=True)
    print(
        f"{len(n_moved)} drags: {statistics.mean(n_moved):.2f} others moved on average, most"
        f" {max(n_moved)}; median {statistics.median(took):.2f} s, worst {max(took):.2f} s"
    )


if __name__ == "__main__":
    main()
