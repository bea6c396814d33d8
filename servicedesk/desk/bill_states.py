"""What becomes of a line: billed, paid, waived, given an amount. Each as one change, undoable."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from servicedesk.desk.bills import BILLED, PAID, STATES, TO_BILL, WAIVED, Bill, bills, key_of
from servicedesk.desk.bills_hold import renew_hold
from servicedesk.desk.checking import Wrong, refuse
from servicedesk.desk.office import Desk
from servicedesk.records import bill_rows as rows
from servicedesk.records.papers_sent import BillLine
from servicedesk.records.store import Changed
from servicedesk.records.work import Work
from servicedesk.values.trouble import Trouble
from servicedesk.words import say, say_n


@dataclass(frozen=True, slots=True, kw_only=True)
class BillMove:
    """How a line stands from now on. Empty fields stay as they are."""

    bill: Bill
    state: str
    bill_number: str = ""
    billed_on: date | None = None
    paid_on: date | None = None
    waived_why: str = ""
    amount_minor: int | None = None


def mark_billed(desk: Desk, keys: Iterable[str], *, number: str, on: date | None = None) -> Changed:
    """Write the number and day (None: today) of a bill for these lines.

    Raises WrongEntry without a number or for a day to come, Trouble for a line that is billed
    already or has no amount, and for a key that names no line.
    """
    day = on or desk.today
    refuse(_wrong_number(number) + _wrong_day(desk, "on", day))
    moves = [
        BillMove(bill=one, state=BILLED, bill_number=number.strip(), billed_on=day)
        for one in _named(desk, keys)
    ]
    return _write(desk, moves, say_n("Billed {n} line", "Billed {n} lines", len(moves)))


def mark_paid(desk: Desk, keys: Iterable[str], *, on: date | None = None) -> Changed:
    """Write that these lines were paid on a day (None: today). Raises as `mark_billed` does."""
    day = on or desk.today
    refuse(_wrong_day(desk, "on", day))
    moves = [BillMove(bill=one, state=PAID, paid_on=day) for one in _named(desk, keys)]
    return _write(desk, moves, say_n("Paid: {n} line", "Paid: {n} lines", len(moves)))


def waive(desk: Desk, keys: Iterable[str], *, why: str) -> Changed:
    """Write that these lines are not billed, and why. Raises WrongEntry without a reason."""
    refuse([] if why.strip() else [Wrong("why", say("Write why it is not billed."))])
    moves = [BillMove(bill=one, state=WAIVED, waived_why=why.strip()) for one in _named(desk, keys)]
    return _write(desk, moves, say_n("Waived {n} line", "Waived {n} lines", len(moves)))


def set_amount(desk: Desk, key: str, amount_minor: int) -> Changed:
    """Write by hand what a line comes to. Raises WrongEntry below zero, Trouble once billed."""
    wrong = Wrong("amount_minor", say("An amount is more than none; waive it instead."))
    refuse([] if amount_minor > 0 else [wrong])
    (one,) = _named(desk, [key])
    if one.state != TO_BILL:
        raise _is_over(one)
    move = BillMove(bill=one, state=TO_BILL, amount_minor=amount_minor)
    return _write(desk, [move], say("Wrote what is to be billed at {place}", place=one.address))


def write_moves(desk: Desk, moves: Sequence[BillMove], what: str) -> Changed:
    """Write several moves as one change, each looked at first. Raises Trouble, StaleEdit."""
    return _write(desk, moves, what)


def why_not(move: BillMove) -> str:
    """Why a line cannot become what it should; "" where it can."""
    before, after = STATES.index(move.bill.state), STATES.index(move.state)
    if move.bill.state in (PAID, WAIVED):
        return _over_text(move.bill)
    if after < before or (move.state == BILLED and move.bill.state == BILLED):
        return _over_text(move.bill)
    if move.state != WAIVED and move.bill.amount_minor is None and move.amount_minor is None:
        return say("“{what}” at {place} has no amount yet.", what=move.bill.text,
                   place=move.bill.address)  # fmt: skip
    begun = move.billed_on or move.bill.billed_on
    if move.paid_on is not None and begun is not None and move.paid_on < begun:
        return say("“{what}” at {place} would be paid before it was billed.",
                   what=move.bill.text, place=move.bill.address)  # fmt: skip
    return ""


def _named(desk: Desk, keys: Iterable[str]) -> list[Bill]:
    known = {one.key: one for one in bills(desk).lines}
    wanted = list(dict.fromkeys(keys))
    for key in wanted:
        if key not in known:
            raise Trouble(
                say("“{key}” is no line of the list to bill.", key=key),
                means=say("Nothing was changed."),
                do=say("Take the keys from the list as it stands now."),
            )
    if not wanted:
        raise Trouble(say("No line was chosen."))
    return [known[key] for key in wanted]


def _write(desk: Desk, moves: Sequence[BillMove], what: str) -> Changed:
    for move in moves:
        reason = why_not(move)
        if reason:
            raise Trouble(
                reason, means=say("Nothing was changed."),
                do=say("Give it an amount first, or leave it out.")
                if move.bill.amount_minor is None
                else say("Take that change back first, under All changes."),
            )  # fmt: skip
    sites = {move.bill.site_id for move in moves}
    with desk.store.change(desk.who, what) as work:
        before = rows.unpaid_by_site(work.session, sites, desk.today)
        taken = {key_of(row) for row in rows.stored(work.session)}
        for move in moves:
            _move(_line(work, move, taken), move)
        renew_hold(work, sites, desk.today, before=before)
    return work.changed


def _line(work: Work, move: BillMove, taken: set[str]) -> BillLine:
    one = move.bill
    if one.line_id is not None:
        return work.fresh(BillLine, one.line_id, seen=one.revision)
    if one.key in taken:
        raise Trouble(
            say("Somebody wrote “{what}” at {place} meanwhile.", what=one.text, place=one.address),
            means=say("Nothing was changed; nothing is billed twice."),
            do=say("Look at the list as it stands now."),
        )
    amount = one.amount_minor if move.amount_minor is None else move.amount_minor
    keys: dict[str, Callable[[], dict[str, int | None]]] = {
        "renewal": lambda: {"contract_id": one.contract_id},
        "job": lambda: {"job_id": one.job_id},
        "part": lambda: {"part_line_id": one.part_line_id},
        "trip": lambda: {"visit_id": one.visit_id},
    }
    return work.add(
        BillLine(
            site_id=one.site_id, customer_id=one.customer_id, kind_of=one.kind, text=one.text,
            amount_minor=amount or 0, since_on=one.since_on, **keys[one.kind](),
        )
    )  # fmt: skip


def _move(line: BillLine, move: BillMove) -> None:
    line.state = move.state
    for name in ("bill_number", "billed_on", "paid_on", "waived_why", "amount_minor"):
        value = getattr(move, name)
        if value not in (None, ""):
            setattr(line, name, value)


def _over_text(one: Bill) -> str:
    texts = {
        BILLED: say("“{what}” at {place} is billed already.", what=one.text, place=one.address),
        PAID: say("“{what}” at {place} is paid already.", what=one.text, place=one.address),
        WAIVED: say("“{what}” at {place} was waived.", what=one.text, place=one.address),
    }
    return texts.get(one.state, "")


def _is_over(one: Bill) -> Trouble:
    return Trouble(
        _over_text(one),
        means=say("Nothing was changed."),
        do=say("Take that change back first, under All changes."),
    )


def _wrong_number(number: str) -> list[Wrong]:
    return [] if number.strip() else [Wrong("number", say("Write the number of the bill."))]


def _wrong_day(desk: Desk, field: str, day: date) -> list[Wrong]:
    return [Wrong(field, say("That day is still to come."))] if day > desk.today else []
