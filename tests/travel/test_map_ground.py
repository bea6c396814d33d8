"""Layers by level of detail: what is minor or small goes first, what leads through stays."""

from itertools import pairwise
from pathlib import Path

import pytest
from geographiclib.geodesic import Geodesic

from servicedesk.exchange.osm_tags import CLASSES
from servicedesk.exchange.roadfile import RoadFile, build_road_file
from servicedesk.travel.map_ground import COARSEST, FINEST, RANK, ROAD_CLASSES, Ground, octave_of
from servicedesk.values.position import Position
from tests.conftest import NOW
from tests.travel.small_map import a_county, a_ground, road, shapes_of, spot, square
from tests.travel.test_map_lines import away

DATA = Path(__file__).parents[1] / "data" / "roads"


@pytest.fixture(scope="module")
def liechtenstein(tmp_path_factory):
    folder = tmp_path_factory.mktemp("roads")
    path = build_road_file(DATA / "liechtenstein-2021.osm.pbf", folder, now=NOW)
    return Ground(RoadFile(path).road_map())


def kinds_at(ground, meters):
    lines = ground.level(meters).layers.get("roads")
    return {ROAD_CLASSES[k] for k in lines.kind.tolist()} if lines is not None else set()


def test_classes_are_numbered_as_in_the_road_file():
    assert ROAD_CLASSES == CLASSES
    assert set(RANK) == set(CLASSES)


def test_lanes_and_houses_are_drawn_only_close_by_and_the_main_road_always():
    ground = a_county()
    assert kinds_at(ground, 1.0) == {"primary", "residential", "track"}
    assert kinds_at(ground, 20.0) == {"primary", "residential"}
    assert kinds_at(ground, 300.0) == {"primary"}
    assert "buildings" in ground.level(2.0).layers
    assert "buildings" not in ground.level(20.0).layers
    assert len(ground.level(500.0).layers["water"]) == 1  # 1.8 km: still 3 px
    assert len(ground.level(700.0).layers["woods"]) == 1


def test_specks_are_left_out_far_away(liechtenstein):
    shapes = [len(liechtenstein.level(2.0**k).layers["woods"]) for k in range(9)]
    assert shapes == sorted(shapes, reverse=True)
    assert shapes[0] > 500
    assert 100 > shapes[8] > 0


def test_points_grow_fewer_and_motorways_never_go(liechtenstein):
    points = [len(liechtenstein.level(2.0**k).layers["roads"].x) for k in range(9)]
    assert points == sorted(points, reverse=True)
    for k in range(9):
        assert "primary" in kinds_at(liechtenstein, 2.0**k)


def test_a_level_is_at_most_half_a_pixel_beside_what_was_read(liechtenstein):
    fine, coarse = liechtenstein.level(0.25), liechtenstein.level(8.0)
    assert (fine.octave, coarse.octave) == (-2, 3)
    lakes, simple = fine.layers["water"], coarse.layers["water"]
    big = int(lakes.sizes().argmax())
    same = int((abs(simple.boxes - lakes.boxes[big]).sum(axis=1)).argmin())
    read, drawn = lakes.rings(big)[0], simple.rings(same)[0]
    assert len(drawn[0]) < len(read[0]) * 0.6
    pieces = list(pairwise(zip(drawn[0].tolist(), drawn[1].tolist(), strict=True)))
    for point in zip(read[0].tolist(), read[1].tolist(), strict=True):
        nearest = min(away(point, one, other) for one, other in pieces)
        assert nearest <= 8.0 / 2 + 0.25 / 2  # half a pixel of each level


def test_a_scale_has_the_octave_below_it():
    assert octave_of(1.0) == 0
    assert octave_of(1.99) == 0
    assert octave_of(2.0) == 1
    assert octave_of(0.01) == FINEST
    assert octave_of(1e9) == COARSEST


def test_a_closed_coast_makes_an_island_and_an_open_one_does_not():
    ring = square(0, 0, 20)
    closed = shapes_of(([[*ring, ring[0]]], 0))
    island = a_ground(coast=closed, roads=shapes_of(road("primary", (0, 0), (5, 0))))
    assert island.is_island
    assert len(island.level(10.0).layers["land"]) == 1
    # in two pieces that join; land lies on the left (wiki, Tag:natural=coastline, from memory)
    halves = shapes_of(([[*ring[:3]]], 0), ([[ring[2], ring[3], ring[0]]], 0))
    joined = a_ground(coast=halves)
    assert joined.is_island
    assert len(joined.level(10.0).layers["land"].x) == 5  # four corners and the first again
    assert not a_ground(coast=shapes_of(([ring[:3]], 0))).is_island
    # the other way round the land lies outside: a bay, not an island
    bay = ring[::-1]
    assert not a_ground(coast=shapes_of(([[*bay, bay[0]]], 0))).is_island


def test_meters_agree_with_the_ellipsoid():
    # geodesic distances by GeographicLib on WGS84; a sphere and a flat map are up to 0.8 % off
    ground = a_county()
    for other in (spot(30, 0), spot(0, 30), spot(-20, 15)):
        x, y = ground.at(other)
        true_m = Geodesic.WGS84.Inverse(30, -94, other.lat_deg, other.lon_deg)["s12"]
        assert (x**2 + y**2) ** 0.5 == pytest.approx(true_m, rel=0.008)
    assert ground.at(spot(10, 10))[0] > 0 > ground.at(spot(10, 10))[1]  # y grows to the south


def test_small_places_are_named_only_close_by():
    ground = a_county()
    assert [p.name for p in ground.named_places(200.0)] == ["Wrenlock"]
    assert [p.name for p in ground.named_places(50.0)] == ["Wrenlock", "Pinder"]
    assert [p.name for p in ground.named_places(5.0)] == ["Wrenlock", "Pinder", "Two Oaks"]


def test_close_by_roads_are_named_once_on_the_road_and_far_away_they_are_not(liechtenstein):
    middle = Position(47.1662, 9.5103)  # Schaan, in the extract
    corners = (Position(47.1700, 9.5040), Position(47.1625, 9.5165))

    named = liechtenstein.named_roads(corners, 1.5)

    names = [name for name, _ in named]
    assert "Landstrasse" in names
    assert len(names) == len(set(names))
    for _, at in named:
        assert corners[1].lat_deg <= at.lat_deg <= corners[0].lat_deg
        assert corners[0].lon_deg <= at.lon_deg <= corners[1].lon_deg
        near = Geodesic.WGS84.Inverse(middle.lat_deg, middle.lon_deg, at.lat_deg, at.lon_deg)
        assert near["s12"] < 1_000
    assert liechtenstein.named_roads(corners, 20.0) == ()
