"""Rounds and sites as a GPX 1.1 file, for navigation devices and map programs.

A site is a waypoint, a round a route of its stops in order; where the roads are known the round is
a track too, in the shape of the roads. Latitude and longitude are WGS84 degrees, instants UTC.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime
from itertools import chain
from typing import Any
from xml.etree.ElementTree import Element, SubElement, tostring

from servicedesk.values.position import Position

NAMESPACE = "http://www.topografix.com/GPX/1/1"  # names the schema, as the schema itself demands
CREATOR = "servicedesk"
DECIMALS = 6  # 0.11 m on the ground, far finer than a lid is surveyed


@dataclass(frozen=True, slots=True, kw_only=True)
class GpxPlace:
    """A named place. `at` is when somebody is to be there (aware), `kind` sorts it in a list."""

    name: str
    position: Position
    note: str = ""
    kind: str = ""
    at: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class GpxRound:
    """One crew's day. `stops` in order; `way` are the points of the drive along the roads, in
    order and one leg after the other, empty where no roads are known.
    """

    name: str
    stops: tuple[GpxPlace, ...]
    note: str = ""
    way: tuple[tuple[Position, ...], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class GpxFile:
    """What goes into one file. `credit` and `license` (an address) are of the roads' data."""

    name: str
    written_at: datetime
    sites: tuple[GpxPlace, ...] = ()
    rounds: tuple[GpxRound, ...] = ()
    note: str = ""
    credit: str = ""
    license: str = ""


def write_gpx(file: GpxFile) -> bytes:
    """The GPX file, UTF-8; the same input gives the same bytes.

    Elements stand in the order of the schema (GPX 1.1: metadata, wpt, rte, trk). Raises ValueError
    for an instant without a zone.
    """
    root = Element("gpx", {"version": "1.1", "creator": CREATOR, "xmlns": NAMESPACE})
    _metadata(root, file)
    for site in file.sites:
        _place(root, "wpt", site)
    for number, round_ in enumerate(file.rounds, 1):
        route = SubElement(root, "rte")
        _texts(route, name=round_.name, desc=round_.note, number=str(number))
        for stop in round_.stops:
            _place(route, "rtept", stop)
    for number, round_ in enumerate(file.rounds, 1):
        _track(root, round_, number, file.credit)
    text: bytes = tostring(root, encoding="utf-8", xml_declaration=True)
    return text + b"\n"


def _metadata(root: Element, file: GpxFile) -> None:
    metadata = SubElement(root, "metadata")
    _texts(metadata, name=file.name, desc=file.note)
    if file.credit:
        credit = SubElement(metadata, "copyright", {"author": _plain(file.credit)})
        _texts(credit, license=file.license)
    _texts(metadata, time=_instant(file.written_at))
    places = [site.position for site in file.sites]
    places += [stop.position for round_ in file.rounds for stop in round_.stops]
    places += chain.from_iterable(leg for round_ in file.rounds for leg in round_.way)
    if places:
        lats, lons = [p.lat_deg for p in places], [p.lon_deg for p in places]
        edges = {"minlat": _lat(min(lats)), "minlon": _lon(min(lons)),
                 "maxlat": _lat(max(lats)), "maxlon": _lon(max(lons))}  # fmt: skip
        SubElement(metadata, "bounds", edges)


def _track(root: Element, round_: GpxRound, number: int, credit: str) -> None:
    points = list(_one_way(round_.way))
    if len(points) < 2:
        return
    track = SubElement(root, "trk")
    _texts(track, name=round_.name, desc=round_.note, src=credit, number=str(number))
    segment = SubElement(track, "trkseg")
    for point in points:
        SubElement(segment, "trkpt", _angles(point))


def _one_way(legs: Iterable[tuple[Position, ...]]) -> Iterable[Position]:
    """The legs as one way: the place where two of them meet comes once."""
    last: Position | None = None
    for point in chain.from_iterable(legs):
        if point != last:
            yield point
        last = point


def _place(parent: Element, tag: str, place: GpxPlace) -> None:
    point = SubElement(parent, tag, _angles(place.position))
    at = _instant(place.at) if place.at is not None else ""
    _texts(point, time=at, name=place.name, desc=place.note, type=place.kind)


def _texts(parent: Element, **texts: str) -> None:
    """Children with text, in the order given; what is empty is left away."""
    for tag, text in texts.items():
        if text:
            SubElement(parent, tag).text = _plain(text)


def _angles(position: Position) -> dict[str, Any]:
    return {"lat": _lat(position.lat_deg), "lon": _lon(position.lon_deg)}


def _lat(degrees: float) -> str:
    return f"{degrees:.{DECIMALS}f}"


def _lon(degrees: float) -> str:
    """Longitude in -180 up to, not including, 180, as the schema has it."""
    text = f"{degrees:.{DECIMALS}f}"
    return f"{-180:.{DECIMALS}f}" if float(text) >= 180 else text


def _instant(at: datetime) -> str:
    if at.tzinfo is None:
        raise ValueError(f"{at} has no zone")
    return at.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def _plain(text: str) -> str:
    """Text that XML 1.0 allows (section 2.2): no control signs, no halves of pairs."""
    return "".join(
        sign
        for sign in text.replace("\r\n", "\n").replace("\r", "\n")
        if sign in "\t\n" or (sign >= " " and not "\ud800" <= sign <= "\udfff")
        if sign not in "\ufffe\uffff"
    )
