"""The island and its road extract."""

import itertools
import math
from xml.etree import ElementTree as ET

import pytest

from sample_db.osm import write_osm
from sample_db.sizes import SIZES
from sample_db.world import CENTER_LAT_DEG, CENTER_LON_DEG, degrees, make_world

SMALL = make_world(SIZES["small"], 1)


@pytest.fixture(scope="module", params=["small", "county"])
def extract(request, tmp_path_factory):
    path = tmp_path_factory.mktemp("osm") / "tarrow.osm"
    return ET.parse(write_osm(make_world(SIZES[request.param], 1), path)).getroot()  # noqa: S314


def test_every_way_and_relation_points_to_what_is_there(extract):
    nodes = {n.get("id") for n in extract.iter("node")}
    ways = {w.get("id") for w in extract.iter("way")}
    assert len(nodes) == len(list(extract.iter("node")))
    for way in extract.iter("way"):
        refs = [nd.get("ref") for nd in way.iter("nd")]
        assert len(refs) >= 2
        assert set(refs) <= nodes
    for member in extract.iter("member"):
        assert member.get("ref") in (nodes if member.get("type") == "node" else ways)


def test_all_roads_hang_together(extract):
    links = {}
    for way in extract.iter("way"):
        tags = {t.get("k"): t.get("v") for t in way.iter("tag")}
        if "highway" in tags:
            refs = [nd.get("ref") for nd in way.iter("nd")]
            for a, b in itertools.pairwise(refs):
                links.setdefault(a, set()).add(b)
                links.setdefault(b, set()).add(a)
    start = next(iter(links))
    seen, todo = {start}, [start]
    while todo:
        for other in links[todo.pop()] - seen:
            seen.add(other)
            todo.append(other)
    assert seen == set(links)


def test_turns_not_allowed_meet_at_their_point(extract):
    ways = {w.get("id"): {nd.get("ref") for nd in w.iter("nd")} for w in extract.iter("way")}
    relations = list(extract.iter("relation"))
    assert relations
    for relation in relations:
        by_role = {m.get("role"): m.get("ref") for m in relation.iter("member")}
        assert by_role["via"] in ways[by_role["from"]] & ways[by_role["to"]]


def test_the_extract_has_coast_water_woods_places_and_addresses(extract):
    tags = {(t.get("k"), t.get("v")) for t in extract.iter("tag")}
    for pair in (("natural", "coastline"), ("natural", "water"), ("natural", "wood"),
                 ("waterway", "river"), ("place", "town"), ("place", "village"),
                 ("oneway", "yes"), ("addr:street", "Dry Hollow Lane")):  # fmt: skip
        assert pair in tags
    assert "nvented" in extract.get("note")


def test_the_coast_is_closed_runs_with_land_on_its_left_and_holds_every_house():
    coast = SMALL.coast
    assert coast[0] == coast[-1]
    twice = sum(x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in itertools.pairwise(coast))
    assert twice > 0  # counter-clockwise: land on the left, as OpenStreetMap wants coastlines
    for plot in SMALL.plots:
        assert _inside(plot.at, coast)


def _inside(at, outline):
    x, y = at
    odd = False
    for (x0, y0), (x1, y1) in itertools.pairwise(outline):
        if (y0 > y) != (y1 > y) and x < (x1 - x0) * (y - y0) / (y1 - y0) + x0:
            odd = not odd
    return odd


def test_a_point_ten_kilometers_north_is_ten_kilometers_away():
    # 10 km of a 40,030 km meridian circle are 0.0899 degrees (mean earth radius 6,371 km)
    lat, lon = degrees((0.0, 10.0))
    assert lat - CENTER_LAT_DEG == pytest.approx(10 / (2 * math.pi * 6371) * 360, rel=1e-3)
    assert lon == CENTER_LON_DEG


@pytest.mark.parametrize(
    # from memory: islands and capes around the empty place
    ("lat", "lon"),
    [(32.30, -64.78), (43.93, -60.02), (46.66, -53.07), (39.45, -31.27), (41.67, -69.95)],
)
def test_no_real_land_is_near(lat, lon):
    north = (lat - CENTER_LAT_DEG) * 111.2
    east = (lon - CENTER_LON_DEG) * 111.2 * math.cos(math.radians(CENTER_LAT_DEG))
    assert math.hypot(north, east) > 500


def test_the_pictured_addresses_are_there_once():
    at = [p.address for p in SMALL.plots]
    for address in ("118 Dry Hollow Lane", "9 Tessing Road", "77 Brisk Ferry Road", "3 Heron Bank",
                    "240 Low Meadow", "Pinder Chapel", "31 Quarry Spur"):  # fmt: skip
        assert at.count(address) == 1
