"""Distances between very many places, against the geodesic of an independent library."""

import random

import pytest
from geographiclib.geodesic import Geodesic

from servicedesk.travel.flat import flat_distances_m
from servicedesk.travel.matrix import FEW, straight_line_times
from servicedesk.values.position import Position


def scattered(n, *, seed=1, lat=30.0, lon=-94.0, spread=0.4):
    chance = random.Random(seed)
    return [
        Position(
            lat + chance.uniform(-spread, spread),
            (lon + chance.uniform(-spread, spread) + 180) % 360 - 180,  # over the date line
        )
        for _ in range(n)
    ]


@pytest.mark.parametrize(
    ("lat", "lon"), [(30.0, -94.0), (47.0, 8.0), (-41.0, 179.9), (0.0, 0.0), (60, 25)]
)
def test_within_a_tenth_of_a_per_mil_in_a_service_area(lat, lon):
    places = scattered(12, lat=lat, lon=lon)

    table = flat_distances_m(places)

    for i, a in enumerate(places):
        for j, b in enumerate(places):
            exact = Geodesic.WGS84.Inverse(a.lat_deg, a.lon_deg, b.lat_deg, b.lon_deg)["s12"]
            assert table[i][j] == pytest.approx(exact, rel=1e-4, abs=0.01)


def test_many_places_get_the_times_of_few():
    places = scattered(FEW + 20)

    many = straight_line_times(places, detour=1.3, speed_kmh=55)
    few = straight_line_times(places[:FEW], detour=1.3, speed_kmh=55)

    apart = [abs(many.minutes[i][j] - few.minutes[i][j]) for i in range(FEW) for j in range(FEW)]
    assert max(apart) <= 1  # a drive on the edge between two minutes
    assert sum(apart) < len(apart) / 100
    assert all(many.minutes[i][i] == 0 for i in range(FEW))


def test_impossible_speeds_are_refused_for_many_places_too():
    with pytest.raises(ValueError):
        straight_line_times(scattered(FEW + 1), detour=1.3, speed_kmh=0)
