"""Stock levels and uneven demand against tests/data/statistics/stock.json.

Each row there names its source and how its value was confirmed. scipy.stats, which the program
itself does not use here, is the second opinion.
"""

import json
import math
from pathlib import Path

import pytest
from scipy import stats

from servicedesk.stock.base_stock import base_stock, shortage
from servicedesk.stock.demand import Demand, negative_binomial, poisson, unevenness
from servicedesk.stock.intermittent import Use, demand_over
from servicedesk.stock.newsvendor import (
    best_of_normal,
    best_of_uniform,
    best_whole,
    critical_ratio,
    expected_cost,
)

DATA = Path(__file__).parents[1] / "data" / "statistics" / "stock.json"
CHECKS = {row["id"]: (row["inputs"], row["expected"]) for row in json.loads(DATA.read_text())}


def test_poisson_levels_and_what_they_achieve():
    given, wanted = CHECKS["stock-01"]
    for mean in given["mean_demand"]:
        demand = poisson(mean)
        levels = [base_stock(demand, service) for service in given["service"]]
        achieved = [shortage(demand, level).no_shortage for level in levels]
        assert levels == wanted["levels"][str(mean)]
        assert achieved == pytest.approx(wanted["achieved"][str(mean)], abs=1e-6)


def test_poisson_shortage_at_a_level():
    given, wanted = CHECKS["stock-02"]
    found = shortage(poisson(given["mean_demand"]), given["level"])

    assert found.no_shortage == pytest.approx(wanted["prob_no_shortage"], abs=1e-6)
    assert found.expected_short == pytest.approx(wanted["expected_short"], abs=1e-6)
    assert found.fill_share == pytest.approx(wanted["fill_share"], abs=1e-6)


def test_normal_newsvendor():
    given, wanted = CHECKS["stock-03"]
    short, over = given["price"] - given["cost"], given["cost"]

    assert critical_ratio(short, over) == pytest.approx(wanted["critical_ratio"], abs=1e-6)
    found = best_of_normal(given["mean"], given["sd"], short, over)
    assert found == pytest.approx(wanted["quantity"], abs=1e-3)


def test_uniform_newsvendor():
    given, wanted = CHECKS["stock-04"]
    short, over = given["price"] - given["cost"], given["cost"]
    found = best_of_uniform(given["low"], given["high"], short, over)

    assert found == pytest.approx(wanted["quantity"], abs=1e-4)


def test_whole_number_newsvendor_is_the_cheapest_of_its_neighbors():
    given, wanted = CHECKS["stock-05"]
    demand, short, over = poisson(given["mean"]), given["cost_short"], given["cost_over"]
    found = best_whole(demand, short, over)

    assert critical_ratio(short, over) == pytest.approx(wanted["critical_ratio"])
    assert found == wanted["quantity"]
    cost = expected_cost(demand, found, short, over)
    assert cost == pytest.approx(wanted["expected_cost"], abs=1e-6)
    for level, beside in wanted["neighbours"].items():
        other = expected_cost(demand, int(level), short, over)
        assert other == pytest.approx(beside, abs=1e-6)
        assert other > cost


def test_levels_where_demand_is_more_uneven_than_chance():
    given, wanted = CHECKS["stock-06"]
    uneven, even = Demand(given["mean"], given["variance"]), poisson(given["mean"])

    assert [base_stock(uneven, s) for s in given["service"]] == wanted["levels"]
    assert [base_stock(even, s) for s in given["service"]] == wanted["poisson_levels"]


def each(counts: dict[str, int]) -> list[int]:
    return [int(n) for n, times in counts.items() for _ in range(times)]


def test_horse_kicks_are_as_even_as_chance():
    given, wanted = CHECKS["uneven-01"]
    counts = each(given["counts"])
    use = Use(used=sum(counts), years=len(counts), group_a_year=0.61, counts=counts)

    assert sum(counts) / len(counts) == pytest.approx(wanted["mean"])
    assert unevenness(counts) == pytest.approx(1.0, abs=0.05)
    assert not use.is_uneven
    expected = [len(counts) * poisson(wanted["mean"]).chance(n) for n in range(5)]
    assert expected == pytest.approx(wanted["poisson"], abs=0.05)
    # after 200 years of history the predictive and the Poisson agree
    after = [len(counts) * demand_over(use, 1.0).chance(n) for n in range(5)]
    assert after == pytest.approx(wanted["poisson"], abs=0.5)


def test_accidents_of_greenwood_and_yule_follow_the_gamma_poisson():
    given, wanted = CHECKS["uneven-02"]
    counts = each(given["counts"])
    mean = sum(counts) / len(counts)
    variance = unevenness(counts) * mean

    assert len(counts) == wanted["n"]
    assert mean == pytest.approx(wanted["mean"], abs=1e-4)
    assert variance == pytest.approx(wanted["variance"], abs=1e-3)
    assert len(counts) * poisson(mean).chance(0) == pytest.approx(wanted["poisson_none"], abs=1)
    mixed = Demand(mean, variance)
    assert [len(counts) * mixed.chance(n) for n in range(6)] == pytest.approx(
        wanted["mixed"], abs=2
    )


@pytest.mark.parametrize(("size", "share"), [(2.0, 0.5), (0.4, 0.2), (31.5, 0.93)])
def test_negative_binomial_as_scipy_has_it(size, share):
    demand = negative_binomial(size, share)

    assert demand.mean == pytest.approx(stats.nbinom.mean(size, share))
    for n in range(12):
        assert demand.chance(n) == pytest.approx(stats.nbinom.pmf(n, size, share), rel=1e-9)


@pytest.mark.parametrize(("used", "years", "group", "cover"), [(0, 2, 1.5, 0.25), (7, 3, 0.8, 0.1)])
def test_the_predictive_is_the_mixture_of_poissons_over_the_gamma(used, years, group, cover):
    """By numerical integration, with the prior worth one year at the group's mean."""
    alpha, beta = group + used, 1 + years
    rates = stats.gamma(alpha, scale=1 / beta)
    found = demand_over(Use(used=used, years=years, group_a_year=group), cover)

    for n in range(5):
        mixed = rates.expect(lambda rate, n=n: stats.poisson.pmf(n, rate * cover))
        assert found.chance(n) == pytest.approx(mixed, abs=1e-6)
    size, share = alpha, beta / (beta + cover)
    assert math.isclose(found.chance(0), stats.nbinom.pmf(0, size, share), rel_tol=1e-9)
