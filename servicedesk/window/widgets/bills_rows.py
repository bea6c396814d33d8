"""The rows of the list to bill in words, made on the worker: hundreds of sums take time."""

from collections.abc import Mapping
from dataclasses import dataclass

from servicedesk.desk.bills import BILLED, PAID, STATES, TO_BILL, Bill, BillPage, bills
from servicedesk.desk.bills_out import kind_text, state_text
from servicedesk.desk.coming import first_upper
from servicedesk.desk.office import Desk
from servicedesk.values.money import Money
from servicedesk.window.models.row_list import Row
from servicedesk.window.widgets.bills_painter import ICONS, BillCells
from servicedesk.words import say
from servicedesk.words.formats import UNKNOWN

MOST_ROWS = 400  # of one state; all of it is in the list that goes out


@dataclass(frozen=True, slots=True)
class BillsSeen:
    """The list, and the rows of each state."""

    page: BillPage
    rows: Mapping[str, tuple[Row, ...]]


def read_seen(desk: Desk) -> BillsSeen:
    """On the worker: everything the page shows."""
    page = bills(desk)
    rows = {
        state: tuple(row_of(desk, page, one) for one in page.of_state(state)[:MOST_ROWS])
        for state in STATES
    }
    return BillsSeen(page, rows)


def lower_first(text: str) -> str:
    """A text inside a sentence; letters that stay large are left alone."""
    return text if text[1:2].isupper() else text[:1].lower() + text[1:]


def row_of(desk: Desk, page: BillPage, one: Bill) -> Row:
    """A line in words."""
    day = desk.formats.day
    amount = UNKNOWN if one.amount_minor is None else desk.formats.money(
        Money(one.amount_minor, page.currency)
    )  # fmt: skip
    state, more = state_text(one.state), one.waived_why
    if one.state == TO_BILL and one.amount_minor is None:
        more = say("no amount yet")
    elif one.state == BILLED and one.billed_on is not None:
        state = say("billed {day}", day=day(one.billed_on))
        more = say("bill {n}", n=one.bill_number) if one.bill_number else ""
    elif one.state == PAID and one.paid_on is not None:
        state = say("paid {day}", day=day(one.paid_on))
        more = say("bill {n}", n=one.bill_number) if one.bill_number else ""
    if one.now_minor is not None:
        now = desk.formats.money(Money(one.now_minor, page.currency))
        more = say("would be {money} now", money=now)
    cells = BillCells(one, day(one.since_on), state, more, amount)
    is_whole = one.kind in ("renewal", "other", "trip")
    words = one.text if is_whole else f"{kind_text(one.kind)}: {lower_first(one.text)}"
    second = " · ".join(p for p in (one.address, one.customer, cells.day, state, more) if p)
    return Row(title=first_upper(words), second=second, icon=ICONS.get(one.kind, "note"),
               right=amount, thing=cells)  # fmt: skip
