"""A stated chance against 200 weeks that happen: draws by Python's random, no code of the load.

The week is such that the usual shortcuts are off by far: parts taken as if each were asked for by
itself, and visits taken as if each had the truck to itself.
"""

import math
from random import Random

import pytest

from servicedesk.stock.load import Stock, best_load
from servicedesk.stock.needs import Need
from tests.bench.load_week import enough, exact_interval

PUMP_OUT = tuple((part, 1) for part in ("box", "pump", "rope", "splice"))
CALLS = [Need(f"call {n}", ((0.5, PUMP_OUT), (0.4, (("float", 1),)))) for n in range(2)]
INSPECTIONS = [Need(f"inspection {n}", ((0.3, (("tablets", 1),)),)) for n in range(6)]
OFTEN = [Need(f"call {n}", ((0.5, (("tablets", 1),)), (0.5, (("relay", 1),)))) for n in (3, 4)]
WEEK = [*CALLS, *INSPECTIONS, *OFTEN]
STOCK = {"box": 1, "pump": 1, "rope": 1, "splice": 1, "float": 1, "tablets": 4, "relay": 2}
RUNS = 200


@pytest.fixture(scope="module")
def happened():
    """How many of the weeks lacked nothing, with the interval that holds in 999 of 1,000."""
    drawn = [
        tuple((p, tuple(k for k, n in b for _ in range(n))) for p, b in need.ways) for need in WEEK
    ]
    rng = Random(11)
    return exact_interval(sum(enough(drawn, STOCK, rng) for _ in range(RUNS)), RUNS, 0.999)


def test_the_stated_chance_is_the_share_of_weeks_that_lack_nothing(happened):
    load = best_load(WEEK, Stock(on_truck=STOCK, to_be_had={}, cost={}))

    assert load.is_exact
    assert happened[0] <= load.before <= happened[1]


def test_this_week_would_show_parts_taken_one_by_one(happened):
    """As if nothing hung together: the product of each part's own chance."""

    def alone(part):
        chances = [1.0]
        for need in WEEK:
            p = sum(chance for chance, bundle in need.ways if part in dict(bundle))
            chances = [
                (1 - p) * (chances[n] if n < len(chances) else 0) + (p * chances[n - 1] if n else 0)
                for n in range(len(chances) + 1)
            ]
        return sum(chances[: STOCK[part] + 1])

    assert not happened[0] <= math.prod(alone(part) for part in STOCK) <= happened[1]


def test_this_week_would_show_visits_that_each_have_the_truck_to_themselves(happened):
    by_visit = math.prod(
        sum(p for p, b in need.all_ways if all(STOCK[k] >= n for k, n in b)) for need in WEEK
    )
    assert not happened[0] <= by_visit <= happened[1]
