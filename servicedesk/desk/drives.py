"""What the company's own recorded drives say about its speed on the road."""

from servicedesk.desk.cached import cached_for
from servicedesk.desk.office import Desk
from servicedesk.records import drive_rows
from servicedesk.travel.calibrate import Drive, Fitted, fitted_speed
from servicedesk.travel.geodesic import distance_m
from servicedesk.values.position import Position

_MOST = 1_000  # the latest: roads and trucks change


def own_speed(desk: Desk) -> Fitted | None:
    """The speed of the company's latest drives; None while there are too few of them."""
    return cached_for(desk, ("visit", "site", "company"), ("own speed",), lambda: _fit(desk))


def speed_in_use_kmh(desk: Desk) -> float:
    """Speed for the straight-line estimate: that of the own drives, else the company's setting."""
    own = own_speed(desk)
    return own.speed_kmh if own is not None else desk.company.road_speed_kmh


def _fit(desk: Desk) -> Fitted | None:
    with desk.store.read() as session:
        rows = drive_rows.latest_drives(session, _MOST)
    drives = [
        Drive(
            distance_m(
                Position(r.from_lat_deg, r.from_lon_deg), Position(r.to_lat_deg, r.to_lon_deg)
            ),
            r.minutes,
        )
        for r in rows
    ]
    return fitted_speed(drives, detour=desk.company.road_detour)
