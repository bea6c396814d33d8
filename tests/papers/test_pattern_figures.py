"""Rows with ranges as geometry: places, marks, the axis, and how little room is dealt with."""

import pytest

from servicedesk.papers.exposed_figure import ExposedShown, exposed_figure
from servicedesk.papers.fonts import width_of
from servicedesk.papers.life_figures import PlotShown, Stair, plots_figure, year_axis
from servicedesk.papers.pattern_figures import (
    FactorShown,
    RowShown,
    SectionShown,
    axis_of,
    legend_figure,
    rows_figure,
)
from servicedesk.papers.times_figure import TimesShown, times_figure
from servicedesk.values.shapes import Bracket, Line, Mark, Polyline, TextBox

LONG = "In the tank riser, only taped or in dry connectors"
SIZES = ((430.0, 1.0), (400.0, 1.3), (580.0, 1.0), (300.0, 1.3))


def a_row(key="one", label="M-40 diaphragm", best=12.9, low=10.4, high=15.6, look="clear"):
    words = {"clear": "clearly above", "maybe": "keep watching", "few": "too few to say"}
    return RowShown(
        key=key, label=label, n_text="1,135", best=best, low=low, high=high, look=look,
        words=words.get(look, ""), spoken=f"{label}, {look}",
    )  # fmt: skip


def a_section(*rows, reference=8.1, title="Failures per 100 unit-years"):
    shown = rows or (
        a_row(),
        a_row("two", "M-60 diaphragm", 5.4, 4.0, 6.9, "plain"),
        a_row("three", LONG, 5.7, 2.9, 40.0, "few"),
        a_row("four", "A-2 board", 9.0, 8.2, 11.0, "maybe"),
    )
    factor = FactorShown(title="Air pump, by model", reference=reference, rows=shown)
    return SectionShown(title=title, column="units", factors=(factor, factor))


def overlapping(shapes):
    texts = [one for one in shapes if isinstance(one, TextBox)]
    return [
        (a.text, b.text)
        for n, a in enumerate(texts)
        for b in texts[n + 1 :]
        if a.box.grown(-0.5).touches(b.box.grown(-0.5))
    ]


def outside(shapes, width):
    return [one for one in shapes if one.bounds.x < -0.01 or one.bounds.right > width + 0.01]


@pytest.mark.parametrize(("width", "scale"), SIZES)
def test_no_text_of_the_rows_lies_over_another(width, scale):
    figure = rows_figure([a_section(), a_section(title="Callbacks per 100 system-years")], width,
                         width_of, scale=scale)  # fmt: skip

    assert overlapping(figure.shapes) == []
    assert outside(figure.shapes, width) == []


@pytest.mark.parametrize(("width", "scale"), SIZES)
def test_no_word_of_a_row_is_lost(width, scale):
    figure = rows_figure([a_section(a_row(label=LONG))], width, width_of, scale=scale)

    labels = [s.text for s in figure.shapes if isinstance(s, TextBox) and s.key == "label"]
    assert " ".join(labels[: len(labels) // 2]) == LONG
    assert "clearly above" in {s.text for s in figure.shapes if isinstance(s, TextBox)}


def test_marks_stand_at_their_rates_on_one_axis():
    figure = rows_figure([a_section()], 580.0, width_of)
    marks = {m.key: m for m in figure.shapes if isinstance(m, Mark)}

    # straight: the place of a rate is linear in it
    slope = (marks["one"].x - marks["two"].x) / (12.9 - 5.4)
    assert marks["four"].x - marks["two"].x == pytest.approx(slope * (9.0 - 5.4))
    upright = next(s for s in figure.shapes if isinstance(s, Line) and s.color == "ink2" and s.dash)
    assert upright.x1 - marks["two"].x == pytest.approx(slope * (8.1 - 5.4))


def test_each_flag_has_its_own_shape():
    figure = rows_figure([a_section()], 580.0, width_of)
    marks = {m.key: (m.kind, m.filled) for m in figure.shapes if isinstance(m, Mark)}

    assert marks == {
        "one": ("triangle", True),
        "two": ("disc", True),
        "three": ("disc", False),
        "four": ("diamond", True),
    }


def test_a_range_beyond_the_axis_ends_in_a_tip_and_leaves_the_axis_alone():
    wide = a_row("w", "R-2", 5.7, 2.9, 40.0, "few")
    figure = rows_figure([a_section(a_row(), wide)], 580.0, width_of)

    assert axis_of([a_row(), wide]) == (16.0, 4.0)
    assert sum(isinstance(s, Polyline) for s in figure.shapes) == 2  # one in each factor


def test_the_axis_reaches_over_every_range_that_says_something():
    top, step = axis_of([a_row(high=23.0), a_row(high=3.0)])

    assert top >= 23.0
    assert top / step <= 6


def test_a_row_is_found_at_its_height():
    figure = rows_figure([a_section()], 580.0, width_of)

    for row in figure.rows:
        assert figure.row_at(row.box.center[1]).key == row.key
    assert figure.row_at(-5) is None


def test_a_narrow_figure_puts_the_words_below_the_label():
    figure = rows_figure([a_section()], 330.0, width_of)
    label = next(s for s in figure.shapes if isinstance(s, TextBox) and s.key == "label")
    words = next(s for s in figure.shapes if isinstance(s, TextBox) and s.key == "words")

    assert words.box.x == label.box.x
    assert words.box.y >= label.box.bottom - 0.5


@pytest.mark.parametrize(("width", "scale"), SIZES)
def test_the_legend_names_every_mark_within_its_width(width, scale):
    words = {"clear": "clearly above the rest", "maybe": "maybe, keep watching",
             "plain": "nothing to say", "few": "too few to say"}  # fmt: skip
    note = "“Clearly above” allows for 100 comparisons made at once: about one in ten is chance."
    shapes, height = legend_figure(words, "all groups together", [note], width, width_of, scale)

    assert overlapping(shapes) == []
    assert outside(shapes, width) == []
    assert max(s.bounds.bottom for s in shapes) <= height + 1
    said = " ".join(s.text for s in shapes if isinstance(s, TextBox) and s.key == "note")
    assert said == note


def a_plot(key="a", title="Air pump: M-40 diaphragm", **more):
    stair = Stair(
        steps=((2.0, 0.8, 0.7, 0.9), (5.0, 0.5, 0.4, 0.6), (9.0, 0.2, 0.1, 0.3)),
        start=0.0, first=1.0, end=10.0, color="clay",
    )  # fmt: skip
    given = {
        "key": key, "title": title, "icon": "air_pump", "stairs": (stair,), "top": 1.0,
        "levels": ((1.0, "all"), (0.5, "½"), (0.0, "0")), "color": "clay",
        "said": "half by 5 y (4 to 6)", "note": "Not early: waiting until it fails is cheaper.",
        "marked": 5.0, "ticks": (1.0, 1.01, 4.0),
    }  # fmt: skip
    return PlotShown(**{**given, **more})


@pytest.mark.parametrize(("width", "scale"), SIZES)
def test_plots_side_by_side_keep_to_themselves(width, scale):
    plots = [a_plot(str(n), title=LONG if n == 1 else "Air pump") for n in range(5)]
    figure = plots_figure(plots, width, width_of, scale=scale)

    assert overlapping(figure.shapes) == []
    assert outside(figure.shapes, width) == []


def test_a_curve_falls_where_units_failed_and_half_is_marked_where_half_failed():
    plot = a_plot()
    figure = plots_figure([plot], 400.0, width_of)
    line = next(s for s in figure.shapes if isinstance(s, Polyline) and s.fill is None)
    upright = next(s for s in figure.shapes if isinstance(s, Line) and s.dash)

    xs = [x for x, _ in line.points]
    ys = [y for _, y in line.points]
    assert ys == sorted(ys)  # downwards on the page: the share never grows
    at_five = [x for x, _ in line.points if abs(x - upright.x1) < 0.01]
    assert at_five, (xs, upright)
    # halfway down between the levels "all" and "0"
    assert upright.y1 == pytest.approx((ys[0] + upright.y2) / 2)
    assert year_axis([plot]) == (10, 5)


def test_ticks_too_close_to_tell_apart_are_one():
    shapes = plots_figure([a_plot()], 400.0, width_of).shapes

    ticks = [s for s in shapes if isinstance(s, Line) and s.x1 == s.x2 and not s.dash]
    assert len(ticks) == 2


def test_the_span_of_good_ages_is_a_bracket_with_the_best_between():
    shapes = plots_figure([a_plot(span=(6.0, 5.0, 8.0))], 400.0, width_of).shapes
    bracket = next(s for s in shapes if isinstance(s, Bracket))
    best = next(s for s in shapes if isinstance(s, Mark))

    per_year = (bracket.x2 - bracket.x1) / 3.0
    assert best.x - bracket.x1 == pytest.approx(per_year)


@pytest.mark.parametrize(("width", "scale"), SIZES)
def test_times_stand_on_an_axis_of_doublings(width, scale):
    rows = [
        TimesShown(label=label, best=b, low=b / 2, high=b * 2, words="4 (2 to 8)", look="clear")
        for label, b in (("as seen", 2.0), ("at equal age, 4 bands", 4.0), ("half", 0.5))
    ]
    shapes, _ = times_figure(rows, width, width_of, scale=scale)
    marks = [s for s in shapes if isinstance(s, Mark)]
    one = next(s for s in shapes if isinstance(s, Line) and s.dash)

    assert overlapping(shapes) == []
    doubling = marks[0].x - one.x1
    assert marks[1].x - marks[0].x == pytest.approx(doubling)
    assert one.x1 - marks[2].x == pytest.approx(doubling)


@pytest.mark.parametrize(("width", "scale"), SIZES)
def test_columns_give_way_before_addresses_do(width, scale):
    rows = [
        ExposedShown(key=str(n), address=f"{n} Tessing and Fen Road", tone="moss", ticked=n == 1,
                     cells=("never", "11.2 y", "8", "$156"), owes=n == 2, spoken="")
        for n in range(4)
    ]  # fmt: skip
    names = ("looked at", "age", "calls in 2 years", "saves")
    shapes, placed, height = exposed_figure(rows, names, width, width_of, scale=scale)

    assert overlapping(shapes) == []
    assert outside(shapes, width) == []
    assert placed[-1].box.bottom == pytest.approx(height)
    assert sum(s.text == "$156" for s in shapes if isinstance(s, TextBox)) == 4
