"""A place on the ground."""

from dataclasses import dataclass
from enum import StrEnum


class PositionSource(StrEnum):
    """How a position came to be known, surest first."""

    SURVEYED = "surveyed"
    MAP = "from a map"
    ADDRESS = "from an address"
    GUESSED = "guessed"


@dataclass(frozen=True, slots=True)
class Position:
    """WGS84 degrees: latitude -90..90, longitude -180..180 (180 itself is written -180)."""

    lat_deg: float
    lon_deg: float

    def __post_init__(self) -> None:
        if not -90 <= self.lat_deg <= 90:
            raise ValueError(f"latitude {self.lat_deg} is not within -90..90")
        if not -180 <= self.lon_deg < 180:
            raise ValueError(f"longitude {self.lon_deg} is not within -180..180")
