"""Rounds and sites as files: read back by readers that are not ours."""

import csv
from datetime import UTC, datetime, timedelta
from io import StringIO

import geojson
import gpxpy
import pytest

from servicedesk.desk.out import Span, rounds_csv, rounds_geojson, rounds_gpx
from servicedesk.desk.roads import build_roads
from servicedesk.desk.span_rounds import leads_named, rounds_of_span, week_of
from servicedesk.values.trouble import Trouble
from tests.builders import TODAY, a_round, a_site, a_technician, a_visit
from tests.desk.test_roads import place, small_extract  # noqa: F401 (a fixture)
from tests.exchange.test_gpx import complaints

DAY = Span(first=TODAY, until=TODAY + timedelta(days=1))


@pytest.fixture
def planned(file_desk):
    """Lena: the lane, a site nobody has put on the map, the spur. Tobin: nothing."""
    lena = a_technician(file_desk)
    round_ = a_round(file_desk, lena, leave_min=480, home_min=700, road_min=60)
    spots = (("118 Dry Hollow Lane", place(25, 0)), ("9 Nowhere Lane", None),
             ("10 Quarry Spur", place(5, 0)))  # fmt: skip
    for n, (address, spot) in enumerate(spots, 1):
        at = {} if spot is None else {"lat_deg": spot.lat_deg, "lon_deg": spot.lon_deg}
        site = a_site(file_desk, address, owner=f"Owner {n}", **at)
        a_visit(file_desk, site, round_id=round_.id, place=n, arrive_min=480 + 60 * n,
                begin_min=480 + 60 * n, leave_min=520 + 60 * n)  # fmt: skip
    a_round(file_desk, a_technician(file_desk, "Tobin Ashe"))
    return file_desk


def test_a_round_is_a_route_and_a_guessed_place_is_named_and_not_led_to(planned):
    out = rounds_gpx(planned, DAY)
    read = gpxpy.parse(out.data.decode())
    assert complaints(out.data) == []
    first = read.routes[0]
    assert first.name == "Lena Hobb, Wed, Oct 14"
    assert [p.name for p in first.points] == ["1 118 Dry Hollow Lane", "3 10 Quarry Spur"]
    assert first.points[0].time == datetime(2026, 10, 14, 13, 0, tzinfo=UTC)  # 9:00 in New York
    assert "9 Nowhere Lane" in first.description
    assert out.off_map == ("9 Nowhere Lane",)
    assert (out.n_rounds, out.n_stops) == (2, 3)
    assert read.waypoints == read.tracks == []


def test_sites_go_out_with_number_and_permit(planned):
    out = rounds_gpx(planned, Span(first=TODAY, until=TODAY, with_sites=True))
    read = gpxpy.parse(out.data.decode())
    assert [(w.name, w.description) for w in read.waypoints] == [
        ("118 Dry Hollow Lane", "site 1, TC-00001"), ("10 Quarry Spur", "site 3, TC-00003")
    ]  # fmt: skip
    assert out.n_sites == 2
    assert complaints(out.data) == []


def test_with_roads_the_round_is_a_track_along_them_with_its_credit(planned, small_extract):  # noqa: F811
    build_roads(planned, small_extract)
    read = gpxpy.parse(rounds_gpx(planned, DAY).data.decode())
    (track,) = read.tracks  # Tobin drives nowhere
    assert len(track.segments[0].points) > 4
    assert "tarrow" in track.source
    assert read.copyright_author == track.source
    features = geojson.loads(rounds_geojson(planned, DAY).data.decode())
    line = next(f for f in features.features if f.geometry.type == "LineString")
    assert line.properties["line"] == "roads"
    assert len(line.geometry.coordinates) == len(track.segments[0].points)
    assert features["credit"] == track.source


def test_geojson_carries_stops_by_uid_and_says_that_lines_are_straight(planned):
    out = rounds_geojson(planned, Span(first=TODAY, until=DAY.until, with_sites=True))
    read = geojson.loads(out.data.decode())
    assert read.is_valid
    kinds = [f.properties["kind"] for f in read.features]
    assert kinds == ["site", "site", "round", "stop", "stop"]
    rounds = rounds_of_span(planned, DAY.first, DAY.until)
    uids = {stop.uid for one in rounds for stop in one.stops if stop.position}
    assert {f.id for f in read.features if f.properties["kind"] == "stop"} == uids
    line = read.features[2]
    assert line.properties["line"] == "straight lines"
    assert line.geometry.coordinates[0] == [-94.0, 30.0]  # the office
    assert read.features[3].properties["arrive"] == "2026-10-14T13:00:00+00:00"  # 9:00 in New York
    assert "credit" not in read


def test_no_file_carries_a_customers_name(planned):
    for write in (rounds_gpx, rounds_geojson, rounds_csv):
        data = write(planned, Span(first=TODAY, until=DAY.until, with_sites=True)).data
        assert b"Owner" not in data


def test_the_list_has_a_line_a_stop_also_without_a_place(planned):
    read = list(csv.reader(StringIO(rounds_csv(planned, DAY).data.decode("utf-8-sig"))))
    assert [row[1:6] for row in read[1:]] == [
        ["Lena Hobb", "1", "09:00", "09:40", "118 Dry Hollow Lane"],
        ["Lena Hobb", "2", "10:00", "10:40", "9 Nowhere Lane"],
        ["Lena Hobb", "3", "11:00", "11:40", "10 Quarry Spur"],
    ]
    assert read[1][-2:] == [f"{place(25, 0).lat_deg:.6f}", f"{place(25, 0).lon_deg:.6f}"]
    assert read[2][-2:] == ["", ""]


def test_who_starts_at_home_starts_there(file_desk):
    lena = a_technician(file_desk, base="home", home_lat_deg=30.2, home_lon_deg=-94.2)
    round_ = a_round(file_desk, lena)
    a_visit(file_desk, a_site(file_desk, lat_deg=30.0, lon_deg=-94.1), round_id=round_.id, place=1)
    read = geojson.loads(rounds_geojson(file_desk, DAY).data.decode())
    assert read.features[0].geometry.coordinates == [[-94.2, 30.2], [-94.1, 30.0], [-94.2, 30.2]]


def test_only_the_named_ones_rounds_and_a_name_nobody_bears_is_refused(planned):
    leads = leads_named(planned, ["lena"], TODAY)
    (one,) = rounds_of_span(planned, DAY.first, DAY.until, lead_ids=leads)
    assert one.technician == "Lena Hobb"
    with pytest.raises(Trouble, match="Lena Hobb, Tobin Ashe"):
        leads_named(planned, ["Nobody"], TODAY)


def test_a_week_begins_on_monday():
    assert week_of(TODAY) == (TODAY - timedelta(days=2), TODAY + timedelta(days=5))


def test_the_same_rounds_give_the_same_bytes(planned):
    for write in (rounds_gpx, rounds_geojson, rounds_csv):
        assert write(planned, DAY).data == write(planned, DAY).data
