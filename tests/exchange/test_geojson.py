"""GeoJSON held against RFC 7946, section by section, and read by a library that is not ours."""

import json
from datetime import UTC, datetime

import geojson
import pytest

from servicedesk.exchange.geojson import PointFeature, WayFeature, write_geojson
from servicedesk.values.position import Position

WRITTEN = datetime(2026, 10, 14, 14, 46, tzinfo=UTC)
LANE, SPUR = Position(30.0212345678, -94.0387654321), Position(29.98, -94.05)


def a_site(uid="s1", position=LANE, **properties):
    return PointFeature(uid=uid, position=position, properties={"kind": "site", **properties})


def a_way(*points, uid="r1"):
    return WayFeature(uid=uid, points=points or (LANE, SPUR, LANE), properties={"kind": "round"})


def written(*features, **values):
    return write_geojson(features, **{"name": "Rounds", "written_at": WRITTEN, **values})


def test_another_library_reads_it_and_calls_it_valid():
    read = geojson.loads(written(a_site(), a_way()).decode())
    assert isinstance(read, geojson.FeatureCollection)
    assert read.is_valid, read.errors()
    assert [f.geometry.type for f in read.features] == ["Point", "LineString"]


def test_that_library_can_call_a_file_invalid():
    """The check itself can fail: a line of one point is none (RFC 7946, section 3.1.4)."""
    data = json.loads(written(a_way()))
    data["features"][0]["geometry"]["coordinates"] = [[-94.0, 30.0]]
    assert not geojson.loads(json.dumps(data)).is_valid


def test_section_3_1_1_longitude_comes_first_with_six_decimals():
    point = json.loads(written(a_site()))["features"][0]["geometry"]
    assert point == {"type": "Point", "coordinates": [-94.038765, 30.021235]}


def test_section_3_2_a_feature_has_geometry_properties_and_its_own_id():
    (feature,) = json.loads(written(a_site(address="118 Dry Hollow Lane")))["features"]
    assert set(feature) == {"type", "id", "geometry", "properties"}
    assert feature["id"] == "s1"
    assert feature["properties"] == {"kind": "site", "address": "118 Dry Hollow Lane"}


def test_section_3_1_4_a_way_has_two_points_at_least():
    with pytest.raises(ValueError, match="two points"):
        a_way(LANE)


def test_section_4_no_other_reference_system_is_named():
    assert "crs" not in json.loads(written(a_site()))


def test_section_5_the_box_is_west_south_east_north():
    assert json.loads(written(a_site(), a_way()))["bbox"] == [-94.05, 29.98, -94.038765, 30.021235]


def test_section_7_1_nothing_of_a_feature_or_geometry_stands_on_the_collection():
    data = json.loads(written(a_site(), credit="© mappers"))
    assert not {"coordinates", "geometries", "geometry", "properties"} & set(data)
    assert data["credit"] == "© mappers"


def test_no_feature_is_a_valid_collection_without_a_box():
    data = json.loads(written())
    assert data["features"] == []
    assert "bbox" not in data
    assert geojson.loads(json.dumps(data)).is_valid


def test_two_features_of_one_id_and_times_without_a_zone_are_refused():
    with pytest.raises(ValueError, match="one uid"):
        written(a_site(), a_way(uid="s1"))
    with pytest.raises(ValueError, match="zone"):
        written(a_site(), written_at=WRITTEN.replace(tzinfo=None))


def test_the_same_input_gives_the_same_bytes():
    assert written(a_site(), a_way()) == written(a_site(), a_way())
