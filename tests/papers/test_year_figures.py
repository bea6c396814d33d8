"""The ladder and the steps: what is drawn adds up and nothing covers its words."""

import random

import pytest

from servicedesk.papers.fonts import width_of
from servicedesk.papers.year_figures import (
    LadderShown,
    Step,
    StepsShown,
    ladder_at,
    ladder_figure,
    ladder_slots,
    steps_figure,
)
from servicedesk.values.shapes import Hatch, Line, Rect, TextBox


def a_ladder(values, **more):
    return LadderShown(values=tuple(sorted(values)), below="45 sites cost more than they bring",
                       above="367 sites bring more than they cost", **more)  # fmt: skip


def bars(shapes):
    return [one for one in shapes if isinstance(one, Rect)]


def test_bars_stand_on_zero_worst_at_the_left_and_in_one_scale():
    values = sorted([-60000, -20000, 0, 10000, 40000])
    shapes, height = ladder_figure(a_ladder(values), 800, width_of, 1.0)
    zero = next(one.y1 for one in shapes if isinstance(one, Line) and one.y1 == one.y2)

    for value, bar in zip(values, bars(shapes), strict=True):
        assert (bar.fill == "clay") is (value < 0)
        edge = bar.box.y if value < 0 else bar.box.bottom
        assert edge == pytest.approx(zero, abs=1)
        assert bar.box.y >= 0
        assert bar.box.bottom <= height + 0.1
    tall = {value: bar.box.height for value, bar in zip(values, bars(shapes), strict=True)}
    assert tall[-60000] / tall[-20000] == pytest.approx(3)
    assert tall[40000] / tall[10000] == pytest.approx(4)
    assert tall[-60000] / tall[40000] == pytest.approx(1.5)


def test_words_stand_where_no_bar_is():
    chance = random.Random(3)
    values = [chance.gauss(9000, 9000) for _ in range(400)]
    shapes, _ = ladder_figure(a_ladder([round(v) for v in values]), 780, width_of, 1.0)
    for words in (one for one in shapes if isinstance(one, TextBox)):
        assert not any(words.box.touches(bar.box) for bar in bars(shapes)), words.text


@pytest.mark.parametrize("n", [1, 3, 390, 3000])
def test_every_site_has_its_column_and_is_found_again(n):
    slots = ladder_slots(n, 780)
    assert [k for first, until in slots for k in range(first, until)] == list(range(n))
    assert len(slots) <= 390
    for k in (0, n // 2, n - 1):
        found = ladder_at(n, 780, 780 * (k + 0.5) / n)
        assert abs(found - k) <= n // 390 + 1
    assert ladder_at(n, 780, -1) is None
    assert ladder_at(n, 780, 780) is None


def test_the_chosen_site_is_marked():
    shapes, _ = ladder_figure(
        a_ladder(range(-5, 95), chosen=50, chosen_words="118 Dry Hollow Lane"), 800, width_of, 1
    )
    line = next(one for one in shapes if isinstance(one, Line) and one.color == "ink")
    assert line.x1 == pytest.approx(404)


def test_without_a_site_nothing_is_drawn():
    assert ladder_figure(a_ladder([]), 800, width_of, 1.0) == ([], 0.0)


def test_each_bar_begins_where_the_one_before_it_ended():
    amounts = [43000, 1204, 10396, -3400, -200]
    steps = [Step(words=f"step {n}", second="", minor=minor, text=str(minor), is_base=n == 0)
             for n, minor in enumerate(amounts)]  # fmt: skip
    shown = StepsShown(steps=tuple(steps), sum_words="Next year", sum_text="51000")
    shapes, _ = steps_figure(shown, 300, width_of, 1.0)
    drawn = [one for one in bars(shapes) if one.fill in {"ink2", "sheet"}]

    for before, after, minor in zip(drawn[:-1], drawn[1:], amounts[1:], strict=True):
        end = before.box.right if before.fill == "ink2" else before.box.x
        begin = after.box.x if minor > 0 else after.box.right
        assert begin == pytest.approx(end, abs=0.01)
    assert sum(isinstance(one, Hatch) for one in shapes) == 2  # what takes away is hatched


@pytest.mark.parametrize("width", [230, 300, 500])
def test_words_of_steps_do_not_cover_each_other(width):
    steps = [
        Step(words="To cover cost and margin", second="cost and 18% margin want $546.34",
             minor=minor, text=f"+${minor / 100:.2f}", is_base=not n)
        for n, minor in enumerate([43000, 1204, 0, -500])
    ]  # fmt: skip
    shown = StepsShown(steps=tuple(steps), sum_words="Next year", sum_text="$437.04",
                       is_strong=True)  # fmt: skip
    texts = [one for one in steps_figure(shown, width, width_of, 1.0)[0]
             if isinstance(one, TextBox)]  # fmt: skip
    for n, one in enumerate(texts):
        assert width >= one.box.right
        assert not any(one.box.touches(other.box) for other in texts[n + 1 :])
