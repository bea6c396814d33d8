"""A small extract around the office of the tests, and its road file beside a store."""

from pathlib import Path

from servicedesk.desk.roads import build_roads
from tests.travel.small_roads import extract

LAT, LON = 30.0, -94.0
MILL = {"highway": "primary", "name": "Mill Road"}
LANE = {"highway": "residential", "name": "Dry Hollow Lane"}


def an_extract(folder: Path) -> Path:
    """A main road with a lane, a lake, three house numbers, a town: 0.001 degrees a step."""
    points = {
        "a": (-60, 0), "b": (0, 0), "c": (60, 0), "d": (0, 40), "e": (0, -40),
        "l1": (10, 10), "l2": (30, 10), "l3": (30, 30), "l4": (10, 30),
        "h1": (0.3, 11), "h2": (0.3, 21), "h3": (20, 0.3), "t": (2, 2),
    }  # fmt: skip
    house = {"addr:street": "Dry Hollow Lane"}
    nodes = {
        "h1": {"addr:housenumber": "118", **house},
        "h2": {"addr:housenumber": "121", **house},
        "h3": {"addr:housenumber": "9", "addr:street": "Mill Road"},
        "t": {"place": "town", "name": "Wrenlock"},
    }
    ways = [("abc", MILL), ("ebd", LANE), (("l1", "l2", "l3", "l4", "l1"), {"natural": "water"})]
    path = extract(folder / "tarrow.osm", points, ways, node_tags=nodes)
    return moved(path)


def moved(path: Path) -> Path:
    """The builder draws at the equator: moved to the office."""
    import re

    def shifted(name: str, by: float):
        return lambda m: f"{name}='{float(m[1]) + by:.7f}'"

    text = re.sub(r"lat='(-?[\d.]+)'", shifted("lat", LAT), path.read_text())
    text = re.sub(r"lon='(-?[\d.]+)'", shifted("lon", LON), text)
    path.write_text(text)
    return path


def with_roads(desk, folder: Path):
    """Build the roads for the store of `desk`."""
    return build_roads(desk, an_extract(folder), everything=True)
