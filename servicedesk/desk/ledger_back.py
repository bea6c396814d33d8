"""A move of the ledger taken back by a correction: the opposite move, never an edit."""

from servicedesk.desk.ledger import Move, add_move
from servicedesk.desk.office import Desk
from servicedesk.records import part_line_rows
from servicedesk.records.parts import StockMove
from servicedesk.records.store import Work

COUNTED = "counted_at"  # in the details: a place whose count already holds the move


def place_of(move: StockMove) -> int | None:
    """Where the parts of a move were taken from, also where a count already went without them."""
    counted = move.details.get(COUNTED)
    return int(counted) if counted is not None else move.from_place_id


def take_back(work: Work, move: StockMove) -> StockMove:
    """Write the opposite of a move that is in effect.

    Where the place was counted since, nothing is put back there: the count said what lies there.
    """
    place_id = move.from_place_id
    counted = place_id is not None and part_line_rows.counts_after(work.session, move, place_id)
    return work.add(
        StockMove(
            part_id=move.part_id,
            why="undone",
            quantity=move.quantity,
            from_place_id=move.to_place_id,
            to_place_id=None if counted else place_id,
            visit_id=move.visit_id,
            unit_cost_minor=move.unit_cost_minor,
            moved_on=move.moved_on,
            written_at=work.at,
            reverses_id=move.id,
            details={COUNTED: place_id} if counted else {},
        )
    )


def move_anew(desk: Desk, work: Work, before: StockMove | None, now: Move) -> StockMove:
    """Write `now` in place of a move that is taken back (None: there was none).

    What a count of the place already held stays out of it a second time.
    """
    if before is None:
        return add_move(desk, work, now)
    back = take_back(work, before)
    held = before.details.get(COUNTED, back.details.get(COUNTED))
    if held is not None and held == now.from_place_id and before.part_id == now.part_id:
        details = {**now.details, COUNTED: held}
        now = Move(
            part_id=now.part_id,
            why=now.why,
            quantity=now.quantity,
            visit_id=now.visit_id,
            on=now.on,
            details=details,
        )
    return add_move(desk, work, now)
