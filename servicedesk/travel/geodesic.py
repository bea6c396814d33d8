"""How far it is between two positions along the ground, over the WGS84 ellipsoid."""

from functools import lru_cache

from geographiclib.geodesic import Geodesic

from servicedesk.values.position import Position


def distance_m(from_: Position, to: Position) -> float:
    """Metres of the shortest line over the ellipsoid; the same both ways, 0.0 for one place.

    Solved by Karney's method (C. F. F. Karney, Algorithms for geodesics, Journal of Geodesy 87,
    2013; library geographiclib), good to nanometres. A sphere would be up to 0.56 % off.
    """
    # One order for both directions: equal answers, and the cache holds each pair once.
    first, second = sorted(((from_.lat_deg, from_.lon_deg), (to.lat_deg, to.lon_deg)))
    return _distance_m(*first, *second)


def bearing_deg(from_: Position, to: Position) -> float:
    """Compass bearing at which the shortest line leaves `from_`: 0 north, 90 east, below 360."""
    line = Geodesic.WGS84.Inverse(
        from_.lat_deg, from_.lon_deg, to.lat_deg, to.lon_deg, Geodesic.AZIMUTH
    )
    return float(line["azi1"]) % 360


@lru_cache(maxsize=65_536)  # about 45 µs a pair; a county planned again costs nothing
def _distance_m(lat1: float, lon1: float, lat2: float, lon2: float) -> float:
    return float(Geodesic.WGS84.Inverse(lat1, lon1, lat2, lon2, Geodesic.DISTANCE)["s12"])
