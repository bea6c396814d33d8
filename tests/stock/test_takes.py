"""Shares of places drawn to all: against scipy's beta-binomial, and by what must hold."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import betabinom, gamma

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
    """By hand: half a time in 0.5 / 0.1 = 5 visits at the mean share 0.1 beside 900 visits."""
    shares = {
        "never": share_of([(0, 9)] * 100),
        "some": Share(0.01, 50.0),
        "often": Share(0.29, 5),
    }
    found = drawn_to_group(shares, dict.fromkeys(shares, 900))

    assert found["never"].of_all == pytest.approx(0.5 / 905)
    assert found["some"] == Share(pytest.approx(9.5 / 905), 50.0)
    assert found["often"].of_all == pytest.approx(261.5 / 905)
    assert drawn_to_group({}, {}) == {}
    assert drawn_to_group({"never": shares["never"]}, {"never": 9})["never"].of_all == 0


def test_what_things_are_taken_together_is_neither_more_nor_less():
    """Gamma posterior by scipy: the mean with shape 1/2 about the mean of all; sums hold."""
    rng = np.random.default_rng(5)
    rates = rng.gamma(0.5, 0.02, size=400)
    taken = rng.poisson(rates * 900)
    shares = {str(k): Share(n / 900, 50.0) for k, n in enumerate(taken)}
    found = drawn_to_group(shares, dict.fromkeys(shares, 900))

    scale = 1 / (0.5 / (taken.sum() / 900 / 400) + 900)
    assert found["7"].of_all == pytest.approx(gamma(taken[7] + 0.5, scale=scale).mean())
    assert sum(one.of_all for one in found.values()) == pytest.approx(rates.sum(), rel=0.02)
