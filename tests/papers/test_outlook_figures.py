"""Columns by month: heights in proportion, words clear of each other, whole within the width."""

import pytest

from servicedesk.papers.fonts import width_of
from servicedesk.papers.outlook_figures import (
    ColumnsShown,
    Kind,
    MonthColumn,
    axis_steps,
    column_at,
    columns_figure,
)
from servicedesk.values.shapes import Hatch, Line, Rect, TextBox

MONTHS = ("Oct", "Nov", "Dec", "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug",
          "Sep")  # fmt: skip


def a_figure(**more):
    columns = tuple(
        MonthColumn(
            label=label,
            year="" if n % 3 else "2027",
            parts=(100.0 * n, 50.0),
            top=f"${150 + n:,}",
            **more,
        )
        for n, label in enumerate(MONTHS)
    )
    kinds = (Kind(words="signed contracts", color="moss"),
             Kind(words="renewals to expect", color="water", look="hatch"))  # fmt: skip
    return ColumnsShown(kinds=kinds, columns=columns, unit="USD", line_words="hours there are")


@pytest.mark.parametrize(
    ("top", "last", "step"),
    [(1, 1, 1), (4, 4, 1), (7, 8, 2), (13351, 15000, 5000), (620, 800, 200), (23, 25, 5)],
)
def test_an_axis_has_round_steps_and_reaches_over_all(top, last, step):
    steps = axis_steps(top)
    assert steps[-1] == last
    assert steps[1] - steps[0] == step
    assert len(steps) <= 6


def test_parts_are_in_proportion_and_stand_on_each_other():
    shapes, _ = columns_figure(a_figure(), 900, width_of, 1.0)
    full = [one.box for one in shapes if isinstance(one, Rect) and one.fill == "moss"][:-1]
    hatched = [one.box for one in shapes if isinstance(one, Hatch)][:-1]

    assert full[2].height == pytest.approx(3 * full[0].height)
    for lower, upper in zip(full, hatched[1:], strict=True):
        assert upper.bottom == pytest.approx(lower.y)
        assert upper.height == pytest.approx(full[0].height / 2)


@pytest.mark.parametrize("width", [520, 700, 1100])
def test_words_are_clear_of_each_other_and_within_the_width(width):
    shapes, height = columns_figure(a_figure(line=800.0, low=100, high=900), width, width_of, 1.0)
    texts = [one for one in shapes if isinstance(one, TextBox)]
    for n, one in enumerate(texts):
        assert one.box.right <= width + 0.5, one.text
        assert one.box.bottom <= height + 0.5
        others = [two.text for two in texts[n + 1 :] if one.box.touches(two.box)]
        assert others == [], one.text
    lines = [one for one in shapes if isinstance(one, Line) and one.width == 2.0][:-1]
    tops = [one for one in texts if one.key == "top"]
    for words, line in zip(tops, lines, strict=True):
        assert not words.box.y + 1 < line.y1 < words.box.bottom - 1, words.text


def test_a_column_is_found_by_its_place():
    assert [column_at(12, 1000, 40, x) for x in (10, 41, 999, 1000)] == [None, 0, 11, None]


def test_nothing_is_drawn_of_nothing():
    empty = ColumnsShown(kinds=(), columns=(), unit="")
    assert columns_figure(empty, 500, width_of, 1.0) == ([], 0.0)
