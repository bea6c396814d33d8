"""Weeks against a file with its best known plan, and published periodic instances.

Where the data are from: tests/data/routing/SOURCES.md.
"""

import json
from pathlib import Path

import pytest

from servicedesk.routes.period import Tried, plan_weeks, weeks_as_ordered
from servicedesk.routes.period_feasible import faults_in
from tests.bench.periodic import checked_cost as periodic_cost
from tests.bench.periodic import plan_periodic, published_routes, read_periodic
from tests.bench.plan import checked_cost, weeks_of

DATA = Path(__file__).parents[1] / "data" / "routing"
GIVEN = json.loads((DATA / "plan_example.json").read_text())


def best_orders():
    return {
        f"{route['tech']},{route['day']}": [str(visit) for visit in route["visits"]]
        for route in GIVEN["best_routes"]
    }


def test_the_best_plan_of_the_file_costs_what_it_says_when_read_by_us():
    plan = weeks_as_ordered(weeks_of(GIVEN), best_orders(), planner="hand")

    assert not faults_in(plan)
    assert plan.cost.total == GIVEN["best_cost"] == checked_cost(GIVEN, best_orders())["cost"]
    assert plan.cost.road == GIVEN["best_parts"]["travel"]
    assert plan.cost.balance == GIVEN["best_parts"]["overtime_min"]


def test_weeks_come_within_five_per_cent_of_the_best_known_and_half_of_cheapest_insertion():
    # Targets of the README of the data, there for 5 s; rounds, not seconds: the same everywhere.
    plan = plan_weeks(weeks_of(GIVEN), Tried(seconds=None, iterations=1500))

    parts = checked_cost(GIVEN, plan.orders)
    assert parts["inside"] == 0
    assert parts["cost"] == plan.cost.total
    assert parts["cost"] <= 1.05 * GIVEN["best_cost"]
    assert parts["cost"] <= 0.50 * GIVEN["insertion_cost"]


def test_equal_seed_and_rounds_give_the_equal_plan():
    few = Tried(seconds=None, iterations=120, seed=5)

    assert plan_weeks(weeks_of(GIVEN), few).orders == plan_weeks(weeks_of(GIVEN), few).orders


@pytest.mark.parametrize(("name", "cost"), [("p02", 1322.87), ("p06", 836.37)])
def test_the_published_periodic_routes_cost_what_they_say_when_read_by_us(name, cost):
    instance = read_periodic(DATA / f"pvrp_{name}.txt")

    routes = published_routes(DATA / f"pvrp_{name}.res")

    assert periodic_cost(instance, routes) == pytest.approx(cost, abs=0.01)


def test_p06_comes_near_the_best_known_in_few_rounds():
    # README of the data: within 1.005 after 10 s; the bench measures that, rounds stand here.
    instance = read_periodic(DATA / "pvrp_p06.txt")

    routes = plan_periodic(instance, iterations=1000)

    assert periodic_cost(instance, routes) <= 1.005 * 836.37


def test_p02_with_patterns_of_days_chosen_too_is_sound_and_not_far_off():
    instance = read_periodic(DATA / "pvrp_p02.txt")

    routes = plan_periodic(instance, iterations=6000)

    assert periodic_cost(instance, routes) <= 1.15 * 1322.87
