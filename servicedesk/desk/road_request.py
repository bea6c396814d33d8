"""Building roads away from the store: what has to be read first, and the long work after it."""

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from servicedesk.desk.office import Desk
from servicedesk.desk.roads import RoadsInUse, build_roads_in, roads_folder, served_area
from servicedesk.values.progress import Progress, quiet

if TYPE_CHECKING:
    from servicedesk.exchange.osm_roads import Area


@dataclass(frozen=True, slots=True, kw_only=True)
class RoadRequest:
    """Where the road file goes, and the area it is cut to (None: all of the extract)."""

    folder: Path
    area: "Area | None"
    now: datetime


def road_request(desk: Desk) -> RoadRequest:
    """What building needs to know of the store. Reads only."""
    folder = roads_folder(desk.store.place)
    return RoadRequest(folder=folder, area=served_area(desk), now=desk.store.now())


def build_requested(
    request: RoadRequest, extract: Path, *, buildings: bool = True, progress: Progress = quiet
) -> RoadsInUse:
    """Build; may take minutes, and touches no store. Raises like `roads.build_roads`."""
    return build_roads_in(
        request.folder,
        extract,
        request.area,
        now=request.now,
        buildings=buildings,
        progress=progress,
    )
