"""The invented island as a small OpenStreetMap-format XML extract (API 0.6 shape).

Ids are numbered from one in the order of writing: equal worlds give equal bytes.
"""

from collections.abc import Iterable, Iterator
from pathlib import Path
from xml.sax.saxutils import quoteattr

from sample_db.world import Point, Road, World, degrees

NOTE = "invented: Tarrow County does not exist; made by the sample generator"
_STAMP = "2026-01-01T00:00:00Z"


def write_osm(world: World, path: Path) -> Path:
    """Write the island to `path` and return it. Nothing else in the folder is touched."""
    with path.open("w", encoding="utf-8", newline="\n") as out:
        out.writelines(f"{line}\n" for line in osm_lines(world))
    return path


def osm_lines(world: World) -> Iterator[str]:
    """The lines of the extract: header, nodes, ways, relations, in the order readers expect."""
    book = _Book()
    lines = [*_ways(world, book)]
    lat0, lon0 = degrees((min(x for x, _ in world.coast), min(y for _, y in world.coast)))
    lat1, lon1 = degrees((max(x for x, _ in world.coast), max(y for _, y in world.coast)))
    yield '<?xml version="1.0" encoding="UTF-8"?>'
    yield f'<osm version="0.6" generator="sample_db" note={quoteattr(NOTE)}>'
    yield f'  <bounds minlat="{lat0}" minlon="{lon0}" maxlat="{lat1}" maxlon="{lon1}"/>'
    yield from _nodes(world, book)
    yield from lines
    yield from _relations(world, book)
    yield "</osm>"


class _Book:
    """Which point has which node id, which road which way id."""

    def __init__(self) -> None:
        self.nodes: dict[Point, int] = {}
        self.next_way = 1
        self.way_of_road: dict[int, int] = {}

    def node(self, at: Point) -> int:
        return self.nodes.setdefault(at, len(self.nodes) + 1)

    def way(self, points: Iterable[Point], tags: dict[str, str]) -> Iterator[str]:
        way_id, self.next_way = self.next_way, self.next_way + 1
        yield f'  <way id="{way_id}" version="1" timestamp="{_STAMP}">'
        for at in points:
            yield f'    <nd ref="{self.node(at)}"/>'
        yield from _tags(tags)
        yield "  </way>"


def _tags(tags: dict[str, str]) -> Iterator[str]:
    for key, value in tags.items():
        yield f"    <tag k={quoteattr(key)} v={quoteattr(value)}/>"


def _road_tags(road: Road) -> dict[str, str]:
    tags = {"highway": road.kind, "name": road.name}
    if road.maxspeed_mph:
        tags["maxspeed"] = f"{road.maxspeed_mph} mph"
    if road.oneway:
        tags["oneway"] = "yes"
    if road.access:
        tags["access"] = road.access
    if road.bridge:
        tags |= {"bridge": "yes", "layer": "1"}
    if road.kind == "track":
        tags["surface"] = "gravel"
    return tags


def _ways(world: World, book: _Book) -> Iterator[str]:
    for i, road in enumerate(world.roads):
        book.way_of_road[i] = book.next_way
        yield from book.way(road.points, _road_tags(road))
    yield from book.way(world.coast, {"natural": "coastline"})
    yield from book.way(world.river, {"waterway": "river", "name": "Sallow Water"})
    for name, outline in world.lakes:
        yield from book.way(outline, {"natural": "water", "water": "lake", "name": name})
    for outline in world.woods:
        yield from book.way(outline, {"natural": "wood"})
    for village in world.villages:
        x, y = village.at
        half = 0.5 + 0.3 * village.weight
        box = [
            (x - half, y - half),
            (x + half, y - half),
            (x + half, y + half),
            (x - half, y + half),
        ]
        outline = [(round(a, 4), round(b, 4)) for a, b in [*box, box[0]]]
        yield from book.way(outline, {"landuse": "residential", "name": village.name})


def _nodes(world: World, book: _Book) -> Iterator[str]:
    places = {v.at: {"place": "town" if i == 0 else "village", "name": v.name}
              for i, v in enumerate(world.villages)}  # fmt: skip
    for at, node_id in book.nodes.items():
        yield from _node(node_id, at, places.pop(at, {}))
    next_id = len(book.nodes) + 1
    for at, tags in places.items():
        yield from _node(next_id, at, tags)
        next_id += 1
    for plot in world.plots:
        tags = {"addr:street": plot.street, "addr:city": plot.village}
        tags["addr:postcode"] = plot.postcode
        if plot.number:
            tags = {"addr:housenumber": str(plot.number), **tags}
        else:
            tags["name"] = plot.street
        yield from _node(next_id, plot.at, tags)
        next_id += 1


def _node(node_id: int, at: Point, tags: dict[str, str]) -> Iterator[str]:
    lat, lon = degrees(at)
    head = f'  <node id="{node_id}" version="1" timestamp="{_STAMP}" lat="{lat}" lon="{lon}"'
    if not tags:
        yield f"{head}/>"
        return
    yield f"{head}>"
    yield from _tags(tags)
    yield "  </node>"


def _relations(world: World, book: _Book) -> Iterator[str]:
    for i, turn in enumerate(world.turns, start=1):
        yield f'  <relation id="{i}" version="1" timestamp="{_STAMP}">'
        from_way, to_way = book.way_of_road[turn.from_road], book.way_of_road[turn.to_road]
        yield f'    <member type="way" ref="{from_way}" role="from"/>'
        yield f'    <member type="node" ref="{book.nodes[turn.via]}" role="via"/>'
        yield f'    <member type="way" ref="{to_way}" role="to"/>'
        yield from _tags({"type": "restriction", "restriction": turn.kind})
        yield "  </relation>"
