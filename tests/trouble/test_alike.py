"""Which symptoms share causes. What belongs together is common practice, no source."""

from itertools import combinations

import pytest

from servicedesk.trade.faults import knowledge
from servicedesk.trouble.alike import SHARED, Alike, mean, overlap


@pytest.fixture(scope="module")
def alike():
    return Alike(knowledge())


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("high-water-alarm", "alarm-comes-and-goes"),
        ("high-water-alarm", "alarm-not-identified"),
        ("high-water-alarm", "no-spray"),
        ("air-alarm", "no-bubbles"),
        ("breaker-trips", "dead-panel"),
        ("weak-spray", "wet-area"),
    ],
)
def test_symptoms_of_one_story_share_causes(alike, one, other):
    assert alike.overlap((one,), (other,)) >= SHARED + 0.05
    assert alike.overlap((other,), (one,)) == pytest.approx(alike.overlap((one,), (other,)))


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("odour-inside", "breaker-trips"),
        ("high-water-alarm", "odour-outside"),
        ("lid-hazard", "air-alarm"),
        ("slow-drains", "no-chlorine"),
    ],
)
def test_symptoms_of_two_stories_share_none(alike, one, other):
    assert alike.overlap((one,), (other,)) < SHARED - 0.05


def test_the_overlap_is_one_for_the_same_symptom_also_for_one_that_nobody_knows(alike):
    for symptom in (*knowledge().symptoms, "said in own words"):
        assert alike.overlap((symptom,), (symptom,)) == pytest.approx(1.0)
    assert alike.overlap(("said in own words",), ("high-water-alarm",)) == 0.0
    assert alike.overlap((), ("high-water-alarm",)) == 0.0


def test_the_overlap_is_one_less_the_total_variation_distance(alike):
    # Levin, Peres, Wilmer, Markov Chains and Mixing Times, proposition 4.2, from memory
    for a, b in combinations(knowledge().symptoms, 2):
        p, q = alike.chances((a,)), alike.chances((b,))
        distance = sum(abs(p.get(c, 0) - q.get(c, 0)) for c in {*p, *q}) / 2
        assert alike.overlap((a,), (b,)) == pytest.approx(1 - distance)


def test_the_overlap_with_several_calls_is_at_least_the_mean_of_the_overlaps(alike):
    new = alike.chances(("alarm-comes-and-goes",))
    several = [alike.chances((s,)) for s in ("high-water-alarm", "high-water-alarm", "air-alarm")]

    together = overlap(new, mean(several))

    assert together >= sum(overlap(new, one) for one in several) / 3
