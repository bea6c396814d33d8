"""What a map of an area is drawn from: lines and areas in flat arrays, and names of places."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from servicedesk.travel.road_graph import Bytes, Ints

# in the order in which they are drawn, lowest first
AREA_LAYERS = ("woods", "built_up", "water", "buildings")
LINE_LAYERS = ("coast", "streams", "rail", "roads")
PLACE_KINDS = ("city", "town", "village", "suburb", "hamlet", "locality")  # largest first


@dataclass(frozen=True, eq=False, kw_only=True)
class Shapes:
    """Many lines or areas of one layer.

    Shape i has the rings ``shape_start[i]..shape_start[i + 1]``: one for a line; for an area its
    outline, then its holes. Ring r has the points ``ring_start[r]..ring_start[r + 1]`` of `lat` and
    `lon` (1e-7 degrees). `kind`: class of a road (exchange.osm_tags.CLASSES), else 0. `name`: place
    in `RoadMap.names`, -1 for none.
    """

    shape_start: Ints
    ring_start: Ints
    lat: Ints
    lon: Ints
    kind: Bytes
    name: Ints

    def __len__(self) -> int:
        return len(self.kind)

    def rings(self, shape: int) -> list[tuple[Ints, Ints]]:
        """Latitudes and longitudes (1e-7 degrees) of each ring of one shape."""
        first, last = int(self.shape_start[shape]), int(self.shape_start[shape + 1])
        found = []
        for ring in range(first, last):
            part = slice(int(self.ring_start[ring]), int(self.ring_start[ring + 1]))
            found.append((self.lat[part], self.lon[part]))
        return found


@dataclass(frozen=True, slots=True)
class PlaceName:
    """A town or village: `kind` of `PLACE_KINDS`; `people` 0 where it is not known."""

    name: str
    kind: str
    lat_deg: float
    lon_deg: float
    people: int = 0


@dataclass(frozen=True, eq=False, kw_only=True)
class RoadMap:
    """All layers by name (`AREA_LAYERS`, `LINE_LAYERS`), the names in them, and the places."""

    layers: Mapping[str, Shapes]
    names: tuple[str, ...] = ()
    places: tuple[PlaceName, ...] = field(default=())
