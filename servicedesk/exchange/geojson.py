"""Rounds and sites as GeoJSON (RFC 7946), for maps and for whoever reckons with places."""

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from itertools import chain
from typing import Any

from servicedesk.values.position import Position

DECIMALS = 6  # 0.11 m (RFC 7946, section 11.2: more is of no use and hard to read)
Value = str | int | float | bool | None


@dataclass(frozen=True, slots=True, kw_only=True)
class PointFeature:
    """A place. `uid` never changes; `properties` are what it carries, in their order."""

    uid: str
    position: Position
    properties: Mapping[str, Value] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class WayFeature:
    """A way through at least two points, in order."""

    uid: str
    points: tuple[Position, ...]
    properties: Mapping[str, Value] = field(default_factory=dict)

    def __post_init__(self) -> None:
        if len(self.points) < 2:
            raise ValueError(f"{self.uid}: a way has two points at least")


Feature = PointFeature | WayFeature


def write_geojson(
    features: Iterable[Feature], *, name: str, written_at: datetime, credit: str = ""
) -> bytes:
    """One FeatureCollection, UTF-8; the same input gives the same bytes.

    Longitude comes before latitude (section 3.1.1), WGS84 is not named (section 4). `name`,
    `written` and `credit` are members of our own beside it (section 6.1). Raises ValueError for
    two features with one uid or an instant without a zone.
    """
    if written_at.tzinfo is None:
        raise ValueError(f"{written_at} has no zone")
    found = list(features)
    uids = [one.uid for one in found]
    if len(set(uids)) != len(uids):
        raise ValueError("two features with one uid")
    collection: dict[str, Any] = {"type": "FeatureCollection", "name": name}
    collection["written"] = written_at.isoformat(timespec="seconds")
    if credit:
        collection["credit"] = credit
    if found:
        collection["bbox"] = _bbox(chain.from_iterable(map(_points, found)))
    collection["features"] = [_feature(one) for one in found]
    text = json.dumps(collection, ensure_ascii=False, indent=1, allow_nan=False)
    return (text + "\n").encode("utf-8", "replace")


def _points(feature: Feature) -> tuple[Position, ...]:
    return (feature.position,) if isinstance(feature, PointFeature) else feature.points


def _feature(feature: Feature) -> dict[str, Any]:
    if isinstance(feature, PointFeature):
        geometry = {"type": "Point", "coordinates": _pair(feature.position)}
    else:
        pairs: Any = [_pair(point) for point in feature.points]
        geometry = {"type": "LineString", "coordinates": pairs}
    return {
        "type": "Feature",
        "id": feature.uid,
        "geometry": geometry,
        "properties": dict(feature.properties),
    }


def _pair(position: Position) -> list[float]:
    return [round(position.lon_deg, DECIMALS), round(position.lat_deg, DECIMALS)]


def _bbox(points: Iterable[Position]) -> list[float]:
    """West, south, east, north (section 5)."""
    pairs = [_pair(point) for point in points]
    lons, lats = [lon for lon, _ in pairs], [lat for _, lat in pairs]
    return [min(lons), min(lats), max(lons), max(lats)]
