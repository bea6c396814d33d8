"""Where is this? Addresses looked up in the road file of the store."""

from dataclasses import dataclass

from servicedesk.desk.office import Desk
from servicedesk.desk.roads import roads_in_use
from servicedesk.values.position import Position, PositionSource
from servicedesk.words import say

_THE_SAME = 100.0  # not a letter differs, once case and accents are folded


@dataclass(frozen=True, slots=True, kw_only=True)
class Whereabouts:
    """A place for an address. `kind`: house, crossing, street or town; `likeness` 0..100.

    Only a house is where the site is; the others are near it, and a person must look.
    """

    kind: str
    words: str
    position: Position
    likeness: float

    @property
    def is_exact(self) -> bool:
        """Is it the place itself, and not only near it?"""
        return self.kind == "house"

    @property
    def source(self) -> PositionSource:
        """How a site put there is known: from its address, or still guessed from what is near."""
        return PositionSource.ADDRESS if self.is_exact else PositionSource.GUESSED


def where_is(desk: Desk, text: str, *, limit: int = 8) -> tuple[Whereabouts, ...]:
    """Places for an address, best first; none without a road file or if nothing is like it."""
    in_use = roads_in_use(desk)
    if in_use is None or not text.strip():
        return ()
    found = []
    for one in in_use.addresses.search(text, limit=limit):
        match one.kind:
            case "house":
                words = f"{one.number} {one.street}"
            case "crossing":
                words = say("{a} and {b}", a=one.street, b=one.other)
            case "street":
                words = say("somewhere on {street}", street=one.street)
            case _:
                words = one.town
        if one.town and one.kind != "town":
            words = f"{words}, {one.town}"
        found.append(
            Whereabouts(
                kind=one.kind, words=words, position=one.position, likeness=round(one.likeness, 1)
            )
        )
    return tuple(found)


def house_at(desk: Desk, address: str, locality: str = "") -> Whereabouts | None:
    """The one house of exactly this address; None where it is unknown, or stands in two towns."""
    text = f"{address}, {locality}" if locality.strip() else address
    houses = [one for one in where_is(desk, text) if one.is_exact and one.likeness >= _THE_SAME]
    return houses[0] if len(houses) == 1 else None
