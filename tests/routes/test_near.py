"""Places in an order in which each is the nearest to the one before."""

from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from servicedesk.routes.near import near_one_another
from servicedesk.values.travel_times import TravelTimes


def on_a_line(*at_min):
    return TravelTimes.of([[abs(a - b) for b in at_min] for a in at_min])


def test_one_side_of_the_road_is_done_before_the_other():
    # the office at 0; going out to 12 and back over 0 to -9 as nearest neighbors do
    chain = near_one_another(on_a_line(0, 12, -9, 5, -20))

    assert chain == ((3, 5), (1, 7), (2, 21), (4, 11))


def test_of_two_as_near_the_first_named_comes_first():
    assert near_one_another(on_a_line(0, 4, -4)) == ((1, 4), (2, 8))


def test_nobody_to_go_to_is_no_chain():
    assert near_one_another(on_a_line(0)) == ()


@given(st.lists(st.integers(-500, 500), min_size=1, max_size=12))
def test_every_place_stands_once_and_none_left_is_nearer(places):
    times = on_a_line(*places)
    chain = [place for place, _ in near_one_another(times)]

    assert sorted(chain) == list(range(1, len(places)))
    for n, (here, there) in enumerate(pairwise([0, *chain])):
        assert all(times.minutes[here][there] <= times.minutes[here][o] for o in chain[n:])
