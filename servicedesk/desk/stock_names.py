"""Parts as the shelf knows them: kinds with the articles of each, and where they lie."""

from collections.abc import Iterable
from dataclasses import dataclass

from servicedesk.records.stock_rows import Balances, PartRow, PlaceRow
from servicedesk.trade.faults import Knowledge

OWN = "part:"  # before the key of a part that is of no kind


def key_of(part: PartRow) -> str:
    """The kind of part; of a part of no kind a key of its own."""
    return part.part_kind or f"{OWN}{part.id}"


@dataclass(frozen=True, slots=True)
class Lying:
    """The catalogue by kind of part, and what lies where."""

    articles: dict[str, list[PartRow]]
    balances: Balances
    places: tuple[PlaceRow, ...]

    @classmethod
    def of(
        cls, parts: Iterable[PartRow], balances: Balances, places: Iterable[PlaceRow]
    ) -> "Lying":
        """Sorted by kind, articles in the order of the catalogue."""
        articles: dict[str, list[PartRow]] = {}
        for part in parts:
            articles.setdefault(key_of(part), []).append(part)
        return cls(articles, balances, tuple(places))

    def at(self, key: str, place_ids: Iterable[int]) -> int:
        """How many of a kind lie at these places by the book; what is below zero counts as none."""
        ids = list(place_ids)
        return sum(
            max(0, self.balances.get((part.id, place), 0))
            for part in self.articles.get(key, ())
            for place in ids
        )

    @property
    def shelves(self) -> tuple[int, ...]:
        """The places that are no trucks."""
        return tuple(place.id for place in self.places if place.truck_id is None)

    def on_truck(self, truck_id: int | None) -> tuple[int, ...]:
        """The places of a truck."""
        if truck_id is None:
            return ()
        return tuple(place.id for place in self.places if place.truck_id == truck_id)

    def name(self, key: str, known: Knowledge) -> str:
        """What people call it: the article where there is one of the kind, else the kind."""
        articles = self.articles.get(key, [])
        if len(articles) == 1:
            return articles[0].name
        return known.part_kinds[key].name if key in known.part_kinds else key

    def numbers(self, key: str) -> str:
        """The numbers of the articles of a kind."""
        return ", ".join(part.number for part in self.articles.get(key, ()))
