"""`geo:` URIs against the examples of RFC 5870.

The examples are those of RFC 5870, sections 6.1 to 6.4, written down from memory.
"""

import pytest

from servicedesk.travel.geo_uri import geo_uri, position_of
from servicedesk.values.position import Position


@pytest.mark.parametrize(
    ("uri", "lat_deg", "lon_deg"),
    [
        ("geo:13.4125,103.8667", 13.4125, 103.8667),
        ("geo:48.2010,16.3695,183", 48.2010, 16.3695),
        ("geo:48.198634,16.371648;crs=wgs84;u=40", 48.198634, 16.371648),
        ("geo:66,30;u=6.500;FOo=this%2dthat", 66, 30),
        ("GEO:-66.5,-30", -66.5, -30),
    ],
)
def test_examples_of_the_standard_are_read(uri, lat_deg, lon_deg):
    assert position_of(uri) == Position(lat_deg=lat_deg, lon_deg=lon_deg)


def test_all_longitudes_of_a_pole_are_one_place():
    assert position_of("geo:90,-22.43;crs=WGS84") == position_of("geo:90,46;CRS=WGS84")


def test_both_names_of_the_antimeridian_are_one_place():
    assert position_of("geo:47,180") == position_of("geo:47,-180")


def test_a_pole_is_written_with_longitude_zero():
    # RFC 5870, section 3.4.2
    assert geo_uri(Position(lat_deg=-90, lon_deg=120)) == "geo:-90,0"
