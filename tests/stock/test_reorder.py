"""Order points and quantities: rules of statistics, worked by hand where no table has them."""

import pytest
from scipy import stats

from servicedesk.stock.intermittent import Use
from servicedesk.stock.reorder import YEAR_DAYS, Terms, days_left, is_dead, order_rule, to_buy

OFTEN = Use(used=24, years=2, group_a_year=12, counts=[1] * 24)
TERMS = Terms(lead_days=14, review_days=30, service=0.95)


def test_point_and_level_cover_the_lead_and_the_time_to_the_next_order():
    rule = order_rule(OFTEN, TERMS)

    # by scipy: negative binomial of size 12 + 24 over 3 years watched
    def level(days: float) -> int:
        return int(stats.nbinom.ppf(0.95, 36, 3 / (3 + days / YEAR_DAYS)))

    assert (rule.point, rule.up_to) == (level(14), level(44))
    assert rule.a_year == pytest.approx(12)
    assert rule.why.code == "order_of_use"


def test_bursts_ask_for_more():
    bursts = Use(used=24, years=2, group_a_year=12, counts=[0] * 20 + [6, 6, 6, 6])

    assert order_rule(bursts, TERMS).up_to > order_rule(OFTEN, TERMS).up_to
    assert order_rule(bursts, TERMS).why.code == "order_of_bursts"


@pytest.mark.parametrize(("stops", "kept", "bought"), [(False, 0, 0), (True, 1, 1)])
def test_a_part_never_used_is_kept_only_where_it_stops_a_system(stops, kept, bought):
    rule = order_rule(Use(used=0, years=3, group_a_year=4), TERMS, stops_a_system=stops)

    assert rule.up_to == kept
    assert to_buy(rule, TERMS, at_hand=0) == bought
    assert rule.why["keep"] == kept


def test_what_a_person_set_stays():
    rule = order_rule(OFTEN, TERMS, fixed_point=9)

    assert rule.point == 9
    assert rule.up_to == 10
    assert rule.why.code == "order_by_hand"


def test_orders_come_in_whole_packs_and_count_what_is_on_its_way():
    terms = Terms(lead_days=14, review_days=30, pack=6)
    rule = order_rule(OFTEN, terms)

    assert to_buy(rule, terms, at_hand=rule.point + 1) == 0
    assert to_buy(rule, terms, at_hand=rule.point) % 6 == 0
    assert to_buy(rule, terms, at_hand=rule.point) >= rule.up_to - rule.point
    assert to_buy(rule, terms, at_hand=rule.point, on_order=6) == 0
    # below zero by the book: what is missing is bought too
    assert to_buy(rule, terms, at_hand=-6) == to_buy(rule, terms, at_hand=0) + 6


def test_how_long_it_lasts_and_what_lies_dead():
    rule = order_rule(OFTEN, TERMS)

    assert days_left(rule, 6) == pytest.approx(YEAR_DAYS / 2)
    assert days_left(rule, 0) == 0
    assert days_left(order_rule(Use(0, 3, 4), TERMS), 2) is None
    assert is_dead(at_hand=1, years_since_use=None, years_kept=2.5)
    assert not is_dead(at_hand=1, years_since_use=None, years_kept=1)
    assert not is_dead(at_hand=1, years_since_use=0.2, years_kept=9)
    assert not is_dead(at_hand=0, years_since_use=None, years_kept=9)


def test_terms_and_demand_that_cannot_be_are_refused():
    with pytest.raises(ValueError, match="no terms"):
        order_rule(OFTEN, Terms(lead_days=-1, review_days=0))
    with pytest.raises(ValueError, match="no terms"):
        order_rule(OFTEN, Terms(lead_days=1, review_days=0, pack=0))
