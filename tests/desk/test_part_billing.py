"""Who bears a part, and whether somebody has to be asked: the rule by itself."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from servicedesk.desk.part_billing import (
    BILLINGS,
    Charge,
    OverLimit,
    PartFacts,
    billing_of,
    over_limits,
)
from servicedesk.words.formats import Formats
from servicedesk.words.part_reasons import PART_TELLERS

DAY = date(2026, 10, 14)
NEXT = date(2026, 10, 15)


@pytest.mark.parametrize(
    ("facts", "billing", "code"),
    [
        # common practice, no source: the maker's warranty goes before the contract
        ({"warranty_until": NEXT, "contract": 7}, "warranty", "part_under_warranty"),
        ({"warranty_until": NEXT}, "warranty", "part_under_warranty"),
        # the last day is the one before `warranty_until`
        ({"warranty_until": DAY, "contract": 7}, "contract", "part_under_contract"),
        ({"contract": 7}, "contract", "part_under_contract"),
        ({}, "billable", "part_without_contract"),
        ({"contract": 7, "job_kind": "callback"}, "contract", "part_under_contract"),
        ({"contract": 7, "job_kind": "repair"}, "billable", "part_job_not_covered"),
        ({"contract": 7, "job_kind": "sale"}, "billable", "part_job_not_covered"),
        ({"contract": 7, "job_billing": "billable"}, "billable", "part_as_the_job"),
        ({"job_billing": "contract"}, "contract", "part_as_the_job"),
        (
            {"contract": 7, "limit_minor": 15000, "value_minor": 15000},
            "contract",
            "part_under_contract",
        ),
        ({"contract": 7, "limit_minor": 15000, "value_minor": 15001}, "billable", "part_over_limit"),
        ({"contract": 7, "limit_minor": None, "value_minor": 9**9}, "contract",
         "part_under_contract"),
        ({"contract": 7, "limit_minor": 0, "value_minor": None}, "contract",
         "part_under_contract"),
    ],
)  # fmt: skip
def test_who_bears_a_part(facts, billing, code):
    found = billing_of(PartFacts(**{"day": DAY, "job_kind": "inspection", **facts}))
    assert (found.billing, found.why.code) == (billing, code)


def test_every_reason_has_its_words():
    every = [
        PartFacts(day=DAY, job_kind="inspection", warranty_until=NEXT),
        PartFacts(day=DAY, job_kind="inspection", job_billing="billable"),
        PartFacts(day=DAY, job_kind="inspection"),
        PartFacts(day=DAY, job_kind="repair", contract=7),
        PartFacts(day=DAY, job_kind="callback", contract=7, limit_minor=15000, value_minor=52000),
        PartFacts(day=DAY, job_kind="callback", contract=7),
    ]
    formats = Formats()
    told = {}
    for one in every:
        why = billing_of(one).why
        told[why.code] = PART_TELLERS[why.code](why, formats, {})
    assert told.keys() == PART_TELLERS.keys()
    assert told["part_under_warranty"] == "the unit is under warranty until Oct 15, 2026"
    assert told["part_over_limit"] == "over the $150.00 that the contract allows without asking"


CHARGES = st.builds(
    Charge,
    contract=st.sampled_from([None, 1, 2]),
    limit_minor=st.sampled_from([None, 0, 10_000]),
    billing=st.sampled_from(BILLINGS),
    value_minor=st.one_of(st.none(), st.integers(0, 20_000)),
)


@given(charges=st.lists(CHARGES, max_size=6), seed=st.randoms())
def test_the_limit_is_that_of_the_sum_in_any_order(charges, seed):
    """Against a plain sum; a contract has one limit."""
    charges = [Charge(c.contract, 10_000 if c.contract == 1 else None, c.billing, c.value_minor)
               for c in charges]  # fmt: skip
    total = sum(c.value_minor or 0 for c in charges if c.contract == 1 and c.billing != "warranty")
    wanted = (OverLimit(1, 10_000, total),) if total > 10_000 else ()
    assert over_limits(charges) == wanted
    seed.shuffle(charges)
    assert over_limits(charges) == wanted
