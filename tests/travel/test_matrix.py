import sys

import pytest

from servicedesk.travel.geodesic import distance_m
from servicedesk.travel.matrix import straight_line_times
from servicedesk.values.position import Position

OFFICE = Position(lat_deg=31.0, lon_deg=-97.0)
# One degree of latitude from the equator is 110,574.389 m (meridian arc on WGS84, see
# tests/data/travel/geodesics.json): at 60 km/h without detour 110.57 minutes.
ON_EQUATOR = Position(lat_deg=0.0, lon_deg=0.0)
ONE_NORTH = Position(lat_deg=1.0, lon_deg=0.0)


def test_minutes_are_rounded_up_and_metres_to_the_nearest():
    times = straight_line_times([ON_EQUATOR, ONE_NORTH], detour=1, speed_kmh=60)

    assert times.minutes == ((0, 111), (111, 0))
    assert times.metres == ((0, 110_574), (110_574, 0))
    assert times.source == "straight lines"


def test_detour_lengthens_the_road():
    times = straight_line_times([ON_EQUATOR, ONE_NORTH], detour=1.5, speed_kmh=60)

    assert times.minutes[0][1] == 166  # 165.86
    assert times.metres is not None
    assert times.metres[0][1] == round(1.5 * 110_574.389)


def test_order_of_places_only_reorders_the_table():
    places = [OFFICE, ON_EQUATOR, ONE_NORTH]
    there = straight_line_times(places, detour=1.3, speed_kmh=50)
    back = straight_line_times(places[::-1], detour=1.3, speed_kmh=50)

    for i in range(3):
        for j in range(3):
            assert there.minutes[i][j] == back.minutes[2 - i][2 - j]


def test_one_place_and_none():
    assert straight_line_times([], detour=1.3, speed_kmh=50).minutes == ()
    assert straight_line_times([OFFICE], detour=1.3, speed_kmh=50).minutes == ((0,),)


def test_two_jobs_at_one_place_are_no_drive_apart():
    assert straight_line_times([OFFICE, OFFICE], detour=1.3, speed_kmh=50).minutes[0][1] == 0


def test_impossible_settings_are_refused():
    with pytest.raises(ValueError):
        straight_line_times([OFFICE, ON_EQUATOR], detour=0.5, speed_kmh=50)


def test_a_sphere_would_fail_the_meridian_degree():
    assert distance_m(ON_EQUATOR, ONE_NORTH) < 111_000


def test_tables_of_many_places_take_a_few_bytes_a_way():
    places = [Position(41.0 + 0.01 * i, -70.0) for i in range(200)]

    times = straight_line_times(places, detour=1.3, speed_kmh=50)

    assert times.metres is not None
    n = len(places) ** 2
    assert sum(map(sys.getsizeof, times.minutes)) < 3 * n
    assert sum(map(sys.getsizeof, times.metres)) < 5 * n
