"""The roads of an OpenStreetMap extract (.osm.pbf, .osm, .osm.bz2), read in one pass."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from servicedesk.exchange import osm_tags
from servicedesk.exchange.osm_file import opened_extract
from servicedesk.travel.road_graph import INSIDERS_ONLY, MINOR, NO_STOP
from servicedesk.values.progress import Progress, quiet

_KEYS = ("highway", "barrier", "restriction", "restriction:motorcar")
EVERY = 20_000  # objects between two looks at whether the person wants to stop


@dataclass(frozen=True, slots=True)
class Area:
    """An upright box in degrees; what touches it is kept."""

    lat_from: float
    lon_from: float
    lat_until: float
    lon_until: float

    def within(self, other: "Area | None") -> "Area":
        """What lies in both."""
        if other is None:
            return self
        return Area(
            max(self.lat_from, other.lat_from),
            max(self.lon_from, other.lon_from),
            min(self.lat_until, other.lat_until),
            min(self.lon_until, other.lon_until),
        )

    def holds(self, lat_deg: float, lon_deg: float) -> bool:
        """Whether a point lies in it."""
        return (
            self.lat_from <= lat_deg <= self.lat_until
            and self.lon_from <= lon_deg <= self.lon_until
        )


@dataclass(slots=True)
class RawWays:
    """Roads as they stand in the extract. One entry per road in the lists of the first block.

    `refs`, `lat`, `lon` (1e-7 degrees) hold the points of all roads one after the other; road i
    has those from `start[i]` to `start[i + 1]`. `cut`: node ids where the extract cut a road.
    """

    way_id: list[int] = field(default_factory=list)
    kind: list[int] = field(default_factory=list)
    ways: list[int] = field(default_factory=list)
    speed_kmh: list[float] = field(default_factory=list)
    flags: list[int] = field(default_factory=list)
    name: list[int] = field(default_factory=list)
    start: list[int] = field(default_factory=lambda: [0])

    refs: list[int] = field(default_factory=list)
    lat: list[int] = field(default_factory=list)
    lon: list[int] = field(default_factory=list)

    names: dict[str, int] = field(default_factory=dict)
    blocked: set[int] = field(default_factory=set)
    cut: set[int] = field(default_factory=set)
    turns: list["RawTurn"] = field(default_factory=list)
    n_turns_not_read: int = 0
    newest_edit: str = ""
    box: Area | None = None  # what the extract says it covers


@dataclass(frozen=True, slots=True)
class RawTurn:
    """A turn rule by the ids of the extract: from a way over a node to a way."""

    kind: str
    from_way: int
    via_node: int
    to_way: int


def read_ways(path: Path, area: Area | None = None, progress: Progress = quiet) -> RawWays:
    """All roads a car may use, with what blocks them and the turn rules.

    Raises Trouble if the file cannot be read, Stopped if `progress` says so.
    """
    raw = RawWays()
    with opened_extract(path) as osmium:
        raw.box = _box(osmium, path)
        found = osmium.FileProcessor(str(path)).with_locations()
        found = found.with_filter(osmium.filter.KeyFilter(*_KEYS))
        for n, thing in enumerate(found):
            if n % EVERY == 0:
                progress(0, 0)
            if thing.is_way():
                if thing.tags.get("highway") in osm_tags.SPEED_KMH:
                    _add_way(raw, thing, area)
            elif thing.is_node():
                if osm_tags.blocks_cars(thing.tags):
                    raw.blocked.add(thing.id)
            elif thing.is_relation():
                _add_turn(raw, thing)
    return raw


def _box(osmium: Any, path: Path) -> Area | None:
    reader = osmium.io.Reader(str(path))
    try:
        box = reader.header().box()
    finally:
        reader.close()
    if not box.valid():
        return None
    low, high = box.bottom_left, box.top_right
    return Area(low.lat, low.lon, high.lat, high.lon)


def _add_way(raw: RawWays, way: Any, area: Area | None) -> None:
    tags = dict(way.tags)
    access = osm_tags.access_of(tags)
    if access == osm_tags.CLOSED or tags.get("area") == "yes":
        return
    nobody_lives = tags["highway"].startswith("motorway") or tags.get("tunnel") == "yes"
    flags = INSIDERS_ONLY if access == osm_tags.INSIDERS_ONLY else 0
    flags |= NO_STOP if nobody_lives else 0
    flags |= MINOR if tags["highway"] in osm_tags.MINOR else 0
    name = " ".join((tags.get("name") or tags.get("ref") or "").split())
    raw.newest_edit = max(raw.newest_edit, f"{way.timestamp:%Y-%m-%d}")
    for refs, lat, lon in _runs(raw, way, area):
        raw.way_id.append(way.id)
        raw.kind.append(osm_tags.CLASSES.index(tags["highway"]))
        raw.ways.append(osm_tags.directions_of(tags))
        raw.speed_kmh.append(osm_tags.speed_kmh(tags))
        raw.flags.append(flags)
        raw.name.append(raw.names.setdefault(name, len(raw.names)) if name else -1)
        raw.refs += refs
        raw.lat += lat
        raw.lon += lon
        raw.start.append(len(raw.refs))


def _runs(
    raw: RawWays, way: Any, area: Area | None
) -> Iterator[tuple[list[int], list[int], list[int]]]:
    """The parts of a way whose points are known and touch the area; where it was cut is noted."""
    run: tuple[list[int], list[int], list[int]] = ([], [], [])
    touches = area is None
    cut_before = False
    for node in [*way.nodes, None]:
        if node is not None and node.location.valid():
            run[0].append(node.ref)
            run[1].append(node.location.y)
            run[2].append(node.location.x)
            touches = touches or (area is not None and area.holds(node.lat, node.lon))
            continue
        if len(run[0]) > 1 and touches:
            if cut_before:
                raw.cut.add(run[0][0])
            if node is not None:
                raw.cut.add(run[0][-1])
            yield run
        run = ([], [], [])
        touches = area is None
        cut_before = node is not None


def _add_turn(raw: RawWays, relation: Any) -> None:
    kind = osm_tags.restriction_of(relation.tags)
    if kind is None:
        return
    members: dict[str, list[tuple[str, int]]] = {}
    for member in relation.members:
        members.setdefault(member.role, []).append((member.type, member.ref))
    via = members.get("via", [])
    if len(via) != 1 or via[0][0] != "n":  # a way in the middle: counted, not obeyed
        raw.n_turns_not_read += 1
        return
    raw.turns += [
        RawTurn(kind, from_way, via[0][1], to_way)
        for _t, from_way in members.get("from", [])
        for _u, to_way in members.get("to", [])
    ]
