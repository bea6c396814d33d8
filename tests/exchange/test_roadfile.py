"""Road files: what goes in comes out, nothing half, nothing but arrays."""

import json
import zipfile
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest

from servicedesk.exchange.osm_roads import Area, read_ways
from servicedesk.exchange.osm_tags import (
    CLOSED,
    INSIDERS_ONLY,
    OPEN,
    access_of,
    directions_of,
    posted_kmh,
    speed_kmh,
)
from servicedesk.exchange.road_build import graph_of
from servicedesk.exchange.roadfile import RoadFile, build_road_file
from servicedesk.values.trouble import Stopped, Trouble
from tests.travel.small_roads import extract

ROADS = Path(__file__).parents[1] / "data" / "roads"
ANDORRA, LIECHTENSTEIN = ROADS / "andorra-2013.osm.pbf", ROADS / "liechtenstein-2021.osm.pbf"
NOW = datetime(2026, 10, 14, 12, 0, tzinfo=UTC)


def test_a_road_file_gives_back_what_was_read(tmp_path):
    path = build_road_file(LIECHTENSTEIN, tmp_path, now=NOW)
    file = RoadFile(path)
    graph, again = graph_of(read_ways(LIECHTENSTEIN)), file.graph()
    for name in ("tail", "head", "shape_lat", "metres", "seconds", "ways", "flags", "banned"):
        assert (getattr(graph, name) == getattr(again, name)).all()
    assert again.names == graph.names
    # counted in SOURCES.md: 3,562 house numbers with a street, 14,036 buildings, 85 turn rules
    assert len(file.houses()) == 3562
    assert len(file.road_map().layers["buildings"]) == pytest.approx(14_036, abs=10)
    assert file.about.nodes == graph.n_nodes
    # measured by another reader of the same extract: 732 km, 6,642 nodes (other rules for access)
    assert file.about.road_km == pytest.approx(732, rel=0.06)
    assert graph.n_nodes == pytest.approx(6642, rel=0.05)


def test_it_says_where_it_comes_from_and_under_which_license(tmp_path):
    about = RoadFile(build_road_file(ANDORRA, tmp_path, now=NOW)).about
    assert about.sha256 == "70998b72b5eed4b6a8565837b3d72c3b592c4dc4f1a7d5e964367d20508f188b"
    assert about.newest_edit.startswith("2013-05")
    assert about.credit == "© OpenStreetMap contributors"
    assert "ODbL" in about.license
    assert about.name == "andorra-2013"


def test_it_holds_arrays_only(tmp_path):
    path = build_road_file(ANDORRA, tmp_path, now=NOW)
    with zipfile.ZipFile(path) as file:
        for name in file.namelist():
            with file.open(name) as part:
                version = np.lib.format.read_magic(part)
                header = np.lib.format.read_array_header_1_0(part)
                assert version == (1, 0)
                assert not header[2].hasobject


def test_without_buildings_the_rest_is_the_same(tmp_path):
    full = RoadFile(build_road_file(LIECHTENSTEIN, tmp_path / "a", now=NOW))
    less = RoadFile(build_road_file(LIECHTENSTEIN, tmp_path / "b", now=NOW, buildings=False))
    assert len(less.road_map().layers["buildings"]) == 0
    assert len(less.road_map().layers["woods"]) == len(full.road_map().layers["woods"])
    assert len(less.houses()) == len(full.houses())
    assert less.about.key != full.about.key
    assert less.path.stat().st_size < full.path.stat().st_size


def test_clipped_to_an_area(tmp_path):
    area = Area(47.10, 9.50, 47.16, 9.56)
    part = RoadFile(build_road_file(LIECHTENSTEIN, tmp_path, area, now=NOW))
    graph = part.graph()
    assert 0 < graph.n_nodes < 5000
    assert len(graph.shape_lat) < len(graph_of(read_ways(LIECHTENSTEIN)).shape_lat)
    houses = part.houses()
    assert 0 < len(houses) < 3562
    # what touches the area is kept whole: houses lie within a house's width of it
    assert houses.lat.min() / 1e7 > area.lat_from - 0.005
    assert houses.lat.max() / 1e7 < area.lat_until + 0.005


def test_an_area_elsewhere_is_said(tmp_path):
    with pytest.raises(Trouble, match="has no roads in this area"):
        build_road_file(ANDORRA, tmp_path, Area(10, 10, 11, 11), now=NOW)
    assert not list(tmp_path.iterdir())


def test_progress_goes_on_and_says_what_is_done(tmp_path):
    seen = []
    build_road_file(ANDORRA, tmp_path, now=NOW, progress=lambda *told: seen.append(told))
    done = [told[0] for told in seen]
    assert done == sorted(done)
    assert {told[1] for told in seen} == {done[-1]}
    notes = [told[2] for told in seen if len(told) > 2]
    assert notes[0] == "Reading roads"
    assert "Writing the road file" in notes


@pytest.mark.parametrize("stop_at", [1, 2, 4])
def test_stopped_in_the_middle_nothing_stays(tmp_path, stop_at):
    calls = []

    def progress(done, total, note=""):
        calls.append(done)
        if len(calls) == stop_at:
            raise Stopped

    with pytest.raises(Stopped):
        build_road_file(ANDORRA, tmp_path, now=NOW, progress=progress)
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize(
    "content", [b"", b"no extract", b"<osm version='0.6'><node", b"\x00" * 999]
)
def test_what_is_no_extract_is_said(tmp_path, content):
    for name in ("x.osm.pbf", "x.osm"):
        path = tmp_path / name
        path.write_bytes(content)
        with pytest.raises(Trouble):
            build_road_file(path, tmp_path / "out", now=NOW)


def test_a_missing_extract_and_a_half_one(tmp_path):
    with pytest.raises(Trouble, match="There is no file"):
        build_road_file(tmp_path / "none.osm.pbf", tmp_path, now=NOW)
    half = tmp_path / "half.osm.pbf"
    half.write_bytes(ANDORRA.read_bytes()[:300_000])
    with pytest.raises(Trouble, match="cannot be read"):
        build_road_file(half, tmp_path, now=NOW)


def test_a_spoiled_or_foreign_road_file_is_refused(tmp_path):
    path = build_road_file(ANDORRA, tmp_path, now=NOW)
    data = path.read_bytes()
    for spoiled in (b"", data[:5000], b"x" * 100, b"PK\x03\x04" + data[40:]):
        path.write_bytes(spoiled)
        with pytest.raises(Trouble, match="cannot be read"):
            RoadFile(path)
    np.savez(path, about=np.frombuffer(json.dumps({"format": 99}).encode(), dtype=np.uint8))
    with pytest.raises(Trouble, match="cannot be read"):
        RoadFile(path)
    np.savez(path, about=np.array([{"format": 1}], dtype=object))  # would need pickle
    with pytest.raises(Trouble, match="cannot be read"):
        RoadFile(path)


def test_a_disk_that_is_full_leaves_nothing_half(tmp_path, monkeypatch):
    def full(file, **_arrays):
        file.write(b"half")
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(np, "savez_compressed", full)
    with pytest.raises(Trouble, match="cannot be written"):
        build_road_file(ANDORRA, tmp_path, now=NOW)
    assert not list(tmp_path.iterdir())


def test_lines_in_names_cannot_break_the_lists(tmp_path):
    tags = {"highway": "residential", "name": "Two\nLines"}
    file = extract(tmp_path / "x.osm", {"a": (0, 0), "b": (9, 0)}, [("ab", tags)])
    graph = RoadFile(build_road_file(file, tmp_path, now=NOW)).graph()
    assert graph.names == ("Two Lines",)


def test_what_tags_mean():
    assert posted_kmh("30 mph") == pytest.approx(48.28032)
    assert posted_kmh("50") == 50
    assert posted_kmh("none") is None
    assert access_of({"access": "private"}) == INSIDERS_ONLY
    assert access_of({"access": "no", "motorcar": "yes"}) == OPEN  # the most exact key rules
    assert access_of({"motor_vehicle": "no"}) == CLOSED
    assert access_of({"motor_vehicle": "agricultural;forestry"}) == CLOSED
    assert directions_of({"highway": "motorway"}) == 1
    assert directions_of({"highway": "primary", "oneway": "-1"}) == 2
    assert directions_of({"highway": "primary", "junction": "roundabout"}) == 1
    assert directions_of({"highway": "primary"}) == 3
    assert speed_kmh({"highway": "residential", "maxspeed": "50"}) == 45
    assert speed_kmh({"highway": "service", "service": "driveway"}) == 12
    assert speed_kmh({"highway": "secondary", "surface": "gravel"}) == 40
    assert speed_kmh({"highway": "secondary", "surface": "dirt"}) == 25
