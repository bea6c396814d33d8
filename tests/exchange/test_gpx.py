"""GPX files held against the schema of GPX 1.1 and read back by a reader that is not ours (gpxpy)."""

from datetime import UTC, datetime
from pathlib import Path

import gpxpy
import pytest
import xmlschema

from servicedesk.exchange.gpx import GpxFile, GpxPlace, GpxRound, write_gpx
from servicedesk.exchange.waypoints import read_waypoints
from servicedesk.values.position import Position

SCHEMA = Path(__file__).parent.parent / "data" / "gpx_1_1.xsd"
WRITTEN = datetime(2026, 10, 14, 14, 46, tzinfo=UTC)
OFFICE = Position(30.0, -94.0)
LANE, SPUR = Position(30.0212345678, -94.0387654321), Position(29.98, -94.05)


def complaints(data: bytes) -> list[str]:
    found = xmlschema.XMLSchema(SCHEMA).iter_errors(data.decode())
    return [f"{error.path}: {error.reason}" for error in found]


def a_round(**values) -> GpxRound:
    stops = (
        GpxPlace(name="1 118 Dry Hollow Lane", position=LANE, note="inspection 2 of 3",
                 kind="inspection", at=datetime(2026, 10, 14, 13, 5, tzinfo=UTC)),
        GpxPlace(name="2 10 Quarry Spur", position=SPUR, note="callback"),
    )  # fmt: skip
    return GpxRound(**{"name": "Lena Hobb, Wed, Oct 14", "stops": stops, **values})


def a_file(**values) -> GpxFile:
    site = GpxPlace(name="118 Dry Hollow Lane", position=LANE, note="TC-00001", kind="site")
    return GpxFile(**{"name": "Rounds", "written_at": WRITTEN, "sites": (site,),
                      "rounds": (a_round(),), **values})  # fmt: skip


WAY = ((OFFICE, Position(30.01, -94.02), LANE), (LANE, SPUR), (SPUR, OFFICE))


def test_the_file_is_valid_by_the_schema():
    assert complaints(write_gpx(a_file())) == []


def test_with_everything_in_it_the_file_is_valid_by_the_schema():
    file = a_file(
        rounds=(a_round(way=WAY), a_round(name="Tobin", note="changed")),
        note="made up", credit="© OpenStreetMap contributors",
        license="https://www.openstreetmap.org/copyright",
    )  # fmt: skip
    assert complaints(write_gpx(file)) == []


def test_the_schema_refuses_what_stands_in_another_order():
    """The check itself can fail: a name before the time is no GPX 1.1."""
    data = write_gpx(a_file())
    time, name = b"<time>2026-10-14T13:05:00Z</time>", b"<name>1 118 Dry Hollow Lane</name>"
    assert time + name in data
    assert complaints(data.replace(time + name, name + time)) != []


def test_another_reader_finds_the_stops_in_their_order_and_places():
    read = gpxpy.parse(write_gpx(a_file(rounds=(a_round(way=WAY),))).decode())
    (route,) = read.routes
    assert route.name == "Lena Hobb, Wed, Oct 14"
    assert [p.name for p in route.points] == ["1 118 Dry Hollow Lane", "2 10 Quarry Spur"]
    # six decimals are 0.11 m at most: 1e-6 degrees of 111.2 km
    assert route.points[0].latitude == 30.021235
    assert route.points[0].longitude == -94.038765
    assert route.points[0].time == datetime(2026, 10, 14, 13, 5, tzinfo=UTC)
    assert [(w.name, w.description) for w in read.waypoints] == [
        ("118 Dry Hollow Lane", "TC-00001")
    ]
    assert read.bounds.min_latitude == 29.98
    assert read.bounds.max_longitude == -94.0


def test_the_roads_are_one_track_in_which_no_place_comes_twice_in_a_row():
    read = gpxpy.parse(write_gpx(a_file(rounds=(a_round(way=WAY),), credit="© mappers")).decode())
    (track,) = read.tracks
    points = [(p.latitude, p.longitude) for p in track.segments[0].points]
    assert points == [
        (30.0, -94.0), (30.01, -94.02), (30.021235, -94.038765), (29.98, -94.05), (30.0, -94.0)
    ]  # fmt: skip
    assert track.source == "© mappers"
    assert read.copyright_author == "© mappers"


def test_without_roads_there_is_no_track():
    assert gpxpy.parse(write_gpx(a_file()).decode()).tracks == []


def test_our_own_reader_of_waypoints_finds_the_sites_again():
    (site,) = read_waypoints(write_gpx(a_file(rounds=())), name="sites.gpx")
    assert (site.name, site.position) == ("118 Dry Hollow Lane", Position(30.021235, -94.038765))


def test_names_with_every_letter_and_no_control_sign_come_back():
    site = GpxPlace(name='Zoë & "Łódź" <Lane>\x07\x00 𝛼', position=LANE)
    data = write_gpx(a_file(sites=(site,), rounds=()))
    assert complaints(data) == []
    assert gpxpy.parse(data.decode()).waypoints[0].name == 'Zoë & "Łódź" <Lane> 𝛼'


def test_a_place_at_the_date_line_stays_within_the_schema():
    """Longitude is below 180 (GPX 1.1, longitudeType), also after rounding."""
    site = GpxPlace(name="x", position=Position(-90.0, 179.9999999))
    data = write_gpx(a_file(sites=(site,), rounds=()))
    assert complaints(data) == []
    assert gpxpy.parse(data.decode()).waypoints[0].longitude == -180.0


def test_the_same_input_gives_the_same_bytes_and_nothing_at_all_is_valid():
    assert write_gpx(a_file()) == write_gpx(a_file())
    assert complaints(write_gpx(GpxFile(name="none", written_at=WRITTEN))) == []


def test_an_instant_without_a_zone_is_refused():
    with pytest.raises(ValueError, match="zone"):
        write_gpx(a_file(written_at=WRITTEN.replace(tzinfo=None)))
