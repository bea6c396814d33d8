"""A stop's share of the road against the Shapley value by its definition: all orders tried.

Definition: L. S. Shapley, "A value for n-person games", 1953 (from memory): the mean over all
orders of joining of what a player adds.
"""

import random
from itertools import pairwise, permutations

import pytest

from servicedesk.renewals.share import shares, shares_of


def driven(legs, group):
    """From the start past the group in the order driven, and home."""
    path = [0, *sorted(group), 0]
    return sum(legs[a][b] for a, b in pairwise(path)) if group else 0.0


def by_definition(legs):
    n = len(legs) - 1
    found, orders = [0.0] * n, list(permutations(range(1, n + 1)))
    for order in orders:
        group = set()
        for stop in order:
            found[stop - 1] += driven(legs, group | {stop}) - driven(legs, group)
            group.add(stop)
    return [value / len(orders) for value in found]


def legs_by_chance(n, seed, *, symmetric):
    chance = random.Random(seed)
    places = [(chance.uniform(0, 30), chance.uniform(0, 30)) for _ in range(n + 1)]
    legs = [[((a - c) ** 2 + (b - d) ** 2) ** 0.5 for c, d in places] for a, b in places]
    if not symmetric:
        legs = [[leg * chance.uniform(1, 1.4) for leg in row] for row in legs]
    return legs


@pytest.mark.parametrize("n", [1, 2, 3, 4, 5, 6, 7])
@pytest.mark.parametrize("symmetric", [True, False])
def test_shares_are_the_shapley_value(n, symmetric):
    legs = legs_by_chance(n, seed=n, symmetric=symmetric)

    assert shares(legs) == pytest.approx(by_definition(legs), abs=1e-9)


@pytest.mark.parametrize("n", [1, 2, 5, 12, 25])
def test_shares_add_up_to_the_round_and_none_is_paid_for_being_there(n):
    legs = legs_by_chance(n, seed=n, symmetric=True)
    found = shares(legs)

    assert sum(found) == pytest.approx(driven(legs, range(1, n + 1)))
    assert min(found) >= -1e-9


def test_two_neighbors_share_a_long_way_evenly():
    # 10 out, 2 across, 10 back: the same for both by symmetry
    assert shares([[0, 10, 10], [10, 0, 2], [10, 2, 0]]) == pytest.approx((11, 11))


def test_a_stop_at_the_gate_pays_nothing():
    assert shares([[0, 0, 7], [0, 0, 7], [7, 7, 0]]) == pytest.approx((0, 14))


def test_a_total_is_divided_as_the_weights_say():
    assert shares_of(30, (1, 2)) == pytest.approx((10, 20))
    assert shares_of(30, (0, 0, 0)) == (10, 10, 10)
    assert shares_of(30, ()) == ()


def test_ragged_legs_are_refused():
    with pytest.raises(ValueError):
        shares([[0, 1], [1]])
