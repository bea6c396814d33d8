"""Many lines made simpler at once: nothing left out lies farther away than was allowed."""

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from servicedesk.travel.map_lines import kept_points, lines_of

COORDINATE = st.floats(-500, 500, allow_nan=False, width=32)
RING = st.lists(st.tuples(COORDINATE, COORDINATE), min_size=1, max_size=30)


def lines_from(rings):
    x = np.array([p[0] for ring in rings for p in ring], dtype=float)
    y = np.array([p[1] for ring in rings for p in ring], dtype=float)
    ring_start = np.concatenate([[0], np.cumsum([len(ring) for ring in rings])])
    n = len(rings)
    return lines_of(x, y, ring_start, np.arange(n + 1), np.arange(n), np.full(n, -1))


def away(point, one, other):
    """Distance of a point from a straight piece, by the textbook."""
    (px, py), (ax, ay), (bx, by) = point, one, other
    long = (bx - ax) ** 2 + (by - ay) ** 2
    share = 0 if long == 0 else ((px - ax) * (bx - ax) + (py - ay) * (by - ay)) / long
    share = min(1, max(0, share))
    return math.hypot(px - ax - share * (bx - ax), py - ay - share * (by - ay))


@settings(max_examples=60, deadline=None)
@given(st.lists(RING, min_size=1, max_size=6), st.floats(0.1, 200))
def test_every_point_left_out_lies_within_the_tolerance_of_what_is_drawn(rings, tolerance):
    lines = lines_from(rings)
    keep = kept_points(lines.x, lines.y, lines.ring_start, tolerance)
    for number, ring in enumerate(rings):
        first = lines.ring_start[number]
        kept = [i for i in range(len(ring)) if keep[first + i]]
        assert (kept[0], kept[-1]) == (0, len(ring) - 1)  # ends stay: roads stay joined
        for before, after in pairwise(kept):
            for i in range(before + 1, after):
                assert away(ring[i], ring[before], ring[after]) <= tolerance + 1e-9


def test_a_straight_line_keeps_its_ends_and_a_corner_keeps_its_corner():
    lines = lines_from([[(0, 0), (10, 0), (20, 0)], [(0, 0), (10, 10), (20, 0)]])
    simple = lines.simpler(1.0)
    assert [r[0].tolist() for r in simple.rings(0)] == [[0, 20]]
    assert [r[0].tolist() for r in simple.rings(1)] == [[0, 10, 20]]


@pytest.mark.parametrize("line", [[(0, 0), (5, -5), (10, -10)], [(0, 0), (-5, 5), (-10, 10)]])
def test_a_straight_slope_keeps_its_ends_alone(line):
    assert len(lines_from([line]).simpler(0.01).x) == 2


def test_boxes_lengths_and_parts_are_those_of_each_line():
    lines = lines_from([[(0, 0), (3, 4)], [(100, 100), (100, 112), (105, 112)]])
    assert lines.lengths().tolist() == [5, 17]
    assert lines.sizes().tolist() == [4, 12]
    assert lines.inside((-1, -1, 1, 1)).tolist() == [0]
    assert lines.inside((90, 90, 101, 101)).tolist() == [1]
    assert lines.inside((50, 50, 60, 60)).tolist() == []
    only = lines.only(np.array([False, True]))
    assert len(only) == 1
    assert only.rings(0)[0][1].tolist() == [100, 112, 112]
    assert only.boxes.tolist() == [[100, 100, 105, 112]]
    assert only.lengths() == pytest.approx([17])
