"""Hand-made extracts: a grid of named points 100 m apart and the roads between them."""

from pathlib import Path
from xml.sax.saxutils import quoteattr

from servicedesk.exchange.osm_roads import read_ways
from servicedesk.exchange.road_build import graph_of
from servicedesk.travel.road_cost import TurnCost
from servicedesk.travel.roads import Roads
from servicedesk.values.position import Position

STEP_DEG = 0.001  # about 111 m to the north; at the equator the same to the east


def at(x: float, y: float) -> Position:
    """A position `x` steps east and `y` steps north, at the equator."""
    return Position(y * STEP_DEG, x * STEP_DEG)


def extract(path: Path, points: dict, ways: list, turns: list = (), node_tags: dict | None = None):
    """Write points {name: (x, y)}, ways [(names, tags)], turns [(kind, way, point, way)]."""
    ids = {name: n for n, name in enumerate(points, start=1)}
    lines = ["<?xml version='1.0'?>", "<osm version='0.6' generator='by hand'>"]
    for name, (x, y) in points.items():
        tags = _tags((node_tags or {}).get(name, {}))
        spot = at(x, y)
        lines.append(
            f"<node id='{ids[name]}' version='1' lat='{spot.lat_deg:.7f}' lon='{spot.lon_deg:.7f}'>{tags}</node>"
        )
    for n, (names, tags) in enumerate(ways, start=1):
        nodes = "".join(f"<nd ref='{ids.get(name, 999)}'/>" for name in names)
        lines.append(f"<way id='{n}' version='1'>{nodes}{_tags(tags)}</way>")
    for n, (kind, from_way, via, to_way) in enumerate(turns, start=1):
        members = (
            f"<member type='way' ref='{from_way}' role='from'/>"
            f"<member type='node' ref='{ids[via]}' role='via'/>"
            f"<member type='way' ref='{to_way}' role='to'/>"
        )
        tags = _tags({"type": "restriction", "restriction": kind})
        lines.append(f"<relation id='{n}' version='1'>{members}{tags}</relation>")
    path.write_text("\n".join([*lines, "</osm>"]), encoding="utf-8")
    return path


def roads_of(path: Path, *args, turn_cost: TurnCost | None = None, **kwargs) -> Roads:
    """The roads of a hand-made extract; turning costs nothing unless said."""
    return Roads(graph_of(read_ways(extract(path, *args, **kwargs))), turn_cost or TurnCost())


def _tags(tags: dict) -> str:
    return "".join(f"<tag k={quoteattr(k)} v={quoteattr(v)}/>" for k, v in tags.items())
