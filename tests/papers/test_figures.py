import math
from dataclasses import replace
from itertools import pairwise

import pytest
from geographiclib.geodesic import Geodesic
from made_up import six_stops, twenty_stops

from servicedesk.papers.figures import (
    Ribbon,
    RibbonStop,
    day_axis,
    draw_ribbon,
    hour_labels,
    promise_lanes,
)
from servicedesk.papers.fonts import width_of
from servicedesk.papers.maps import (
    MapName,
    MapStop,
    RoundMap,
    Taken,
    crosses,
    draw_map,
    scale_bar,
)
from servicedesk.papers.projection import fit, local_meters
from servicedesk.values.position import Position
from servicedesk.values.shapes import Box, Bracket, Hatch, Line, Mark, Polyline, Rect, TextBox

FRAME = Box(33, 100, 546, 400)


def ribbon_of(*stops, leave=435, home=858):
    ribbon = Ribbon(leave, home, stops)
    axis = day_axis(ribbon, 33, 546)
    return axis, draw_ribbon(ribbon, axis, 50, width_of)


def kinds(shapes, kind):
    return [shape for shape in shapes if isinstance(shape, kind)]


def test_blocks_stand_where_their_minutes_are():
    axis, figure = ribbon_of(RibbonStop("1", 463, 518, key="a"), RibbonStop("2", 526, 577, key="b"))
    first, second = kinds(figure.shapes, Rect)
    assert axis.at(435) == 33
    assert axis.at(858) == 33 + 546
    assert first.box.x == pytest.approx(33 + (463 - 435) / (858 - 435) * 546)
    assert second.box.width == pytest.approx((577 - 526) / (858 - 435) * 546)
    assert axis.minute(axis.at(600)) == pytest.approx(600)
    assert (first.key, second.key) == ("a", "b")


def test_waiting_is_dotted_and_driving_is_a_plain_line():
    axis, figure = ribbon_of(RibbonStop("1", 463, 530, start_min=480))
    lines = kinds(figure.shapes, Line)
    dotted = [line for line in lines if line.dash]
    assert [(line.x1, line.x2) for line in dotted] == [(axis.at(463), axis.at(480))]
    plain = [(line.x1, line.x2) for line in lines if not line.dash]
    assert plain == [(axis.at(435), axis.at(463)), (axis.at(530), axis.at(858))]


def test_a_promise_missed_is_hatched_from_its_end_to_the_arrival():
    axis, figure = ribbon_of(
        RibbonStop("1", 700, 760, promise_from_min=600, promise_until_min=690),
        RibbonStop("2", 790, 800, promise_from_min=780, promise_until_min=840),
    )
    (hatch,) = kinds(figure.shapes, Hatch)
    assert hatch.box.x == pytest.approx(axis.at(690))
    assert hatch.box.right == pytest.approx(axis.at(700))


def test_a_promise_that_leaves_the_page_is_open_at_that_end():
    _, figure = ribbon_of(
        RibbonStop("1", 500, 560, promise_until_min=600),
        RibbonStop("2", 700, 760, promise_from_min=690),
        RibbonStop("3", 770, 780, promise_from_min=400, promise_until_min=900),
    )
    brackets = kinds(figure.shapes, Bracket)
    ends = [(b.open_left, b.open_right) for b in brackets]
    assert ends == [(True, False), (False, True), (True, True)]


def test_promises_that_overlap_stand_in_lanes_of_their_own():
    stops = [
        RibbonStop("1", 500, 510, promise_from_min=480, promise_until_min=600),
        RibbonStop("2", 550, 560, promise_from_min=540, promise_until_min=660),
        RibbonStop("3", 700, 710),
        RibbonStop("4", 720, 730, promise_from_min=700, promise_until_min=760),
    ]
    assert promise_lanes(stops) == {0: 0, 1: 1, 3: 0}


def test_all_of_a_ribbon_lies_in_the_box_it_tells():
    for sheet in (six_stops(), twenty_stops()):
        stops = tuple(
            RibbonStop(
                str(s.order),
                s.arrival_min,
                s.leave_min,
                None,
                s.promise_from_min,
                s.promise_until_min,
            )
            for s in sheet.stops
        )
        _, figure = ribbon_of(*stops, leave=sheet.leave_home_min, home=sheet.home_min)
        for shape in figure.shapes:
            assert figure.box.holds(shape.bounds, 0.01), shape


@pytest.mark.parametrize("width", [60, 200, 546])
def test_hour_labels_never_touch_and_noon_has_its_name(width):
    axis = day_axis(Ribbon(400, 1100, ()), 33, width)
    boxes = kinds(hour_labels(axis, 0, width_of), TextBox)
    for one, other in pairwise(boxes):
        assert one.box.right < other.box.x
    if width == 546:
        assert [b.text for b in boxes] == ["7", "8", "9", "10", "11", "noon", *"123456"]


def round_map(sheet, **more):
    return RoundMap(
        tuple(MapStop(str(s.order), s.position) for s in sheet.stops),
        sheet.start,
        tuple(MapName(p.name, p.position) for p in sheet.places),
        credit="straight lines, times estimated",
        **more,
    )


@pytest.mark.parametrize("day", [six_stops, twenty_stops])
@pytest.mark.parametrize("frame", [FRAME, Box(10, 10, 240, 160), Box(0, 0, 300, 700)])
def test_numbers_and_names_lie_in_the_frame_and_not_on_each_other(day, frame):
    shapes = draw_map(round_map(day()), frame, width_of)
    texts = kinds(shapes, TextBox)
    assert {s.text for s in texts} >= {str(stop.order) for stop in day().stops}
    grounds = [s.box for s in kinds(shapes, Rect) if s.key.startswith("stop:")]
    grounds += [s.box for s in texts if not s.key.startswith("stop:")]
    for index, one in enumerate(grounds):
        assert frame.holds(one)
        assert not any(one.touches(other) for other in grounds[index + 1 :])
    for shape in shapes:
        assert frame.holds(shape.bounds, 0.01), shape


def test_ten_stops_on_one_spot_are_all_told_apart_and_tied_to_it():
    here = Position(29.95, -97.0)
    data = RoundMap(tuple(MapStop(str(n), here) for n in range(1, 11)))
    shapes = draw_map(data, FRAME, width_of)
    grounds = [s.box for s in kinds(shapes, Rect) if s.key.startswith("stop:")]
    assert len(grounds) == 10
    for index, one in enumerate(grounds):
        assert not any(one.touches(other) for other in grounds[index + 1 :])
    assert len([s for s in kinds(shapes, Mark) if s.key.startswith("point:")]) == 9


def test_order_lines_run_from_home_through_the_stops_and_home_again():
    data = round_map(six_stops())
    shapes = draw_map(data, FRAME, width_of)
    chain = [line.points for line in kinds(shapes, Polyline) if len(line.points) == 2]
    assert len(chain) == 7
    assert chain[0][0] == chain[-1][1]
    assert all(one[1] == other[0] for one, other in pairwise(chain))


def test_north_is_up_and_east_is_right():
    projection = fit([Position(30, -97), Position(30.1, -96.9)], FRAME)
    west_south, east_north = projection.at(Position(30, -97)), projection.at(Position(30.1, -96.9))
    assert east_north[0] > west_south[0]
    assert east_north[1] < west_south[1]


def test_distances_on_the_map_agree_with_the_ellipsoid():
    # geodesic distances by GeographicLib on WGS84; a sphere is up to 0.6 % off (kept checks say
    # so for a degree of meridian), the map's flat scale a little more
    origin = Position(29.95, -97.0)
    for other in (Position(30.05, -97.0), Position(29.95, -96.85), Position(30.02, -96.93)):
        true_m = Geodesic.WGS84.Inverse(
            origin.lat_deg, origin.lon_deg, other.lat_deg, other.lon_deg
        )["s12"]
        assert math.hypot(*local_meters(origin, other)) == pytest.approx(true_m, rel=0.008)


def test_the_date_line_is_no_edge():
    # Taveuni and its neighbors lie on both sides of 180 degrees
    east, _ = local_meters(Position(-16.8, 179.98), Position(-16.8, -179.98))
    assert east == pytest.approx(0.04 * 111_195 * math.cos(math.radians(16.8)), rel=0.001)


@pytest.mark.parametrize(
    ("meters_per_unit", "longest", "metric", "length_m", "text"),
    [
        (50.0, 100.0, False, 2 * 1609.344, "2 mi"),  # international mile: 1609.344 m
        (10.0, 100.0, False, 0.5 * 1609.344, "0.5 mi"),
        (5.0, 100.0, False, 1000 * 0.3048, "1000 ft"),  # international foot: 0.3048 m
        (50.0, 100.0, True, 5000.0, "5 km"),
        (5.0, 100.0, True, 500.0, "500 m"),
    ],
)
def test_the_scale_bar_is_as_long_as_it_says(meters_per_unit, longest, metric, length_m, text):
    length, told = scale_bar(meters_per_unit, longest, metric=metric)
    assert told == text
    assert length * meters_per_unit == pytest.approx(length_m)
    assert length <= longest


def test_a_line_through_a_box_is_found():
    box = Box(0, 0, 10, 10)
    assert crosses(box, (-5, 5), (15, 5))
    assert crosses(box, (2, 2), (3, 3))
    assert not crosses(box, (-5, 12), (15, 12))
    assert not crosses(box, (-5, 5), (-1, 5))
    assert not crosses(box, (8, -5), (15, 3))


def test_a_name_prefers_room_without_lines():
    taken = Taken(FRAME, width_of)
    taken.lines.append(((FRAME.x, 200.0), (FRAME.right, 200.0)))
    on, off = Box(100, 195, 30, 10), Box(100, 230, 30, 10)
    assert taken.take([on, off], off_lines=True) == off
    assert taken.take([on, off]) == on
    assert taken.take([on, replace(off, x=120)]) is None
