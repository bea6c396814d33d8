"""Lines and outlines cut at a box, checked by sampling and by areas known by hand."""

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from servicedesk.papers.clip import cut_area, cut_line
from servicedesk.values.shapes import Box

BOX = Box(0, 0, 10, 10)
COORDINATE = st.integers(-20, 30).map(float)
POINT = st.tuples(COORDINATE, COORDINATE)


def area(ring):
    shifted = [*ring[1:], ring[0]] if ring else []
    return abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(ring, shifted, strict=True))) / 2


def length(points):
    return sum(math.dist(a, b) for a, b in pairwise(points))


@given(st.lists(POINT, min_size=2, max_size=8))
def test_the_parts_of_a_line_are_as_long_as_what_lies_inside(points):
    parts = cut_line(points, BOX)
    for part in parts:
        assert all(BOX.grown(1e-9).holds(Box(x, y, 0, 0)) for x, y in part)
    # by walking along the line in small steps
    inside = 0.0
    for one, other in pairwise(points):
        steps = 2000
        piece = math.dist(one, other) / steps
        for k in range(steps):
            share = (k + 0.5) / steps
            x = one[0] + share * (other[0] - one[0])
            y = one[1] + share * (other[1] - one[1])
            inside += piece * (0 <= x <= 10 and 0 <= y <= 10)
    assert sum(length(part) for part in parts) == pytest.approx(inside, abs=0.2)


def test_a_line_that_leaves_and_comes_back_is_two_lines():
    assert cut_line([(2, 5), (15, 5), (15, 7), (5, 7)], BOX) == [
        [(2, 5), (10, 5)], [(10, 7), (5, 7)],
    ]  # fmt: skip
    assert cut_line([(20, 20), (30, 30)], BOX) == []


@pytest.mark.parametrize(
    ("ring", "left"),
    [
        ([(-5, -5), (5, -5), (5, 5), (-5, 5)], 25.0),  # a quarter of a square
        ([(-5, -5), (15, -5), (15, 15), (-5, 15)], 100.0),  # the whole box
        ([(2, 2), (4, 2), (4, 4), (2, 4)], 4.0),  # all inside
        ([(0, 0), (20, 0), (0, 20)], 100.0),  # the box's corner lies on the slope
        ([(20, 20), (30, 20), (30, 30)], 0.0),
        ([(5, -10), (15, 0), (5, 10), (-5, 0)], 75.0),  # a diamond over the upper edge
    ],
)
def test_an_outline_keeps_the_area_inside(ring, left):
    assert area(cut_area(ring, BOX)) == pytest.approx(left)
