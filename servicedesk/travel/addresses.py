"""Where an address is: house, crossing, street or town, with slips of spelling forgiven."""

from bisect import bisect_left
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from rapidfuzz import fuzz, process

from servicedesk.travel.address_words import (
    Typed,
    crossing_of,
    folded,
    number_key,
    readings_of,
)
from servicedesk.travel.houses import Houses
from servicedesk.travel.road_graph import RoadGraph
from servicedesk.travel.road_map import PlaceName
from servicedesk.travel.street_index import Crossing, Street, TownFinder, crossings_of, streets_of
from servicedesk.values.position import Position

Kind = Literal["house", "crossing", "street", "town"]
LIKE_ENOUGH = 72.0  # of 100; below, two street names are strangers: common practice, no source
_BEGINS, _HOLDS = (
    96.0,
    90.0,
)  # of 100, for a street that begins with, or has a word that begins with
_MOST_NAMES = 12
_ONE_HOUSE_DEG = 0.002  # some 200 m: ours, no source


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundPlace:
    """A place found for an address. `likeness` 0..100; `other` is the second street of a crossing.

    `number` is empty where only the street is known: the place then is somewhere on it.
    """

    kind: Kind
    position: Position
    likeness: float
    street: str = ""
    other: str = ""
    number: str = ""
    postcode: str = ""
    town: str = ""


class AddressBook:
    """The addresses of an area. Made once (some tenths of a second for a county), then quick."""

    def __init__(self, graph: RoadGraph, houses: Houses, places: Sequence[PlaceName] = ()) -> None:
        self._houses = houses
        self._places = tuple(places)
        self._streets: dict[str, list[Street]] = defaultdict(list)
        for street in streets_of(graph, houses, places):
            self._streets[folded(street.name)].append(street)
        self._crossings: dict[tuple[str, str], list[Crossing]] = defaultdict(list)
        for crossing in crossings_of(graph, places):
            a, b = sorted((folded(crossing.street), folded(crossing.other)))
            self._crossings[a, b].append(crossing)
        self._numbers: dict[str, list[int]] = defaultdict(list)
        for n, street_name in enumerate(houses.street):
            self._numbers[folded(street_name)].append(n)
        near = TownFinder(places).of(houses.lat, houses.lon)
        self._house_town = [town or near[n] for n, town in enumerate(houses.town)]
        self._names = sorted(self._streets)
        self._words = sorted({(w, name) for name in self._names for w in name.split()[1:]})
        self._towns = {folded(p.name) for p in places} | {folded(t) for t in set(houses.town)}
        self._towns |= {folded(code) for code in set(houses.postcode)}
        self._towns.discard("")

    @property
    def n_streets(self) -> int:
        """Streets by name and town."""
        return sum(len(streets) for streets in self._streets.values())

    def search(self, text: str, *, limit: int = 8) -> tuple[FoundPlace, ...]:
        """Places for what was typed, best first, at most `limit`; none if nothing is like it.

        "118 Dry Hollow Ln, Dry Hollow", "Hauptstr 12", "Mill Road and Church Lane", "Schaan".
        """
        found = [*self._at_crossing(text)]
        for reading in readings_of(text):
            for one in self._with_town_split(reading):
                found += self._at_street(one)
        found += self._at_town(text)
        best: list[FoundPlace] = []
        for place in sorted(found, key=_rank):
            if not any(_same(place, one) for one in best):
                best.append(place)
            if len(best) == limit:
                break
        return tuple(best)

    def _with_town_split(self, typed: Typed) -> Iterable[Typed]:
        """Also with the last words as the town, where they are one: "Main St Dry Hollow"."""
        words = typed.street.split()
        for n in range(1, len(words)):
            tail = " ".join(words[n:])
            if tail in self._towns:
                head = " ".join(words[:n])
                last = head.rsplit(" ", 1)
                if not typed.number and len(last) == 2 and last[1][:1].isdigit():
                    yield Typed(last[0], number_key(last[1]), tail)
                yield Typed(head, typed.number, tail)
        yield typed

    def _like(self, name: str) -> list[tuple[str, float]]:
        """Folded street names like `name`, with their likeness: beginnings first, then slips."""
        found: dict[str, float] = {}
        if name in self._streets:
            found[name] = 100.0
        for n in range(bisect_left(self._names, name), len(self._names)):
            if not self._names[n].startswith(name) or len(found) >= _MOST_NAMES:
                break
            found.setdefault(self._names[n], _BEGINS)
        for n in range(bisect_left(self._words, (name, "")), len(self._words)):
            if not self._words[n][0].startswith(name) or len(found) >= _MOST_NAMES:
                break
            found.setdefault(self._words[n][1], _HOLDS)
        if len(name) > 2 and 100.0 not in found.values():
            near = process.extract(
                name, self._names, scorer=fuzz.ratio, score_cutoff=LIKE_ENOUGH, limit=_MOST_NAMES
            )
            for other, likeness, _ in near:
                found[other] = max(found.get(other, 0.0), float(likeness))
        return sorted(found.items(), key=lambda item: (-item[1], item[0]))

    def _at_street(self, typed: Typed) -> list[FoundPlace]:
        found = []
        for name, likeness in self._like(typed.street):
            if typed.number:
                found += self._at_house(name, typed, likeness)
            for street in self._streets[name]:
                less = _missing_town(typed.rest, street.town) + (4.0 if typed.number else 0.0)
                found.append(
                    FoundPlace(
                        kind="street",
                        position=_position(street.lat, street.lon),
                        likeness=likeness - less,
                        street=street.name,
                        town=street.town,
                    )
                )
        return found

    def _at_house(self, name: str, typed: Typed, likeness: float) -> list[FoundPlace]:
        houses = self._houses
        found = []
        for n in self._numbers.get(name, ()):
            if number_key(houses.number[n]) != typed.number:
                continue
            less = _missing_town(typed.rest, f"{self._house_town[n]} {houses.postcode[n]}")
            found.append(
                FoundPlace(
                    kind="house",
                    position=_position(int(houses.lat[n]), int(houses.lon[n])),
                    likeness=likeness - less,
                    street=houses.street[n],
                    number=houses.number[n],
                    postcode=houses.postcode[n],
                    town=self._house_town[n],
                )
            )
        return found

    def _at_crossing(self, text: str) -> list[FoundPlace]:
        pair = crossing_of(text)
        if pair is None:
            return []
        first, second = self._like(pair[0]), self._like(pair[1])
        rest = folded(text.partition(",")[2])
        return [
            FoundPlace(
                kind="crossing",
                position=_position(crossing.lat, crossing.lon),
                likeness=min(a, b) - _missing_town(rest, crossing.town),
                street=crossing.street,
                other=crossing.other,
                town=crossing.town,
            )
            for one, a in first
            for other, b in second
            for crossing in self._crossings.get((min(one, other), max(one, other)), ())
        ]

    def _at_town(self, text: str) -> list[FoundPlace]:
        wanted = folded(text)
        found = []
        for place in self._places:
            likeness = fuzz.ratio(wanted, folded(place.name), score_cutoff=LIKE_ENOUGH)
            if likeness:
                at = Position(place.lat_deg, place.lon_deg)
                found.append(
                    FoundPlace(kind="town", position=at, likeness=likeness, town=place.name)
                )
        return found


def _rank(place: FoundPlace) -> tuple[object, ...]:
    kinds = ("house", "crossing", "street", "town")
    return (-place.likeness, kinds.index(place.kind), place.town, place.street, place.number)


def _same(one: FoundPlace, other: FoundPlace) -> bool:
    """Is it one place? A house is on the map as a point and as a building, both with its address;
    two houses of one address far apart are two, and a person must choose.
    """
    if (one.kind, one.street, one.other, one.number, one.town) != (
        other.kind, other.street, other.other, other.number, other.town,
    ):  # fmt: skip
        return False
    apart = (
        abs(one.position.lat_deg - other.position.lat_deg),
        abs(one.position.lon_deg - other.position.lon_deg),
    )
    return one.kind != "house" or max(apart) < _ONE_HOUSE_DEG


def _missing_town(rest: str, town: str) -> float:
    """What it costs that the typed town is another one than that of the place, or not known."""
    if not rest:
        return 0.0
    like = fuzz.partial_ratio(rest, folded(town)) if town.strip() else 0.0
    return 0.0 if like >= 80 else 8.0


def _position(lat: int, lon: int) -> Position:
    return Position(lat / 1e7, lon / 1e7)
