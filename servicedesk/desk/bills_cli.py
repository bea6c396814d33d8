"""`servicedesk bills`: the list, its states, out as a file and back again."""

import argparse
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from servicedesk.desk.bill_rates import set_bill_rates
from servicedesk.desk.bill_states import mark_billed, mark_paid, set_amount, waive
from servicedesk.desk.bills import STATES, Bill, BillPage, bills
from servicedesk.desk.bills_out import (
    BillsBack,
    bills_file,
    kind_text,
    read_bills_back,
    state_text,
    take_back,
)
from servicedesk.desk.contract_cli import amount_of
from servicedesk.desk.office import Desk
from servicedesk.desk.report_mail import write_file
from servicedesk.desk.verb_options import Tell, desk_of
from servicedesk.values.money import Money
from servicedesk.words import say, say_n
from servicedesk.words.formats import UNKNOWN

DONE, LOOK = 0, 1


@dataclass(frozen=True, slots=True, kw_only=True)
class BillsAnswer:
    """The whole answer, as `--json` prints it; money in minor units."""

    format: int
    today: date
    since_on: date
    currency: str
    sums: dict[str, int]
    over_the_limit: tuple[int, ...]
    lines: tuple[Bill, ...]
    told: tuple[str, ...]
    unread: tuple[str, ...]
    written: Path | None


def bills_from_shell(
    chosen: argparse.Namespace,
    *,
    tell: Tell,
    print_json: Callable[[Any], None],
) -> int:
    """Do what was asked, then tell the list. Exit code 1 if a list brought back was not clear."""
    desk = desk_of(chosen)
    back = read_bills_back(desk, chosen.back) if chosen.back is not None else None
    if back is not None and chosen.write:
        take_back(desk, back)
    _change(desk, chosen)
    page = bills(desk)
    state = None if chosen.state is None else chosen.state.replace("-", " ")
    lines = page.lines if state is None else page.of_state(state)
    written = None
    if chosen.out is not None:
        written = write_file(chosen.out, bills_file(desk, page, lines, chosen.out.name))
    if chosen.json:
        print_json(_answer(page, lines, back, written))
    else:
        if back is not None:
            tell(*back_lines(back, written=chosen.write))
        else:
            tell(*bill_lines(desk, page, lines))
        if written is not None:
            tell(say_n("{n} line written to {file}.", "{n} lines written to {file}.",
                       len(lines), file=written))  # fmt: skip
    return LOOK if back is not None and back.unread else DONE


def _answer(
    page: BillPage, lines: tuple[Bill, ...], back: BillsBack | None, written: Path | None
) -> BillsAnswer:
    return BillsAnswer(
        format=1,
        today=page.today,
        since_on=page.since_on,
        currency=page.currency,
        sums={state: page.sum_of(state) for state in STATES},
        over_the_limit=page.over,
        lines=lines,
        told=() if back is None else back.told,
        unread=() if back is None else back.unread,
        written=written,
    )


def _change(desk: Desk, chosen: argparse.Namespace) -> None:
    if chosen.billed:
        mark_billed(desk, chosen.billed, number=chosen.number, on=chosen.on)
    elif chosen.paid:
        mark_paid(desk, chosen.paid, on=chosen.on)
    elif chosen.waive:
        waive(desk, chosen.waive, why=chosen.why)
    elif chosen.amount:
        set_amount(desk, chosen.amount[0], amount_of(desk, chosen.amount[1]) or 0)
    elif chosen.trip_charge is not None:
        set_bill_rates(desk, trip_minor=amount_of(desk, chosen.trip_charge))
    elif chosen.since is not None:
        set_bill_rates(desk, since_on=chosen.since)


def bill_lines(desk: Desk, page: BillPage, lines: tuple[Bill, ...]) -> list[str]:
    """The list by state, in words."""

    def money(minor: int | None) -> str:
        return UNKNOWN if minor is None else desk.formats.money(Money(minor, page.currency))

    told: list[str] = []
    for state in STATES:
        some = [one for one in lines if one.state == state]
        if some:
            head = say_n("{state}: {n} line, {sum}", "{state}: {n} lines, {sum}", len(some),
                         state=state_text(state), sum=money(page.sum_of(state)))  # fmt: skip
            told += [*([""] if told else []), head]
            told += [f"  {_line(desk, one, money(one.amount_minor))}" for one in some]
    if not told:
        told.append(say("Nothing is to be billed."))
    told.append("")
    told.append(say("Watched since {day}.", day=desk.formats.day(page.since_on)))
    if page.over and page.limit_minor is not None:
        told.append(
            say_n("{n} site is over the limit of {limit}: on hold.",
                  "{n} sites are over the limit of {limit}: on hold.",
                  len(page.over), limit=money(page.limit_minor))
        )  # fmt: skip
    return told


def _line(desk: Desk, one: Bill, amount: str) -> str:
    day = desk.formats.day
    parts = [
        one.key,
        one.address,
        one.customer,
        f"{kind_text(one.kind)}: {one.text}",
        amount,
        say("bill {n}", n=one.bill_number) if one.bill_number else "",
        say("billed {day}", day=day(one.billed_on)) if one.billed_on else "",
        say("paid {day}", day=day(one.paid_on)) if one.paid_on else "",
        one.waived_why,
    ]
    return f"{one.since_on.isoformat()}  " + " · ".join(part for part in parts if part)


def back_lines(back: BillsBack, *, written: bool) -> list[str]:
    """What a list that came back says otherwise, and what of it cannot be taken."""
    n = len(back.moves)
    head = (
        say_n("{n} line written from {name}", "{n} lines written from {name}", n, name=back.name)
        if written
        else say_n("{n} line differs in {name}", "{n} lines differ in {name}", n, name=back.name)
    )
    lines = [head, *(f"  {text}" for text in back.told)]
    if back.unread:
        lines += [say("Not taken:"), *(f"  {text}" for text in back.unread)]
    lines.append(say_n("{n} line agrees.", "{n} lines agree.", back.n_same))
    return lines
