"""What a route sheet is made of: frozen rows, every text already in the reader's words."""

from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from servicedesk.values.position import Position

if TYPE_CHECKING:
    from servicedesk.travel.map_ground import Ground


@dataclass(frozen=True, slots=True)
class PastThing:
    """Something that happened at a site."""

    on: date
    text: str


@dataclass(frozen=True, slots=True)
class OwedWork:
    """Work left unfinished, with the day since when, if known."""

    text: str
    since_on: date | None = None


@dataclass(frozen=True, slots=True)
class SheetJob:
    """One thing to do at a stop.

    `kind` is short ("inspection 3 of 3", "callback"), `why` one sentence, `first_check` the check
    to begin with. `write_up` asks for lines to write found, did and left on.
    """

    kind: str
    why: str = ""
    first_check: str = ""
    write_up: bool = False


@dataclass(frozen=True, slots=True)
class SheetStop:
    """One stop of the round. Minutes count from local midnight; cautions are printed in full.

    `came_back` is the trouble that keeps calling, `untested` what was never tested there and goes
    first; what to bring and the cautions for it stand in `bring` and `cautions`.
    `secrets` are gate codes and the like: printed only when the sheet is asked for with them.
    `start_min` is when work begins if the crew has to wait after arriving.
    """

    order: int
    arrival_min: int
    leave_min: int
    address: str
    customer: str
    locality: str = ""
    start_min: int | None = None
    promise_from_min: int | None = None
    promise_until_min: int | None = None
    jobs: tuple[SheetJob, ...] = ()
    access: tuple[str, ...] = ()
    lids: str = ""
    dogs: str = ""
    visiting_hours: str = ""
    call_before: str = ""
    place_guessed: bool = False
    position: Position | None = None
    came_back: str = ""
    untested: str = ""
    past: tuple[PastThing, ...] = ()
    owed: tuple[OwedWork, ...] = ()
    notes: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    bring: tuple[str, ...] = ()
    secrets: tuple[str, ...] | None = None


@dataclass(frozen=True, slots=True)
class LoadItem:
    """A thing to put on the truck and how much of it, as written ("2 tubs")."""

    name: str
    amount: str = ""


@dataclass(frozen=True, slots=True)
class PickItem:
    """A part to put on the truck before leaving. `note`: what to do first ("buy 2 first")."""

    quantity: int
    name: str
    number: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class MapPlace:
    """A village or town to name on the map."""

    name: str
    position: Position


@dataclass(frozen=True, slots=True)
class RouteSheet:
    """One crew's day.

    `legs` are the lines to draw between the stops in order, from home to home; without them they
    are straight and `map_credit` is not needed. `ground` lies under them. `cautions` hold for every
    stop of the day.
    `picks` are to be put on the truck, `pick_chance` says what for (printed without picks too).
    `printed_on` and `printed_min` are the wall time of printing. `invented` ("Invented data") is
    printed at the foot if given; `changed` (what changed since the sheet was handed out) on top.
    """

    technician: str
    day: date
    company: str
    phone: str
    printed_on: date
    printed_min: int
    leave_home_min: int
    home_min: int
    road_min: int
    stops: tuple[SheetStop, ...]
    truck: str = ""
    with_whom: str = ""
    load: tuple[LoadItem, ...] = ()
    picks: tuple[PickItem, ...] = ()
    pick_chance: str = ""
    cautions: tuple[str, ...] = ()
    start: Position | None = None
    places: tuple[MapPlace, ...] = ()
    legs: tuple[tuple[Position, ...], ...] = ()
    map_credit: str = ""
    ground: "Ground | None" = None
    metric: bool = False
    invented: str = ""
    changed: tuple[str, ...] = ()
