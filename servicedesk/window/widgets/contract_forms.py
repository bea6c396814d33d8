"""Forms of a contract's life: what they ask and what they write."""

from datetime import timedelta
from typing import Any

from servicedesk.desk.contract_edit import EDITABLE, SIGNED_TOO, edit_contract
from servicedesk.desk.contract_sale import ENDS, MOVES, Sale, sell_house
from servicedesk.desk.contracts import (
    NewContract,
    end_contract,
    hand_over,
    new_contract,
    systems_named,
)
from servicedesk.desk.office import Desk
from servicedesk.window.widgets.setup_fields import FieldSpec
from servicedesk.words import say


def new_fields(*, taken: bool, systems: tuple[str, ...] = ()) -> tuple[FieldSpec, ...]:
    """What is asked of a new contract; which `systems` where several stand there."""
    first = (
        (FieldSpec(name="taken_from", label=say("Taken over from"), hint=say("the company")),)
        if taken
        else ()
    )
    which = (
        (FieldSpec(name="systems", label=say("Systems"), kind="list",
                   hint=say("all of them: {systems}", systems=", ".join(systems))),)
        if systems
        else ()
    )  # fmt: skip
    return (
        *first,
        *which,
        FieldSpec(name="from_on", label=say("First day"), kind="day"),
        FieldSpec(name="until_on", label=say("Last day"), kind="last_day",
                  hint=say("a year; of a first policy two years")),
        FieldSpec(name="price_minor", label=say("Price a year"), kind="money"),
        FieldSpec(name="visits_a_year", label=say("Inspections a year"), kind="number"),
        FieldSpec(name="counting", label=say("Windows"), kind="choice",
                  options=(("fixed", say("fixed in the year")),
                           ("rolling", say("from the last inspection")))),
        FieldSpec(name="tolerance_days", label=say("Early by days"), kind="number",
                  hint=say("so much before its window still counts")),
        FieldSpec(name="longest_gap_months", label=say("Longest gap, months"), kind="number",
                  hint=say("none")),
        FieldSpec(name="response_hours", label=say("Complaints within hours"), kind="number"),
        FieldSpec(name="approval_limit_minor", label=say("Work without asking up to"),
                  kind="money"),
        FieldSpec(name="is_first_policy", label=say("New system"), kind="tick",
                  hint=say("initial service policy, from first use")),
        FieldSpec(name="signed", label=say("Signed"), kind="tick",
                  hint=say("signed already; otherwise it is a draft")),
        FieldSpec(name="own_number", label=say("Own number")),
        FieldSpec(name="note", label=say("Note"), kind="long"),
    )  # fmt: skip


def edit_fields(*, is_draft: bool) -> tuple[FieldSpec, ...]:
    """What can be changed of a contract."""
    names = EDITABLE if is_draft else SIGNED_TOO
    sent = FieldSpec(name="copy_sent_on", label=say("Copy to the authority"), kind="day",
                     hint=say("not sent"))  # fmt: skip
    return (*(spec for spec in new_fields(taken=False) if spec.name in names), sent)


def write_edit(desk: Desk, contract_id: int, values: dict[str, Any], seen: int | None) -> object:
    """On the worker: the fields that became others."""
    return edit_contract(desk, contract_id, values, seen=seen)


def write_new(site_id: int, desk: Desk, values: dict[str, Any], _seen: int | None) -> object:
    """On the worker: the contract as the form has it; empty numbers are the usual ones."""
    given = {name: value for name, value in values.items() if value is not None}
    given["from_on"] = given.get("from_on") or desk.today
    given["system_ids"] = systems_named(desk, site_id, given.pop("systems", ()))
    return new_contract(desk, NewContract(site_id=site_id, **given))


def end_fields() -> tuple[FieldSpec, ...]:
    """What is asked when a contract ends before its time."""
    return (
        FieldSpec(name="on", label=say("Last day"), kind="last_day"),
        FieldSpec(name="why", label=say("Why"), hint=say("moved away, system out of use")),
    )


def write_end(desk: Desk, contract_id: int, values: dict[str, Any], seen: int | None) -> object:
    """On the worker: the contract ends."""
    on = values["on"] or desk.today + timedelta(days=1)
    return end_contract(desk, contract_id, on=on, why=values["why"] or "", seen=seen)


def hand_over_fields() -> tuple[FieldSpec, ...]:
    """What is asked when another company takes a contract over."""
    return (
        FieldSpec(name="to_firm", label=say("To which company")),
        FieldSpec(name="on", label=say("Our last day"), kind="last_day"),
        FieldSpec(name="why", label=say("Why"), hint=say("may stay empty")),
    )


def write_hand_over(
    desk: Desk, contract_id: int, values: dict[str, Any], seen: int | None
) -> object:
    """On the worker: another company has it from then on."""
    on = values["on"] or desk.today + timedelta(days=1)
    return hand_over(
        desk, contract_id, on=on, to_firm=values["to_firm"] or "", why=values["why"] or "",
        seen=seen,
    )  # fmt: skip


def sale_fields() -> tuple[FieldSpec, ...]:
    """What is asked when a house is sold."""
    return (
        FieldSpec(name="on", label=say("Sold on"), kind="day",
                  hint=say("from this day on it is the buyer's")),
        FieldSpec(name="buyer", label=say("Who bought it"), hint=say("Marsh, Ida")),
        FieldSpec(name="phones", label=say("Phones"), kind="list",
                  hint=say("several with commas between")),
        FieldSpec(name="mail_address", label=say("Mailing address"), kind="long",
                  hint=say("where it is not the site's")),
        FieldSpec(name="contract", label=say("The contract"), kind="choice",
                  options=((MOVES, say("goes to the buyer as it stands")),
                           (ENDS, say("ends the day before")))),
    )  # fmt: skip


def write_sale(desk: Desk, site_id: int, values: dict[str, Any], _seen: int | None) -> object:
    """On the worker: roles and contract change hands."""
    return sell_house(
        desk,
        Sale(
            site_id=site_id,
            on=values["on"] or desk.today,
            buyer=values["buyer"] or "",
            phones=tuple(values["phones"] or ()),
            mail_address=values["mail_address"] or "",
            contract=values["contract"],
        ),
    )
