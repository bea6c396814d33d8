"""Lines over the ellipsoid against published figures.

Figures and the source of each: tests/data/travel/geodesics.json (GeographicLib's test set of
C. F. F. Karney, the GeodSolve manual page, the worked example of Australia's geodetic agency,
and the definition of WGS84).
"""

import json
import re
from pathlib import Path

import pytest

from servicedesk.travel.geodesic import bearing_deg, distance_m
from servicedesk.values.position import Position

CHECKS = json.loads((Path(__file__).parents[1] / "data" / "travel" / "geodesics.json").read_text())[
    "checks"
]


def degrees(value):
    """Decimal degrees of a number or of a text such as ``37 57 03.72030 S``."""
    if not isinstance(value, str):
        return float(value)
    deg, minutes, seconds, half = value.split()
    size = int(deg) + int(minutes) / 60 + float(seconds) / 3600
    return -size if half in "SW" else size


def position(lat, lon):
    return Position(lat_deg=degrees(lat), lon_deg=(degrees(lon) + 180) % 360 - 180)


def ends(check):
    given = check["input"]
    return position(given["lat1"], given["lon1"]), position(given["lat2"], given["lon2"])


def test_all_published_lines_are_here():
    assert len(CHECKS) == 25


@pytest.mark.parametrize("check", CHECKS, ids=lambda check: check["id"])
def test_distance_agrees_with_the_published_line(check):
    from_, to = ends(check)
    tolerance = check["tolerance"]
    # Reducing a longitude such as 285.90344 loses its last bit: some nanometres of 11,000 km.
    within_m = 0 if tolerance == "exact" else max(tolerance["distance_m"], 1e-6)

    assert distance_m(from_, to) == pytest.approx(check["expected"]["distance_m"], abs=within_m)
    assert distance_m(to, from_) == distance_m(from_, to)


@pytest.mark.parametrize(
    "check", [c for c in CHECKS if "azimuth1_deg" in c["expected"]], ids=lambda check: check["id"]
)
def test_bearing_agrees_with_the_published_line(check):
    expected = check["expected"]["azimuth1_deg"] % 360

    assert bearing_deg(*ends(check)) == pytest.approx(expected, abs=1e-8)


def test_bearing_agrees_with_the_worked_example_in_degrees_minutes_seconds():
    check = next(c for c in CHECKS if c["id"] == "geodesic-flinders-buninyong")
    deg, minutes, seconds = re.split(r"\s+", check["expected"]["azimuth_forward"])
    expected = int(deg) + int(minutes) / 60 + float(seconds) / 3600

    assert bearing_deg(*ends(check)) == pytest.approx(expected, abs=0.01 / 3600)
