"""What the maps of this office are drawn on, and the ways along its roads."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from servicedesk.desk.office import Desk
from servicedesk.desk.roads import RoadsInUse, roads_in_use, source_words
from servicedesk.values.position import Position

if TYPE_CHECKING:
    from servicedesk.travel.map_ground import Ground

Leg = tuple[Position, Position]
Ways = Mapping[Leg, tuple[Position, ...]]


@dataclass(frozen=True, eq=False, kw_only=True)
class MapGround:
    """The ground of a road file with what must stand on every map of it.

    `credit` is for a screen, `credit_on_paper` has the address of the terms in full. Safe to share
    between threads.
    """

    key: str
    name: str
    ground: "Ground"
    credit: str
    credit_on_paper: str
    license: str
    in_use: RoadsInUse

    @property
    def source(self) -> str:
        """Which roads these are: "roads of EXTRACT"."""
        return source_words("roads", self.name)


def map_ground(desk: Desk) -> MapGround | None:
    """The ground of the roads in use; None without a road file. Reads and computes at first."""
    in_use = roads_in_use(desk)
    return None if in_use is None else _ground_of(in_use)


def legs_by_road(ground: MapGround, legs: Iterable[Leg]) -> dict[Leg, tuple[Position, ...]]:
    """The points of each drive; a leg that no road is known for is left out. Touches no store."""
    roads = ground.in_use.roads
    found = {}
    for origin, target in dict.fromkeys(legs):
        placed = roads.place([origin, target])
        path = roads.path(placed[0], placed[1])
        if path is not None:
            found[origin, target] = (origin, *path.points, target)
    return found


@lru_cache(maxsize=2)
def _ground_of(in_use: RoadsInUse) -> MapGround:
    from servicedesk.travel.map_ground import Ground

    about = in_use.about
    return MapGround(
        key=about.key,
        name=about.name,
        ground=Ground(in_use.map, key=about.key),
        credit=about.credit,
        credit_on_paper=about.credit_on_paper,
        license=about.license,
        in_use=in_use,
    )
