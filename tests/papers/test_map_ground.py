"""What lies under a map on paper: in order, inside its frame, holes left free, credit whole."""

import math
from dataclasses import replace
from io import BytesIO
from itertools import combinations

import numpy as np
import pytest
from pypdf import PdfReader

from servicedesk.papers.crew_look import crew_look
from servicedesk.papers.day_map import DayMap, MapPoint, MapWay, SiteMark, map_figure
from servicedesk.papers.fonts import width_of
from servicedesk.papers.ground import (
    ground_color,
    ground_shapes,
    ground_strokes,
    outline,
    ring_near,
    road_width,
)
from servicedesk.papers.map_page import MapPage, map_page, map_page_shapes
from servicedesk.papers.maps import MapName, MapStop, RoundMap, credit_lines, draw_map
from servicedesk.papers.picture import page_png
from servicedesk.papers.projection import fit
from servicedesk.values.shapes import Box, Font, Polyline, Rect, TextBox
from tests.travel.small_map import (
    LAT,
    LON,
    a_county,
    a_ground,
    area,
    shapes_of,
    spot,
    square,
)

FRAME = Box(33, 100, 546, 400)
EVERYWHERE = (-1e5, -1e5, 1e5, 1e5)
# "© OpenStreetMap contributors", in print with the address of the terms in full:
# openstreetmap.org/copyright and osmfoundation.org, Attribution Guidelines
CREDIT = "roads of tarrow · © OpenStreetMap contributors (https://www.openstreetmap.org/copyright)"


def texts(shapes, key):
    return [s for s in shapes if isinstance(s, TextBox) and s.key == key]


def inside_odd_even(ring, x, y):
    found = False
    for (ax, ay), (bx, by) in zip(ring, [*ring[1:], ring[0]], strict=True):
        if (ay > y) != (by > y) and x < ax + (y - ay) / (by - ay) * (bx - ax):
            found = not found
    return found


def test_areas_lie_under_roads_and_casings_under_fills():
    layers = [
        (s.layer, s.fill or s.color) for s in ground_strokes(a_county(), EVERYWHERE, 1.0)
        if len(s.shapes)
    ]  # fmt: skip
    order = [name for name, _ in layers]
    assert order[:3] == ["woods", "water", "buildings"]
    roads = [color for name, color in layers if name == "roads"]
    assert roads == ["map.casing"] * 3 + ["map.road"] * 3
    widths = [s.width for s in ground_strokes(a_county(), EVERYWHERE, 1.0) if s.layer == "roads"]
    assert widths[:3] == sorted(widths[:3])  # the larger road lies on top of the smaller
    assert all(casing > fill for casing, fill in zip(widths[:3], widths[3:], strict=True))


def test_only_what_touches_the_window_is_drawn():
    near_lake = (2200.0, -4500.0, 3200.0, -2500.0)
    assert {s.layer for s in ground_strokes(a_county(), near_lake, 10.0) if len(s.shapes)} == {
        "water"
    }


def test_roads_are_wider_the_closer_one_looks_and_the_more_they_matter():
    assert road_width(1, 2.0) > road_width(1, 20.0) > road_width(1, 200.0)
    assert road_width(0, 20.0) > road_width(3, 20.0) > road_width(6, 20.0)


def test_islands_in_a_lake_stay_dry():
    outer, one, other = square(0, 0, 10), square(-4, 3, 2)[::-1], square(5, -4, 3)[::-1]
    ground = a_ground(water=shapes_of(area(outer, one, other)))
    ring = outline(ground.level(1.0).layers["water"], 0)
    for i in range(48):
        for j in range(48):
            x, y = -11.9 + i * 0.497, -11.8 + j * 0.493
            wet = inside_odd_even(outer, x, y)
            wet &= not (inside_odd_even(one, x, y) or inside_odd_even(other, x, y))
            assert inside_odd_even(ring, *ground.at(spot(x, y))) == wet, (x, y)


def test_the_sea_lies_around_an_island_only():
    ring = square(0, 0, 20)
    island = a_ground(coast=shapes_of(([[*ring, ring[0]]], 0)))
    assert ground_color(island) == "map.river"
    assert ground_color(a_county()) == "map.land"


def test_on_paper_everything_is_cut_at_the_frame_and_some_of_it_is_there():
    ground = a_county()
    view = fit([spot(-40, -30), spot(40, 30)], FRAME.grown(-34), ground.origin)
    shapes = ground_shapes(ground, FRAME, view)
    assert {s.fill for s in shapes if s.fill} == {"map.wood", "map.river"}
    assert any(s.color == "map.casing" for s in shapes)
    for shape in shapes:
        assert FRAME.holds(shape.bounds, 0.01)


def a_round(**more):
    stops = tuple(MapStop(str(n), spot(3 * n, 2 * n - 4)) for n in range(1, 7))
    return RoundMap(stops, spot(0, 0), credit=CREDIT, ground=a_county(), **more)


def test_the_round_lies_over_the_ground_with_its_places_and_no_name_twice():
    names = (MapName("Wrenlock", spot(0, 0)), MapName("Hollow", spot(9, -2)))
    shapes = draw_map(a_round(names=names), FRAME, width_of)
    lines = [n for n, s in enumerate(shapes) if isinstance(s, Polyline) and s.color == "ink"]
    ground = [
        n for n, s in enumerate(shapes) if isinstance(s, Polyline) and s.color == "map.casing"
    ]
    assert max(ground) < min(lines)
    told = [s.text for s in shapes if isinstance(s, TextBox)]
    assert told.count("Wrenlock") == 1
    assert "Hollow" in told


@pytest.mark.parametrize("frame", [FRAME, Box(10, 10, 240, 300), Box(0, 0, 130, 300)])
def test_the_credit_is_never_cut_and_never_covered(frame):
    shapes = draw_map(a_round(), frame, width_of)
    credit = texts(shapes, "credit")
    assert " ".join(s.text for s in reversed(credit)) == CREDIT
    for shape in credit:
        assert frame.holds(shape.box)
        assert width_of(shape.text, shape.font) <= shape.box.width + 0.01
    others = [s.box for s in shapes if isinstance(s, TextBox) and s.key != "credit"]
    for one in credit:
        assert not any(one.box.touches(other) for other in others)


def test_one_long_word_of_a_credit_is_made_smaller_rather_than_cut():
    lines, size = credit_lines("a verylongaddresswithoutanyblank", Font(10), 60, width_of)
    assert "".join(lines).replace(" ", "") == "averylongaddresswithoutanyblank"
    assert size < 10
    assert all(width_of(line, Font(size)) <= 60.01 for line in lines)


def a_day(n=9, **more):
    points = tuple(
        MapPoint(f"v{i}", str(i + 1), spot(6 * (i % 3) - 6, 5 * (i // 3) - 5)) for i in range(n)
    )
    ways = tuple(
        MapWay(name, crew_look(k), points[k::3], spot(0, 0))
        for k, name in enumerate(("Lena", "Tobin", "Ada"))
    )
    states = ("plain", "called", "owed")
    sites = tuple(
        SiteMark(spot(i % 20 - 10, i // 20 - 8), states[i % 3], guessed=i % 7 == 0)
        for i in range(200)
    )
    return DayMap(
        ways=ways, home=spot(0, 0), frame=tuple(s.position for s in sites), sites=sites,
        villages=(("Wrenlock", spot(0, 0)), ("Corvane", spot(0.2, 0.1))), credit=CREDIT, **more,
    )  # fmt: skip


def a_page(**more):
    return MapPage("Thursday, October 15", "Sallow Fork Onsite Care", a_day(), a_county(), **more)


def test_the_page_is_read_back_with_its_credit_in_full_and_its_names():
    data = map_page(a_page(note="Invented sample"))
    read = PdfReader(BytesIO(data))
    (sheet,) = read.pages
    found = sheet.extract_text().replace("\n", " ")
    for words in ("Thursday, October 15", "Sallow Fork Onsite Care", "Lena", "Wrenlock",
                  "Invented sample", "called twice or more", "500 ft"):  # fmt: skip
        assert words in found
    assert CREDIT.replace(" ", "") in found.replace(" ", "")
    assert (float(sheet.mediabox.width), float(sheet.mediabox.height)) == (792, 612)
    assert page_png(data).startswith(b"\x89PNG")


def test_names_numbers_legend_and_credit_of_the_page_do_not_overlap():
    shapes = map_page_shapes(a_page(), 792, 612)
    boxes = [s.box for s in shapes if isinstance(s, TextBox)]
    for one, other in combinations(boxes, 2):
        assert not one.grown(-0.01).touches(other)


def test_sites_are_told_apart_by_shape_and_guessed_ones_are_dashed():
    figure = map_figure(a_day(), FRAME, width_of)
    marks = {(s.kind, s.filled) for s in figure.shapes if getattr(s, "kind", "") and s.size < 10}
    assert marks >= {("disc", True), ("square", False), ("diamond", False)}
    assert any(isinstance(s, Rect) and s.dash for s in figure.shapes)


def test_a_drive_follows_its_road_and_a_leg_without_one_is_straight():
    day = a_day(3)
    first = day.legs[0]
    bend = (first[0], spot(-3, -9), first[1])
    straight = map_figure(day, FRAME, width_of)
    along = map_figure(replace(day, by_road={first: bend}), FRAME, width_of)

    def points(figure):
        return [s.points for s in figure.shapes if isinstance(s, Polyline) and s.color == "water"]

    assert len(points(along)[0]) == len(points(straight)[0]) + 1


def test_lines_of_crews_on_one_road_lie_beside_each_other():
    ways = tuple(
        MapWay(name, crew_look(k), (MapPoint(f"v{k}", "1", spot(20, 0)),), spot(0, 0))
        for k, name in enumerate(("Lena", "Tobin", "Ada"))
    )
    leg = (spot(0, 0), spot(20, 0))
    day = DayMap(ways=ways, home=spot(0, 0), frame=(spot(20, 0),),
                 by_road={leg: leg, leg[::-1]: leg[::-1]})  # fmt: skip
    shapes = map_figure(day, FRAME, width_of).shapes
    lines = [s for s in shapes if isinstance(s, Polyline) and s.fill is None]
    assert len({round(line.points[0][1], 1) for line in lines}) >= 2
    assert len({line.points[0] for line in lines}) == 3


def test_the_projection_finds_its_way_back():
    view = fit([spot(-20, -10), spot(20, 10)], FRAME)
    for place in (spot(3, 4), spot(-19, 9)):
        back = view.position(*view.at(place))
        assert (back.lat_deg, back.lon_deg) == pytest.approx((place.lat_deg, place.lon_deg))
    assert view.position(*FRAME.center).lat_deg == pytest.approx(LAT)
    assert view.position(*FRAME.center).lon_deg == pytest.approx(LON)


def test_a_ring_cut_for_a_window_is_the_same_inside_it():
    # a star that reaches far out of the window on all sides, compared point by point inside
    corners = [
        (math.cos(k * 0.7) * (400 if k % 3 else 30), math.sin(k * 0.7) * (300 if k % 2 else 60))
        for k in range(120)
    ]
    ring = (np.array([x for x, _ in corners]), np.array([y for _, y in corners]))
    window = (-40.0, -35.0, 45.0, 50.0)
    near = ring_near(ring, window)
    assert 0 < len(near[0]) <= len(corners)
    cut = list(zip(near[0].tolist(), near[1].tolist(), strict=True))
    for i in range(25):
        for j in range(25):
            x, y = -39.3 + i * 3.37, -34.1 + j * 3.29
            assert inside_odd_even(cut, x, y) == inside_odd_even(corners, x, y)


def test_of_a_ring_on_one_side_of_the_window_nothing_is_left_to_draw():
    far = (np.array([200.0, 300, 300, 200]), np.array([0.0, 0, 10, 10]))
    assert len(ring_near(far, (0.0, 0.0, 50.0, 50.0))[0]) == 0
