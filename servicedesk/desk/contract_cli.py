"""`servicedesk contract ...` from the shell: one site's contracts listed, written, ended."""

import argparse
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal, InvalidOperation
from typing import Any

from servicedesk.desk.checking import Wrong, WrongEntry, all_at_once
from servicedesk.desk.contract_edit import edit_contract
from servicedesk.desk.contract_file import (
    DRAFT,
    ENDING,
    RUNNING,
    TO_BEGIN,
    ContractFile,
    ContractLife,
    contract_file,
)
from servicedesk.desk.contract_sale import Sale, sell_house
from servicedesk.desk.contracts import (
    NewContract,
    end_contract,
    hand_over,
    new_contract,
    sign_contract,
    systems_named,
)
from servicedesk.desk.office import Desk
from servicedesk.desk.second_opinion import site_named
from servicedesk.desk.verb_options import Tell, desk_of
from servicedesk.values.money import rounded_minor
from servicedesk.values.trouble import Trouble
from servicedesk.words import say
from servicedesk.words.formats import minor_digits

DONE = 0
_NEXT = timedelta(days=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class ContractAnswer:
    """The whole answer, as `--json` prints it: the contracts as they stand after the verb."""

    format: int
    today: date
    done: str
    contracts: ContractFile


def contract_from_shell(
    chosen: argparse.Namespace,
    *,
    tell: Tell,
    print_json: Callable[[Any], None],
) -> int:
    """Do the verb, then tell how the contracts of the site stand. Raises Trouble."""
    desk = desk_of(chosen)
    site_id = site_named(desk, chosen.site)
    verbs: dict[str, Callable[[Desk, int, argparse.Namespace], object]] = {
        "new": _new,
        "take-over": _new,
        "change": _edit,
        "sign": _sign,
        "end": _end,
        "hand-over": _hand_over,
        "sell-house": _sell,
    }
    verb = verbs.get(chosen.contract_verb)
    if verb is not None:
        try:
            verb(desk, site_id, chosen)
        except WrongEntry as wrong:
            raise all_at_once(wrong) from wrong
    file = contract_file(desk, site_id)
    if chosen.json:
        print_json(
            ContractAnswer(
                format=1, today=desk.today, done=chosen.contract_verb, contracts=file
            )
        )  # fmt: skip
    else:
        tell(*file_lines(file))
    return DONE


def file_lines(file: ContractFile) -> list[str]:
    """The contracts of a site, the latest first, with gaps and what counts for none."""
    lines = [file.address]
    if not file.lives:
        lines.append(say("  no contract is written down"))
    for one in file.lives:
        lines.append(
            say("  Contract {n}  {span}  {state}", n=one.row.number, span=one.span_text,
                state=one.state_text)
        )  # fmt: skip
        lines += [f"    {text}" for text in (", ".join(one.facts), *one.counts, *one.apart)]
    lines += [f"  {text}" for text in (*file.gaps, *file.outside)]
    return lines


def _new(desk: Desk, site_id: int, chosen: argparse.Namespace) -> object:
    return new_contract(
        desk,
        NewContract(
            site_id=site_id,
            from_on=chosen.first,
            until_on=None if chosen.last is None else chosen.last + _NEXT,
            system_ids=systems_named(desk, site_id, chosen.system),
            price_minor=amount_of(desk, chosen.price),
            visits_a_year=chosen.visits,
            counting="rolling" if chosen.rolling else "fixed",
            response_hours=chosen.response_hours,
            is_first_policy=chosen.first_policy,
            taken_from=getattr(chosen, "company", ""),
            signed=not chosen.draft,
        ),
    )


def _edit(desk: Desk, site_id: int, chosen: argparse.Namespace) -> object:
    one = _one(desk, site_id, chosen.number, (DRAFT, TO_BEGIN, RUNNING, ENDING))
    values = {
        "price_minor": amount_of(desk, chosen.price),
        "visits_a_year": chosen.visits,
        "response_hours": chosen.response_hours,
        "copy_sent_on": chosen.copy_sent,
    }
    given = {name: value for name, value in values.items() if value is not None}
    if not given:
        raise Trouble(say("Say what is to change."), do=say("See: servicedesk contract --help"))
    return edit_contract(desk, one.row.id, given)


def _sign(desk: Desk, site_id: int, chosen: argparse.Namespace) -> object:
    return sign_contract(desk, _one(desk, site_id, chosen.number, (DRAFT,)).row.id)


def _end(desk: Desk, site_id: int, chosen: argparse.Namespace) -> object:
    one = _one(desk, site_id, chosen.number, (RUNNING, ENDING, TO_BEGIN, DRAFT))
    return end_contract(desk, one.row.id, on=chosen.last + _NEXT, why=chosen.why)


def _hand_over(desk: Desk, site_id: int, chosen: argparse.Namespace) -> object:
    one = _one(desk, site_id, chosen.number, (RUNNING, ENDING))
    return hand_over(
        desk, one.row.id, on=chosen.last + _NEXT, to_firm=chosen.company, why=chosen.why
    )


def _sell(desk: Desk, site_id: int, chosen: argparse.Namespace) -> object:
    return sell_house(
        desk,
        Sale(
            site_id=site_id,
            on=chosen.on,
            buyer=chosen.buyer,
            phones=tuple(chosen.phone),
            contract=chosen.contract,
        ),
    )


def _one(desk: Desk, site_id: int, number: int | None, states: tuple[str, ...]) -> ContractLife:
    """The contract that is meant. Raises Trouble where none or several could be."""
    lives = contract_file(desk, site_id).lives
    if number is not None:
        found = [one for one in lives if one.row.number == number]
    else:
        found = [one for one in lives if one.state in states]
    if len(found) == 1:
        return found[0]
    known = ", ".join(f"{one.row.number} ({one.state_text})" for one in lives)
    raise Trouble(
        say("It is not clear which contract is meant.")
        if found
        else say("No contract there can be meant."),
        means=say("The site has: {contracts}.", contracts=known) if known else "",
        do=say("Name one with --number."),
    )


def amount_of(desk: Desk, text: str | None) -> int | None:
    """An amount as typed, such as 385 or $385.00, in minor units. Raises WrongEntry."""
    if text is None:
        return None
    digits = minor_digits(desk.company.currency)
    try:
        amount = Decimal(text.strip().lstrip("$").replace(",", ""))
    except InvalidOperation:
        amount = Decimal("NaN")
    if not amount.is_finite() or abs(amount) > 10**9:
        raise WrongEntry([Wrong("price", say("“{text}” is no amount.", text=text))])
    return rounded_minor(amount * 10**digits)
