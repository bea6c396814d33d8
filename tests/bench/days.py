"""Twenty kept days of three technicians and thirty stops, against the best that is known.

    python -m tests.bench.days [--seconds 3] [--days 20]
    python -m tests.bench.days --find --seconds 20 --seeds 3 [--days 20]

The first prints for each day what plan_day reaches in the given time and the ratio to
tests/data/routing/days_best.json; the second looks for better values with several long runs and
writes them there, with how they were found. The days are invented: villages and scattered sites
in a country of 70 by 50 km, half of the stops with visiting hours of two to five hours, some with
a skill, each technician with a break of 30 minutes. Travel is straight lines with detour.
"""

import argparse
import json
import math
import random
import statistics
import time
from pathlib import Path

from servicedesk.routes.day import Crew, DayPlan, DayProblem, Stop, plan_day
from servicedesk.routes.price import day_price
from servicedesk.values.travel_times import TravelTimes

BEST = Path(__file__).parents[1] / "data" / "routing" / "days_best.json"
N_DAYS = 20
N_STOPS = 30
_MINUTES_PER_KM = 1.3 / 60 * 60  # detour 1.3 at 60 km/h


def kept_day(number: int, n_stops: int = N_STOPS, n_crews: int = 3) -> DayProblem:
    """Day 1, 2, ...: always the same for the same number."""
    chance = random.Random(f"kept day {number}")
    villages = [(chance.uniform(5, 65), chance.uniform(5, 45)) for _ in range(6)]
    homes = [_near(chance, chance.choice(villages), 4) for _ in range(n_crews)]
    sites = [_site(chance, villages) for _ in range(n_stops)]
    places = sites + homes
    minutes = [[math.ceil(math.dist(a, b) * _MINUTES_PER_KM) for b in places] for a in places]
    stops = tuple(_stop(chance, k) for k in range(n_stops))
    crews = tuple(_crew(chance, k, n_stops + k) for k in range(n_crews))
    return DayProblem(stops=stops, crews=crews, travel=TravelTimes.of(minutes))


def _near(chance: random.Random, middle: tuple[float, float], spread: float) -> tuple[float, float]:
    return chance.gauss(middle[0], spread), chance.gauss(middle[1], spread)


def _site(chance: random.Random, villages: list[tuple[float, float]]) -> tuple[float, float]:
    if chance.random() < 0.6:
        return _near(chance, chance.choice(villages), 3)
    return chance.uniform(0, 70), chance.uniform(0, 50)


def _stop(chance: random.Random, number: int) -> Stop:
    opens, closes = 0, 1440
    if chance.random() < 0.5:
        opens = chance.randrange(480, 840, 30)
        closes = opens + chance.choice((120, 180, 240, 300))
    return Stop(
        id=f"s{number:02}",
        place=number,
        service_min=chance.choice((15, 20, 25, 25, 30, 40)),
        open_from_min=opens,
        open_until_min=closes,
        needs=frozenset({"electric"}) if chance.random() < 0.15 else frozenset(),
        # Some must be made, the others can wait for another day.
        prize_min=None if chance.random() < 0.5 else chance.choice((60, 120, 300)),
    )


def _crew(chance: random.Random, number: int, home: int) -> Crew:
    return Crew(
        id=f"crew {number + 1}",
        start_place=home,
        end_place=home,
        shift_from_min=chance.choice((420, 450, 480)),
        shift_until_min=chance.choice((960, 990, 1020)),
        break_min=30,
        break_from_min=690,
        break_until_min=780,
        skills=frozenset({"electric"}) if number < 2 else frozenset(),
    )


def price_of(plan: DayPlan) -> int:
    return day_price(plan.problem, plan.days)


def compare(seconds: float, n_days: int) -> None:
    best = json.loads(BEST.read_text())["days"]
    ratios = []
    for number in range(1, n_days + 1):
        began = time.perf_counter()
        plan = plan_day(kept_day(number), seconds=seconds)
        took_s = time.perf_counter() - began
        price, known = price_of(plan), best.get(str(number), {}).get("price_min")
        ratios += [price / known] if known else []
        print(
            f"day {number:2}: {price} min (road {plan.road_min}, left out {len(plan.left_out)})"
            f" in {took_s:.1f} s, best known {known}"
            + (f", ratio {price / known:.4f}" if known else "")
        )
    if ratios:
        print(f"mean ratio {statistics.mean(ratios):.4f}, worst {max(ratios):.4f}")


def find(seconds: float, n_seeds: int, numbers: list[int]) -> None:
    """Best of several runs for each day; what is known already only gets better."""
    kept = json.loads(BEST.read_text()) if BEST.is_file() else {"days": {}}
    for number in numbers:
        plans = [plan_day(kept_day(number), seconds=seconds, seed=s) for s in range(1, n_seeds + 1)]
        best = min(plans, key=price_of)
        known = kept["days"].get(str(number))
        if known is None or price_of(best) < known["price_min"]:
            kept["days"][str(number)] = {
                "price_min": price_of(best),
                "road_min": best.road_min,
                "found_by": f"best of {n_seeds} runs of {seconds:g} s",
            }
        print(f"day {number}: {[price_of(plan) for plan in plans]}", flush=True)
        BEST.write_text(json.dumps(kept, indent=1) + "\n")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--seconds", type=float, default=3.0)
    parser.add_argument("--days", type=int, default=N_DAYS)
    parser.add_argument("--first", type=int, default=1, help="with --find: the first day")
    parser.add_argument("--find", action="store_true", help="look for better best values")
    parser.add_argument("--seeds", type=int, default=10)
    asked = parser.parse_args()
    if asked.find:
        find(asked.seconds, asked.seeds, list(range(asked.first, asked.days + 1)))
    else:
        compare(asked.seconds, asked.days)


if __name__ == "__main__":
    main()
