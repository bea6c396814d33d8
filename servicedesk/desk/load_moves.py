"""What was put on a truck by its list: from the shelf to the truck, all in one change."""

from dataclasses import dataclass

from servicedesk.desk import ledger
from servicedesk.desk.ledger import Move
from servicedesk.desk.load import PickLine, TruckLoad, lying_now
from servicedesk.desk.office import Desk
from servicedesk.desk.stock_names import Lying
from servicedesk.records.store import Changed
from servicedesk.values.trouble import Trouble
from servicedesk.words import say, say_n


@dataclass(frozen=True, slots=True)
class ToMove:
    """So many of a part from a place to the truck."""

    part_id: int
    from_place_id: int
    to_place_id: int
    quantity: int


def moves_of(load: TruckLoad, lying: Lying) -> tuple[ToMove, ...]:
    """What the list takes from the shelf; what must be bought first is not there to be moved."""
    to = next((one.id for one in lying.places if one.truck_id and one.name == load.truck), None)
    if to is None:
        return ()
    return tuple(
        move for pick in load.picks for move in _moves_of_pick(pick, lying, to) if move.quantity
    )


def _moves_of_pick(pick: PickLine, lying: Lying, to: int) -> list[ToMove]:
    left, found = pick.quantity - pick.buy, []
    for part in lying.articles.get(pick.key, ()):
        for place in lying.shelves:
            there = min(left, max(0, lying.balances.get((part.id, place), 0)))
            found.append(ToMove(part.id, place, to, there))
            left -= there
    return found


def write_loaded(desk: Desk, load: TruckLoad) -> Changed:
    """Write that the list of a truck was loaded, as one undoable change.

    Raises Trouble where nothing of it lies on the shelf.
    """
    moves = moves_of(load, lying_now(desk))
    if not moves:
        raise Trouble(
            say("Nothing of this list lies on the shelf."),
            do=say("Buy what is missing, or count the shelf and write what is there."),
        )
    n = sum(one.quantity for one in moves)
    what = say("Loaded {truck}: {pieces}", truck=load.truck,
               pieces=say_n("{n} piece", "{n} pieces", n))  # fmt: skip
    with desk.store.change(desk.who, what) as work:
        for one in moves:
            ledger.add_move(
                desk,
                work,
                Move(
                    part_id=one.part_id,
                    why="moved",
                    quantity=one.quantity,
                    from_place_id=one.from_place_id,
                    to_place_id=one.to_place_id,
                    details={"load": load.days[0].isoformat()},
                ),
            )
    return work.changed
