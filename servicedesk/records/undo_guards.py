"""Rules of meaning that stand in the way of an undo, each with its way out."""

from collections.abc import Callable, Sequence

from sqlalchemy import select
from sqlalchemy.orm import Session

from servicedesk.records.changes import Change, ChangeItem
from servicedesk.records.errors import store_trouble
from servicedesk.records.papers_sent import PaperSent
from servicedesk.records.parts import StockMove
from servicedesk.records.people import Customer
from servicedesk.records.rounds import Round
from servicedesk.records.visits import Visit
from servicedesk.values.trouble import Trouble
from servicedesk.words import say

Guard = Callable[[Session, Change, Sequence[ChangeItem]], None]


def _refused(change: Change, *, means: str, do: str) -> Trouble:
    return store_trouble(say("“{what}” was not taken back.", what=change.what), means=means, do=do)


def _ids(items: Sequence[ChangeItem], table: str) -> set[int]:
    return {item.row_id for item in items if item.table_name == table}


def _values(items: Sequence[ChangeItem], table: str, column: str) -> set[int]:
    """All values of a column of a table before and after."""
    return {
        side[column]
        for item in items
        if item.table_name == table
        for side in (item.before, item.after)
        if side and side.get(column) is not None
    }


def no_count_since(session: Session, change: Change, items: Sequence[ChangeItem]) -> None:
    """A part counted after its move: the count already holds the move."""
    for move_id in _ids(items, "stock_move"):
        move = session.get_one(StockMove, move_id)
        places = [p for p in (move.from_place_id, move.to_place_id) if p is not None]
        counted = select(StockMove.id).where(
            StockMove.part_id == move.part_id,
            StockMove.why == "counted",
            StockMove.id > move.id,
            StockMove.from_place_id.in_(places) | StockMove.to_place_id.in_(places),
        )
        if session.scalar(counted.limit(1)):
            raise _refused(
                change,
                means=say("The part was counted since; the count already holds this move."),
                do=say("Count it again and write what is there."),
            )


def no_paper_left(session: Session, change: Change, items: Sequence[ChangeItem]) -> None:
    """A paper that left the house cannot be called back, nor the visit it tells of."""
    if any(i.table_name == "paper_sent" and i.op == "made" for i in items):
        raise _refused(
            change,
            means=say("The paper has left the house."),
            do=say("Correct the record; a corrected paper can follow it."),
        )
    visits = _ids(items, "visit") | _values(items, "job", "visit_id")
    sent = select(PaperSent.id).where(PaperSent.visit_id.in_(visits), PaperSent.sent_at > change.at)
    if visits and session.scalar(sent.limit(1)):
        raise _refused(
            change,
            means=say("Its report has left the house since."),
            do=say("Correct the visit; a corrected report will then be owed."),
        )


def no_round_handed_out(session: Session, change: Change, items: Sequence[ChangeItem]) -> None:
    """A round that was handed out after the change is being driven by somebody."""
    rounds = _ids(items, "round") | _values(items, "visit", "round_id")
    visits = _ids(items, "visit") | _values(items, "job", "visit_id")
    if visits:
        of_visits = select(Visit.round_id).where(Visit.id.in_(visits))
        rounds |= {r for r in session.scalars(of_visits) if r is not None}
    out = select(Round.id).where(
        Round.id.in_(rounds), Round.state != "draft", Round.handed_out_at > change.at
    )
    if rounds and session.scalar(out.limit(1)):
        raise _refused(
            change,
            means=say("The round was handed out since."),
            do=say("Take the round back first, or move the stop and tell the technician."),
        )


def no_person_erased(session: Session, change: Change, items: Sequence[ChangeItem]) -> None:
    """What was erased stays erased."""
    customers = _ids(items, "customer") | _values(items, "phone", "customer_id")
    customers |= _values(items, "contact", "customer_id")
    erased = select(Customer.id).where(Customer.id.in_(customers), Customer.erased_at.is_not(None))
    if customers and session.scalar(erased.limit(1)):
        raise _refused(
            change,
            means=say("The person's data was erased."),
            do=say("Write the person anew if they wish it."),
        )


GUARDS: tuple[Guard, ...] = (no_count_since, no_paper_left, no_round_handed_out, no_person_erased)
