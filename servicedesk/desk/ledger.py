"""Moves of parts: bought, moved, used, returned, counted, scrapped, claimed.

The ledger is append-only: what lies where is the sum of the moves; to take one back is the
opposite move (undo). Less than nothing may lie somewhere, and is said.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from servicedesk.desk import checking
from servicedesk.desk.checking import Wrong
from servicedesk.desk.office import Desk
from servicedesk.records import stock_rows
from servicedesk.records.parts import Part, StockMove, StockPlace
from servicedesk.records.store import Changed, Work
from servicedesk.records.visits import Visit
from servicedesk.values.trouble import Trouble
from servicedesk.words import say

NEEDS_VISIT = ("used",)


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """One move of one part: `quantity` pieces from a place to a place (None: outside).

    `why` is bought, moved, used, returned, scrapped or claimed. `on` None: today.
    `unit_cost_minor` None: as the catalogue has it on that day.
    """

    part_id: int
    why: str
    quantity: int
    from_place_id: int | None = None
    to_place_id: int | None = None
    visit_id: int | None = None
    on: date | None = None
    unit_cost_minor: int | None = None
    note: str = ""
    details: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Moved:
    """What was written. `warnings`: sentences on places where less than nothing lies now."""

    changed: Changed
    warnings: tuple[str, ...]


# which ends a move has: from a place, to a place
_ENDS: dict[str, tuple[bool, bool]] = {
    "bought": (False, True),
    "moved": (True, True),
    "used": (True, False),
    "returned": (False, True),
    "scrapped": (True, False),
    "claimed": (True, False),
}


def move(desk: Desk, one: Move) -> Moved:
    """Write one move. Raises WrongEntry, Trouble if its part, place or visit is not there."""
    with desk.store.read() as session:
        checking.refuse(_wrong_move(desk, session, one))
        name = _name_of(session, one.part_id)
    with desk.store.change(desk.who, _sentence(one, name)) as work:
        add_move(desk, work, one)
        warnings = _warnings(work.session, one, name)
    return Moved(work.changed, warnings)


def add_move(desk: Desk, work: Work, one: Move) -> StockMove:
    """The same within a change that is being written, such as a visit's write-up.

    A part used before the last count of its truck is written as used, but not taken from the
    truck again: the count already went without it.
    """
    on = one.on or desk.today
    from_place_id = one.from_place_id
    details = dict(one.details)
    if one.why == "used" and from_place_id is not None:
        counted_on = stock_rows.last_counted_on(work.session, one.part_id, from_place_id)
        if counted_on is not None and on < counted_on:
            details["counted_at"] = from_place_id
            from_place_id = None
    cost = one.unit_cost_minor
    if cost is None:
        cost = stock_rows.prices_on(work.session, on).get(one.part_id, (None, None))[0]
    _needed_rows(work, one)
    return work.add(
        StockMove(
            part_id=one.part_id,
            why=one.why,
            quantity=one.quantity,
            from_place_id=from_place_id,
            to_place_id=one.to_place_id,
            visit_id=one.visit_id,
            unit_cost_minor=cost,
            moved_on=on,
            written_at=work.at,
            note=one.note.strip(),
            details=details,
        )
    )


def _needed_rows(work: Work, one: Move) -> None:
    work.get(Part, one.part_id)
    for place_id in (one.from_place_id, one.to_place_id):
        if place_id is not None:
            work.get(StockPlace, place_id)
    if one.visit_id is not None:
        work.get(Visit, one.visit_id)


def count(
    desk: Desk, part_id: int, place_id: int, there: int, *, on: date | None = None, note: str = ""
) -> Moved:
    """Write that `there` pieces were counted at a place at the end of a day (default: today).

    What the book had else is corrected by a move; a count that agrees is kept too. Raises
    WrongEntry for a number below zero, a day to come, or a day before the last count.
    """
    day = on or desk.today
    with desk.store.read() as session:
        last = stock_rows.last_counted_on(session, part_id, place_id)
        name = _name_of(session, part_id)
    wrong = wrong_day(desk, day, last)
    if there < 0:
        wrong.append(Wrong("there", say("A count is 0 or more.")))
    checking.refuse(wrong)
    what = say("Counted {name}: {n}", name=name, n=desk.formats.number(there))
    with desk.store.change(desk.who, what) as work:
        work.get(Part, part_id)
        work.get(StockPlace, place_id)
        # read within the change: what others move meanwhile is not counted twice
        book = stock_rows.balances(work.session, on=day, part_ids=[part_id])
        more = there - book.get((part_id, place_id), 0)
        record = StockMove(part_id=part_id, why="counted", quantity=abs(more), moved_on=day)
        record.to_place_id = place_id if more >= 0 else None
        record.from_place_id = place_id if more < 0 else None
        record.unit_cost_minor = stock_rows.prices_on(work.session, day).get(part_id, (None,))[0]
        record.written_at, record.note = work.at, note.strip()
        record.details = {"counted": there}
        work.add(record)
    return Moved(work.changed, ())


def answer_claim(
    desk: Desk, claim_id: int, answer: str, *, credit_minor: int | None = None, note: str = ""
) -> Changed:
    """The supplier's answer to a warranty claim: "credit" (with the sum) or "refusal".

    The claim itself stays as written; the answer is one more line of the ledger that moves
    nothing. Raises WrongEntry, and Trouble for a claim that is not open.
    """
    wrong = []
    if answer not in ("credit", "refusal"):
        wrong.append(Wrong("answer", say("The answer is a credit or a refusal.")))
    if answer == "credit" and (credit_minor is None or credit_minor < 0):
        wrong.append(Wrong("credit_minor", say("How much was credited?")))
    checking.refuse(wrong)
    claim = next((one for one in open_claims(desk) if one.id == claim_id), None)
    if claim is None:
        raise Trouble(
            say("That claim is not open."), do=say("Look at the claims that wait for an answer.")
        )
    with desk.store.read() as session:
        name = _name_of(session, claim.part_id)
    with desk.store.change(desk.who, say("Wrote the answer to the claim of {name}", name=name)) as (
        work
    ):
        record = StockMove(part_id=claim.part_id, why="claimed", quantity=claim.quantity)
        record.visit_id, record.moved_on, record.written_at = claim.visit_id, desk.today, work.at
        record.note = note.strip()
        record.details = {"answers": claim_id, "answer": answer, "credit_minor": credit_minor}
        work.add(record)
    return work.changed


def open_claims(desk: Desk) -> tuple[stock_rows.MoveRow, ...]:
    """Warranty claims that neither credit nor refusal has answered, the oldest first."""
    with desk.store.read() as session:
        claims = stock_rows.moves(session, whys=["claimed"])
    answered = {one.details["answers"] for one in claims if "answers" in one.details}
    return tuple(one for one in claims if "answers" not in one.details and one.id not in answered)


def balances(desk: Desk, *, on: date | None = None) -> stock_rows.Balances:
    """What lies where at the end of a day (default: by all that is written), below zero too."""
    with desk.store.read() as session:
        return stock_rows.balances(session, on=on)


def _wrong_move(desk: Desk, session: Any, one: Move) -> list[Wrong]:
    if one.why not in _ENDS:
        raise ValueError(f"{one.why!r} is no move of parts")
    wrong = []
    if one.quantity < 1:
        wrong.append(Wrong("quantity", say("How many is a number from 1 on.")))
    leaves, comes = _ENDS[one.why]
    if (one.from_place_id is not None) != leaves:
        wrong.append(Wrong("from_place_id", say("Say where it is taken from.") if leaves
                           else say("It comes from outside.")))  # fmt: skip
    if (one.to_place_id is not None) != comes:
        wrong.append(Wrong("to_place_id", say("Say where it is put.") if comes
                           else say("It goes to no place of ours.")))  # fmt: skip
    if one.from_place_id is not None and one.from_place_id == one.to_place_id:
        wrong.append(Wrong("to_place_id", say("It lies there already.")))
    if one.why in NEEDS_VISIT and one.visit_id is None:
        wrong.append(Wrong("visit_id", say("Say at which visit it was used.")))
    return wrong + wrong_day(desk, one.on or desk.today, _counted_on(session, one))


def _counted_on(session: Any, one: Move) -> date | None:
    """The latest count that already holds a move; of a part used the ledger sees to it itself."""
    ends = (None if one.why == "used" else one.from_place_id, one.to_place_id)
    days = [stock_rows.last_counted_on(session, one.part_id, p) for p in ends if p is not None]
    return max((day for day in days if day is not None), default=None)


def wrong_day(desk: Desk, day: date, counted_on: date | None) -> list[Wrong]:
    """What is wrong with the day of a move at a place that was last counted on `counted_on`."""
    if day > desk.today:
        return [Wrong("on", say("That day is still to come."))]
    if counted_on is not None and day < counted_on:
        says = say(
            "It was counted on {day}; that count already holds what was moved before.",
            day=desk.formats.day(counted_on, near=desk.today),
        )
        return [Wrong("on", says)]
    return []


def _name_of(session: Any, part_id: int) -> str:
    part = session.get(Part, part_id)
    return "" if part is None else part.name


def _sentence(one: Move, name: str) -> str:
    n = one.quantity
    match one.why:
        case "bought":
            return say("Bought {n} x {name}", n=n, name=name)
        case "moved":
            return say("Moved {n} x {name}", n=n, name=name)
        case "used":
            return say("Used {n} x {name}", n=n, name=name)
        case "returned":
            return say("Took back {n} x {name} from a visit", n=n, name=name)
        case "scrapped":
            return say("Scrapped {n} x {name}", n=n, name=name)
    return say("Claimed {n} x {name} under warranty", n=n, name=name)


def _warnings(session: Any, one: Move, name: str) -> tuple[str, ...]:
    now = stock_rows.balances(session, part_ids=[one.part_id])
    place_id = one.from_place_id
    if place_id is None or now.get((one.part_id, place_id), 0) >= 0:
        return ()
    place = session.get_one(StockPlace, place_id)
    return (
        say(
            "{place}: {n} x {name} by the book. Count it and write what is there.",
            place=place.name,
            n=now[one.part_id, place_id],
            name=name,
        ),
    )
