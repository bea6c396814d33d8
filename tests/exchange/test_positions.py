"""Positions in cells: many writings, one pair; doubts are asked."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from servicedesk.exchange.positions import (
    Doubt,
    Pair,
    WorkArea,
    Writing,
    doubt_of,
    read_angle,
    read_pair,
)
from servicedesk.values.position import Position

lats = st.floats(-89.9, 89.9).map(lambda x: round(x, 5))
lons = st.floats(-179.9, 179.9).map(lambda x: round(x, 5))
WEST = WorkArea.around(Position(37.0, -58.0))


@pytest.mark.parametrize(
    "text",
    ["37.03472, -58.08667", "37.03472 -58.08667", "37.03472;-58.08667", "(37.03472, -58.08667)",
     "37.03472° N, 58.08667° W", "N 37.03472 W 58.08667", "58.08667W 37.03472N",
     "37°02'05\"N 58°05'12\"W", "37° 02' 05\" N, 58° 05' 12\" W", "37 02 05 N, 58 05 12 W",
     "37°02′05″N 58°05′12″W", "37º02’05” N 58º05’12” W", "37d02m05s N 58d05m12s W",
     "37:02:05N 58:05:12W", "N37 02.0833 W058 05.2", "37-02-05 N 58-05-12 W", "37 02 05 -58 05 12",
     "37 deg 02 min 05 sec N, 58 deg 05 min 12 sec W", "Lat: 37.03472 Lon: -58.08667",
     "lat 37.03472, lon -58.08667", "37,03472; -58,08667", "37,03472 N 58,08667 W",
     "geo:37.03472,-58.08667", "https://maps.example/@37.03472,-58.08667,17z",
     "https://maps.example/?q=37.03472,-58.08667", "https://maps.example/?ll=37.03472,-58.08667&z=9",
     "https://maps.example/?mlat=37.03472&mlon=-58.08667#map=17/37.1/-58.2",
     "https://maps.example/#map=17/37.03472/-58.08667",
     "https://maps.example/?q=37.03472%2C-58.08667", "37.03472N, 58.08667W"],
)  # fmt: skip
def test_every_writing_gives_the_same_place(text):
    pair = read_pair(text)

    assert (pair.lat_deg, pair.lon_deg) == pytest.approx((37.03472, -58.08667), abs=6e-6)


@pytest.mark.parametrize(
    "text",
    ["", "n/a", "12 Mill Lane", "3/4/2025", "802-555-0142", "37.03", "37 61 05 N 58 05 12 W",
     "https://maps.example/place/mill", "geo:abc", "see map", "1042"],
)  # fmt: skip
def test_what_is_no_place_gives_none(text):
    assert read_pair(text) is None


def test_south_and_west_are_negative():
    assert read_angle("33.5 S") == -33.5
    assert read_angle("58°05'12\"W") == pytest.approx(-58.0866667, abs=1e-6)
    assert read_angle("-58.1") == -58.1
    assert read_angle("60.5") == 60.5
    assert read_angle("37 60 00 N") is None


def test_swapped_and_unsigned_positions_are_doubted_against_the_area():
    assert doubt_of(Pair(37.03, -58.08, Writing.DECIMAL), WEST) is None
    assert doubt_of(Pair(-58.08, 37.03, Writing.DECIMAL), WEST) is Doubt.SWAPPED
    assert doubt_of(Pair(37.03, 58.08, Writing.DECIMAL), WEST) is Doubt.SIGN
    assert doubt_of(Pair(58.08, 37.03, Writing.DECIMAL), WEST) is Doubt.SWAPPED
    assert doubt_of(Pair(10.0, 10.0, Writing.DECIMAL), WEST) is Doubt.FAR
    assert doubt_of(Pair(0.0, 0.0, Writing.DECIMAL), WEST) is Doubt.ZERO


def test_without_an_area_only_the_impossible_is_doubted():
    assert doubt_of(Pair(-58.08, 37.03, Writing.DECIMAL), None) is None
    assert doubt_of(Pair(-95.4, 29.8, Writing.DECIMAL), None) is Doubt.SWAPPED
    assert doubt_of(Pair(-95.4, 229.8, Writing.DECIMAL), None) is Doubt.FAR


def test_an_area_reaches_across_the_date_line():
    fiji = WorkArea.around(Position(-17.0, 179.5))

    assert fiji.holds(Position(-17.0, -179.5))
    assert not fiji.holds(Position(-17.0, -170.0))


def test_longitude_180_is_written_minus_180():
    assert Pair(10, 180, Writing.DECIMAL).position() == Position(10, -180.0)


@given(lats, lons)
def test_decimal_degrees_come_back(lat_deg, lon_deg):
    pair = read_pair(f"{lat_deg:.5f}, {lon_deg:.5f}")

    assert (pair.lat_deg, pair.lon_deg) == (lat_deg, lon_deg)


@given(lats, lons)
def test_a_geo_uri_comes_back(lat_deg, lon_deg):
    pair = read_pair(f"geo:{lat_deg:.5f},{lon_deg:.5f};u=5")

    assert (pair.lat_deg, pair.lon_deg) == (lat_deg, lon_deg)


def dms(value, positive, negative):
    seconds = round(abs(value) * 3600, 2)
    return f"{int(seconds // 3600)}°{int(seconds % 3600 // 60):02d}'{seconds % 60:05.2f}\"{positive if value >= 0 else negative}"


@given(lats, lons)
def test_degrees_minutes_seconds_come_back(lat_deg, lon_deg):
    text = f"{dms(lat_deg, 'N', 'S')} {dms(lon_deg, 'E', 'W')}"
    if "60.00" in text:
        return

    pair = read_pair(text)

    assert (pair.lat_deg, pair.lon_deg) == pytest.approx((lat_deg, lon_deg), abs=2e-6)


@given(lats, lons)
def test_swapping_twice_is_as_before(lat_deg, lon_deg):
    pair = Pair(lon_deg, lat_deg, Writing.DECIMAL)

    assert pair.position(swapped=True) == Position(lat_deg, lon_deg)


@given(st.text(max_size=40))
def test_no_text_trips_the_reader(text):
    read_pair(text)
    read_angle(text)
