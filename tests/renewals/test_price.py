"""Prices against worked examples; sums of the steps against the price."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from servicedesk.renewals.price import (
    AFTER_VISIT,
    CALL_FIRST,
    NOT_RENEW,
    RAISE,
    RENEW,
    RENEWED,
    Policy,
    Standing,
    decision,
    index_share,
    next_price,
)


def policy(index="0", margin="0", cap=None, step=1):
    return Policy(Decimal(index), Decimal(margin), None if cap is None else Decimal(cap), step)


def test_index_as_in_the_worked_example_of_two_index_numbers():
    # cpi-percent: worked example of percent change between two index numbers,
    # finplan.com/finance/inflationhowto.asp: 136.0 over 129.9 is a rise of 4.7 percent
    assert float(index_share(Decimal("136.0"), Decimal("129.9"))) * 100 == pytest.approx(
        4.7, abs=0.05
    )


def test_a_fee_grows_by_the_ratio_itself_not_by_the_rounded_percent():
    # cpi-fee: 25000 x 136.0 / 129.9 = 26173.98; rounding to 4.7 percent first would give 26175
    exact = policy(index_share(Decimal("136.0"), Decimal("129.9")))

    assert next_price(25000, None, exact).next_minor == 26174
    assert next_price(25000, None, policy("0.047")).next_minor == 26175


def test_a_half_cent_rounds_away_from_zero():
    assert next_price(12500, None, policy("0.0282")).next_minor == 12853  # 12852.5


def test_cost_and_margin_lift_a_price_that_does_not_cover_them():
    # cost 463, margin 9 % = 41.67, together 504.67, rounded to 5: 505 (worked by hand)
    price = next_price(42000, 46300, policy("0.02", "0.09", step=500))

    assert (price.index_minor, price.cost_minor, price.cap_minor) == (840, 7627, 0)
    assert (price.rounding_minor, price.next_minor) == (33, 50500)
    assert [step.code for step in price.steps] == ["price_index", "price_cost", "price_rounding"]


def test_rounding_never_lifts_over_the_cap():
    # cap 9 % of 430 is 468.70; the nearest 5 is 470, above it
    price = next_price(43000, 60000, policy("0.02", "0.1", "0.09", step=500))

    assert price.next_minor == 46500


def test_a_price_set_by_hand_is_kept_and_shown_as_a_step():
    price = next_price(43000, 30000, policy("0.02", step=500), hand_minor=45000)

    assert (price.computed_minor, price.hand_minor, price.next_minor) == (44000, 1000, 45000)


def test_without_a_known_cost_only_the_index_speaks():
    price = next_price(43000, None, policy("0.02", "0.5"))

    assert (price.cost_minor, price.wanted_minor, price.next_minor) == (0, None, 43860)


@given(
    now=st.integers(1, 2_000_000),
    cost=st.none() | st.integers(0, 4_000_000),
    index=st.decimals("-0.2", "0.3", places=4),
    margin=st.decimals("0", "1", places=4),
    cap=st.none() | st.decimals("0", "0.5", places=4),
    step=st.sampled_from([1, 5, 100, 500]),
    hand=st.none() | st.integers(0, 1_000_000),
)
def test_steps_add_up_and_the_cap_holds(now, cost, index, margin, cap, step, hand):
    price = next_price(now, cost, Policy(index, margin, cap, step), hand_minor=hand)

    steps = price.index_minor + price.cost_minor + price.cap_minor + price.rounding_minor
    assert now + steps + price.hand_minor == price.next_minor
    assert now + sum(step["minor"] for step in price.steps) == price.next_minor
    assert price.computed_minor % step == 0
    if cap is not None:
        assert price.computed_minor <= now * (1 + cap) + Decimal("0.5")


@pytest.mark.parametrize("now", [0, -100])
def test_a_price_of_zero_is_refused(now):
    with pytest.raises(ValueError):
        next_price(now, 100, policy())


@pytest.mark.parametrize(
    ("now", "cost", "standing", "expected", "why"),
    [
        (40000, 30000, Standing(), RENEW, None),
        (40000, 30000, Standing(visits_owed=1), AFTER_VISIT, "renewal_visits_owed"),
        (40000, 39000, Standing(visits_owed=1), RAISE, "renewal_cost_grew"),
        (40000, 43000, Standing(), RAISE, "renewal_capped"),
        (40000, 60000, Standing(), CALL_FIRST, "renewal_below_cost"),
        (40000, 30000, Standing(open_calls=1), CALL_FIRST, "renewal_open_calls"),
        (40000, 60000, Standing(on_hold=True), CALL_FIRST, "renewal_on_hold"),
        (40000, 30000, Standing(is_ending=True, on_hold=True), NOT_RENEW, "renewal_ending"),
        (40000, 60000, Standing(is_renewed=True), RENEWED, "renewal_renewed"),
    ],
)
def test_decisions(now, cost, standing, expected, why):
    price = next_price(now, cost, policy("0.02", "0.1", "0.09", step=100))
    code, reason = decision(price, cost, standing)

    assert (code, reason and reason.code) == (expected, why)
