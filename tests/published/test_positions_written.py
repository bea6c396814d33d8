"""Written positions against open standards: RFC 5870, ISO 6709, GPX 1.1, geodesic examples."""

import json
from pathlib import Path

import pytest

from servicedesk.exchange.addresses import address_key
from servicedesk.exchange.positions import read_pair
from servicedesk.exchange.waypoints import read_waypoints
from servicedesk.values.trouble import Trouble

CHECKS = {
    c["id"]: c
    for c in json.loads(
        (Path(__file__).parents[1] / "data" / "exchange_standards.json").read_text(encoding="utf-8")
    )["checks"]
}


@pytest.mark.parametrize(
    ("uri", "lat_deg", "lon_deg"),
    [
        # RFC 5870 (June 2010), sections 3.3, 6.1 and 6.2; from memory, the RFC itself not re-read
        ("geo:13.4125,103.8667", 13.4125, 103.8667),
        ("geo:48.2010,16.3695,183", 48.2010, 16.3695),
        ("geo:48.198634,16.371648;crs=wgs84;u=40", 48.198634, 16.371648),
        ("geo:90,-22.43;crs=WGS84", 90, -22.43),
        ("geo:22.300,-118.44", 22.3, -118.44),
        # seen in an encyclopedia's page on the scheme
        ("geo:37.786971,-122.399677;u=35", 37.786971, -122.399677),
    ],
)
def test_a_geo_uri_is_read(uri, lat_deg, lon_deg):
    pair = read_pair(uri)

    assert (pair.lat_deg, pair.lon_deg) == (lat_deg, lon_deg)


def test_a_geo_uri_in_another_reference_system_is_no_position():
    # RFC 5870 section 3.4.1: crs names the reference system; from memory
    assert read_pair("geo:323482,4306480;crs=EPSG:32618;u=20") is None
    assert read_pair("geo:32.3482,43.0648;crs=nad27") is None


@pytest.mark.parametrize(
    ("text", "lat_deg", "lon_deg"),
    [
        # ISO 6709 strings as quoted on public pages about the standard
        ("+40-075/", 40, -75),
        ("+48.8577+002.295/", 48.8577, 2.295),
        ("+40.6894-074.0447/", 40.6894, -74.0447),
        ("+4852+00220/", 48 + 52 / 60, 2 + 20 / 60),
        ("+275916+0865640+8850/", 27 + 59 / 60 + 16 / 3600, 86 + 56 / 60 + 40 / 3600),
        ("-90+000+2800/", -90, 0),
    ],
)
def test_an_iso_6709_string_is_read(text, lat_deg, lon_deg):
    pair = read_pair(text)

    assert (pair.lat_deg, pair.lon_deg) == pytest.approx((lat_deg, lon_deg), abs=1e-12)


def test_degrees_minutes_seconds_of_the_airport_example():
    check = CHECKS["geodesic-jfk-sin"]["input"]

    one, two = read_pair(check["point1"]), read_pair(check["point2"])

    assert (one.lat_deg, one.lon_deg) == pytest.approx((check["lat1"], check["lon1"]), abs=1e-9)
    assert (two.lat_deg, two.lon_deg) == pytest.approx((check["lat2"], check["lon2"]), abs=1e-9)


def test_degrees_minutes_seconds_of_the_survey_example():
    check = CHECKS["geodesic-flinders-buninyong"]["input"]

    pair = read_pair(f"{check['lat1']} {check['lon1']}")

    assert pair.lat_deg == pytest.approx(-(37 + 57 / 60 + 3.7203 / 3600), abs=1e-12)
    assert pair.lon_deg == pytest.approx(144 + 25 / 60 + 29.5244 / 3600, abs=1e-12)


def gpx(lat, lon):
    return (
        '<gpx version="1.1" creator="t" xmlns="http://www.topografix.com/GPX/1/1">'
        f'<wpt lat="{lat}" lon="{lon}"><name>A</name></wpt></gpx>'
    ).encode()


@pytest.mark.parametrize("place", CHECKS["gpx-latlon-range"]["input"]["valid"])
def test_gpx_accepts_the_range_of_the_schema(place):
    (waypoint,) = read_waypoints(gpx(*place), name="a.gpx")

    assert (waypoint.position.lat_deg, waypoint.position.lon_deg) == tuple(place)


@pytest.mark.parametrize("place", CHECKS["gpx-latlon-range"]["input"]["invalid"])
def test_gpx_refuses_what_the_schema_refuses(place):
    with pytest.raises(Trouble):
        read_waypoints(gpx(*place), name="a.gpx")


@pytest.mark.parametrize("check", [c for i, c in CHECKS.items() if i.startswith("usps-rural")])
def test_rural_addresses_compare_as_the_postal_standard_writes_them(check):
    assert address_key(check["input"]) == address_key(check["expected"])
    assert address_key(check["input"]).rstrip("|").upper() == check["expected"]
