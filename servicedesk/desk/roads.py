"""Road files beside a store: built from an extract, found again, the newest one in use."""

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property, lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

from servicedesk.desk.office import Desk
from servicedesk.desk.places import located
from servicedesk.desk.places_on_disk import data_folder
from servicedesk.records import planning_rows
from servicedesk.values.position import Position
from servicedesk.values.progress import Progress, quiet
from servicedesk.values.trouble import Trouble
from servicedesk.words import say

if TYPE_CHECKING:
    from servicedesk.exchange.osm_roads import Area
    from servicedesk.exchange.roadfile import About, RoadFile
    from servicedesk.travel.addresses import AddressBook
    from servicedesk.travel.road_map import RoadMap
    from servicedesk.travel.roads import Roads

AROUND_KM = 20.0  # roads kept around the sites: ways around lead out of the area served
_KM_PER_DEGREE = 111.2


@dataclass(frozen=True, eq=False)
class RoadsInUse:
    """A road file and what was read from it; each part is read when first asked for."""

    file: "RoadFile"

    @property
    def about(self) -> "About":
        """Name, age, size, credit and license of the extract."""
        return self.file.about

    @cached_property
    def roads(self) -> "Roads":
        """Times and ways."""
        from servicedesk.travel.roads import Roads

        return Roads(self.file.graph())

    @cached_property
    def map(self) -> "RoadMap":
        """What the map is drawn from."""
        return self.file.road_map()

    @cached_property
    def addresses(self) -> "AddressBook":
        """Where an address is."""
        from servicedesk.travel.addresses import AddressBook

        return AddressBook(self.roads.graph, self.file.houses(), self.file.places())


def roads_folder(place: str) -> Path:
    """Where the road files of a store lie: beside its file, else in this person's data folder.

    They can be dropped at any time: all in them can be built again from the extract.
    """
    if "://" not in place:
        path = Path(place).absolute()
        return path.with_name(f"{path.stem}.roads")
    # the address may hold a password: only its hash is seen
    name = hashlib.sha256(place.encode()).hexdigest()[:16]
    return data_folder() / f"{name}.roads"


def roads_in_use(desk: Desk) -> RoadsInUse | None:
    """The newest road file of the store; None if there is none that can be read."""
    try:
        folder = roads_folder(desk.store.place)
    except Trouble:  # a store on a server, and this person has no data folder
        return None
    return newest_roads(folder)


def newest_roads(folder: Path) -> RoadsInUse | None:
    """The newest readable road file in a folder. Kept in this process while it is the newest."""
    try:
        found = [(path.stat().st_mtime_ns, path) for path in folder.glob("roads-*.npz")]
    except OSError:
        return None
    for changed, path in sorted(found, reverse=True):
        try:
            return _opened(path, changed)
        except Trouble:  # of another version of the program, or spoiled: like none
            continue
    return None


@lru_cache(maxsize=4)
def _opened(path: Path, _changed: int) -> RoadsInUse:
    from servicedesk.exchange.roadfile import RoadFile

    return RoadsInUse(RoadFile(path))


def build_roads(
    desk: Desk,
    extract: Path,
    *,
    buildings: bool = True,
    everything: bool = False,
    progress: Progress = quiet,
) -> RoadsInUse:
    """Make the road file of an extract for this store; it is in use from then on.

    Only what lies within `AROUND_KM` of the office and the sites is kept, unless `everything` is
    wanted or nothing has a position yet. Raises Trouble if the extract cannot be read or does not
    hold the area; Stopped if `progress` says so: then the roads in use before stay.
    """
    area = None if everything else served_area(desk)
    folder = roads_folder(desk.store.place)
    return build_roads_in(
        folder, extract, area, now=desk.store.now(), buildings=buildings, progress=progress
    )


def build_roads_in(
    folder: Path,
    extract: Path,
    area: "Area | None",
    *,
    now: datetime,
    buildings: bool = True,
    invented: bool = False,
    progress: Progress = quiet,
) -> RoadsInUse:
    """The same for a folder, also for an `invented` area.

    Older road files there and what was computed from them are removed.
    """
    from servicedesk.exchange.roadfile import OPEN_STREET_MAP, Origin, build_road_file

    note = say("invented roads")
    path = build_road_file(
        extract,
        folder,
        area,
        now=now,
        buildings=buildings,
        origin=Origin(note, note) if invented else OPEN_STREET_MAP,
        progress=progress,
    )
    path.touch()  # built again it is the newest again
    for old in (*folder.glob("roads-*.npz"), *folder.glob("travel-*.npz")):
        if old != path:
            old.unlink(missing_ok=True)
    found = newest_roads(folder)
    if found is None:
        raise Trouble(
            say("The road file in {folder} cannot be read back.", folder=folder), exit_code=3
        )
    return found


def served_area(desk: Desk) -> "Area | None":
    """The box around the office and all sites with a known position, `AROUND_KM` wider.

    None if nothing has a position.
    """
    with desk.store.read() as session:
        spots = located(desk, planning_rows.site_places(session))
    known = [spot.position for spot in spots.values() if not spot.is_guessed]
    if desk.company.position is not None:
        known.append(desk.company.position)
    return area_around(known) if known else None


def area_around(positions: Sequence[Position], km: float = AROUND_KM) -> "Area":
    """The upright box `km` wider than what holds all positions (at least one)."""
    from math import cos, radians

    from servicedesk.exchange.osm_roads import Area

    lat = [p.lat_deg for p in positions]
    lon = [p.lon_deg for p in positions]
    up = km / _KM_PER_DEGREE
    widest = max(abs(v) for v in lat)
    aside = up / max(0.05, cos(radians(min(89.0, widest))))
    return Area(min(lat) - up, min(lon) - aside, max(lat) + up, max(lon) + aside)


def source_words(source: str, name: str = "") -> str:
    """Which times are in use, as it stands beside a map or a plan (`TravelTimes.source`)."""
    if source == "roads":
        return say("roads of {extract}", extract=name)
    return say("straight lines, times estimated")
