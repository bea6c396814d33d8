"""The list to bill out, for whatever keeps the books, and its state back from such a list.

The key column ties both together: what comes back is matched by it alone. The differences are
shown before anything is written; writing them is one change that can be taken back.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from pathlib import Path

from servicedesk.desk.bill_states import BillMove, why_not, write_moves
from servicedesk.desk.bills import BILLED, PAID, STATES, TO_BILL, WAIVED, Bill, BillPage, bills
from servicedesk.desk.office import Desk
from servicedesk.exchange.bill_sheet import bills_xlsx
from servicedesk.exchange.csvtext import csv_bytes
from servicedesk.exchange.dates import read_day
from servicedesk.exchange.sheetfile import Row, Table, read_sheet_file
from servicedesk.records.store import Changed
from servicedesk.values.trouble import Trouble
from servicedesk.words import say, say_n
from servicedesk.words.formats import minor_digits


def state_text(state: str) -> str:
    """A state as people say it."""
    texts = {
        TO_BILL: say("to bill"),
        BILLED: say("billed"),
        PAID: say("paid"),
        WAIVED: say("waived"),
    }
    return texts[state]


def kind_text(kind: str) -> str:
    """What a line is for."""
    texts = {
        "renewal": say("contract"),
        "job": say("work"),
        "part": say("part"),
        "trip": say("trip"),
        "other": say("other"),
    }
    return texts.get(kind, kind)


def columns() -> tuple[tuple[str, str], ...]:
    """The columns of the list: our own name, and the heading."""
    return (
        ("key", say("Key")),
        ("state", say("State")),
        ("bill_number", say("Bill number")),
        ("billed_on", say("Billed on")),
        ("paid_on", say("Paid on")),
        ("waived_why", say("Waived why")),
        ("amount", say("Amount")),
        ("currency", say("Currency")),
        ("kind", say("For")),
        ("text", say("What")),
        ("since_on", say("Day")),
        ("customer", say("Customer")),
        ("address", say("Site")),
    )


def bills_table(page: BillPage, lines: Iterable[Bill]) -> list[list[str | date | Decimal | None]]:
    """The lines as rows of `columns`, amounts as decimal numbers."""
    unit = Decimal(10) ** minor_digits(page.currency)
    return [
        [
            one.key, state_text(one.state), one.bill_number, one.billed_on, one.paid_on,
            one.waived_why, None if one.amount_minor is None else Decimal(one.amount_minor) / unit,
            page.currency, kind_text(one.kind), one.text, one.since_on, one.customer, one.address,
        ]
        for one in lines
    ]  # fmt: skip


def bills_file(desk: Desk, page: BillPage, lines: Sequence[Bill], name: str) -> bytes:
    """The list as a file by the end of its name: CSV or XLSX. Raises Trouble for another."""
    table = bills_table(page, lines)
    head = [heading for _, heading in columns()]
    digits = minor_digits(page.currency)
    if name.lower().endswith(".xlsx"):
        return bills_xlsx(
            say("To bill"),
            head,
            table,
            digits=digits,
            sum_name=say("Sum"),
            page_of=say("Page {page} of {pages}", page="&P", pages="&N"),
            letter=desk.company.page_size != "a4",
        )
    if name.lower().endswith(".csv"):
        return csv_bytes([head, *([_plain(cell, digits) for cell in row] for row in table)])
    raise Trouble(
        say("“{name}” is neither a CSV nor an XLSX file.", name=name),
        do=say("Let its name end with .csv or .xlsx."),
    )


def _plain(cell: str | date | Decimal | None, digits: int) -> str:
    if isinstance(cell, Decimal):
        return f"{cell:.{digits}f}"
    return cell.isoformat() if isinstance(cell, date) else cell or ""


@dataclass(frozen=True, slots=True, kw_only=True)
class BillsBack:
    """What a list says otherwise than we do. `unread`: rows that cannot be taken, in words.

    `n_same` rows agree with what stands here.
    """

    name: str
    moves: tuple[BillMove, ...]
    told: tuple[str, ...]
    unread: tuple[str, ...]
    n_same: int


def read_bills_back(desk: Desk, path: Path) -> BillsBack:
    """Read a list that went out and came back, and say what differs. Nothing is written.

    Raises Trouble where the file cannot be read or has no key column.
    """
    table = read_sheet_file(path).tables[0]
    head, found = _head(table, path.name)
    known = {one.key: one for one in bills(desk).lines}
    moves: list[BillMove] = []
    unread: list[str] = []
    seen: set[str] = set()
    n_same = 0
    for row in table.rows:
        key = row.text(found["key"])
        if row.number <= head or not key:
            continue
        if key in seen or key not in known:
            says = say("twice in the list") if key in seen else say("not a line of ours")
            unread.append(say("Row {n}, “{key}”: {why}", n=row.number, key=key, why=says))
            continue
        seen.add(key)
        move = _move(desk, known[key], row, found)
        if isinstance(move, str):
            unread.append(say("Row {n}, “{key}”: {why}", n=row.number, key=key, why=move))
        elif move is None:
            n_same += 1
        else:
            moves.append(move)
    return BillsBack(
        name=path.name, moves=tuple(moves), told=tuple(told_of(desk, one) for one in moves),
        unread=tuple(unread), n_same=n_same,
    )  # fmt: skip


def take_back(desk: Desk, back: BillsBack) -> Changed:
    """Write what a list says, as one change. Raises Trouble where there is nothing to write."""
    if not back.moves and back.unread:
        n = len(back.unread)
        raise Trouble(
            say_n("{n} row of {name} cannot be taken: {first}.",
                  "{n} rows of {name} cannot be taken: {first}.",
                  n, name=back.name, first="; ".join(back.unread[:3])),
            means=say("Nothing was changed."),
            do=say("Mend the list and bring it back again."),
        )  # fmt: skip
    if not back.moves:
        raise Trouble(
            say("{name} says nothing else than what stands here.", name=back.name),
            means=say("Nothing was changed."),
        )
    n = len(back.moves)
    what = say_n("Took {n} line from {name}", "Took {n} lines from {name}", n, name=back.name)
    return write_moves(desk, back.moves, what)


def told_of(desk: Desk, move: BillMove) -> str:
    """A difference in words."""
    day = desk.formats.day
    before, after = state_text(move.bill.state), state_text(move.state)
    parts = [
        say("number {n}", n=move.bill_number) if move.bill_number else "",
        say("billed {day}", day=day(move.billed_on)) if move.billed_on else "",
        say("paid {day}", day=day(move.paid_on)) if move.paid_on else "",
        move.waived_why,
    ]
    more = ", ".join(part for part in parts if part)
    text = say("{place}, {what}: {before} → {after}", place=move.bill.address,
               what=move.bill.text, before=before, after=after)  # fmt: skip
    return f"{text} ({more})" if more else text


def _head(table: Table, name: str) -> tuple[int, dict[str, int]]:
    """The row of the headings and the column of each; other columns are left alone."""
    wanted = {heading.casefold(): own for own, heading in columns()}
    wanted |= {own.replace("_", " "): own for own, _ in columns()}
    for row in table.rows[:20]:
        found = {
            wanted[text]: col
            for col in row.filled()
            if (text := row.text(col).casefold()) in wanted
        }
        if "key" in found and "state" in found:
            return row.number, found
    raise Trouble(
        say("{name} has no columns “{key}” and “{state}”.", name=name, key=say("Key"),
            state=say("State")),
        means=say("Nothing was read."),
        do=say("Bring back a list that went out from here; its headings must stay."),
    )  # fmt: skip


def _move(desk: Desk, one: Bill, row: Row, found: dict[str, int]) -> BillMove | str | None:
    """What the row says otherwise; None where it agrees; a text where it cannot be taken."""
    states = {state_text(state).casefold(): state for state in STATES} | {s: s for s in STATES}
    said = row.text(found["state"]).casefold()
    if said not in states:
        return say("“{state}” is none of {states}", state=row.text(found["state"]),
                   states=", ".join(state_text(s) for s in STATES))  # fmt: skip
    state = states[said]
    if state == one.state:
        return None
    days: dict[str, date | None] = {}
    for name in ("billed_on", "paid_on"):
        value = row.value(found[name]) if name in found else None
        read = read_day(value, day_first=None, today=desk.today)
        if value not in (None, "") and (read.on is None or read.on > desk.today):
            return say("“{day}” is no day up to today", day=row.text(found[name]))
        days[name] = read.on
    number = row.text(found["bill_number"]) if "bill_number" in found else ""
    why = row.text(found["waived_why"]) if "waived_why" in found else ""
    if state == BILLED and not number:
        return say("it is billed, yet has no number")
    if state == WAIVED and not why:
        return say("it is waived, yet nobody says why")
    is_new = one.state == TO_BILL
    move = BillMove(
        bill=one,
        state=state,
        bill_number=number if is_new and state in (BILLED, PAID) else "",
        billed_on=(days["billed_on"] or (desk.today if state == BILLED else None))
        if is_new and state in (BILLED, PAID)
        else None,
        paid_on=(days["paid_on"] or desk.today) if state == PAID else None,
        waived_why=why if state == WAIVED else "",
    )
    return why_not(move) or move
