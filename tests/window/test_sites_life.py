"""The life strip as data: one axis with a seam, marks that can be walked, texts that never meet."""

from dataclasses import replace
from datetime import date, timedelta

import pytest
from PySide6.QtCore import Qt

from servicedesk.values.shapes import Icon, Mark, Rect, TextBox
from servicedesk.window.widgets.life_strip import LifeStrip
from servicedesk.window.widgets.life_strip_axis import (
    SEAM_DAYS,
    Life,
    LifePoint,
    LifeRow,
    LifeThread,
    LifeUnit,
    LifeWindow,
    View,
    axis_of,
)
from servicedesk.window.widgets.life_strip_shapes import life_figure

TODAY = date(2026, 10, 14)


def measure(text, font):
    return len(text) * font.size * 0.55


def a_life():
    first = LifeUnit(
        date(2019, 5, 1), date(2022, 11, 3), "May 2019", "diaphragm torn", "first pump"
    )
    second = LifeUnit(date(2022, 11, 3), None, "Nov 2022", "", "second pump",
                      looked_on=date(2026, 6, 10))  # fmt: skip
    return Life(
        today=TODAY,
        rows=(
            LifeRow("Air compressor", "M-60", "air_pump", (first, second), "Jun 2026", "runs"),
            LifeRow("Splices box", "", "splice", (LifeUnit(date(2019, 5, 1), None, "May 2019", "",
                    "splice, never looked at"),), "never", "", is_never=True),
        ),
        calls=(
            LifePoint("call", date(2025, 8, 1), "call, Aug 1, 2025", ("call", 1), "bell"),
            LifePoint("call", date(2026, 6, 8), "call, Jun 8, 2026", ("call", 2), "bell"),
        ),
        visits=(
            LifePoint("inspection", date(2023, 3, 1), "inspection 1", ("visit", 1)),
            LifePoint("late", date(2026, 3, 1), "inspection 2, done late", ("visit", 2)),
        ),
        windows=(LifeWindow(date(2026, 10, 1), date(2026, 11, 20), "water", "inspection 3, open"),),
    )  # fmt: skip


def test_what_lies_before_the_last_two_years_takes_46_percent():
    # look and interaction, section 4: "before the last two years takes 46% of the width"
    axis = axis_of(a_life(), 1200, View(), 1.0)

    seam = axis.at(TODAY - timedelta(days=SEAM_DAYS))

    assert (seam - axis.x) / axis.width == pytest.approx(0.46)
    assert axis.at(axis.life_from) == pytest.approx(axis.x)
    assert axis.at(axis.life_until) == pytest.approx(axis.right)


def test_days_keep_their_order_across_the_seam():
    axis = axis_of(a_life(), 1200, View(), 1.0)
    days = [TODAY - timedelta(days=40 * n) for n in range(60, -1, -1)]

    places = [axis.at(day) for day in days]

    assert places == sorted(places)
    assert len(set(places)) == len(places)


def test_a_unit_begins_where_the_one_before_ends_and_a_cross_stands_there():
    figure = life_figure(a_life(), 1200, View(), measure)

    first, second = figure.in_row(2)
    crosses = [s for s in figure.clipped if isinstance(s, Mark) and s.kind == "cross"]

    assert first.box.right == pytest.approx(second.box.x)
    assert [cross.x for cross in crosses] == [pytest.approx(first.box.right)]


def test_why_a_unit_came_out_is_written_where_there_is_room_and_left_out_where_there_is_none():
    def words(width):
        shapes = life_figure(a_life(), width, View(), measure).clipped
        return [s.text for s in shapes if isinstance(s, TextBox)]

    assert "diaphragm torn" in words(1400)
    assert "diaphragm torn" not in words(560)


@pytest.mark.parametrize("width", [560, 930, 1180, 1800])
@pytest.mark.parametrize("scale", [1.0, 1.3])
def test_no_text_stands_on_another(width, scale):
    figure = life_figure(a_life(), width, View(), measure, scale=scale)

    texts = [s for s in (*figure.shapes, *figure.clipped) if isinstance(s, TextBox)]
    texts = [s for s in texts if s.text and s.key != "legend"]
    meeting = [
        (a.text, b.text)
        for n, a in enumerate(texts)
        for b in texts[n + 1 :]
        if a.box.grown(-1).touches(b.box.grown(-1))
    ]

    assert meeting == []


def test_a_late_inspection_has_a_shape_of_its_own():
    figure = life_figure(a_life(), 1200, View(), measure)

    kinds = {s.kind: s.color for s in figure.clipped if isinstance(s, Mark)}

    assert kinds["disc"] == "moss"
    assert kinds["diamond"] == "clay"


def test_a_stretched_view_stays_inside_the_life():
    view = View().stretched(4, 0.99)

    assert view.right <= 1.0
    assert view.right - view.left == pytest.approx(0.25)
    assert view.moved(5).right == pytest.approx(1.0)
    assert view.stretched(1 / 100, 0.5) == View(0.0, 1.0)


@pytest.fixture
def strip(qtbot, theme):
    made = LifeStrip(theme)
    qtbot.addWidget(made)
    made.resize(1200, 400)
    made.show_life(a_life())
    made.show()
    return made


def test_arrows_walk_the_marks_and_enter_opens_the_one_stood_on(strip, qtbot):
    qtbot.keyClick(strip, Qt.Key.Key_Right)
    assert strip.mark.words == "call, Jun 8, 2026"
    qtbot.keyClick(strip, Qt.Key.Key_Left)
    assert strip.mark.words == "call, Aug 1, 2025"
    assert strip.accessibleDescription() == "call, Aug 1, 2025"

    with qtbot.waitSignal(strip.opened) as opened:
        qtbot.keyClick(strip, Qt.Key.Key_Return)

    assert opened.args == [("call", 1)]


def test_down_goes_to_the_nearest_mark_of_the_row_below(strip, qtbot):
    qtbot.keyClick(strip, Qt.Key.Key_Right)
    qtbot.keyClick(strip, Qt.Key.Key_Down)
    assert strip.mark.row == 1
    qtbot.keyClick(strip, Qt.Key.Key_Down)
    assert strip.mark.words == "second pump"
    qtbot.keyClick(strip, Qt.Key.Key_Up)
    assert strip.mark.row == 1


def test_end_shows_the_last_year_and_home_the_whole_life(strip, qtbot):
    qtbot.keyClick(strip, Qt.Key.Key_End)
    axis = strip.figure.axis
    assert axis.at(date(2025, 10, 1)) == pytest.approx(axis.x)

    qtbot.keyClick(strip, Qt.Key.Key_Home)

    assert strip.view == View()


def test_the_list_of_text_holds_every_mark_also_those_out_of_view(strip, qtbot):
    qtbot.keyClick(strip, Qt.Key.Key_End)

    words = [line for _, line in strip.lines()]

    for wanted in ("call, Aug 1, 2025", "inspection 1", "first pump", "splice, never looked at",
                   "inspection 3, open"):  # fmt: skip
        assert wanted in words


# --- the trouble in view


def a_life_with_a_trouble():
    """Both calls are one trouble; it points to the splices box, at which nobody looked."""
    life = a_life()
    air, splices = life.rows
    return replace(
        life,
        rows=(air, replace(splices, unlooked="never opened in 7 years")),
        calls=(
            LifePoint("call", date(2024, 12, 1), "another call", ("call", 3), "bell"),
            *(replace(call, in_thread=True) for call in life.calls),
        ),
        thread=LifeThread(
            date(2025, 8, 1), date(2026, 6, 8), "same trouble: 2 calls in 10 months", "told in full"
        ),
    )


def keyed(figure, key):
    shapes = (*figure.shapes, *figure.clipped)
    return [s for s in shapes if getattr(s, "key", "") == key]


def test_a_band_stands_behind_all_rows_from_the_first_to_the_last_call_and_says_how_many():
    # look and interaction, section 4, "Life strip"
    figure = life_figure(a_life_with_a_trouble(), 1200, View(), measure)
    band, name = keyed(figure, "thread")
    rows = [s for s in figure.shapes if isinstance(s, TextBox) and s.key == "name"]

    first, last = figure.axis.at(date(2025, 8, 1)), figure.axis.at(date(2026, 6, 8))
    assert figure.shapes[0] is band
    assert (band.fill, band.stroke) == ("soft.plum", None)
    assert band.box.x < first < last < band.box.right
    assert band.box.x > figure.axis.at(date(2025, 6, 1))
    assert band.box.y <= min(row.box.y for row in rows)
    assert band.box.bottom >= max(row.box.bottom for row in rows)
    assert name.text == "same trouble: 2 calls in 10 months"
    assert band.box.x < name.box.center[0] < band.box.right


def test_calls_of_the_trouble_are_solid_and_others_are_not():
    figure = life_figure(a_life_with_a_trouble(), 1200, View(), measure)

    calls = [s.fill for s in figure.clipped if isinstance(s, Rect) and s.width == 1.2]

    assert calls == ["soft.plum", "plum", "plum"]
    icons = [s.color for s in figure.clipped if isinstance(s, Icon)]
    assert icons == ["plum", "sheet", "sheet"]


def test_a_row_at_which_nobody_looked_is_framed_with_dashes_and_says_since_when():
    figure = life_figure(a_life_with_a_trouble(), 1200, View(), measure)
    frame, words = keyed(figure, "unlooked")

    names = {s.text: s for s in figure.shapes if isinstance(s, TextBox) and s.key == "name"}
    assert frame.dash != ()
    assert frame.box.y < names["Splices box"].box.y < frame.box.bottom
    assert not frame.box.touches(names["Air compressor"].box)
    assert (names["Splices box"].color, names["Air compressor"].color) == ("plum", "ink")
    (bar,) = (s for s in figure.clipped if isinstance(s, Rect) and s.dash)
    assert words.text == "never opened in 7 years"
    assert bar.box.holds(words.box)


def test_a_life_without_trouble_has_neither_band_nor_frame():
    figure = life_figure(a_life(), 1200, View(), measure)

    assert keyed(figure, "thread") == keyed(figure, "unlooked") == []
    assert not any(isinstance(s, Rect) and s.dash for s in (*figure.shapes, *figure.clipped))


@pytest.mark.parametrize("width", [560, 930, 1800])
@pytest.mark.parametrize("view", [View(), View(0.7, 1.0), View(0.0, 0.3), View(0.95, 1.0)])
def test_the_band_stays_on_the_axis_and_no_text_stands_on_another(width, view):
    figure = life_figure(a_life_with_a_trouble(), width, view, measure)

    for shape in keyed(figure, "thread"):
        assert shape.box.x >= figure.axis.x - 1e-6
        assert shape.box.right <= figure.axis.right + 1e-6
    texts = [s for s in (*figure.shapes, *figure.clipped) if isinstance(s, TextBox) and s.text]
    meeting = [
        (a.text, b.text)
        for n, a in enumerate(texts)
        for b in texts[n + 1 :]
        if a.box.grown(-1).touches(b.box.grown(-1))
    ]
    assert meeting == []
    assert all(s.box.right <= width for s in texts if s.key == "legend")
    assert all(s.box.bottom <= figure.height for s in texts)


def test_the_trouble_is_told_to_the_ear_and_calls_keep_their_marks(strip):
    strip.show_life(a_life_with_a_trouble())

    assert ("Calls", "told in full") in strip.lines()
    assert ("Splices box", "splice, never looked at, never opened in 7 years") in strip.lines()
    figure = strip.figure
    for call in ("call, Aug 1, 2025", "call, Jun 8, 2026"):
        mark = next(m for m in figure.in_row(0) if m.words == call)
        assert figure.mark_at(*mark.box.center) is mark
