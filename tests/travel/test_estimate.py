import pytest
from hypothesis import given
from hypothesis import strategies as st

from servicedesk.travel.estimate import drive_min, road_m


def test_fifty_km_at_fifty_km_an_hour_with_detour_takes_an_hour_and_a_fifth():
    # 50 km x 1.2 / 50 km/h = 1.2 h = 72 min
    assert drive_min(50_000, detour=1.2, speed_kmh=50) == 72


@pytest.mark.parametrize(("straight_m", "minutes"), [(0, 0), (1, 1), (1_000, 1), (1_001, 2)])
def test_a_begun_minute_counts_whole(straight_m, minutes):
    assert drive_min(straight_m, detour=1, speed_kmh=60) == minutes


@given(st.floats(0, 500_000), st.floats(1, 3), st.floats(5, 130))
def test_never_less_than_the_exact_time_and_less_than_a_minute_more(straight_m, detour, speed_kmh):
    exact = straight_m * detour / (speed_kmh / 3.6) / 60

    assert exact - 1e-6 <= drive_min(straight_m, detour=detour, speed_kmh=speed_kmh) < exact + 1


@pytest.mark.parametrize(
    ("straight_m", "detour", "speed_kmh"),
    [
        (-1, 1.3, 50),
        (10, 0.9, 50),
        (10, float("nan"), 50),
        (10, float("inf"), 50),
        (10, 1.3, 0),
        (10, 1.3, -50),
        (10, 1.3, float("nan")),
    ],
)
def test_impossible_settings_are_refused(straight_m, detour, speed_kmh):
    with pytest.raises(ValueError):
        drive_min(straight_m, detour=detour, speed_kmh=speed_kmh)


def test_road_length_is_the_line_times_detour():
    assert road_m(1_000, detour=1.25) == 1_250
