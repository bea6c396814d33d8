"""How long it takes to rank all places for one more stop on full rounds.

    python -m tests.bench.squeeze [--crews 8] [--stops 14] [--days 5] [--times 20]

Prints the median and the worst, in time of this process (others may load the machine), for the first day alone and for all days, options that leave one
stop out included. The rounds are those of the invented country of tests.bench.days, planned by
the simple planner with breaks. Targets: 50 ms for the first day, 150 ms for 8 crews on 5 days.
"""

import argparse
import random
import statistics
import time

from servicedesk.routes.day import plan_day
from servicedesk.routes.plan import stops_in
from servicedesk.routes.problem import Stop
from servicedesk.routes.squeeze_days import OpenRound, squeeze_options
from tests.bench.days import kept_day


def open_rounds(seed: int, n_crews: int, n_stops: int, n_days: int) -> list[OpenRound]:
    chance = random.Random(f"squeeze {seed}")
    rounds: list[OpenRound] = []
    ids = [f"{day}/{k}" for day in range(n_days) for k in range(n_crews)]
    for day in range(n_days):
        problem = kept_day(seed * 100 + day, n_stops=n_crews * n_stops, n_crews=n_crews)
        plan = plan_day(problem, use_solver=False)
        place = chance.randrange(n_crews * n_stops)
        call = Stop(id="call", place=place, service_min=45)
        for k, crew_day in enumerate(plan.days):
            order = stops_in(problem, crew_day)
            i = f"{day}/{k}"
            waits = {s.id: frozenset(ids) - {i} for s in order if chance.random() < 0.6}
            rounds.append(
                OpenRound(
                    id=i, day=day, crew=problem.crew_of[crew_day.crew_id], order=order, stop=call,
                    travel=problem.travel, may_wait=waits,
                )
            )  # fmt: skip
    return rounds


def timed_ms(rounds: list[OpenRound]) -> float:
    began = time.process_time()
    squeeze_options(rounds)
    return (time.process_time() - began) * 1000


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--crews", type=int, default=8)
    parser.add_argument("--stops", type=int, default=14)
    parser.add_argument("--days", type=int, default=5)
    parser.add_argument("--times", type=int, default=5, help="invented companies, 4 runs each")
    asked = parser.parse_args()
    first, every = [], []
    for seed in range(asked.times):
        rounds = open_rounds(seed, asked.crews, asked.stops, asked.days)
        today = [one for one in rounds if one.day == 0]
        n = sum(len(one.order) for one in rounds)
        for _ in range(4):
            first.append(timed_ms(today))
            every.append(timed_ms(rounds))
        print(f"company {seed}: {n} stops on {len(rounds)} rounds", flush=True)
    for name, times in (("first day", first), (f"{asked.days} days", every)):
        print(f"{name}: median {statistics.median(times):.0f} ms, worst {max(times):.0f} ms")


if __name__ == "__main__":
    main()
