"""The compact road file made from an extract: graph, map and house numbers in one .npz.

``roads-<sha256 of the extract, clip and choices>-<format>.npz``, read without pickle. Whatever is
made from an extract stays under its license: the file carries credit and license.
"""

import hashlib
import json
import os
import zipfile
from dataclasses import asdict, dataclass, fields
from datetime import datetime
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt

from servicedesk.exchange.osm_file import CREDIT, LICENSE, TERMS, sha256_of
from servicedesk.exchange.osm_roads import Area, read_ways
from servicedesk.exchange.osm_scene import read_scene
from servicedesk.exchange.road_build import graph_of
from servicedesk.travel.houses import Houses
from servicedesk.travel.road_graph import RoadGraph
from servicedesk.travel.road_map import PlaceName, RoadMap, Shapes
from servicedesk.values.progress import Progress, quiet
from servicedesk.values.trouble import Trouble
from servicedesk.words import say

FORMAT = 1  # another number whenever what is read or written changes
_STEPS = 5
_Arrays = dict[str, npt.NDArray[Any]]
_GRAPH_ARRAYS = tuple(f.name for f in fields(RoadGraph) if f.name != "names")
_SHAPE_ARRAYS = tuple(f.name for f in fields(Shapes))


@dataclass(frozen=True, slots=True)
class Origin:
    """Whose data an extract is, and under which license."""

    credit: str
    license: str


OPEN_STREET_MAP = Origin(CREDIT, LICENSE)


@dataclass(frozen=True, slots=True, kw_only=True)
class About:
    """What a road file says of itself. `key` names this very content in caches."""

    key: str
    name: str
    sha256: str
    newest_edit: str
    imported_at: str
    area: tuple[float, float, float, float] | None
    bounds: tuple[float, float, float, float]  # lat from, lon from, lat until, lon until
    nodes: int
    arcs: int
    road_km: int
    houses: int
    turns_not_read: int
    credit: str  # stands on every map made from it
    license: str

    @property
    def credit_on_paper(self) -> str:
        """The credit, with the address of the terms in full where the data has some."""
        return f"{self.credit} ({TERMS})" if self.credit == CREDIT else self.credit


def build_road_file(
    extract: Path,
    folder: Path,
    area: Area | None = None,
    *,
    now: datetime,
    buildings: bool = True,
    origin: Origin = OPEN_STREET_MAP,
    progress: Progress = quiet,
) -> Path:
    """Read an extract and write its road file into `folder` (made if missing); where it stands.

    `area` keeps only what touches it. `now` is noted in the file, with credit and license. A file
    half written is never seen. Raises Trouble if the extract cannot be read, has no roads there, or
    the file cannot be written; Stopped if `progress` says so.
    """
    raw = read_ways(extract, area, _step(progress, 0, say("Reading roads")))
    graph = graph_of(raw, area)
    if not graph.n_segments:
        raise Trouble(
            say("{name} has no roads in this area.", name=extract.name),
            means=say("Nothing was written."),
            do=say("Choose an extract that holds the area you serve."),
        )
    reading = _step(progress, 1, say("Reading map and addresses"))
    road_map, houses = read_scene(extract, raw, area, buildings=buildings, progress=reading)
    sha = sha256_of(extract, _step(progress, 3, say("Writing the road file")))
    choices = json.dumps([sha, None if area is None else asdict(area), buildings, FORMAT])
    about = About(
        key=hashlib.sha256(choices.encode()).hexdigest(),
        name=extract.name.removesuffix(".pbf").removesuffix(".bz2").removesuffix(".osm"),
        sha256=sha,
        newest_edit=raw.newest_edit,
        imported_at=now.isoformat(timespec="seconds"),
        area=None
        if area is None
        else (area.lat_from, area.lon_from, area.lat_until, area.lon_until),
        bounds=_bounds(graph),
        nodes=graph.n_nodes,
        arcs=len(graph.arcs()),
        road_km=round(float(graph.metres.sum(dtype=np.float64)) / 1000),
        houses=len(houses),
        turns_not_read=raw.n_turns_not_read,
        credit=origin.credit,
        license=origin.license,
    )
    progress(_STEPS, _STEPS)  # the last moment to stop: what is written is in use
    return write_road_file(folder, about, graph, road_map, houses)


def _step(progress: Progress, at: int, words: str) -> Progress:
    """Progress for one step whose length is not known: it stands still, and can be stopped."""

    def inside(done: int, total: int, note: str = "") -> None:
        progress(at + done, max(total, _STEPS), note or words)

    return inside


def write_road_file(
    folder: Path, about: About, graph: RoadGraph, road_map: RoadMap, houses: Houses
) -> Path:
    """Write under another name, then rename: whoever looks sees all of it or nothing."""
    path = folder / f"roads-{about.key}-{FORMAT}.npz"
    half = folder / f"{path.name}.{os.getpid()}.making"
    arrays = _arrays(about, graph, road_map, houses)
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with half.open("wb") as file:
            np.savez_compressed(file, **arrays)  # type: ignore[arg-type]
        half.replace(path)
    except OSError as error:
        raise Trouble(
            say("The road file cannot be written to {folder}.", folder=folder),
            means=say("The roads in use before are still in use. {error}", error=error.strerror),
            do=say("Make room there, or ask for the right to write."),
            exit_code=3,
        ) from error
    finally:
        half.unlink(missing_ok=True)
    return path


class RoadFile:
    """A road file opened for reading; each part is read when asked for.

    Raises Trouble if it is no road file, or one of another format.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        meta = json.loads(self._text("about"))
        if meta.pop("format", None) != FORMAT:
            raise _unreadable(path)
        for name in ("area", "bounds"):
            meta[name] = None if meta[name] is None else tuple(meta[name])
        self.about = About(**meta)

    def graph(self) -> RoadGraph:
        """The roads."""
        found = self._read([f"graph.{name}" for name in _GRAPH_ARRAYS] + ["graph.names"])
        arrays = {name: found[f"graph.{name}"] for name in _GRAPH_ARRAYS}
        return RoadGraph(**arrays, names=_lines(found["graph.names"]))

    def road_map(self) -> RoadMap:
        """What the map is drawn from."""
        found = self._read()
        names = sorted(
            {k.split(".")[1] for k in found if k.startswith("map.") and k.count(".") == 2}
        )
        layers = {
            layer: Shapes(**{name: found[f"map.{layer}.{name}"] for name in _SHAPE_ARRAYS})
            for layer in names
        }
        places = tuple(PlaceName(**row) for row in json.loads(_text_of(found["map.places"])))
        return RoadMap(layers=layers, names=_lines(found["map.names"]), places=places)

    def places(self) -> tuple[PlaceName, ...]:
        """Towns and villages alone."""
        return tuple(PlaceName(**row) for row in json.loads(self._text("map.places")))

    def houses(self) -> Houses:
        """House numbers."""
        columns = ("street", "number", "postcode", "town")
        found = self._read([f"houses.{name}" for name in (*columns, "lat", "lon")])
        texts = {name: _lines(found[f"houses.{name}"]) for name in columns}
        return Houses(**texts, lat=found["houses.lat"], lon=found["houses.lon"])

    def _text(self, name: str) -> str:
        return _text_of(self._read([name])[name])

    def _read(self, names: list[str] | None = None) -> _Arrays:
        try:
            with self.path.open("rb") as raw, np.load(raw, allow_pickle=False) as file:
                return {name: file[name] for name in names or file.files}
        except (OSError, ValueError, KeyError, EOFError, zipfile.BadZipFile) as error:
            raise _unreadable(self.path) from error


def _unreadable(path: Path) -> Trouble:
    return Trouble(
        say("The road file {name} cannot be read.", name=path.name),
        means=say("Driving times are estimated from straight lines."),
        do=say("Build it again from its extract: servicedesk roads build AREA.osm.pbf"),
        exit_code=3,
    )


def _arrays(about: About, graph: RoadGraph, road_map: RoadMap, houses: Houses) -> _Arrays:
    found: _Arrays = {"about": _bytes(json.dumps({**asdict(about), "format": FORMAT}))}
    found |= {f"graph.{name}": getattr(graph, name) for name in _GRAPH_ARRAYS}
    found["graph.names"] = _bytes("\n".join(graph.names))
    for layer, shapes in road_map.layers.items():
        found |= {f"map.{layer}.{name}": getattr(shapes, name) for name in _SHAPE_ARRAYS}
    found["map.names"] = _bytes("\n".join(road_map.names))
    found["map.places"] = _bytes(json.dumps([asdict(place) for place in road_map.places]))
    for name in ("street", "number", "postcode", "town"):
        found[f"houses.{name}"] = _bytes("\n".join(getattr(houses, name)))
    return found | {"houses.lat": houses.lat, "houses.lon": houses.lon}


def _bytes(text: str) -> npt.NDArray[np.uint8]:
    return np.frombuffer(text.encode(), dtype=np.uint8)


def _text_of(array: npt.NDArray[Any]) -> str:
    return array.tobytes().decode()


def _lines(array: npt.NDArray[Any]) -> tuple[str, ...]:
    text = _text_of(array)
    return tuple(text.split("\n")) if text else ()


def _bounds(graph: RoadGraph) -> tuple[float, float, float, float]:
    lat, lon = graph.shape_lat, graph.shape_lon
    return tuple(float(v) / 1e7 for v in (lat.min(), lon.min(), lat.max(), lon.max()))  # type: ignore[return-value]
