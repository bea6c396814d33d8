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
from servicedesk.records.stock_rows import taken_back
from servicedesk.records.tables import model_of
from servicedesk.records.undo_since import batched
from servicedesk.records.visits import Job, Visit
from servicedesk.values.trouble import Trouble
from servicedesk.words import say

Guard = Callable[[Session, Change, Sequence[ChangeItem]], None]


def _refused(change: Change, *, means: str, do: str) -> Trouble:
    return store_trouble(say("“{what}” was not taken back.", what=change.what), means=means, do=do)


def _ids(items: Sequence[ChangeItem], table: str) -> set[int]:
    return {item.row_id for item in items if item.table_name == table}


def _pointed(session: Session, items: Sequence[ChangeItem], column: str, *tables: str) -> set[int]:
    """All that `column` of the touched rows points to: before, after, and as it stands now."""
    found: set[int] = set()
    standing: dict[str, list[int]] = {}
    for item in items:
        model = model_of(item.table_name)
        if column not in model.__table__.c or (tables and item.table_name not in tables):
            continue
        standing.setdefault(item.table_name, []).append(item.row_id)
        for side in (item.before, item.after):
            if side and side.get(column) is not None:
                found.add(side[column])
    for table, ids in standing.items():
        pointer = getattr(model_of(table), column)
        for some in batched(ids):
            query = select(pointer).where(model_of(table).id.in_(some), pointer.is_not(None))
            found |= set(session.scalars(query.distinct()))
    return found


def _written_after(session: Session, change: Change, table: str, ids: Sequence[int]) -> bool:
    """Did a change that came after this one make any of these rows?

    By the order of the log, not by the clock: a clock can be set back.
    """
    made = select(ChangeItem.id).where(
        ChangeItem.table_name == table,
        ChangeItem.row_id.in_(ids),
        ChangeItem.op == "made",
        ChangeItem.change_id > change.id,
    )
    return session.scalar(made.limit(1)) is not None


def _visits_told_of(session: Session, items: Sequence[ChangeItem]) -> list[int]:
    """The visits whose write-up the touched rows belong to."""
    jobs = _ids(items, "job") | _pointed(session, items, "job_id", *OF_A_JOB)
    visits = _ids(items, "visit") | _pointed(session, items, "visit_id", *OF_A_VISIT)
    for some in batched(sorted(jobs)):
        visits |= set(session.scalars(select(Job.visit_id).where(Job.id.in_(some))))
    return sorted(visits)


OF_A_JOB = ("item_result", "reading", "part_line")
OF_A_VISIT = ("job", "finding", "part_line", "attachment")


def no_count_since(session: Session, change: Change, items: Sequence[ChangeItem]) -> None:
    """A part counted after its move: the count already holds the move."""
    for move_id in _ids(items, "stock_move"):
        move = session.get_one(StockMove, move_id)
        places = [p for p in (move.from_place_id, move.to_place_id) if p is not None]
        counted = select(StockMove.id).where(
            StockMove.part_id == move.part_id,
            StockMove.why == "counted",
            StockMove.id > move.id,
            StockMove.moved_on >= move.moved_on,  # as of a day before it knows nothing of it
            StockMove.from_place_id.in_(places) | StockMove.to_place_id.in_(places),
        )
        if set(session.scalars(counted)) - taken_back(session):
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
    for some in batched(_visits_told_of(session, items)):
        sent = select(PaperSent.id).where(PaperSent.visit_id.in_(some))
        if _written_after(session, change, "paper_sent", session.scalars(sent).all()):
            raise _refused(
                change,
                means=say("Its report has left the house since."),
                do=say("Correct the visit; a corrected report will then be owed."),
            )


def no_round_handed_out(session: Session, change: Change, items: Sequence[ChangeItem]) -> None:
    """A round that was handed out after the change is being driven by somebody."""
    rounds = _ids(items, "round") | _pointed(session, items, "round_id")
    visits = _ids(items, "visit") | _pointed(session, items, "visit_id", "job")
    for some in batched(sorted(visits)):
        of_visits = select(Visit.round_id).where(Visit.id.in_(some), Visit.round_id.is_not(None))
        rounds |= {r for r in session.scalars(of_visits) if r is not None}
    for some in batched(sorted(rounds)):
        out = session.scalars(select(Round.id).where(Round.id.in_(some), Round.state != "draft"))
        later = select(ChangeItem.after).where(
            ChangeItem.table_name == "round",
            ChangeItem.row_id.in_(out.all()),
            ChangeItem.change_id > change.id,
        )
        if any(after and after.get("state") == "handed out" for after in session.scalars(later)):
            raise _refused(
                change,
                means=say("The round was handed out since."),
                do=say("Take the round back first, or move the stop and tell the technician."),
            )


def no_person_erased(session: Session, change: Change, items: Sequence[ChangeItem]) -> None:
    """What was erased stays erased."""
    customers = _ids(items, "customer") | _pointed(session, items, "customer_id")
    for some in batched(sorted(customers)):
        erased = select(Customer.id).where(Customer.id.in_(some), Customer.erased_at.is_not(None))
        if session.scalar(erased.limit(1)):
            raise _refused(
                change,
                means=say("The person's data was erased."),
                do=say("Write the person anew if they wish it."),
            )


GUARDS: tuple[Guard, ...] = (no_count_since, no_paper_left, no_round_handed_out, no_person_erased)
