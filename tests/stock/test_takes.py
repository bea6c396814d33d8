"""Shares of places drawn to all: against scipy's beta-binomial, and by what must hold."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import betabinom

from servicedesk.stock.takes import MOST_WORTH, Share, drawn_to_group, share_of

SEEN = st.lists(
    st.integers(1, 12).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n))), max_size=20
)


@pytest.mark.parametrize(("a", "b"), [(1.0, 4.0), (2.0, 18.0), (0.3, 0.9)])
def test_the_scatter_of_beta_binomial_places_is_found_again(a, b):
    """Drawn by scipy.stats.betabinom with 9 visits a place: a / (a + b) of all, worth a + b."""
    taken = betabinom(9, a, b).rvs(size=4_000, random_state=np.random.default_rng(7))
    found = share_of([(int(n), 9) for n in taken])

    assert found.of_all == pytest.approx(a / (a + b), rel=0.06)
    assert found.worth == pytest.approx(a + b, rel=0.15)


def test_the_share_at_a_place_is_the_mean_of_its_beta():
    """Posterior of beta-binomial: (a + taken) / (a + b + visits)."""
    taken = betabinom(9, 1.0, 4.0).rvs(size=4_000, random_state=np.random.default_rng(7))
    found = share_of([(int(n), 9) for n in taken])

    assert found.at(3, 9) == pytest.approx((1 + 3) / (5 + 9), rel=0.05)


def test_places_that_differ_by_chance_alone_have_the_share_of_all():
    taken = np.random.default_rng(3).binomial(9, 0.02, size=3_000)
    found = share_of([(int(n), 9) for n in taken])

    assert found.worth > 80
    assert found.at(1, 9) < 3 * found.of_all


def test_places_with_and_without_a_thing_soon_speak_for_themselves():
    found = share_of([(0, 9)] * 100 + [(5, 9)] * 100)

    assert found.at(0, 9) < 0.06
    assert found.at(5, 9) == pytest.approx(5 / 9, abs=0.06)


@given(seen=SEEN)
def test_shares_are_shares_and_the_order_does_not_matter(seen):
    found = share_of(seen)

    assert found == share_of(seen[::-1]) or found.worth == pytest.approx(share_of(seen[::-1]).worth)
    assert 0 <= found.of_all <= 1
    assert 0 < found.worth <= MOST_WORTH
    for taken, visits in seen:
        assert 0 <= found.at(taken, visits) <= 1


def test_nothing_seen_says_nothing_and_nonsense_is_refused():
    assert share_of([]).at(0, 0) == 0
    with pytest.raises(ValueError, match="once or not at all"):
        share_of([(3, 2)])


def test_a_thing_never_taken_may_be_taken_yet_and_one_often_taken_hardly_moves():
    """By hand: a year of 300 visits at the median share 0.02 beside three years of 900."""
    shares = {
        "never": share_of([(0, 9)] * 100),
        "some": Share(0.01, 50.0),
        "more": Share(0.02, 9.0),
        "often": Share(0.4, 5),
    }
    found = drawn_to_group(shares, dict.fromkeys(shares, 900), years=3.0)

    assert found["never"].of_all == pytest.approx(300 * 0.02 / 1200)
    assert found["some"] == Share(pytest.approx((900 * 0.01 + 300 * 0.02) / 1200), 50.0)
    assert found["often"].of_all == pytest.approx((900 * 0.4 + 300 * 0.02) / 1200)
    assert drawn_to_group({}, {}, years=3.0) == {}
