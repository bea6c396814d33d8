"""Geometry of bench and map as data: nothing covers anything, and minutes stand where they should."""

import itertools
from dataclasses import replace

import pytest

from servicedesk.desk.at_once import moved_at_once
from servicedesk.desk.rounds_page import rounds_page
from servicedesk.papers.crew_look import crew_look
from servicedesk.papers.day_map import DayMap, MapPoint, MapWay, map_figure
from servicedesk.values.position import Position
from servicedesk.values.shapes import Box, Bracket, Hatch, Icon, Line, Mark, Polyline, Rect, TextBox
from servicedesk.window.paint_shapes import ScreenMeasure
from servicedesk.window.widgets.bench_data import bench_data, hour_text
from servicedesk.window.widgets.bench_shapes import BLOCK, bench_figure, natural_height
from tests.window.rounds_office import THURSDAY, an_office


@pytest.fixture
def page(file_store):
    office = an_office(file_store)
    return rounds_page(office.desk, THURSDAY)


@pytest.fixture
def formats(file_store, page):
    from servicedesk.words.formats import Formats

    return Formats("en_US")


def figure_of(theme, data, width=1228, height=None, scale=1.0, chosen=""):
    height = height or natural_height(len(data.rows), scale)
    return bench_figure(data, width, height, ScreenMeasure(theme), scale=scale, chosen=chosen)


def texts(figure, key=""):
    return [s for s in figure.shapes if isinstance(s, TextBox) and s.key.startswith(key)]


def a_block(page, street):
    return next(i for i, words in page.stops.items() if words.street == street)


@pytest.mark.parametrize(("width", "scale"), [(1228, 1.0), (968, 1.0), (928, 1.3), (1228, 0.9)])
@pytest.mark.parametrize("in_hand", [False, True])
def test_no_text_of_the_bench_covers_another(theme, page, formats, width, scale, in_hand):
    stand = page.case.stand
    plan, base, carried, target = stand, None, "", ""
    if in_hand:
        carried, target = a_block(page, "Heron Bank"), "2"
        plan, base = moved_at_once(stand, carried, to_crew=target, position=2), stand
    data = bench_data(page, plan, formats, base=base, carried=carried, target=target)
    figure = figure_of(theme, data, width, scale=scale)
    for one, other in itertools.combinations(texts(figure), 2):
        assert not one.box.grown(-0.01).touches(other.box), (one.text, other.text)


def test_a_block_is_as_wide_as_its_work_and_stands_at_its_begin(theme, page, formats):
    figure = figure_of(theme, bench_data(page, page.case.stand, formats))
    for placed in figure.blocks:
        day = page.case.stand.day_of[placed.crew_id]
        stop = next(s for s in day.stops if s.stop_id == placed.stop_id)
        minutes = page.case.problem.stop_of[placed.stop_id].service_min
        assert placed.box.x == pytest.approx(figure.axis.at(stop.begin_min))
        assert figure.axis.minute(placed.box.right) == pytest.approx(stop.begin_min + minutes)
        assert placed.box.height == BLOCK


def test_what_is_pressed_is_what_is_drawn(theme, page, formats):
    figure = figure_of(theme, bench_data(page, page.case.stand, formats))
    drawn = {s.key: s.box for s in figure.shapes if isinstance(s, Rect) and s.key}
    for placed in figure.blocks:
        assert figure.block_at(*placed.box.center) == placed
        assert drawn[placed.stop_id] == placed.box
        assert figure.row_at(placed.box.center[1]).crew_id == placed.crew_id
    assert figure.block_at(2, 2) is None


def test_the_promise_is_a_bracket_that_ends_at_its_minute(theme, page, formats):
    figure = figure_of(theme, bench_data(page, page.case.stand, formats))
    (bracket,) = [s for s in figure.shapes if isinstance(s, Bracket)]
    assert figure.axis.minute(bracket.x2) == pytest.approx(10 * 60 + 30)
    assert bracket.open_left
    assert not bracket.open_right


def test_lateness_is_hatched_from_the_end_of_the_promise_to_the_begin(theme, page, formats):
    stop_id = a_block(page, "Heron Bank")
    plan = moved_at_once(page.case.stand, stop_id, to_crew="2", position=2)
    (late,) = plan.late
    figure = figure_of(theme, bench_data(page, plan, formats))
    hatch = next(s for s in figure.shapes if isinstance(s, Hatch))
    assert figure.axis.minute(hatch.box.x) == pytest.approx(10 * 60 + 30)
    assert figure.axis.minute(hatch.box.right) == pytest.approx(late.begin_min)
    assert [t.text for t in texts(figure, "late:")] == [f"{late.late_min} min late"]
    rect = next(s for s in figure.shapes if isinstance(s, Rect) and s.key == stop_id)
    assert (rect.fill, rect.stroke) == ("soft.clay", "clay")


def test_waiting_is_dotted_between_arrival_and_begin(theme, page, formats):
    data = bench_data(page, page.case.stand, formats)
    row = data.rows[0]
    first, second, *rest = row.blocks
    waits = replace(second, begin_min=second.arrival_min + 40, end_min=second.end_min + 40)
    data = replace(data, rows=(replace(row, blocks=(first, waits, *rest)), *data.rows[1:]))
    figure = figure_of(theme, data)
    dotted = [s for s in figure.shapes if isinstance(s, Line) and s.color == "ink3"]
    spans = [(figure.axis.minute(s.x1), figure.axis.minute(s.x2)) for s in dotted]
    assert (pytest.approx(second.arrival_min), pytest.approx(second.arrival_min + 40)) in spans


def test_time_beyond_the_shift_is_hatched_up_to_home(theme, page, formats):
    data = bench_data(page, page.case.stand, formats)
    late = replace(data.rows[0], home_min=data.rows[0].shift_until_min + 50)
    figure = figure_of(theme, replace(data, rows=(late, *data.rows[1:])))
    (hatch,) = [s for s in figure.shapes if isinstance(s, Hatch)]
    assert figure.axis.minute(hatch.box.x) == pytest.approx(late.shift_until_min)
    assert figure.axis.minute(hatch.box.right) == pytest.approx(late.home_min)


def test_differences_are_told_from_the_plan_before_the_drag(page, formats):
    stand = page.case.stand
    stop_id = a_block(page, "Brisk Ferry")
    plan = moved_at_once(stand, stop_id, to_crew="2", position=0)
    data = bench_data(page, plan, formats, base=stand, carried=stop_id, target="2")
    before = {s.stop_id: s.begin_min for d in stand.days for s in d.stops}
    for row, day in zip(data.rows, plan.days, strict=True):
        for block, stop in zip(row.blocks, day.stops, strict=True):
            expected = 0 if stop.stop_id == stop_id else stop.begin_min - before[stop.stop_id]
            assert block.delta_min == expected
    lena, tobin = data.rows
    road = plan.day_of["2"].road_min - stand.day_of["2"].road_min
    assert tobin.side[-1].text == f"+{road} min road"
    assert tobin.side[-1].color == "clay"
    assert lena.side[0].text.startswith("\u2212")
    assert lena.side[0].color == "moss"


def test_the_axis_never_shrinks_under_the_hand(page, formats):
    data = bench_data(page, page.case.stand, formats, covers=(5 * 60, 22 * 60))
    assert (data.from_min, data.until_min) == (5 * 60, 22 * 60)


@pytest.mark.parametrize(
    ("minute", "text"), [(0, "12 am"), (420, "7 am"), (720, "noon"), (780, "1 pm"), (1440, "12 am")]
)
def test_hours_are_named(minute, text):
    assert hour_text(minute) == text


def a_map(n=6, *, spread=0.02, **more):
    points = tuple(
        MapPoint(f"v{i}", str(i + 1), Position(30 + spread * (i % 3), -94 + spread * (i // 3)))
        for i in range(n)
    )
    ways = (
        MapWay("Lena", crew_look(0), points[: n // 2], Position(30, -94)),
        MapWay("Tobin", crew_look(1), points[n // 2 :], Position(30, -94)),
    )
    return DayMap(
        ways=ways, home=Position(30, -94), frame=tuple(p.position for p in points),
        villages=(("Pinder", Position(30.01, -93.99)), ("Corvane", Position(30.02, -94.0))),
        credit="straight lines, times estimated", **more,
    )  # fmt: skip


@pytest.mark.parametrize("spread", [0.02, 0.0005, 0.0])
@pytest.mark.parametrize("size", [(790, 420), (590, 190)])
def test_numbers_on_the_map_never_cover_each_other(theme, spread, size):
    figure = map_figure(a_map(12, spread=spread), Box(0, 0, *size), ScreenMeasure(theme))
    boxes = [box for _, box in figure.spots]
    assert len(boxes) == 12
    for one, other in itertools.combinations(boxes, 2):
        assert not one.grown(-0.01).touches(other)
    frame = Box(0, 0, *size)
    names = [s for s in figure.shapes if isinstance(s, TextBox) and s.key in ("name", "credit")]
    assert all(frame.holds(shape.box) for shape in names)


def test_a_mark_that_moved_aside_is_tied_to_its_place(theme):
    figure = map_figure(a_map(2, spread=0.0), Box(0, 0, 790, 420), ScreenMeasure(theme))
    assert any(isinstance(s, Line) and s.color == "ink2" and s.width == 1.0 for s in figure.shapes)


def test_every_crew_has_its_own_shape_and_line():
    looks = [crew_look(n) for n in range(5)]
    assert len({look.mark for look in looks}) == 5
    assert len({look.dash for look in looks}) == 5
    assert [(look.mark, look.color) for look in looks[:3]] == [
        ("disc", "water"), ("square", "ochre"), ("diamond", "plum"),
    ]  # fmt: skip


def test_north_is_up_and_east_is_right(theme):
    figure = map_figure(a_map(6), Box(0, 0, 790, 420), ScreenMeasure(theme))
    spots = {stop: box.center for stop, box in figure.spots}
    assert spots["v1"][1] < spots["v0"][1] - 20
    assert spots["v3"][0] > spots["v0"][0] + 20


def test_a_late_stop_says_so_and_the_old_way_stays_in_thin_dashes(theme):
    data = a_map(6)
    late = replace(data.ways[0].points[0], is_late=True)
    way = replace(data.ways[0], points=(late, *data.ways[0].points[1:]))
    ghost = (crew_look(0), (Position(30, -94), Position(30.02, -93.98)))
    data = replace(data, ways=(way, data.ways[1]), ghosts=(ghost,))
    figure = map_figure(data, Box(0, 0, 790, 420), ScreenMeasure(theme))
    assert [t.text for t in figure.shapes if isinstance(t, TextBox) and t.key == "late"] == ["late"]
    lines = [s for s in figure.shapes if isinstance(s, Polyline) and s.fill is None]
    assert (lines[0].width, lines[0].dash) == (1.0, (2, 5))
    assert {line.dash for line in lines[1:]} == {way.look.dash for way in data.ways}
    assert any(isinstance(s, Icon) and s.name == "clock" for s in figure.shapes)


def test_the_chosen_stop_wears_the_ring(theme):
    figure = map_figure(a_map(6, chosen="v4"), Box(0, 0, 790, 420), ScreenMeasure(theme))
    (ring,) = [s for s in figure.shapes if isinstance(s, Rect) and s.stroke == "focus"]
    spot = dict(figure.spots)["v4"]
    assert ring.box.holds(spot)
    assert figure.stop_at(*spot.center) == "v4"
    marks = [s for s in figure.shapes if isinstance(s, Mark) and s.key == "v4"]
    assert [mark.kind for mark in marks] == ["square"]
