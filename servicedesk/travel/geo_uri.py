"""A position as a `geo:` URI (RFC 5870), as it stands in a QR code or a calendar."""

import re

from servicedesk.values.position import Position

_PLACES = 7  # of a degree: about a centimetre on the ground
_NUMBER = r"-?[0-9]+(?:\.[0-9]+)?"  # RFC 5870, section 3.3: coord-a, coord-b, coord-c
_URI = re.compile(
    rf"geo:(?P<lat>{_NUMBER}),(?P<lon>{_NUMBER})(?:,(?P<altitude>{_NUMBER}))?(?P<parameters>;.*)?",
    re.IGNORECASE | re.DOTALL,
)
_PARAMETER = re.compile(
    r";([A-Za-z0-9-]+)(?:=((?:[A-Za-z0-9\-_.!~*'()\[\]:&+$]|%[0-9A-Fa-f]{2})+))?"
)


def geo_uri(position: Position) -> str:
    """``geo:LAT,LON`` with up to seven decimals, trailing zeros cut; WGS84 is the default system.

    At a pole the longitude is 0 (RFC 5870, section 3.4.2); minus zero is written 0.
    """
    lon_deg = 0.0 if abs(position.lat_deg) == 90 else position.lon_deg
    return f"geo:{_decimal(position.lat_deg)},{_decimal(lon_deg)}"


def position_of(uri: str) -> Position:
    """The position a `geo:` URI names; altitude and uncertainty are read over.

    Longitude 180 becomes -180, the same meridian. Raises ValueError if it is no geo URI, uses
    another coordinate system than WGS84, or lies off the globe.
    """
    match = _URI.fullmatch(uri.strip())
    if match is None:
        raise ValueError(f"{uri!r} is not a geo URI")
    _refuse_other_systems(uri, match["parameters"] or "")
    lat_deg, lon_deg = float(match["lat"]), float(match["lon"])
    if lon_deg == 180:
        lon_deg = -180.0
    if abs(lat_deg) == 90:
        lon_deg = 0.0
    return Position(lat_deg=lat_deg, lon_deg=lon_deg)


def _refuse_other_systems(uri: str, parameters: str) -> None:
    """Raises ValueError unless the parameters are well formed and the system is WGS84."""
    found = list(_PARAMETER.finditer(parameters))
    if "".join(parameter[0] for parameter in found) != parameters:
        raise ValueError(f"{uri!r} has parameters that cannot be read")
    for parameter in found:
        if parameter[1].lower() == "crs" and (parameter[2] or "").lower() != "wgs84":
            raise ValueError(f"{uri!r} uses another coordinate system than WGS84")


def _decimal(degrees: float) -> str:
    text = f"{degrees:.{_PLACES}f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
