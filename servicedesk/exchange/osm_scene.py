"""What lies beside the roads of an OpenStreetMap extract: water, woods, houses, names of places."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np

from servicedesk.exchange.osm_file import opened_extract
from servicedesk.exchange.osm_roads import EVERY, Area, RawWays
from servicedesk.travel.houses import Houses
from servicedesk.travel.road_map import (
    AREA_LAYERS,
    LINE_LAYERS,
    PLACE_KINDS,
    PlaceName,
    RoadMap,
    Shapes,
)
from servicedesk.values.progress import Progress, quiet

_BUILT_UP = {"residential", "commercial", "retail", "industrial"}
_STREAMS = {"river", "stream", "canal"}
_AREA_KEYS = ("natural", "landuse", "water", "waterway", "addr:housenumber")
_KEYS = ("natural", "landuse", "water", "waterway", "railway", "place", "addr:housenumber")

Ring = list[tuple[int, int]]  # latitude, longitude in 1e-7 degrees


@dataclass(slots=True)
class _Layer:
    """Shapes of one layer while they are gathered."""

    shape_start: list[int] = field(default_factory=lambda: [0])
    ring_start: list[int] = field(default_factory=lambda: [0])
    points: Ring = field(default_factory=list)
    kind: list[int] = field(default_factory=list)
    name: list[int] = field(default_factory=list)

    def add(self, rings: Iterable[Ring], name: int, kind: int = 0) -> None:
        for ring in rings:
            self.points += ring
            self.ring_start.append(len(self.points))
        self.shape_start.append(len(self.ring_start) - 1)
        self.kind.append(kind)
        self.name.append(name)

    def shapes(self) -> Shapes:
        points = np.array(self.points, dtype=np.int32).reshape(-1, 2)
        return Shapes(
            shape_start=np.array(self.shape_start, dtype=np.int32),
            ring_start=np.array(self.ring_start, dtype=np.int32),
            lat=points[:, 0].copy(),
            lon=points[:, 1].copy(),
            kind=np.array(self.kind, dtype=np.int8),
            name=np.array(self.name, dtype=np.int32),
        )


@dataclass(slots=True)
class _Scene:
    """Everything beside the roads while it is read."""

    area: Area | None
    buildings: bool
    names: dict[str, int]
    layers: dict[str, _Layer] = field(
        default_factory=lambda: {name: _Layer() for name in (*AREA_LAYERS, *LINE_LAYERS)}
    )
    places: list[PlaceName] = field(default_factory=list)
    houses: list[tuple[str, str, str, str, int, int]] = field(default_factory=list)

    def name(self, tags: Mapping[str, str]) -> int:
        text = _one_line(tags.get("name", ""))
        return self.names.setdefault(text, len(self.names)) if text else -1

    def holds(self, ring: Ring) -> bool:
        area = self.area
        return area is None or any(area.holds(lat / 1e7, lon / 1e7) for lat, lon in ring)


def read_scene(
    path: Path,
    raw: RawWays,
    area: Area | None = None,
    *,
    buildings: bool = True,
    progress: Progress = quiet,
) -> tuple[RoadMap, Houses]:
    """Layers to draw (the roads are those of `raw`), names of places, and house numbers.

    Raises Trouble if the file cannot be read, Stopped if `progress` says so.
    """
    scene = _Scene(area, buildings, dict(raw.names))
    keys = (*_AREA_KEYS, "building") if buildings else _AREA_KEYS
    more = (*_KEYS, "building") if buildings else _KEYS
    with opened_extract(path) as osmium:
        found = osmium.FileProcessor(str(path)).with_locations()
        found = found.with_areas(osmium.filter.KeyFilter(*keys))
        found = found.with_filter(osmium.filter.KeyFilter(*more))
        for n, thing in enumerate(found):
            if n % EVERY == 0:
                progress(0, 0)
            _take(scene, thing)
    _take_roads(scene, raw)
    layers = {name: layer.shapes() for name, layer in scene.layers.items()}
    road_map = RoadMap(layers=layers, names=tuple(scene.names), places=_sorted(scene.places))
    return road_map, _houses(scene)


def _take(scene: _Scene, thing: Any) -> None:
    if thing.is_area():
        _take_area(scene, thing)
    elif thing.is_way():
        _take_line(scene, thing)
    elif thing.is_node():
        tags, spot = thing.tags, thing.location
        if scene.area is not None and not scene.area.holds(thing.lat, thing.lon):
            return
        if tags.get("place") in PLACE_KINDS and "name" in tags:
            scene.places.append(
                PlaceName(tags["name"], tags["place"], thing.lat, thing.lon, _people(tags))
            )
        if "addr:housenumber" in tags:
            _take_house(scene, tags, spot.y, spot.x)


def _take_area(scene: _Scene, area: Any) -> None:
    tags = area.tags
    layer = _area_layer(tags, buildings=scene.buildings)
    is_house = "addr:housenumber" in tags
    if layer is None and not is_house:
        return
    for outer in area.outer_rings():
        ring = _ring(outer)
        if not scene.holds(ring):
            continue
        if layer is not None:
            holes = [_ring(inner) for inner in area.inner_rings(outer)]
            scene.layers[layer].add([ring, *holes], scene.name(tags))
        if is_house:
            middle = np.array(ring[:-1], dtype=np.int64).mean(axis=0)
            _take_house(scene, tags, int(middle[0]), int(middle[1]))
            is_house = False  # once, even where a house has several parts


def _area_layer(tags: Mapping[str, str], *, buildings: bool) -> str | None:
    natural, landuse = tags.get("natural"), tags.get("landuse")
    if natural == "water" or tags.get("waterway") == "riverbank" or landuse == "reservoir":
        return "water"
    if natural == "wood" or landuse == "forest":
        return "woods"
    if landuse in _BUILT_UP:
        return "built_up"
    if buildings and tags.get("building", "no") != "no":
        return "buildings"
    return None


def _take_line(scene: _Scene, way: Any) -> None:
    tags = way.tags
    if tags.get("waterway") in _STREAMS:
        layer = "streams"
    elif tags.get("natural") == "coastline":
        layer = "coast"
    elif tags.get("railway") == "rail":
        layer = "rail"
    else:
        return
    ring = _ring(way.nodes)
    if len(ring) > 1 and scene.holds(ring):
        scene.layers[layer].add([ring], scene.name(tags))


def _ring(nodes: Any) -> Ring:
    return [(n.location.y, n.location.x) for n in nodes if n.location.valid()]


def _take_house(scene: _Scene, tags: Mapping[str, str], lat: int, lon: int) -> None:
    street = tags.get("addr:street") or tags.get("addr:place") or ""
    if not street:
        return
    scene.houses.append(
        (
            _one_line(street),
            _one_line(tags["addr:housenumber"]),
            _one_line(tags.get("addr:postcode", "")),
            _one_line(tags.get("addr:city", "")),
            lat,
            lon,
        )
    )


def _one_line(text: str) -> str:
    return " ".join(text.split())


def _people(tags: Mapping[str, str]) -> int:
    text = tags.get("population", "")
    return int(text) if text.isascii() and text.isdigit() and len(text) < 9 else 0


def _take_roads(scene: _Scene, raw: RawWays) -> None:
    layer = scene.layers["roads"]
    for way in range(len(raw.kind)):
        part = slice(raw.start[way], raw.start[way + 1])
        line = list(zip(raw.lat[part], raw.lon[part], strict=True))
        layer.add([line], raw.name[way], raw.kind[way])


def _sorted(places: list[PlaceName]) -> tuple[PlaceName, ...]:
    """Largest kind first, then by people, then by name."""
    return tuple(sorted(places, key=lambda p: (PLACE_KINDS.index(p.kind), -p.people, p.name)))


def _houses(scene: _Scene) -> Houses:
    rows = sorted(set(scene.houses))
    columns: list[Any] = (
        [list(c) for c in zip(*rows, strict=True)] if rows else [[] for _ in "abcdef"]
    )
    return Houses(
        street=tuple(columns[0]),
        number=tuple(columns[1]),
        postcode=tuple(columns[2]),
        town=tuple(columns[3]),
        lat=np.array(columns[4], dtype=np.int32),
        lon=np.array(columns[5], dtype=np.int32),
    )
