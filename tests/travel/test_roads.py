"""Roads on hand-made extracts: each rule alone, with times that can be worked out on paper."""

import numpy as np
import pytest

from servicedesk.exchange.osm_tags import TIME_FACTOR
from servicedesk.travel.road_cost import TurnCost
from servicedesk.travel.roads import Roads
from tests.travel.small_roads import at, roads_of

STEP_M = (
    111.3195  # a thousandth of a degree of longitude at the equator: WGS84 axis * pi / 180 / 1000
)
NORTH_M = 110.574  # of latitude there (WGS84)
HOME = {"highway": "residential"}
STEP_S = STEP_M / (35 / 3.6) * TIME_FACTOR
SQUARE = {"a": (0, 0), "b": (10, 0), "c": (10, 10), "d": (0, 10)}


@pytest.fixture
def file(tmp_path):
    return tmp_path / "small.osm"


def times(roads: Roads, *places):
    placed = roads.place(places)
    assert all(p.snap is not None for p in placed)
    return roads.between(placed, placed)


def test_time_and_length_along_one_street(file):
    roads = roads_of(file, {"a": (0, 0), "b": (20, 0)}, [("ab", HOME)])
    seconds, metres = times(roads, at(5, 0), at(15, 0))
    assert metres[0, 1] == pytest.approx(10 * STEP_M, abs=0.05)
    assert seconds[0, 1] == pytest.approx(10 * STEP_S, abs=0.01)
    assert seconds[0, 1] == seconds[1, 0]
    assert seconds[0, 0] == metres[1, 1] == 0


def test_a_posted_speed_in_miles_counts_nine_tenths(file):
    roads = roads_of(file, {"a": (0, 0), "b": (20, 0)}, [("ab", HOME | {"maxspeed": "30 mph"})])
    seconds, _ = times(roads, at(5, 0), at(15, 0))
    kmh = 30 * 1.609344 * 0.9
    assert seconds[0, 1] == pytest.approx(10 * STEP_M / (kmh / 3.6) * 1.10, abs=0.01)


def test_two_stops_on_one_way_road_go_around_backwards(file):
    ways = [("ab", HOME | {"oneway": "yes"}), ("bcda", HOME)]
    roads = roads_of(file, SQUARE, ways)
    _, metres = times(roads, at(2, 0), at(8, 0))
    assert metres[0, 1] == pytest.approx(6 * STEP_M, abs=0.1)
    around = 2 * STEP_M + 20 * NORTH_M + 10 * STEP_M + 2 * STEP_M
    assert metres[1, 0] == pytest.approx(around, rel=2e-4)
    assert metres[0, 0] == 0


def test_a_road_drawn_against_its_direction(file):
    ways = [("ba", HOME | {"oneway": "-1"}), ("bcda", HOME)]
    _, metres = times(roads_of(file, SQUARE, ways), at(2, 0), at(8, 0))
    assert metres[0, 1] == pytest.approx(6 * STEP_M, abs=0.1)
    assert metres[1, 0] > 20 * STEP_M


CROSSING = {"w": (-5, 0), "m": (0, 0), "e": (5, 0), "n": (0, 5), "s": (0, -15), "f": (5, 5)}
CROSS = [("wm", HOME), ("me", HOME), ("mn", HOME), ("ms", HOME)]


def test_a_forbidden_turn_is_not_driven(file):
    # allowed: straight on, round the block e-f-n and down to the other end of the same street
    ways = [*CROSS, ("efn", HOME)]
    free = roads_of(file, CROSSING, ways)
    _, metres = times(free, at(-3, 0), at(0, 3))
    assert metres[0, 1] == pytest.approx(3 * STEP_M + 3 * NORTH_M, rel=1e-3)
    ruled = roads_of(file, CROSSING, ways, [("no_left_turn", 1, "m", 3)])
    _, metres = times(ruled, at(-3, 0), at(0, 3))
    assert metres[0, 1] == pytest.approx(13 * STEP_M + 7 * NORTH_M, rel=1e-3)
    assert metres[1, 0] == pytest.approx(3 * STEP_M + 3 * NORTH_M, rel=1e-3)


def test_only_straight_on_forbids_both_turns(file):
    ways = [*CROSS, ("efn", HOME)]
    ruled = roads_of(file, CROSSING, ways, [("only_straight_on", 1, "m", 2)])
    _, metres = times(ruled, at(-3, 0), at(0, 3), at(3, 0), at(0, -3))
    assert metres[0, 1] == pytest.approx(13 * STEP_M + 7 * NORTH_M, rel=1e-3)
    assert metres[0, 2] == pytest.approx(6 * STEP_M, abs=0.1)
    assert metres[0, 3] > 20 * STEP_M


def test_onto_a_road_that_goes_on_both_ways_only_the_side_named_is_forbidden(file):
    # the road w-m-e is one way of the extract: from the south, left is west and right is east
    ways = [("wme", HOME), ("ms", HOME), ("mn", HOME)]
    ruled = roads_of(file, CROSSING, ways, [("no_left_turn", 2, "m", 1)])
    _, metres = times(ruled, at(0, -3), at(-3, 0), at(3, 0))
    assert metres[0, 2] == pytest.approx(3 * STEP_M + 3 * NORTH_M, rel=1e-3)
    assert metres[0, 1] > 10 * STEP_M
    only = roads_of(file, CROSSING, ways, [("only_right_turn", 2, "m", 1)])
    _, metres = times(only, at(0, -3), at(-3, 0), at(3, 0))
    assert metres[0, 2] == pytest.approx(3 * STEP_M + 3 * NORTH_M, rel=1e-3)
    assert metres[0, 1] > 10 * STEP_M


def test_a_rule_that_spares_cars_is_none_of_ours(file):
    text_before = roads_of(file, CROSSING, CROSS, [("no_left_turn", 1, "m", 3)])
    assert len(text_before.graph.banned) == 1
    spared = file.read_text().replace(
        '<tag k="restriction"', '<tag k="except" v="motorcar"/><tag k="restriction"'
    )
    file.write_text(spared)
    from servicedesk.exchange.osm_roads import read_ways
    from servicedesk.exchange.road_build import graph_of

    assert len(graph_of(read_ways(file)).banned) == 0


def test_turning_costs_its_seconds_at_crossings_and_not_in_bends(file):
    slow = roads_of(file, CROSSING, [*CROSS, ("efn", HOME)], turn_cost=TurnCost(full_s=5))
    seconds, metres = times(slow, at(-3, 0), at(0, 3), at(3, 0), at(4, 5))
    free_s = metres / (35 / 3.6) * TIME_FACTOR
    assert seconds[0, 1] - free_s[0, 1] == pytest.approx(5, abs=0.02)  # left at the crossing
    assert seconds[0, 2] - free_s[0, 2] == pytest.approx(0, abs=0.02)  # straight over it
    assert seconds[2, 3] - free_s[2, 3] == pytest.approx(0, abs=0.02)  # round the bend at f


def test_private_roads_lead_to_their_stops_but_not_through(file):
    # the private short cut a-c would save half the way
    points = {"a": (0, 0), "b": (10, 0), "c": (10, 2), "p": (0, 2), "q": (5, 1)}
    ways = [("abcp", HOME), ("ap", HOME | {"access": "private"})]
    roads = roads_of(file, points, ways)
    seconds, metres = times(roads, at(1, 0), at(0, 1), at(1, 2))
    assert metres[0, 2] > 18 * STEP_M  # around, not through
    assert metres[0, 1] == pytest.approx(STEP_M + NORTH_M, rel=1e-3)
    assert seconds[0, 1] == pytest.approx(2 * STEP_S, rel=0.01)  # the charge is given back
    assert seconds[1, 2] == pytest.approx(2 * STEP_S, rel=0.01)  # leaving is free


def test_a_bollard_lets_no_car_through(file):
    points = {"a": (0, 0), "m": (5, 0), "b": (10, 0), "c": (5, 8)}
    ways = [("amb", HOME), ("acb", HOME)]
    _, metres = times(
        roads_of(file, points, ways, node_tags={"m": {"barrier": "bollard"}}), at(4, 0), at(6, 0)
    )
    assert metres[0, 1] > 20 * STEP_M
    _, metres = times(
        roads_of(file, points, ways, node_tags={"m": {"barrier": "gate"}}), at(4, 0), at(6, 0)
    )
    assert metres[0, 1] == pytest.approx(2 * STEP_M, abs=0.1)


def test_a_place_far_from_any_road_is_said_and_not_guessed(file):
    roads = roads_of(file, {"a": (0, 0), "b": (20, 0)}, [("ab", HOME)])
    near, far = roads.place([at(10, 1), at(10, 2)])
    assert near.snap is not None
    assert near.snap.away_m == pytest.approx(NORTH_M, abs=0.1)
    assert far.snap is None
    assert far.why is not None
    assert far.why.code == "no_road_near"
    assert far.why["nearest_m"] == round(2 * NORTH_M)
    seconds, _ = roads.between([near], [far])
    assert np.isinf(seconds).all()
    assert roads.path(near, far) is None


def test_a_road_of_its_own_is_no_place_to_stop(file):
    # the nearer road is joined to nothing: nobody could come there
    points = {"a": (0, 0), "b": (20, 0), "c": (9, 0.5), "d": (11, 0.5), "m": (10, 0)}
    roads = roads_of(file, points, [("amb", HOME), ("cd", HOME)])
    (placed,) = roads.place([at(10.0, 0.4)])
    assert placed.snap is not None
    assert placed.snap.away_m == pytest.approx(0.4 * NORTH_M, abs=0.1)


def test_nobody_lives_on_a_motorway_or_in_a_tunnel(file):
    points = {"a": (0, 0), "b": (20, 0), "c": (0, 1), "d": (20, 1)}
    for tags in ({"highway": "motorway", "oneway": "no"}, HOME | {"tunnel": "yes"}):
        roads = roads_of(file, points, [("acdb", HOME), ("ab", tags)])
        (placed,) = roads.place([at(10, 0.1)])
        assert placed.snap is not None
        assert placed.snap.away_m == pytest.approx(0.9 * NORTH_M, abs=0.1)


def test_the_way_is_drawn_from_snap_to_snap(file):
    roads = roads_of(file, CROSSING, CROSS)
    a, b = roads.place([at(-3, 0.1), at(0.1, 3)])
    path = roads.path(a, b)
    assert path is not None
    assert path.points == (at(-3, 0), at(0, 0), at(0, 3))
    assert path.metres == pytest.approx(3 * STEP_M + 3 * NORTH_M, rel=1e-4)
    back = roads.path(b, a)
    assert back is not None
    assert back.points == path.points[::-1]
    (still,) = {roads.path(a, a)}
    assert still is not None
    assert still.metres == 0


def test_an_edge_of_the_extract_is_said(file):
    points = {"a": (0, 0), "b": (40, 0), "c": (40, 40), "d": (0, 40), "m": (20, 20)}
    roads = roads_of(file, points, [("abcda", HOME), ("amc", HOME)])
    middle, rim = roads.place([at(20, 20), at(20, 1)])
    assert middle.why is None
    assert rim.why is not None
    assert rim.why.code == "at_the_edge"
    assert rim.snap is not None


def test_a_road_that_leads_on_and_ends_was_cut(file):
    points = {"a": (0, 0), "b": (40, 0), "c": (40, 40), "d": (0, 40), "m": (20, 20)}
    ring, lane = ("abcda", HOME), ("am", HOME)
    (inner,) = roads_of(file, points, [ring, lane]).place([at(20, 20)])
    assert inner.why is None  # a lane may end
    (inner,) = roads_of(file, points, [ring, ("am", {"highway": "secondary"})]).place([at(20, 20)])
    assert inner.why is not None
    assert inner.why.code == "at_the_edge"


def test_a_road_cut_by_the_extract_warns_where_it_ends(file):
    points = {"a": (0, 0), "b": (30, 0), "c": (60, 0), "d": (60, 1), "e": (0, 1)}
    roads = roads_of(file, points, [("abcdea", HOME), ("bz", HOME), ("abz", HOME)])
    assert len(roads.graph.cut) == 1


def test_a_new_place_gets_the_same_figures_as_in_the_whole_table(file):
    ways = [("ab", HOME | {"oneway": "yes"}), ("bcda", HOME)]
    roads = roads_of(file, SQUARE, ways, turn_cost=TurnCost(full_s=3))
    placed = roads.place([at(2, 0), at(8, 0), at(10, 4), at(3, 10), at(0, 5)])
    seconds, metres = roads.between(placed, placed)
    to_s, to_m = roads.between(placed, placed[:1])
    from_s, from_m = roads.between(placed[:1], placed)
    assert (to_s[:, 0] == seconds[:, 0]).all()
    assert (to_m[:, 0] == metres[:, 0]).all()
    assert (from_s[0] == seconds[0]).all()
    assert (from_m[0] == metres[0]).all()
