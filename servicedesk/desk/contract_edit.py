"""A contract's terms corrected: all of a draft, of a signed one what does not move its windows."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from servicedesk.desk.checking import Wrong, only_known, refuse
from servicedesk.desk.contracts import NewContract, wrong_terms
from servicedesk.desk.office import Desk
from servicedesk.records.contract_life_rows import address_at, site_ids_of_contract
from servicedesk.records.contracts import Contract
from servicedesk.records.store import Changed
from servicedesk.values.trouble import Trouble
from servicedesk.words import say

# what a signed contract lets change: no window and no sum already agreed moves by it
SIGNED_TOO = ("response_hours", "approval_limit_minor", "own_number", "note", "copy_sent_on")
DRAFT_ONLY = (
    "from_on", "until_on", "price_minor", "visits_a_year", "counting", "tolerance_days",
    "longest_gap_months", "is_first_policy",
)  # fmt: skip
NEEDED = ("from_on", "until_on", "visits_a_year", "tolerance_days")
EDITABLE = (*DRAFT_ONLY, *SIGNED_TOO)


def edit_contract(
    desk: Desk, contract_id: int, values: Mapping[str, Any], *, seen: int | None = None
) -> Changed:
    """Write fields of a contract (any of EDITABLE) that a form brought back.

    Raises WrongEntry as `new_contract` does, Trouble for a field that a signed contract does not
    let change, StaleEdit; ValueError for a field nobody may edit here.
    """
    only_known(values, EDITABLE)
    with desk.store.read() as session:
        sites = site_ids_of_contract(session, contract_id)
        address = (address_at(session, sites[0]) or "") if sites else ""
    what = say("Changed a contract of {address}", address=address)
    with desk.store.change(desk.who, what) as work:
        contract = work.fresh(Contract, contract_id, seen=seen)
        if contract.stage != "draft" and any(name in DRAFT_ONLY for name in values):
            raise Trouble(
                say("Contract {n} is signed: its days, price and inspections stand.",
                    n=contract.number),
                means=say("Nothing was changed."),
                do=say("Take the signing back under All changes, or end it and write a new one."),
            )  # fmt: skip
        empty = [name for name in NEEDED if name in values and values[name] is None]
        refuse(Wrong(name, say("This cannot stay empty.")) for name in empty)
        wanted = replace(_terms_of(contract), **_terms(values))
        refuse(wrong_terms(desk, wanted, wanted.until_on or contract.until_on))
        for name, value in values.items():
            cleaned = value.strip() if isinstance(value, str) else value
            setattr(contract, name, (cleaned or None) if name == "own_number" else cleaned)
    return work.changed


def _terms_of(contract: Contract) -> NewContract:
    """The contract as it would be written anew; what is signed already is not asked for again."""
    names = [name for name in EDITABLE if name in NewContract.__dataclass_fields__]
    values: dict[str, Any] = {name: getattr(contract, name) for name in names}
    values |= {"own_number": contract.own_number or "", "site_id": 0, "signed": False}
    return NewContract(**values)


def _terms(values: Mapping[str, Any]) -> dict[str, Any]:
    return {n: v for n, v in values.items() if n in NewContract.__dataclass_fields__}
