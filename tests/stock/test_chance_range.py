"""The range of a chance against draws of its shares from their posteriors, and by limits."""

import numpy as np
import pytest
from scipy.stats import gamma

from servicedesk.stock.chance_range import Z, chance_range, gamma_quantile
from servicedesk.stock.needs import Need, groups_of

ONE = {part: ((part, 1),) for part in ("pump", "lamp", "stone")}


def usual(part, share, n):
    return [Need(f"{part} {k}", ((share, ONE[part]),), is_usual=True) for k in range(n)]


def covered(needs, stock):
    found = 1.0
    for group in groups_of(needs):
        found *= group.covered([stock.get(part, 0) for part in group.parts])
    return found


@pytest.mark.parametrize(("mean", "cv"), [(0.05, 0.3), (0.3, 0.7), (1.0, 0.1)])
@pytest.mark.parametrize("z", [-Z, 0.0, Z])
def test_quantiles_are_those_of_scipys_gamma(mean, cv, z):
    shape = 1 / cv**2
    level = {-Z: 0.025, 0.0: 0.5, Z: 0.975}[z]
    assert gamma_quantile(mean, (cv * mean) ** 2, z) == pytest.approx(
        gamma(shape, scale=mean / shape).ppf(level), rel=0.06, abs=0.004
    )


def test_the_range_holds_what_shares_drawn_from_their_posteriors_give():
    """Shares that all visits have, drawn 2,000 times by numpy from gamma posteriors."""
    seen = {"pump": 9.0, "lamp": 4.0, "stone": 30.0}
    shares = {"pump": 0.004, "lamp": 0.002, "stone": 0.01}
    stock = {"pump": 0, "lamp": 0, "stone": 1}
    needs = [need for part in shares for need in usual(part, shares[part], 40)]
    rng = np.random.default_rng(2)
    drawn = []
    for _ in range(2_000):
        chance = 1.0
        for part, share in shares.items():
            p = share * rng.gamma(seen[part], 1 / seen[part])
            none = (1 - p) ** 40
            chance *= none if stock[part] == 0 else none + 40 * p * (1 - p) ** 39
        drawn.append(chance)
    found = chance_range(needs, stock, seen)

    low, high = np.quantile(drawn, [0.025, 0.975])
    assert found.low == pytest.approx(low, abs=0.015)
    assert found.high == pytest.approx(high, abs=0.015)
    assert found.low < covered(needs, stock) < found.high


def test_what_is_sure_has_no_range():
    needs = [Need("owed", ((1.0, ONE["pump"]),))]
    assert (
        chance_range(needs, {"pump": 1}, {}).low == 1 == chance_range(needs, {"pump": 1}, {}).high
    )
    assert chance_range(needs, {}, {}).high < 1e-9


def test_more_cases_make_it_narrower():
    def of(cases):
        need = Need("call", ((0.7, ONE["pump"]), (0.3, ONE["lamp"])), cases=cases)
        found = chance_range([need], {"pump": 1}, {})
        assert found.low < 0.7 < found.high
        return found.high - found.low

    assert of(100) < of(10) / 2


def test_what_nobody_can_name_may_be_missing_or_not():
    need = Need("call", ((0.8, ONE["pump"]),), unknown=0.2, cases=50)
    found = chance_range([need], {"pump": 1}, {})

    assert found.low == pytest.approx(0.8)
    assert found.high == pytest.approx(1.0)


def test_a_share_moved_is_the_chance_computed_anew():
    needs = [*usual("pump", 0.1, 5), Need("call", ((0.5, ONE["pump"] + ONE["lamp"]),), cases=9)]
    anew = [*usual("pump", 0.12, 5), needs[-1]]
    (group,), (other,) = groups_of(needs), groups_of(anew)

    assert group.covered_if([1, 1], "pump", 1.2) == pytest.approx(other.covered([1, 1]))
    assert group.covered([1, 1]) > other.covered([1, 1])
