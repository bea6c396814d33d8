"""Limits of rules against values with qualifiers.

The figures are those of Figure 30 TAC 285.91(4), Table IV: total chlorine residual 0.1 mg/L or
more in the pump tank, or fecal coliform 200 or less per 100 mL; BOD5 and TSS grab samples 65 mg/L
or less for places other than single-family homes.
"""

from datetime import date

import pytest

from servicedesk.trade.rule_limits import keeps, limit_for, or_else_item
from servicedesk.trade.service_rules import rule_for, shipped_rules

RULE = rule_for(shipped_rules(), "us-tx-surface", on=date(2026, 11, 25))


def limit(item, *, single_family=False):
    return limit_for(RULE, item, single_family=single_family)


@pytest.mark.parametrize(
    ("value", "qualifier", "kept"),
    [
        ("0.1", "=", True),
        ("0.10", "=", True),
        ("0.09", "=", False),
        ("0.1", "<", False),  # below 0.1 is not 0.1 or more
        ("0.5", "<", None),  # may be 0.3 or 0.05
        ("0.1", ">", True),
        ("", "over range", True),
        ("none", "=", None),
    ],
)
def test_chlorine_is_0_1_or_more(value, qualifier, kept):
    assert keeps(limit("total-chlorine"), value, qualifier) is kept


@pytest.mark.parametrize(
    ("value", "qualifier", "kept"),
    [
        ("200", "=", True),
        ("201", "=", False),
        ("200", ">", False),
        ("20", ">", None),
        ("2", "<", True),
        ("", "too many to count", False),
    ],
)
def test_coliform_is_200_or_less(value, qualifier, kept):
    assert keeps(limit("fecal-coliform"), value, qualifier) is kept


def test_bod_and_solids_are_asked_of_other_places_than_homes_only():
    assert limit("bod5", single_family=True) is None
    assert keeps(limit("bod5"), "66", "=") is False
    assert keeps(limit("tss"), "65", "=") is True


def test_coliform_may_take_the_place_of_chlorine():
    assert or_else_item(limit("total-chlorine")) == "fecal-coliform"
    assert or_else_item(limit("fecal-coliform")) is None


def test_where_a_rule_prints_no_limit_there_is_none():
    assert limit("free-chlorine") is None
    va = rule_for(shipped_rules(), "us-va-small", on=date(2026, 11, 25))
    assert limit_for(va, "bod5", single_family=False) is None
