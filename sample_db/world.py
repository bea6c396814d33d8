"""The geography of the invented island Tarrow County: pure, in kilometers around the office town.

Nothing here exists: the island lies in open ocean where no land is. All is drawn from one seed.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from random import Random

from sample_db.places import LANES, MAIN_ROAD_HOUSES, MORE_VILLAGES, VILLAGES, lane_names
from sample_db.sizes import Size

CENTER_LAT_DEG = 37.0  # open North Atlantic; the nearest land is more than 600 km away
CENTER_LON_DEG = -58.0
KM_PER_DEGREE = 111.195

Point = tuple[float, float]  # kilometers east and north of the office town


@dataclass(frozen=True, slots=True)
class Village:
    """A named place; `weight` is its share of the houses."""

    name: str
    postcode: str
    at: Point
    weight: float


@dataclass(frozen=True, slots=True)
class Road:
    """A line of points; where two roads meet they share a point exactly."""

    name: str
    kind: str  # value of the highway tag
    points: tuple[Point, ...]
    village: str = ""
    maxspeed_mph: int = 0  # 0: not posted
    oneway: bool = False
    access: str = ""
    bridge: bool = False


@dataclass(frozen=True, slots=True)
class Plot:
    """A house by a road."""

    number: int
    street: str
    village: str
    postcode: str
    at: Point

    @property
    def address(self) -> str:
        return f"{self.number} {self.street}" if self.number else self.street


@dataclass(frozen=True, slots=True)
class Turn:
    """A turn that is not allowed: between two roads that share the point `via`."""

    kind: str
    from_road: int
    via: Point
    to_road: int


@dataclass(slots=True)
class World:
    """The island."""

    coast: list[Point]
    villages: list[Village]
    roads: list[Road] = field(default_factory=list)
    plots: list[Plot] = field(default_factory=list)
    lakes: list[tuple[str, list[Point]]] = field(default_factory=list)
    woods: list[list[Point]] = field(default_factory=list)
    river: list[Point] = field(default_factory=list)
    turns: list[Turn] = field(default_factory=list)


def degrees(at: Point) -> tuple[float, float]:
    """Latitude and longitude of a point (a flat island: good to some meters)."""
    lon_km = KM_PER_DEGREE * math.cos(math.radians(CENTER_LAT_DEG))
    return (
        round(CENTER_LAT_DEG + at[1] / KM_PER_DEGREE, 6),
        round(CENTER_LON_DEG + at[0] / lon_km, 6),
    )


def distance_km(a: Point, b: Point) -> float:
    """Straight line between two points."""
    return math.hypot(a[0] - b[0], a[1] - b[1])


def make_world(size: Size, seed: int) -> World:
    """The island of a size: equal size and seed give an equal island."""
    rng = Random(f"world {size.name} {seed}")
    villages = _villages(rng, size)
    world = World(coast=_blob(rng, (0.0, 0.0), size.half_km, 0.07, 180), villages=villages)
    _main_roads(rng, world)
    _lanes(rng, world, size)
    _town_square(world)
    world.river = _river(rng, size)
    world.lakes = _lakes(rng, world, size)
    world.woods = _woods(rng, world, size)
    _turns(world)
    return world


def _villages(rng: Random, size: Size) -> list[Village]:
    placed = [Village(n, p, at, w) for n, p, at, w in VILLAGES]
    names = list(MORE_VILLAGES)
    tries = 0
    apart = size.apart_km
    while len(placed) < size.villages and names:
        tries += 1
        if tries % 400 == 0:
            apart *= 0.9
        angle, r = rng.uniform(0, math.tau), 0.74 * math.sqrt(rng.random())
        at = (
            round(r * size.half_km[0] * math.cos(angle), 3),
            round(r * size.half_km[1] * math.sin(angle), 3),
        )
        if all(distance_km(at, v.at) >= apart for v in placed):
            code = f"{100 + len(placed):05d}"
            placed.append(Village(names.pop(0), code, at, rng.uniform(0.6, 1.3)))
    return placed


def _blob(rng: Random, at: Point, half: Point, rough: float, n: int) -> list[Point]:
    """A closed wavy outline, counter-clockwise, last point equal to the first."""
    waves = [(k, rng.uniform(0, math.tau), rough / (k**0.6)) for k in range(2, 9)]
    points = []
    for i in range(n):
        a = math.tau * i / n
        r = 1.0 + sum(size * math.sin(k * a + phase) for k, phase, size in waves)
        points.append(
            (
                round(at[0] + half[0] * r * math.cos(a), 4),
                round(at[1] + half[1] * r * math.sin(a), 4),
            )
        )
    return [*points, points[0]]


def _bent(rng: Random, a: Point, b: Point, step_km: float = 0.7) -> tuple[Point, ...]:
    """A road from a to b with gentle bends."""
    length = distance_km(a, b)
    n = max(2, int(length / step_km))
    sway, sway2 = rng.uniform(-0.06, 0.06) * length, rng.uniform(-0.03, 0.03) * length
    nx, ny = -(b[1] - a[1]) / length, (b[0] - a[0]) / length
    points = [a]
    for i in range(1, n):
        t = i / n
        off = sway * math.sin(math.pi * t) + sway2 * math.sin(3 * math.pi * t)
        points.append(
            (
                round(a[0] + (b[0] - a[0]) * t + nx * off, 4),
                round(a[1] + (b[1] - a[1]) * t + ny * off, 4),
            )
        )
    return (*points, b)


def _links(villages: Sequence[Village]) -> list[tuple[int, int]]:
    """Pairs of villages that a road joins: the shortest tree and some shortcuts."""
    joined, links = {0}, []
    nearest = {i: (distance_km(v.at, villages[0].at), 0) for i, v in enumerate(villages) if i}
    while nearest:
        i = min(nearest, key=lambda k: nearest[k])
        links.append((nearest.pop(i)[1], i))
        joined.add(i)
        nearest = {
            j: min(so_far, (distance_km(villages[i].at, villages[j].at), i))
            for j, so_far in nearest.items()
        }
    pairs = sorted(
        (distance_km(a.at, b.at), i, j)
        for i, a in enumerate(villages)
        for j, b in enumerate(villages)
        if i < j
    )
    degree = [sum(i in pair for pair in links) for i in range(len(villages))]
    for _, i, j in pairs[: 4 * len(villages)]:
        if (i, j) not in links and (j, i) not in links and min(degree[i], degree[j]) < 2:
            links.append((i, j))
            degree[i] += 1
            degree[j] += 1
    return links


def _main_roads(rng: Random, world: World) -> None:
    used: set[str] = set()
    for i, j in _links(world.villages):
        a, b = world.villages[i], world.villages[j]
        name = f"{b.name.split()[-1]} Road"
        if b.name == "Lower Brisk":
            name = "Brisk Ferry Road"
        if name in used:
            name = f"{a.name.split()[-1]} and {b.name.split()[-1]} Road"
        used.add(name)
        kind, speed = ("secondary", 45) if 0 in (i, j) else ("tertiary", 40)
        points = _bent(rng, a.at, b.at)
        world.roads.append(Road(name, kind, points, b.name, speed))
        _houses(rng, world, world.roads[-1], b, 0.3, MAIN_ROAD_HOUSES.get(name, ()))


def _lanes(rng: Random, world: World, size: Size) -> None:
    others = lane_names(rng)
    wanted = size.sites * 1.5
    total = sum(v.weight for v in world.villages)
    for village in world.villages:
        named = list(LANES.get(village.name, ()))
        goal = wanted * village.weight / total
        before = len(world.plots)
        starts = [p for r in world.roads for p in r.points if distance_km(p, village.at) < 2.6]
        turn = rng.uniform(0, math.tau)
        while named or len(world.plots) - before < goal:
            name, numbers = named.pop(0) if named else (next(others), ())
            start = village.at if rng.random() < 0.25 else rng.choice(starts)
            turn += 2.4  # the golden angle spreads the lanes
            points = _meander(rng, start, turn, max([1.0, *(n * 0.0105 for n in numbers)]))
            rural = rng.random() < 0.4
            kind, speed = ("unclassified", 35) if rural else ("residential", 25)
            road = Road(name, kind, points, village.name, speed)
            if rng.random() < 0.05:
                road = Road(name, "track", points, village.name, access="private")
            world.roads.append(road)
            starts.extend(points[1:-1])
            _houses(rng, world, road, village, 0.75, numbers)


def _meander(rng: Random, start: Point, heading: float, at_least_km: float) -> tuple[Point, ...]:
    length = max(at_least_km, rng.uniform(0.5, 2.2))
    step, points = 0.14, [start]
    for _ in range(math.ceil(length / step) + 1):
        heading += rng.gauss(0, 0.14)
        x, y = points[-1]
        points.append(
            (round(x + step * math.cos(heading), 4), round(y + step * math.sin(heading), 4))
        )
    return tuple(points)


def _houses(
    rng: Random,
    world: World,
    road: Road,
    village: Village,
    share: float,
    numbers: Sequence[int] = (),
) -> None:
    """Houses beside a road, numbered by distance: odd on the left, even on the right."""
    walked, taken = 0.0, set(numbers)
    wanted = sorted(numbers)
    for a, b in zip(road.points, road.points[1:], strict=False):
        leg = distance_km(a, b)
        while wanted and wanted[0] * 0.01 <= walked + leg:
            _house(world, road, village, a, b, wanted.pop(0), walked)
        for k in range(1, int(leg / 0.13) + 1):
            at_km = walked + k * 0.13
            number = int(at_km * 100) + rng.randrange(2)
            if rng.random() < share and number not in taken:
                taken.add(number)
                _house(world, road, village, a, b, number, walked)
        walked += leg


def _house(
    world: World, road: Road, village: Village, a: Point, b: Point, number: int, walked: float
) -> None:
    leg = distance_km(a, b)
    t = min(1.0, max(0.0, (number * 0.01 - walked) / leg))
    side = 0.04 if number % 2 else -0.04
    nx, ny = -(b[1] - a[1]) / leg * side, (b[0] - a[0]) / leg * side
    at = (round(a[0] + (b[0] - a[0]) * t + nx, 4), round(a[1] + (b[1] - a[1]) * t + ny, 4))
    world.plots.append(Plot(number, road.name, village.name, village.postcode, at))


def _town_square(world: World) -> None:
    """One-way streets around the square of the office town, and the chapel of Pinder."""
    ring = [(0.0, 0.0), (0.12, 0.05), (0.1, 0.17), (-0.04, 0.16), (0.0, 0.0)]
    for name, part in (("Market Street", ring[:3]), ("Bell Street", ring[2:])):
        world.roads.append(Road(name, "residential", tuple(part), "Wrenlock", 20, oneway=True))
    pinder = next(v for v in world.villages if v.name == "Pinder")
    chapel = (round(pinder.at[0] + 0.06, 4), round(pinder.at[1] + 0.05, 4))
    world.plots.append(Plot(0, "Pinder Chapel", pinder.name, pinder.postcode, chapel))


def _river(rng: Random, size: Size) -> list[Point]:
    """A river from coast to coast, passing north of the office town as in the pictures."""
    w, h = size.half_km
    points = []
    for i in range(41):
        t = i / 40
        x = -0.9 * w + 1.8 * w * t
        y = 0.9 + 0.09 * h * math.sin(5 * t + 1) + 0.3 * h * (t - 0.5) ** 3 + rng.uniform(-0.1, 0.1)
        points.append((round(x, 4), round(y, 4)))
    return points


def _free(world: World, at: Point, radius: float) -> bool:
    return all(distance_km(at, p) > radius for r in world.roads for p in r.points)


def _lakes(rng: Random, world: World, size: Size) -> list[tuple[str, list[Point]]]:
    names = ["Sallow Mere", "Heron Water", "Lantern Pond", "Brisk Mere", "Cold Water", "Long Mere"]
    lakes: list[tuple[str, list[Point]]] = []
    for _ in range(400):
        at = (
            rng.uniform(-0.7, 0.7) * size.half_km[0],
            rng.uniform(-0.7, 0.7) * size.half_km[1],
        )
        radius = rng.uniform(0.35, 0.8)
        if len(lakes) < len(names) and _free(world, at, radius * 1.8):
            lakes.append((names[len(lakes)], _blob(rng, at, (radius, radius * 0.6), 0.1, 36)))
    return lakes


def _woods(rng: Random, world: World, size: Size) -> list[list[Point]]:
    woods: list[list[Point]] = []
    for _ in range(6 * size.villages):
        at = (
            rng.uniform(-0.75, 0.75) * size.half_km[0],
            rng.uniform(-0.75, 0.75) * size.half_km[1],
        )
        radius = rng.uniform(0.8, 1.9)
        if len(woods) < 2 * size.villages and _free(world, at, radius * 0.7):
            woods.append(_blob(rng, at, (radius, radius * 0.75), 0.08, 28))
    return woods


def _turns(world: World) -> None:
    """A few turns that are not allowed where a lane leaves a main road in its middle."""
    main = {
        p: i for i, r in enumerate(world.roads) if r.kind == "secondary" for p in r.points[1:-1]
    }
    for i, road in enumerate(world.roads):
        via = road.points[0]
        if road.kind == "residential" and via in main and len(world.turns) < 6:
            world.turns.append(Turn("no_left_turn", i, via, main[via]))
