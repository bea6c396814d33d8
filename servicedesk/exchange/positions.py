"""Places as people write them: degrees, minutes, seconds, links, and what may be the wrong way.

Everything is WGS84. Latitude comes first unless letters say otherwise; whether somebody swapped
the two, or forgot the minus of a western longitude, is asked and never mended silently.
"""

import re
from dataclasses import dataclass
from enum import StrEnum
from urllib.parse import unquote

from servicedesk.values.position import Position


class Doubt(StrEnum):
    """What may be wrong with a position that can be read."""

    SWAPPED = "swapped"
    SIGN = "sign"
    FAR = "far"
    ZERO = "zero"


class Writing(StrEnum):
    """How it was written."""

    DECIMAL = "decimal degrees"
    DMS = "degrees, minutes, seconds"
    GEO_URI = "geo URI"
    LINK = "map link"
    ISO_6709 = "ISO 6709"


@dataclass(frozen=True, slots=True)
class Pair:
    """Latitude and longitude as read, before anyone has looked whether they can be true."""

    lat_deg: float
    lon_deg: float
    writing: Writing

    def position(self, *, swapped: bool = False, west: bool = False) -> Position | None:
        """The place, with the two exchanged or the longitude turned to the west if told so.

        None where the figures are no place: beyond the poles, or a longitude beyond 180.
        """
        lat, lon = (self.lon_deg, self.lat_deg) if swapped else (self.lat_deg, self.lon_deg)
        lon = -abs(lon) if west else lon
        if not (-90 <= lat <= 90 and -180 <= lon <= 180):
            return None
        return Position(lat, -180.0 if lon == 180 else lon)


@dataclass(frozen=True, slots=True)
class WorkArea:
    """Where the company works: a box in degrees, wide enough for a day's drive."""

    south_deg: float
    west_deg: float
    north_deg: float
    east_deg: float

    @classmethod
    def around(cls, centre: Position, half_deg: float = 2.0) -> "WorkArea":
        """A box of `half_deg` degrees each way (2 degrees of latitude are 220 km)."""
        return cls(
            centre.lat_deg - half_deg,
            centre.lon_deg - half_deg,
            centre.lat_deg + half_deg,
            centre.lon_deg + half_deg,
        )

    def holds(self, place: Position | None) -> bool:
        """Is the place inside? Also across the 180th meridian."""
        if place is None or not self.south_deg <= place.lat_deg <= self.north_deg:
            return False
        return any(
            self.west_deg <= place.lon_deg + turn <= self.east_deg for turn in (-360, 0, 360)
        )


def doubt_of(pair: Pair, area: WorkArea | None) -> Doubt | None:
    """What may be wrong with a pair, None if nothing is.

    Without an area only what no place can be is doubted: a latitude beyond 90 degrees, and 0, 0.
    """
    if pair.lat_deg == 0 and pair.lon_deg == 0:
        return Doubt.ZERO
    as_written = pair.position()
    if area is None:
        if as_written is not None:
            return None
        return Doubt.SWAPPED if pair.position(swapped=True) else Doubt.FAR
    if area.holds(as_written):
        return None
    if area.holds(pair.position(swapped=True)) or area.holds(
        pair.position(swapped=True, west=True)
    ):
        return Doubt.SWAPPED
    if area.holds(pair.position(west=True)):
        return Doubt.SIGN
    if as_written is None and pair.position(swapped=True):
        return Doubt.SWAPPED
    return Doubt.FAR


_PRIMES = str.maketrans(
    {
        "′": "'",
        "’": "'",
        "‘": "'",
        "´": "'",
        "`": "'",
        "″": '"',
        "”": '"',
        "“": '"',
        "º": "°",
        "˚": "°",
        "−": "-",
        "–": "-",
        "\xa0": " ",
        "\u2009": " ",
        "\u202f": " ",
    }
)
_NUMBER = r"[-+]?\d{1,3}(?:[.,]\d+)?"
_GEO = re.compile(r"geo:\s*([^\s]+)", re.IGNORECASE)
_GEO_PAIR = re.compile(r"(-?\d+(?:\.\d+)?),(-?\d+(?:\.\d+)?)(?:,-?\d+(?:\.\d+)?)?((?:;[^;]*)*)$")
_DOT = r"(-?\d{1,3}\.\d+|-?\d{1,3})"
_LINKS = (
    re.compile(
        rf"[?&](?:m?lat|latitude)={_DOT}.*?[&](?:m?lon|lng|longitude)={_DOT}", re.IGNORECASE
    ),
    re.compile(rf"!3d{_DOT}!4d{_DOT}"),
    re.compile(
        rf"[?&](?:q|ll|query|daddr|destination|center|cp|sll)=(?:loc:)?{_DOT}[,~ +]\s*{_DOT}",
        re.IGNORECASE,
    ),
    re.compile(rf"#(?:map=)?\d+(?:\.\d+)?/{_DOT}/{_DOT}"),
    re.compile(rf"@{_DOT},{_DOT}"),
    re.compile(rf"/{_DOT},\+?{_DOT}(?:[/?,#]|$)"),
)
_ISO_6709 = re.compile(
    r"([+-])(\d{2,6}(?:\.\d+)?)([+-])(\d{3,7}(?:\.\d+)?)(?:[+-]\d+(?:\.\d+)?)?(?:CRS\w+)?/?"
)


def read_pair(text: str) -> Pair | None:
    """Latitude and longitude in one cell, None where it holds no place."""
    text = unquote(text).translate(_PRIMES).strip()
    if not text:
        return None
    geo = _GEO.search(text)
    if geo:
        return _geo_uri(geo.group(1).rstrip(".,)>"))
    if "://" in text or re.match(r"(www\.|[\w.-]+\.\w{2,}/)", text):
        return _link(text)
    iso = _ISO_6709.fullmatch(text)
    if iso:
        return _iso_6709(iso)
    halves = _halves(_without_unit_letters(text))
    if halves is None:
        return None
    first, second = halves
    one, two = read_angle(first), read_angle(second)
    if one is None or two is None:
        return None
    letters = _letter(first), _letter(second)
    writing = Writing.DMS if re.search(r"[°':\"]|\d\s+\d", first) else Writing.DECIMAL
    if letters[0] in ("E", "W") or letters[1] in ("N", "S"):
        one, two = two, one
    return Pair(one, two, writing)


def read_angle(text: str) -> float | None:
    """Degrees in one cell, however written: -97.5, 97°30'W, "31 15 20.5 N", N31 15.342, 31:15:20.

    Signed by a minus or by S and W. None for anything else, also for 60 minutes or more.
    """
    text = text.translate(_PRIMES).replace("''", '"').strip().rstrip(",;")
    text = re.sub(
        r"^(lat(itude)?|lon(g(itude)?)?|lng)\b\.?\s*[:=]?\s*", "", text, flags=re.IGNORECASE
    )
    text = _without_unit_letters(text)
    letter = _letter(text)
    body = re.sub(r"\b(north|south|east|west)\b|[NSEW]", " ", text, flags=re.IGNORECASE).strip()
    body = re.sub(r"(?<=\d)-(?=\d)|['\":°]", " ", body)  # 31-15-20 is also a way of writing it
    found = re.fullmatch(
        r"([-+]?)\s*(\d{1,3}(?:[.,]\d+)?)(?:\s+(\d{1,2}(?:[.,]\d+)?))?(?:\s+(\d{1,2}(?:[.,]\d+)?))?",
        body.strip(),
    )
    if not found:
        return None
    sign, *parts = found.groups()
    degrees, minutes, seconds = (float((part or "0").replace(",", ".")) for part in parts)
    broken_up = (parts[1] and not degrees.is_integer()) or (parts[2] and not minutes.is_integer())
    if minutes >= 60 or seconds >= 60 or broken_up:
        return None
    value = degrees + minutes / 60 + seconds / 3600
    negative = sign == "-" or letter in ("S", "W")
    return -value if negative and value else value


def _without_unit_letters(text: str) -> str:
    """29d45m30s without its d, m and s, so that the s is not read as south."""
    text = re.sub(r"(?<=\d)\s*(degrees?|deg\.?|d)(?![a-z])", "° ", text, flags=re.IGNORECASE)
    number = r"(\d+(?:[.,]\d+)?)"
    text = re.sub(
        rf"{number}\s*(?:minutes?|min\.?|m|')\s*{number}\s*(?:seconds?|sec\.?|s)(?![a-z])",
        r"\1' \2 ",
        text,
        flags=re.IGNORECASE,
    )
    return re.sub(rf"{number}\s*(?:minutes?|min\.?|m)(?![a-z])", r"\1' ", text, flags=re.IGNORECASE)


def _letter(text: str) -> str:
    found = re.search(
        r"(?:^|[\s\d°'\".])(north|south|east|west|[NSEW])(?:$|[\s\d])", text, re.IGNORECASE
    )
    return found.group(1)[0].upper() if found else ""


def _halves(text: str) -> tuple[str, str] | None:
    """The cell cut into its two angles."""
    text = re.sub(r"[()\[\]]", " ", text).strip()
    labeled = re.fullmatch(
        r"(?:lat\w*\W*)(.*?\d)[\s,;/]*(?:lon\w*|lng)\W*?\s*(-?\d.*)", text, re.IGNORECASE
    )
    if labeled:
        return labeled.group(1), labeled.group(2)
    lettered = re.fullmatch(r"(.*?[NSEW])[\s,;/]*(.*?[NSEW])", text, re.IGNORECASE)
    if lettered and re.search(r"\d", lettered.group(1)):
        return lettered.group(1), lettered.group(2)
    lettered = re.fullmatch(r"([NSEW].*?)[\s,;/]*([NSEW].*)", text, re.IGNORECASE)
    if lettered and re.search(r"\d", lettered.group(1)):
        return lettered.group(1), lettered.group(2)
    for separator in (r"\s*[;|\n]\s*", r",\s+", r"\s*/\s*", r"\s*,\s*"):
        pieces = [piece for piece in re.split(separator, text) if piece]
        if len(pieces) == 2:
            return pieces[0], pieces[1]
    comma_decimals = re.fullmatch(r"(-?\d{1,3},\d{3,}),(-?\d{1,3},\d{3,})", text)
    if comma_decimals:
        return comma_decimals.group(1), comma_decimals.group(2)
    pieces = text.split()
    if len(pieces) == 2 and all(re.fullmatch(_NUMBER, piece) for piece in pieces):
        return pieces[0], pieces[1]
    if len(pieces) == 6:
        return " ".join(pieces[:3]), " ".join(pieces[3:])
    return None


def _geo_uri(body: str) -> Pair | None:
    """RFC 5870. Another reference system than WGS84 gives nothing rather than a wrong place."""
    body = body.partition("?")[0]
    found = _GEO_PAIR.fullmatch(body)
    if not found:
        return None
    for parameter in found.group(3).split(";"):
        key, _, value = parameter.partition("=")
        if key.lower() == "crs" and value.lower() != "wgs84":
            return None
    return Pair(float(found.group(1)), float(found.group(2)), Writing.GEO_URI)


def _link(text: str) -> Pair | None:
    for pattern in _LINKS:
        found = pattern.search(text)
        if found:
            return Pair(float(found.group(1)), float(found.group(2)), Writing.LINK)
    return None


def _iso_6709(found: re.Match[str]) -> Pair | None:
    lat = _packed(found.group(2), 2)
    lon = _packed(found.group(4), 3)
    if lat is None or lon is None:
        return None
    lat = -lat if found.group(1) == "-" else lat
    lon = -lon if found.group(3) == "-" else lon
    return Pair(lat, lon, Writing.ISO_6709)


def _packed(digits: str, n_degrees: int) -> float | None:
    """DD.D, DDMM.M or DDMMSS.S of ISO 6709 (longitude with three digits of degrees)."""
    whole, _, fraction = digits.partition(".")
    n_pairs = (len(whole) - n_degrees) // 2
    if n_pairs not in (0, 1, 2) or len(whole) != n_degrees + 2 * n_pairs:
        return None
    parts = [whole[:n_degrees], *(whole[n_degrees + 2 * i :][:2] for i in range(n_pairs))]
    parts[-1] += "." + (fraction or "0")
    values = [float(part) for part in parts]
    if any(value >= 60 for value in values[1:]):
        return None
    degrees, minutes, seconds = [*values, 0.0, 0.0][:3]
    return degrees + minutes / 60 + seconds / 3600
