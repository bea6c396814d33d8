import pytest
from hypothesis import given
from hypothesis import strategies as st

from servicedesk.travel.geo_uri import geo_uri, position_of
from servicedesk.values.position import Position


@pytest.mark.parametrize(
    ("lat_deg", "lon_deg", "uri"),
    [
        (31.0, -97.5, "geo:31,-97.5"),
        (31.12345678, -97.00000004, "geo:31.1234568,-97"),
        (-0.00000001, 0.0, "geo:0,0"),
        (0.0000001, -0.0000001, "geo:0.0000001,-0.0000001"),
        (10.0, 100.0, "geo:10,100"),
    ],
)
def test_at_most_seven_decimals_and_no_idle_zeros(lat_deg, lon_deg, uri):
    assert geo_uri(Position(lat_deg=lat_deg, lon_deg=lon_deg)) == uri


@given(st.floats(-90, 90), st.floats(-180, 180, exclude_max=True))
def test_written_and_read_again_is_the_same_place_within_a_centimetre(lat_deg, lon_deg):
    again = position_of(geo_uri(Position(lat_deg=lat_deg, lon_deg=lon_deg)))

    assert again.lat_deg == pytest.approx(lat_deg, abs=5.1e-8)
    if abs(again.lat_deg) != 90:
        turn = (again.lon_deg - lon_deg + 180) % 360 - 180
        assert turn == pytest.approx(0, abs=5.1e-8)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "31,-97",
        "geo:31",
        "geo:31;-97",
        "geo:31,-97;crs=nad27",
        "geo:91,0",
        "geo:0,181",
        "geo:1e1,0",
        "geo:+31,-97",
        "geo:31,-97;u= 4",
        "geo:31,-97 and more",
    ],
)
def test_what_is_no_wgs84_place_is_refused(text):
    with pytest.raises(ValueError):
        position_of(text)
