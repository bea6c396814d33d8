"""The ledger of one part as people read it, and a move taken back by its opposite."""

from collections.abc import Mapping
from dataclasses import dataclass

from servicedesk.desk.changes import record_changes, undo
from servicedesk.desk.office import Desk
from servicedesk.records import stock_rows
from servicedesk.records.stock_rows import AnyMove
from servicedesk.records.store import Changed
from servicedesk.values.trouble import Trouble
from servicedesk.words import say


@dataclass(frozen=True, slots=True)
class HistoryLine:
    """One move in words. `is_back`: it was taken back, or takes one back."""

    id: int
    day: str
    text: str
    where: str
    note: str
    is_back: bool


def part_history(desk: Desk, part_id: int) -> tuple[HistoryLine, ...]:
    """Every move of a part, the newest first, with those taken back."""
    with desk.store.read() as session:
        moves = stock_rows.all_moves(session, part_id)
        places = stock_rows.place_names(session)
        gone = stock_rows.taken_back(session)
    return tuple(_line(desk, one, places, gone) for one in reversed(moves))


def _line(desk: Desk, one: AnyMove, places: Mapping[int, str], gone: frozenset[int]) -> HistoryLine:
    return HistoryLine(
        id=one.id,
        day=desk.formats.day(one.moved_on, near=desk.today),
        text=move_text(one.why, one.quantity, one.details),
        where=_where(one, places),
        note=one.note,
        is_back=one.id in gone or one.why == "undone",
    )


def move_text(why: str, n: int, details: Mapping[str, object]) -> str:
    """What a move did, in words."""
    if why == "counted":
        counted = details.get("counted")
        return say("counted {n}", n=counted if counted is not None else n)
    if why == "claimed" and "answers" in details:
        return say("claim answered: {answer}", answer=answer_text(str(details.get("answer"))))
    return {
        "bought": say("{n} bought", n=n),
        "moved": say("{n} moved", n=n),
        "used": say("{n} used at a visit", n=n),
        "returned": say("{n} came back from a visit", n=n),
        "scrapped": say("{n} scrapped", n=n),
        "claimed": say("{n} claimed under warranty", n=n),
        "undone": say("{n} the other way: taken back", n=n),
    }.get(why, why)


def answer_text(answer: str) -> str:
    """A supplier's answer to a claim, in words."""
    return say("credit") if answer == "credit" else say("refused")


def _where(one: AnyMove, places: Mapping[int, str]) -> str:
    before, after = places.get(one.from_place_id or 0), places.get(one.to_place_id or 0)
    if before and after:
        return say("{a} → {b}", a=before, b=after)
    if before:
        return say("from {place}", place=before)
    return say("to {place}", place=after) if after else ""


def take_back_move(desk: Desk, move_id: int) -> Changed:
    """Take back the change that wrote a move: the ledger keeps it and gets its opposite.

    Raises Trouble where it was counted since, or was taken back already.
    """
    changes = record_changes(desk, "stock_move", move_id)
    if not changes:
        raise Trouble(
            say("That move stands since the store was made; no change wrote it."),
            do=say("Count the part and write what is there."),
        )
    return undo(desk, changes[-1].line.id)
