"""How far a mended cause answers the calls before it."""

import pytest

from servicedesk.trade.faults import knowledge
from servicedesk.trouble.alike import Alike
from servicedesk.trouble.repaired import settles

ALARM, SMELL = "high-water-alarm", "odour-outside"


@pytest.fixture(scope="module")
def alike():
    return Alike(knowledge())


def share(cause, symptom):
    """By hand from the knowledge: the weight of the cause among all, the unlisted included."""
    behind = knowledge().causes_of[symptom]
    return behind.weights[cause] / (sum(behind.weights.values()) + behind.unlisted_weight)


def test_what_was_found_where_nobody_called_settles_its_share(alike):
    assert settles("pump-jammed", ALARM, [], alike) == pytest.approx(share("pump-jammed", ALARM))
    assert 0 < share("pump-jammed", ALARM) < 0.5


def test_what_was_mended_for_the_call_settles_it(alike):
    assert settles("pump-jammed", ALARM, [(ALARM,)], alike) == pytest.approx(1)
    assert settles("pump-jammed", ALARM, [(SMELL, ALARM)], alike) == pytest.approx(1)


def test_what_was_mended_for_another_call_settles_it_as_far_as_both_may_be_one_trouble(alike):
    # the overlap of the two, by hand: the smaller of the two shares of each cause, summed
    comes = "alarm-comes-and-goes"
    both = knowledge().causes_of[ALARM].weights.keys() & knowledge().causes_of[comes].weights
    overlap = sum(min(share(cause, ALARM), share(cause, comes)) for cause in both)
    assert settles("pump-jammed", ALARM, [(comes,)], alike) == pytest.approx(overlap)
    assert 0.3 < overlap < 0.7

    # a smell outside and a high-water alarm have next to nothing in common
    assert settles("pump-jammed", ALARM, [(SMELL,)], alike) < 0.25


def test_what_is_never_behind_a_symptom_settles_nothing_of_it(alike):
    assert "pump-jammed" not in knowledge().causes_of["compressor-noisy"].weights
    assert settles("pump-jammed", "compressor-noisy", [("compressor-noisy",)], alike) == 0
