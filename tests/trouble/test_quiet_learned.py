"""What a company's own fixes teach, against fixes whose truth is known because we drew it."""

from math import sqrt

import numpy as np
import pytest

from servicedesk.trouble.quiet import ASSUMED, MOST_BEFORE_QUIET, QuietModel
from servicedesk.trouble.quiet_learned import ORDINARY_A_DAY, FixSeen, learned


def fixes(kind, chance, n, seed, *, seen_days=500, ordinary_a_day=ORDINARY_A_DAY):
    """`n` fixes of a kind that are real with a chance; all looked at up to a random day."""
    nature = np.random.default_rng(seed)
    model = QuietModel()
    for _ in range(n):
        a_day = nature.gamma(model.rate.shape, 1 / model.rate.days)
        gap = nature.exponential(1 / a_day)
        if nature.random() < chance:
            a_day = 0
        called = nature.exponential(1 / (a_day + ordinary_a_day))
        seen = nature.uniform(60, seen_days)
        yield FixSeen(kind, True, 1, gap, min(called, seen), called <= seen)


@pytest.mark.parametrize("chance", [0.25, 0.6])
def test_the_share_of_real_fixes_is_found_though_nobody_ever_saw_it(chance):
    n = 4000
    some = list(fixes("reset only", chance, n, seed=3))

    found = learned(some).real["reset only", True]
    silent = sum(not fix.called for fix in some) / n  # as if every quiet fix were a real one

    # a third of what a fix could tell is hidden by those not followed long
    assert found == pytest.approx(chance, abs=4 * sqrt(chance * (1 - chance) / (n / 3)))
    assert abs(silent - chance) > 0.1


def test_ordinary_calls_after_a_good_fix_do_not_count_it_as_failed():
    often = 0.3 / 365.25
    some = list(fixes("fixed", 0.75, 4000, 5, seen_days=2500, ordinary_a_day=often))

    found = learned(some, ordinary_a_day=often).real["fixed", True]
    blind = learned(some, ordinary_a_day=1e-12).real["fixed", True]

    assert found == pytest.approx(0.75, abs=0.05)
    assert blind < 0.65


def test_few_fixes_move_what_is_assumed_little_and_many_much():
    failed = FixSeen("fixed", True, 1, 200, 40, called=True)

    one, many = learned([failed]), learned([failed] * 60)

    assumed = ASSUMED["fixed", True]
    assert assumed * 10 / 11 - 0.01 <= one.real["fixed", True] < assumed
    assert many.real["fixed", True] < 0.15
    assert many.n_seen == {("fixed", True): 60}


def test_nothing_seen_leaves_all_as_assumed_and_other_kinds_are_not_touched():
    failed = FixSeen("fixed", True, 1, 200, 40, called=True)

    assert learned([]).real == ASSUMED
    assert {key: c for key, c in learned([failed]).real.items() if key != ("fixed", True)} == {
        key: c for key, c in ASSUMED.items() if key != ("fixed", True)
    }


def test_no_history_however_good_makes_a_fix_believed_before_it_was_quiet():
    held = FixSeen("cause fixed", False, 0, 0, 2000, called=False)

    model = learned([held] * 500)

    assert model.real["cause fixed", False] > 0.95
    assert model.before_quiet("cause fixed", again=False) == MOST_BEFORE_QUIET
